//! A model in motion: its states, how flows follow from them, and how fast they change.
//!
//! The duty cycle integrates these rates; the operating point is the state at which they vanish.
//! There is one residual for both.

mod bay;
mod between;
mod border;
pub(crate) mod gauges;
pub(crate) mod governed;
mod jacobian;
mod layout;
mod modes;
mod names;
mod offsets;
mod prepare;
mod rates;
mod sagging;
mod settle;
mod shared;
mod simulator;
pub mod still;
mod stores;

pub use bay::{Between, Exposed, ExposedOf};
pub use border::Border;
pub use gauges::LaggingGauge;
pub use layout::{BodyNodes, Layout, Owner, PartCells, WallNodes};
pub use modes::{Modes, Standing};
pub use names::StateOf;
pub use offsets::{Loss, Offset, Offsets};
pub use prepare::{PrepareError, Prepared};
pub use settle::{Charge, Flows, Settled, Unsettled};
pub(crate) use settle::{around, inside_met};
pub use shared::Shared;
pub use simulator::Simulator;
pub use stores::Stores;

use std::sync::Arc;

use crate::model::Model;
use crate::parts::{HeatPartner, Own, Part};
use crate::slots::Values;

/// Most of the coolant of a cell that something in it may displace: its capacity must not vanish.
const MOST_DISPLACED: f64 = 0.99;

/// A model with the numbers it is solved with, and what follows from them.
#[derive(Debug)]
pub struct Setup<'m> {
    /// The model.
    pub model: &'m Model,
    /// Its numbers.
    pub values: Values,
    /// The speed that each governed machine is commanded to, over that of its curve, of what is on.
    pub commanded: Vec<f64>,
    /// What follows from the numbers.
    pub prepared: Prepared,
    /// Where its states stand.
    pub layout: Arc<Layout>,
    /// States held as they are: the tank of a circuit from which no heat can leave.
    pub pinned: Vec<usize>,
    /// What its laws are off by.
    pub offsets: Offsets,
    /// Whether a steady state is sought, rather than the way to it.
    pub at_rest: bool,
}

impl Setup<'_> {
    /// A part by its index among all parts.
    pub fn part(&self, index: usize) -> &dyn Part {
        let (c, r, p) = self.layout.parts[index].at;
        self.model.circuits[c].runs[r].parts[p].part.as_ref()
    }

    /// The law of a component's own states.
    ///
    /// # Panics
    /// When the component has none.
    pub fn own(&self, owner: &Owner) -> &dyn Own {
        self.part(owner.part).own().expect("an owner has states of its own")
    }

    /// Coolant that the states of a component add to the cell that it sees, kg, below zero where they
    /// displace some: never so much that nothing is left.
    pub fn added_kg(&self, owner: &Owner, states: &[f64]) -> f64 {
        let most = MOST_DISPLACED * self.prepared.masses[owner.coolant];
        self.own(owner).coolant_kg(&self.values, states).max(-most)
    }

    /// How many nodes of metal each cell of a part touches.
    fn layers(&self, part: usize) -> usize {
        match self.part(part).partner() {
            Some(HeatPartner::Body(body)) => self.layout.bodies[body].layers,
            _ => 1,
        }
    }

    /// Conductance between one cell of a part and each node of metal that it touches, W/K.
    fn contact_conductance(&self, settled: &Settled, part: usize) -> f64 {
        match self.part(part).partner() {
            Some(HeatPartner::Core(core)) => settled.exchange[core].coolant_wall,
            _ => settled.conductance[part],
        }
    }
}
