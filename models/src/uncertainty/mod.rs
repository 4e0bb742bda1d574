//! What the answer may be off by, because published laws disagree.
//!
//! Every law states what it may be off by where it is used ([`crate::laws::uncertainty`]): falls of
//! parts and tees, heads of pumps, films, ratings of cores, falls of air, curves of fans, heats. Each
//! such offset alone moves all flows, temperatures and heats of an operating point; how far follows from
//! its linear response, with everything settled anew: flows by temperature, films by flow, air by the
//! heat of the core in front. The changes dᵢ of one number are put together as
//!
//! ```text
//! u² = ½ Σ over laws (Σᵢ dᵢ)² + ½ Σᵢ dᵢ²
//! ```
//!
//! that is, the square root of the sum of squares, where the errors of two parts that follow the same law
//! are correlated by one half: in part they come from the law, which is the same everywhere, in part
//! from the part. (Treated as independent, ten equal hoses would be known better than the law of one;
//! treated as one error, the split between equal passes would be known exactly.)
//!
//! Flows and shares that may be off by a large part of themselves do not follow in a straight line:
//! `bounds` solves for their least and most.
//!
//! Wrong inputs are not in it: a bore, a roughness, a number off a label that differs from what stands in
//! the vehicle. What the case leaves out is in the list of assumptions.

mod bounds;
mod respond;
mod terms;

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::ids::Id;
use crate::instance::Instance;
use crate::laws::uncertainty::Law;
use crate::model::Model;
use crate::point::OperatingPoint;
use crate::results::quantities as q;
use crate::results::{Catalogue, Entries, Quantity, Recorder, Results};
use crate::simulate::{Offset, Simulator};
use crate::slots::{Slot, Values};
use crate::solve::SolveError;
use crate::tangent::Tangent;

pub(crate) use respond::evaluate;
use respond::{Base, Response};
pub use terms::Term;
pub(crate) use terms::terms;

/// Most laws whose offsets are carried through a model: the work grows with their number times the size
/// of the model.
const MOST_TERMS: usize = 600;

/// A change below this share of a result is rounding.
const ROUNDING: f64 = 1e-9;

/// The uncertainty of an operating point.
#[derive(Clone, Debug)]
pub struct Uncertainty {
    /// The laws, each with what it may be off by.
    pub terms: Vec<Term>,
    /// What falls of parts and tees may be off by at their flow, by address: `fall_uncertainty` and so
    /// on.
    pub own: Results,
    /// Whether the model is small enough for its offsets to have been carried through it.
    pub is_carried: bool,
    catalogue: Arc<Catalogue>,
    /// The results themselves.
    results: Vec<f64>,
    /// For each term, in their order, the change of every result by its offset alone.
    changes: Vec<Vec<f64>>,
    half_widths: Vec<f64>,
    /// Least and most of the results that do not follow in a straight line, by place.
    bounds: BTreeMap<usize, [f64; 2]>,
    /// The point with its Jacobian, where offsets were carried through it.
    pub tangent: Option<Tangent>,
}

impl Uncertainty {
    /// Half width of a result, in its unit; `None` where there is none.
    pub fn of(&self, id: Id, quantity: &'static Quantity) -> Option<f64> {
        self.catalogue.place(id, quantity).and_then(|place| self.at(place))
    }

    /// Half width of the result at a place of the catalogue, in its unit; `None` where there is none.
    pub fn at(&self, place: usize) -> Option<f64> {
        self.half_widths.get(place).copied().filter(|width| width.is_finite())
    }

    /// Half width of the result at an address, in its unit; `None` where there is none.
    pub fn get(&self, address: &str) -> Option<f64> {
        self.catalogue.find(address).and_then(|place| self.at(place))
    }

    /// Least and most of a result, in its unit, where it is off by so much of itself that it does not
    /// follow in a straight line: solved anew at the likeliest offsets that move it so far.
    pub fn bounds(&self, id: Id, quantity: &'static Quantity) -> Option<[f64; 2]> {
        self.catalogue.place(id, quantity).and_then(|place| self.bounds.get(&place).copied())
    }

    /// How far the result at an address may move up or down, in its unit, zero or more; `None` where
    /// that is not known.
    pub fn towards(&self, address: &str, up: bool) -> Option<f64> {
        let place = self.catalogue.find(address)?;
        let of_bounds = self.bounds.get(&place).map(|[least, most]| {
            let moves = if up { most - self.results[place] } else { self.results[place] - least };
            moves.max(0.0)
        });
        of_bounds.or_else(|| self.at(place))
    }

    /// The law that contributes most to the uncertainty of a result, and what the result would change by
    /// because of it alone, in its unit; `None` where nothing does.
    pub fn leading(&self, id: Id, quantity: &'static Quantity) -> Option<(&Term, f64)> {
        self.leading_at(self.catalogue.place(id, quantity)?)
    }

    /// The same of the result at an address.
    pub fn leading_of(&self, address: &str) -> Option<&Term> {
        self.leading_at(self.catalogue.find(address)?).map(|(term, _)| term)
    }

    fn leading_at(&self, place: usize) -> Option<(&Term, f64)> {
        let alone =
            self.terms.iter().zip(&self.changes).map(|(term, all)| (term, all[place].abs()));
        let largest = alone.reduce(|most, next| if next.1 > most.1 { next } else { most })?;
        (largest.1 > ROUNDING * self.results[place].abs()).then_some(largest)
    }

    /// The change of a result by the offset of each term alone, in its unit and the order of the terms.
    pub fn changes(&self, id: Id, quantity: &'static Quantity) -> Option<Vec<f64>> {
        let place = self.catalogue.place(id, quantity)?;
        Some(self.changes.iter().map(|all| all[place]).collect())
    }
}

/// What the hottest of some states may be off by: another may be the hottest then, so
/// max (T + u) − max T.
fn hottest(
    terms: &[Term],
    followed: &[Vec<f64>],
    states: &[f64],
    of: std::ops::Range<usize>,
) -> f64 {
    let width = |state: usize| {
        half_width(terms.iter().zip(followed).map(|(term, all)| (term.law, all[state])))
    };
    let most = |a: f64, b: f64| a.max(b);
    let upper = of.clone().map(|state| states[state] + width(state)).reduce(most);
    let known = of.map(|state| states[state]).reduce(most);
    upper.zip(known).map_or(f64::NAN, |(upper, known)| upper - known)
}

/// u = √(½ Σ over laws (Σ d)² + ½ Σ d²) of the changes `d` by law.
pub fn half_width(changes: impl Iterator<Item = (Law, f64)>) -> f64 {
    let mut by_law: BTreeMap<Law, f64> = BTreeMap::new();
    let mut squares = 0.0;
    for (law, change) in changes {
        *by_law.entry(law).or_default() += change;
        squares += change * change;
    }
    let common: f64 = by_law.values().map(|sum| sum * sum).sum();
    (0.5 * common + 0.5 * squares).sqrt()
}

/// Works out the uncertainty of an operating point of a model with the given numbers.
///
/// # Errors
/// When the numbers are out of range or the flows do not come to rest.
pub fn uncertainty(
    model: &Model,
    values: &Values,
    point: &OperatingPoint,
) -> Result<Uncertainty, SolveError> {
    let held: Vec<usize> = point.held.iter().map(|held| held.circuit).collect();
    Instance::new(model).uncertainty(values, &point.states, &held)
}

impl Instance<'_> {
    /// What falls of parts and tees may be off by at any state, steady or not: `own` of [`Uncertainty`].
    ///
    /// # Errors
    /// When the numbers are out of range or the flows do not come to rest.
    pub fn fall_uncertainty(
        &mut self,
        values: &Values,
        states: &[f64],
    ) -> Result<Results, SolveError> {
        let simulator = self.at(values, states)?;
        Ok(own_falls(simulator, &terms(simulator)))
    }

    /// Works out the uncertainty of an operating point: its states, and the circuits that have no steady
    /// state.
    ///
    /// # Errors
    /// When the numbers are out of range or the flows do not come to rest.
    pub fn uncertainty(
        &mut self,
        values: &Values,
        states: &[f64],
        held: &[usize],
    ) -> Result<Uncertainty, SolveError> {
        self.at(values, states)?;
        let made = self.made_mut();
        for &circuit in held {
            made.simulator.pin(circuit);
        }
        let terms = terms(&made.simulator);
        let own = own_falls(&made.simulator, &terms);
        let few = terms.len() <= MOST_TERMS;
        let base = if few { Base::of(made, states)? } else { None };
        let is_carried = base.is_some();
        let response = base.as_ref().map(|base| respond::response(made, base, &terms));
        let Response { changes, states: followed } = response.transpose()?.unwrap_or_default();
        let width = |place: usize| {
            half_width(terms.iter().zip(&changes).map(|(term, all)| (term.law, all[place])))
        };
        let places = if is_carried { made.catalogue.entries().len() } else { 0 };
        let mut half_widths: Vec<f64> = (0..places).map(width).collect();
        for (body, nodes) in made.simulator.setup.layout.bodies.iter().enumerate() {
            let Some(place) = made.catalogue.place(Id::Body(body), &q::METAL) else { continue };
            if is_carried {
                half_widths[place] = hottest(&terms, &followed, states, nodes.states());
            }
        }
        if is_carried {
            own_errors(&made.simulator, &made.catalogue, &mut half_widths);
        }
        let known = bounds::Known { terms: &terms, changes: &changes, half_widths: &half_widths };
        let found = base.as_ref().map(|base| bounds::bounds(made, base, &known));
        let bounds = found.unwrap_or_default();
        let (results, tangent) = base.map(|base| (base.results, base.tangent)).unzip();
        let results = results.unwrap_or_default();
        let catalogue = made.catalogue.clone();
        Ok(Uncertainty {
            terms,
            own,
            is_carried,
            catalogue,
            results,
            changes,
            half_widths,
            bounds,
            tangent,
        })
    }
}

/// What the falls of parts and tees may be off by at their flow: the root of the sum of squares of their
/// laws.
fn own_falls(simulator: &Simulator<'_>, terms: &[Term]) -> Results {
    let mut entries = Entries::of(simulator.setup.model);
    let mut squares: BTreeMap<(Id, usize), (&'static Quantity, f64)> = BTreeMap::new();
    for (part, cells) in simulator.setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        squares.insert((Id::Part(c, r, p), 0), (&q::FALL_UNCERTAINTY, 0.0));
        debug_assert_eq!(simulator.setup.layout.run_parts[c][r] + p, part);
    }
    for term in terms {
        let (key, quantity, pa) = match term.offset {
            Offset::Part { pa, .. } => ((term.from, 0), &q::FALL_UNCERTAINTY, pa),
            Offset::Tee { circuit, run, end: 0, pa } => {
                ((Id::Run(circuit, run), 1), &q::ENTRY_FALL_UNCERTAINTY, pa)
            }
            Offset::Tee { circuit, run, pa, .. } => {
                ((Id::Run(circuit, run), 2), &q::EXIT_FALL_UNCERTAINTY, pa)
            }
            _ => continue,
        };
        squares.entry(key).or_insert((quantity, 0.0)).1 += pa * pa;
    }
    for ((id, _), (quantity, square)) in squares {
        entries.put(id, quantity, square.sqrt());
    }
    entries.results()
}

/// Adds what gauges may be off by of themselves to what their readings may: both are independent, so their squares add.
fn own_errors(simulator: &Simulator<'_>, catalogue: &Catalogue, half_widths: &mut [f64]) {
    let setup = &simulator.setup;
    let gauges = &setup.model.gauges;
    let mut widen = |id, reading, errors: &[Option<Slot>]| {
        let Some(place) = catalogue.place(id, reading) else { return };
        for error in errors.iter().flatten() {
            half_widths[place] = half_widths[place].hypot(setup.values.get(*error));
        }
    };
    for (g, gauge) in gauges.iter().enumerate() {
        widen(Id::Gauge(g), gauge.reading(), &[gauge.error]);
    }
    for (r, rise) in setup.model.rises.iter().enumerate() {
        let errors = [rise.from, rise.to].map(|gauge| gauges[gauge].error);
        widen(Id::Rise(r), rise.shown(gauges), &errors);
    }
}
