//! What published laws disagree by, in a drawn case: to first order around the case as it stands.
//!
//! A ± of a limit is put together from the change dᵢ that each law alone makes at each place, errors of one law being
//! correlated by one half (`coolwright_models::uncertainty`). A drawn case takes one error for each law and one for each
//! place, standard normal, and a ± counts for two standard deviations:
//!
//! ```text
//! moved by = ½ Σ over laws (√½ z_law Σᵢ dᵢ + √½ Σᵢ wᵢ dᵢ)
//! ```

use std::collections::BTreeSet;

use coolwright_models::laws::uncertainty::Law;
use coolwright_models::uncertainty::Term;

/// What each law at each place moves each limit by.
#[derive(Clone, Debug, Default)]
pub struct LawMoves {
    /// The laws at their places.
    pub terms: Vec<Term>,
    /// By term, what it moves each limit by, SI, in the order of the limits; nothing where a limit has no number.
    pub changes: Vec<Vec<f64>>,
}

/// The laws that are off, and what they move.
#[derive(Clone, Debug, Default)]
pub struct Laws {
    /// The laws, each once, in their order.
    pub laws: Vec<Law>,
    moves: LawMoves,
    /// The place of each term's law.
    of: Vec<usize>,
}

/// The standard normal errors of a drawn case: of each law, and of each place.
#[derive(Clone, Debug, Default)]
pub struct Normals {
    /// Of each law.
    pub laws: Vec<f64>,
    /// Of each law at each place.
    pub places: Vec<f64>,
}

impl Laws {
    /// The laws but those that are taken for exact.
    pub fn of(moves: LawMoves, exact: &BTreeSet<Law>) -> Self {
        let (mut terms, mut changes) = (Vec::new(), Vec::new());
        for (term, change) in moves.terms.into_iter().zip(moves.changes) {
            // What moves nothing needs no number of its own.
            if !exact.contains(&term.law) && change.iter().any(|d| *d != 0.0) {
                terms.push(term);
                changes.push(change);
            }
        }
        let laws: BTreeSet<Law> = terms.iter().map(|term| term.law).collect();
        let laws: Vec<Law> = laws.into_iter().collect();
        let place = |term: &Term| laws.iter().position(|law| *law == term.law).unwrap_or_default();
        let of = terms.iter().map(place).collect();
        Self { of, laws, moves: LawMoves { terms, changes } }
    }

    /// How many places there are.
    pub fn places(&self) -> usize {
        self.of.len()
    }

    /// What a law, by its place among them, moves a limit by in a drawn case, SI.
    pub fn moved_by(&self, law: usize, limit: usize, normals: &Normals) -> f64 {
        let places = self.of.iter().zip(&self.moves.changes).enumerate();
        let own = places.filter(|(_, (of, _))| **of == law);
        let of_one = |(k, (_, changes)): (usize, (&usize, &Vec<f64>))| {
            changes[limit] * (normals.laws[law] + normals.places[k])
        };
        0.5 * 0.5_f64.sqrt() * own.map(of_one).sum::<f64>()
    }

    /// What all laws together move a limit by in a drawn case, SI.
    pub fn all_move(&self, limit: usize, normals: &Normals) -> f64 {
        (0..self.laws.len()).map(|law| self.moved_by(law, limit, normals)).sum()
    }
}

#[cfg(test)]
mod tests {
    use coolwright_models::ids::Id;
    use coolwright_models::simulate::Offset;
    use coolwright_models::uncertainty::half_width;

    use super::super::spread::{coordinate, quantile};
    use super::*;

    /// Over many draws the standard deviation is half of the ± that `point` tells.
    #[test]
    fn draws_scatter_by_half_of_what_laws_may_be_off_by() {
        let term = |law| Term { from: Id::Site, law, offset: Offset::Heat { body: 0, share: 0.1 } };
        let terms = vec![term(Law::Friction), term(Law::Friction), term(Law::Tee), term(Law::Bend)];
        let changes = [3.0, 1.0, -2.0, 7.0];
        let moves = LawMoves { terms, changes: changes.iter().map(|d| vec![*d]).collect() };
        let laws = Laws::of(moves, &BTreeSet::from([Law::Bend]));
        assert_eq!((laws.laws.len(), laws.places()), (2, 3));
        let told = [Law::Friction, Law::Friction, Law::Tee].into_iter().zip(changes);
        let wanted = 0.5 * half_width(told);
        let draw = |k: u32| {
            let normal = |d: usize| quantile(coordinate(k, d, 5));
            let normals = Normals {
                laws: (0..2).map(normal).collect(),
                places: (2..5).map(normal).collect(),
            };
            laws.all_move(0, &normals)
        };
        let square = (0..4096).map(|k| draw(k).powi(2)).sum::<f64>() / 4096.0;
        assert!((square.sqrt() / wanted - 1.0).abs() < 0.01, "{} {wanted}", square.sqrt());
    }
}
