//! A hose barb: a short narrow tube that a hose is pushed over.

use coolwright_solver::scalar::Scalar;

use super::bore_change::bore_change_law;
use super::hose::pipe_law;
use super::{CoolantAt, Fall, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::BARB_LOSS;
use crate::laws::fittings::bore_change_fall;
use crate::laws::friction::pipe_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, barb_uncertainty};
use crate::slots::Slot;

/// A barb between two bores.
#[derive(Debug)]
pub struct Barb {
    /// Bore before it, m.
    pub from: Slot,
    /// Bore of the barb itself, m.
    pub bore: Slot,
    /// Bore behind it, m.
    pub to: Slot,
    /// Length of the barb, m.
    pub length: Slot,
    /// Roughness of its bore, m.
    pub roughness: Slot,
}

impl Fall for Barb {
    /// Into the barb, along it, and out: fall = 0.5 (1 − f₁) ½ρv² + λ (l/d) ½ρv² + (1 − f₂)² ½ρv², v
    /// in the barb, f the area of the barb over that of the bore before (1) and behind (2). In
    /// reverse the first and the last change roles. No published coefficient of whole barbs was
    /// found; that the three add up, though the barb is too short for the flow to recover between
    /// them, is an assumption on the high side.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [from, bore, to] = [self.from, self.bore, self.to].map(|s| place.get(s));
        let [length, roughness] = [self.length, self.roughness].map(|s| place.get(s));
        let (density, viscosity) = (place.density, place.viscosity);
        bore_change_fall(flow, density, from, bore)
            + pipe_fall(flow, density, viscosity, bore, length, roughness, S::from(0.0))
            + bore_change_fall(flow, density, bore, to)
    }
}

impl Part for Barb {
    fn word(&self) -> &'static str {
        "barb"
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.from), Some(self.to)]
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let [from, bore, to] = [self.from, self.bore, self.to].map(|s| place.get(s));
        let [length, roughness] = [self.length, self.roughness].map(|s| place.get(s));
        let parts = [
            bore_change_law(flow_kg_s, place.density, from, bore),
            pipe_law(place, flow_kg_s, [bore, length, roughness, 0.0]),
            bore_change_law(flow_kg_s, place.density, bore, to),
        ];
        let falls = parts.each_ref().map(|law| law.result().unwrap_or(0.0));
        let given = [("a", falls[0]), ("b", falls[1]), ("c", falls[2])];
        let mut laws = vec![Applied::fall(&BARB_LOSS, &given)];
        laws.extend(parts.map(|law| law.times(0.0)));
        laws
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        vec![UncertaintyTerm { law: Law::Barb, pa: barb_uncertainty(self.fall(place, flow_kg_s)) }]
    }
}
