//! Charge air: what an engine breathes, from the air of the site through compressors and coolers to its
//! manifold.
//!
//! Its mass flow is given, so nothing has to be searched for: the air is followed from stage to stage
//! ([`follow`]), and gives its heat to the metal of the charge coolers, which are bodies like any other.

// Printed equations stand in the docs as plain text, with subscripts like C_a.
#![allow(clippy::doc_markdown)]

mod follow;
mod gas;
mod map;
mod plan;
mod side;

pub use follow::{Along, AtStage, Places, follow};
pub use gas::{Gas, LEWIS_FACTOR, latent_heat};
pub use map::CompressorMap;
pub use plan::{ChargeAir, Efficiency, Stage, StageKind};
pub use side::{ChargeError, ChargeSide, LAYERS, Meeting, RATING_AIR, RatedCell, Way};

use crate::model::Model;
use crate::parts::HeatPartner;
use crate::slots::Values;

/// Heat that comes into each body, W, before anything is solved: what does not go with temperatures as it
/// is, that of charge air as if each cooler met its rated effectiveness against coolant as warm as at the
/// start.
pub fn expected_heats_w(model: &Model, values: &Values) -> Vec<f64> {
    let mut heats: Vec<f64> = model.bodies.iter().map(|body| body.heat_w(values)).collect();
    for path in &model.charge_air {
        for (body, heat_w) in path.expected_heats_w(model, values) {
            heats[body] += heat_w;
        }
    }
    heats
}

impl Model {
    /// The circuit whose coolant goes through a body first; `None` where none does.
    pub(crate) fn circuit_of_body(&self, body: usize) -> Option<usize> {
        let through = |circuit: &crate::circuit::Circuit| {
            let mut parts = circuit.runs.iter().flat_map(|run| &run.parts);
            parts.any(|placed| placed.part.partner() == Some(HeatPartner::Body(body)))
        };
        self.circuits.iter().position(through)
    }
}
