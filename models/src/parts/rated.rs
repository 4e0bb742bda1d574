//! A part known by one measured drop: a meter, a filter, a quick coupling.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::RATED;
use crate::laws::fittings::rated_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty};
use crate::slots::Slot;

/// A resistance known by its fall at one flow.
#[derive(Debug)]
pub struct Rated {
    /// The trade's word for it: meter, filter, coupling.
    pub word: &'static str,
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// How the fall goes with flow: 2 for an orifice, 1 for a laminar element.
    pub exponent: Slot,
}

impl Fall for Rated {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        rated_fall(flow, place.density, fall, at, exponent.value())
    }
}

impl Part for Rated {
    fn word(&self) -> &'static str {
        self.word
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        FlowLaw::Rated { per_flow: 1.0 / (place.density * at), fall, exponent }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        vec![rated_law(flow_kg_s, place.density, [fall, at, exponent])]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let over_rated = flow_kg_s / (place.density * place.get(self.flow));
        let pa = rated_uncertainty(self.fall(place, flow_kg_s), over_rated);
        vec![UncertaintyTerm { law: Law::Rated, pa }]
    }
}

/// The law of a fall known at one flow: fall (Pa), flow (m³/s) and exponent.
pub(super) fn rated_law(flow_kg_s: f64, density: f64, [fall, flow, exponent]: [f64; 3]) -> Applied {
    let given = [("m", flow_kg_s), ("ρ", density), ("Δ", fall), ("Q", flow), ("n", exponent)];
    Applied::fall(&RATED, &given)
}
