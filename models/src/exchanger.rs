//! Exchangers in which one liquid passes heat to another through a plate: an oil cooler in the water of the engine,
//! a plate between two circuits, a cooler in the water of a lake.

use crate::laws::two_liquids::{Passing, passing_conductance_w_k};
use crate::slots::{Slot, Values};

/// How many cells each side is cut into: with the factor that makes a row of stirred cells one of plug flow, within 1.1 % of an
/// uncut plate up to an effectiveness of 70 % at its rating, down to a tenth of the flows there, and 2.2 % up to 80 %.
pub const EXCHANGER_CELLS: usize = 12;

/// One side of an exchanger at its rating.
#[derive(Clone, Copy, Debug)]
pub struct RatedSide {
    /// Volume flow, m³/s.
    pub flow: Slot,
    /// Temperature of what enters, K.
    pub entering: Slot,
    /// Density of its liquid there, kg/m³.
    pub density: Slot,
    /// Heat capacity of its liquid there, J/(kg·K).
    pub heat_capacity: Slot,
}

impl RatedSide {
    /// Its slots.
    pub fn slots(&self) -> [Slot; 4] {
        [self.flow, self.entering, self.density, self.heat_capacity]
    }

    /// Mass flow, kg/s.
    pub fn mass_flow(&self, values: &Values) -> f64 {
        values.get(self.flow) * values.get(self.density)
    }

    /// Capacity flow, W/K.
    fn capacity(&self, values: &Values) -> f64 {
        self.mass_flow(values) * values.get(self.heat_capacity)
    }
}

/// What makes a body an exchanger: how its two sides, its first and its second pass, meet.
#[derive(Clone, Copy, Debug)]
pub struct Exchange {
    /// Heat at the rating, W.
    pub heat: Slot,
    /// Its sides at the rating.
    pub sides: [RatedSide; 2],
    /// How the liquids go past each other.
    pub passing: Passing,
    /// Conductance of the plate between its sides, W/K.
    pub plate: Slot,
    /// Whether the second side comes before the first in the order of all parts.
    pub second_leads: bool,
}

impl Exchange {
    /// Capacity flows of both sides at the rating, W/K.
    pub fn capacities(&self, values: &Values) -> [f64; 2] {
        self.sides.map(|side| side.capacity(values))
    }

    /// The difference between both inlets at the rating, K, above zero: the heat goes from the warmer one.
    pub fn difference(&self, values: &Values) -> f64 {
        let [first, second] = self.sides.map(|side| values.get(side.entering));
        (first - second).abs()
    }

    /// The conductance from liquid to liquid that the rating asks for, W/K; no sound number where none reaches it.
    pub fn rated_conductance_w_k(&self, values: &Values) -> f64 {
        let (heat, difference) = (values.get(self.heat), self.difference(values));
        passing_conductance_w_k(heat, difference, self.capacities(values), self.passing)
    }
}
