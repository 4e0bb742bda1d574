//! A restrictor: a sharp-edged hole in a plate or plug that evens out a split.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::restriction::ORIFICE_LOSS;
use crate::laws::restriction::orifice_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, orifice_uncertainty};
use crate::slots::Slot;

/// A sharp-edged orifice in a bore.
#[derive(Debug)]
pub struct Restrictor {
    /// Bore in which it sits, m.
    pub bore: Slot,
    /// Bore of its hole, m.
    pub hole: Slot,
}

impl Fall for Restrictor {
    /// fall = ((1 + 0.707 √(1−f) − f)/f)² ½ρv|v| + 24 (1−f) μ m/(ρ d³), v in the bore.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [bore, hole] = [self.bore, self.hole].map(|s| place.get(s));
        orifice_fall(flow, place.density, place.viscosity, bore, hole)
    }
}

impl Part for Restrictor {
    fn word(&self) -> &'static str {
        "restrictor"
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.bore), Some(self.bore)]
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let given = [
            ("m", flow_kg_s),
            ("ρ", place.density),
            ("μ", place.viscosity),
            ("D", place.get(self.bore)),
            ("d", place.get(self.hole)),
        ];
        vec![Applied::fall(&ORIFICE_LOSS, &given)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let bores = (place.get(self.bore), place.get(self.hole));
        let pa = orifice_uncertainty(flow_kg_s, place.density, place.viscosity, bores);
        vec![UncertaintyTerm { law: Law::Orifice, pa }]
    }
}
