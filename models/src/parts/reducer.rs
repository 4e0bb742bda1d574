//! A reducer: a cone between two bores. It replaces the sudden change.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings as cards;
use crate::laws::fittings::cone_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, cone_uncertainty};
use crate::slots::Slot;

/// A gradual change of bore.
#[derive(Debug)]
pub struct Reducer {
    /// Bore at the inlet, m.
    pub from: Slot,
    /// Bore at the outlet, m.
    pub to: Slot,
    /// Whole angle of the cone, rad.
    pub angle: Slot,
}

impl Fall for Reducer {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [from, to, angle] = [self.from, self.to, self.angle].map(|s| place.get(s));
        cone_fall(flow, place.density, from, to, angle)
    }
}

impl Part for Reducer {
    fn word(&self) -> &'static str {
        "reducer"
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
        let [from, to, angle] = [self.from, self.to, self.angle].map(|s| place.get(s));
        let widens = (flow_kg_s >= 0.0) == (from <= to);
        let card = if widens { &cards::CONE_WIDENING_LOSS } else { &cards::CONE_NARROWING_LOSS };
        let bores = [("D", from.min(to)), ("D₂", from.max(to))];
        let [small, large] = bores;
        let given = [("m", flow_kg_s), ("ρ", place.density), small, large, ("α", angle)];
        vec![Applied::fall(card, &given)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let [from, to, angle] = [self.from, self.to, self.angle].map(|s| place.get(s));
        let pa = cone_uncertainty(flow_kg_s, place.density, (from, to), angle);
        vec![UncertaintyTerm { law: Law::Cone, pa }]
    }
}
