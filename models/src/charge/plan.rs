//! The way of the charge air as a plan: stages one after the other.

use coolwright_solver::scalar::Scalar;

use super::gas::Gas;
use super::map::CompressorMap;
use crate::air::AirFall;
use crate::fluids::Site;
use crate::model::Model;
use crate::slots::{Slot, Values};

/// The air that an engine breathes, on its way to the manifold.
#[derive(Clone, Debug)]
pub struct ChargeAir {
    /// Its name.
    pub name: String,
    /// Mass flow now, kg/s, moisture included.
    pub flow: Slot,
    /// What it goes through, from the air of the site to the manifold.
    pub stages: Vec<Stage>,
    /// The maps of its compressors.
    pub maps: Vec<CompressorMap>,
}

/// One stage of the way.
#[derive(Clone, Debug)]
pub struct Stage {
    /// Its name.
    pub name: String,
    /// What it does.
    pub kind: StageKind,
    /// What the pressure falls by in it; `None` where nothing is counted on.
    pub fall: Option<AirFall>,
}

/// The isentropic efficiency of a compressor.
#[derive(Clone, Copy, Debug)]
pub enum Efficiency {
    /// The same everywhere.
    Told(Slot),
    /// By one of the [`maps`](ChargeAir::maps) of the way.
    Map(usize),
}

/// What a stage does to the air.
#[derive(Clone, Copy, Debug)]
pub enum StageKind {
    /// A filter or a pipe, which takes up heat from the air around it.
    Duct {
        /// Conductance between the air in it and the air of the site, W/K.
        soak: Slot,
    },
    /// A compressor.
    Compressor {
        /// Pressure behind it over pressure in front of it, now.
        ratio: Slot,
        /// Isentropic efficiency.
        efficiency: Efficiency,
    },
    /// A charge cooler: a body whose metal takes the heat.
    Cooler {
        /// The body.
        body: usize,
    },
    /// A cooler whose other side is the air of the site.
    AirCooled {
        /// Fall of temperature over the difference to the air of the site.
        effectiveness: Slot,
    },
}

impl ChargeAir {
    /// The efficiency of a compressor with a pressure ratio, at the flow now, of the gas in front of it.
    pub(crate) fn efficiency<S: Scalar>(
        &self,
        values: &Values,
        (ratio, efficiency): (Slot, Efficiency),
        gas: &Gas<S>,
    ) -> S {
        match efficiency {
            Efficiency::Told(slot) => S::from(values.get(slot)),
            Efficiency::Map(map) => {
                let map = &self.maps[map];
                let flow = map.corrected(values, values.get(self.flow), gas);
                map.efficiency(flow, values.get(ratio))
            }
        }
    }

    /// Heat of each charge cooler on the way, W, with its rated effectiveness against coolant as warm as
    /// at the start; condensing is left out.
    pub(super) fn expected_heats_w(&self, model: &Model, values: &Values) -> Vec<(usize, f64)> {
        let [air_k, altitude, humidity] =
            [model.site.temperature, model.site.altitude, model.site.humidity]
                .map(|s| values.get(s));
        let Ok(site) = Site::new(air_k, altitude, humidity) else { return Vec::new() };
        let mut gas = Gas::<f64>::of(&site.air(), air_k);
        let flow = values.get(self.flow);
        let mut found = Vec::new();
        for stage in &self.stages {
            match stage.kind {
                StageKind::Duct { .. } => {}
                StageKind::Compressor { ratio, efficiency } => {
                    let efficiency = self.efficiency(values, (ratio, efficiency), &gas);
                    gas = gas.compressed(values.get(ratio), efficiency);
                }
                StageKind::Cooler { body } => {
                    let Some(circuit) = model.circuit_of_body(body) else { continue };
                    let Some(side) = &model.bodies[body].charge else { continue };
                    let coolant_k = values.get(model.circuits[circuit].start);
                    let fall = values.get(side.effectiveness) * (gas.temperature_k - coolant_k);
                    found.push((body, flow * gas.heat_capacity() * fall));
                    gas.temperature_k -= fall;
                }
                StageKind::AirCooled { effectiveness } => {
                    gas.temperature_k -= values.get(effectiveness) * (gas.temperature_k - air_k);
                }
            }
        }
        found
    }
}
