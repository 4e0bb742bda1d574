//! The coolant side of a core: its drop, its coolant, and the core that it gives heat to.

use coolwright_solver::scalar::Scalar;

use super::rated::rated_law;
use super::{CoolantAt, Fall, FlowLaw, HeatPartner, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::fittings::rated_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty};
use crate::slots::{Slot, Values};

/// How many cells the coolant's way through a core is cut into.
pub const CORE_CELLS: usize = 10;

/// The tubes and tanks of a core, as the run sees them.
#[derive(Debug)]
pub struct CoreTubes {
    /// Which core this is.
    pub core: usize,
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// How the fall goes with flow.
    pub exponent: Slot,
    /// Coolant in it, m³.
    pub volume: Slot,
    /// Height gained from inlet to outlet, m; `None` where it is level.
    pub rise: Option<Slot>,
}

impl Fall for CoreTubes {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        rated_fall(flow, place.density, fall, at, exponent.value())
    }
}

impl Part for CoreTubes {
    fn word(&self) -> &'static str {
        "core"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        FlowLaw::Rated { per_flow: 1.0 / (place.density * at), fall, exponent }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn rise(&self) -> Option<Slot> {
        self.rise
    }

    fn cells(&self) -> usize {
        CORE_CELLS
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        values.get(self.volume)
    }

    fn partner(&self) -> Option<HeatPartner> {
        Some(HeatPartner::Core(self.core))
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
