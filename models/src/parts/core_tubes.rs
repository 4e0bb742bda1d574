//! The coolant side of a core: its drop, its coolant, and the core that it gives heat to.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, HeatPartner, LawInputs, Part, RatedFall};
use crate::laws::card::Applied;
use crate::laws::uncertainty::UncertaintyTerm;
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
    /// Its fall.
    pub drop: RatedFall,
    /// Coolant in it, m³.
    pub volume: Slot,
    /// Height gained from inlet to outlet, m; `None` where it is level.
    pub rise: Option<Slot>,
}

impl Fall for CoreTubes {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        self.drop.at(place, flow)
    }
}

impl Part for CoreTubes {
    fn word(&self) -> &'static str {
        "core"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        self.drop.flow_law(place, 1.0)
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
        vec![self.drop.law(place, flow_kg_s)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        vec![self.drop.uncertainty(place, flow_kg_s)]
    }
}
