//! The sudden change of bore between two neighbours. It always stands there; where the bores are
//! equal its loss is zero.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings as cards;
use crate::laws::fittings::bore_change_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, bore_change_uncertainty};
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
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        bore_change_fall(flow, place.density, place.get(self.from), place.get(self.to))
    }
}

impl Part for BoreChange {
    fn word(&self) -> &'static str {
        "bore change"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        FlowLaw::quadratic(self, place)
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
        let [from, to] = [self.from, self.to].map(|s| place.get(s));
        vec![bore_change_law(flow_kg_s, place.density, from, to)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let [from, to] = [self.from, self.to].map(|s| place.get(s));
        let pa = bore_change_uncertainty(flow_kg_s, place.density, from, to);
        vec![UncertaintyTerm { law: Law::BoreChange, pa }]
    }
}

/// The law at a sudden change of bore, for flow from one bore to the other.
pub(super) fn bore_change_law(flow_kg_s: f64, density: f64, from_m: f64, to_m: f64) -> Applied {
    let widens = (flow_kg_s >= 0.0) == (from_m <= to_m);
    let card = if widens { &cards::EXPANSION_LOSS } else { &cards::CONTRACTION_LOSS };
    let (small, large) = (from_m.min(to_m), from_m.max(to_m));
    Applied::fall(card, &[("m", flow_kg_s), ("ρ", density), ("D", small), ("D₂", large)])
}
