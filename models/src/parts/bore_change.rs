//! The sudden change of bore between two neighbours. It always stands there; where the bores are
//! equal its loss is zero.

use coolwright_solver::scalar::Scalar;

use super::{Fall, Part, Place, Shape};
use crate::laws::doubt::{Doubt, Law, bore_change_uncertainty};
use crate::laws::fittings::bore_change_fall;
use crate::slots::Slot;

/// A sudden widening or narrowing from one bore to the next.
#[derive(Debug)]
pub struct BoreChange {
    /// Bore before the change, m.
    pub from: Slot,
    /// Bore after the change, m.
    pub to: Slot,
}

impl Fall for BoreChange {
    fn fall<S: Scalar>(&self, place: &Place<'_, S>, flow: S) -> S {
        bore_change_fall(flow, place.density, place.get(self.from), place.get(self.to))
    }
}

impl Part for BoreChange {
    fn word(&self) -> &'static str {
        "bore change"
    }

    fn shape(&self, place: &Place<'_, f64>) -> Shape {
        Shape::quadratic(self, place)
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.from), Some(self.to)]
    }

    fn doubts(&self, place: &Place<'_, f64>, flow_kg_s: f64) -> Vec<Doubt> {
        let [from, to] = [self.from, self.to].map(|s| place.get(s));
        let pa = bore_change_uncertainty(flow_kg_s, place.density, from, to);
        vec![Doubt { law: Law::BoreChange, pa }]
    }
}
