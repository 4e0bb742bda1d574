//! A body: metal that heat comes into and that coolant cools. An engine block, a charge cooler, a
//! motor, an inverter, a battery.

use std::sync::Arc;

use crate::laws::curve::Curve;
use crate::slots::{Slot, Values};

/// A lump of metal with one temperature, a source of heat, and passes of coolant through it.
#[derive(Clone, Debug)]
pub struct Body {
    /// Its name.
    pub name: String,
    /// The word for it: engine or cooler.
    pub word: &'static str,
    /// Heat capacity of the metal that takes part, J/K.
    pub metal: Slot,
    /// Heat that comes in whatever the vehicle does, W.
    pub heat: Slot,
    /// Share of the vehicle's power that comes in as heat.
    pub share: Slot,
    /// Heat in W against the vehicle's power in W, where it is known by a table.
    pub table: Option<Arc<Curve>>,
    /// Temperature at the start, K; `None` where it starts as warm as its coolant.
    pub start: Option<Slot>,
}

impl Body {
    /// Heat into the body, W, at a power of the vehicle in W: q = q₀ + share·P + table(P).
    pub fn heat_w(&self, values: &Values, power_w: f64) -> f64 {
        let table = self.table.as_ref().map_or(0.0, |curve| curve.value(power_w));
        values.get(self.heat) + values.get(self.share) * power_w + table
    }
}
