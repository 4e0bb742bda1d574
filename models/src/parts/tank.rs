//! A tank in the way of the flow: stirred, and cold as long as there is ice in it.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, Ice, LawInputs, Own, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::VESSEL;
use crate::laws::fittings::{ENTRY_LOSS, EXIT_LOSS, loss_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, tank_uncertainty};
use crate::skin::Skin;
use crate::slots::{Slot, Values};

/// The room in a tank.
#[derive(Clone, Copy, Debug)]
pub struct TankRoom {
    /// All of it, m³.
    pub volume: Slot,
    /// What of it was gas when the circuit was filled cold, m³; none where it was full.
    pub air: Slot,
    /// Height of the surface above the ports, m.
    pub level: Slot,
}

/// A tank is never quite without coolant: least share of its volume.
const LEAST_COOLANT: f64 = 0.01;

impl TankRoom {
    /// Coolant in it when filled, m³.
    pub fn coolant_m3(&self, values: &Values) -> f64 {
        let volume = values.get(self.volume);
        // Air written beyond the volume by a study must not make a negative mass.
        (volume - values.get(self.air)).max(LEAST_COOLANT * volume)
    }
}

/// A stirred tank that the run passes through.
///
/// Inside it nothing moves: over the surface stands the gas, at the ports the same and the weight of
/// the coolant above them. The inlet's velocity head is lost on entering, half of the outlet's on
/// leaving.
#[derive(Debug)]
pub struct Tank {
    /// Bore of the pipe at inlet and outlet, m.
    pub bore: Slot,
    /// Its volumes and its level.
    pub room: TankRoom,
    /// Ice that floats in it at the start.
    pub ice: Option<Ice>,
    /// Its outside, where heat is counted to come from the air of the bay.
    pub skin: Option<Skin>,
}

impl Tank {
    /// Fall of total pressure, along the run, from the inlet into the tank, Pa: the rest of
    /// [`Fall::fall`] is lost between the tank and the outlet.
    pub fn fall_inwards(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> f64 {
        let loss = if flow_kg_s < 0.0 { ENTRY_LOSS } else { EXIT_LOSS };
        loss_fall(flow_kg_s, place.density, place.get(self.bore), loss)
    }
}

impl Fall for Tank {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let loss = S::from(EXIT_LOSS + ENTRY_LOSS);
        loss_fall(flow, place.density, place.get(self.bore), loss)
    }
}

impl Part for Tank {
    fn skin(&self) -> Option<&Skin> {
        self.skin.as_ref()
    }

    fn word(&self) -> &'static str {
        "tank"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        FlowLaw::quadratic(self, place)
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.bore), Some(self.bore)]
    }

    fn cells(&self) -> usize {
        1
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        self.room.coolant_m3(values)
    }

    fn own(&self) -> Option<&dyn Own> {
        self.ice.as_ref().map(|ice| ice as &dyn Own)
    }

    fn as_tank(&self) -> Option<&Tank> {
        Some(self)
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let loss = EXIT_LOSS + ENTRY_LOSS;
        vec![vessel_law(flow_kg_s, place.density, place.get(self.bore), loss)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let pa = tank_uncertainty(flow_kg_s, place.density, place.get(self.bore));
        vec![UncertaintyTerm { law: Law::Tank, pa }]
    }
}

/// The end of a run in a tank that stands at a junction.
#[derive(Debug)]
pub struct TankPort {
    /// Bore of the pipe, m.
    pub bore: Slot,
    /// Whether the run starts in the tank.
    pub starts: bool,
}

impl Fall for TankPort {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        // Value and slope of both branches vanish at rest.
        let enters = (flow.value() >= 0.0) != self.starts;
        let loss = S::from(if enters { EXIT_LOSS } else { ENTRY_LOSS });
        loss_fall(flow, place.density, place.get(self.bore), loss)
    }
}

impl Part for TankPort {
    fn word(&self) -> &'static str {
        "tank port"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        FlowLaw::quadratic(self, place)
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
        let enters = (flow_kg_s >= 0.0) != self.starts;
        let loss = if enters { EXIT_LOSS } else { ENTRY_LOSS };
        vec![vessel_law(flow_kg_s, place.density, place.get(self.bore), loss)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let pa = tank_uncertainty(flow_kg_s, place.density, place.get(self.bore));
        vec![UncertaintyTerm { law: Law::Tank, pa }]
    }
}

/// The law of the ends of a pipe in a tank, of the given loss coefficient.
pub(super) fn vessel_law(flow_kg_s: f64, density: f64, bore_m: f64, loss: f64) -> Applied {
    Applied::fall(&VESSEL, &[("m", flow_kg_s), ("ρ", density), ("D", bore_m), ("K", loss)])
}
