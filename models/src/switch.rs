//! Switches with hysteresis, and what they feel.

use crate::ids::Id;
use crate::model::Model;
use crate::results::{Quantity, quantities as q};
use crate::slots::{Slot, Values};

/// What a switch feels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Felt {
    /// The temperature at the outlet of a part: circuit, run, part.
    Outlet(usize, usize, usize),
    /// What a gauge shows.
    Gauge(usize),
}

impl Felt {
    /// The result that tells it.
    pub fn result(self, model: &Model) -> (Id, &'static Quantity) {
        match self {
            Self::Outlet(c, r, p) => (Id::Part(c, r, p), &q::TEMPERATURE_OUT),
            Self::Gauge(gauge) => (Id::Gauge(gauge), model.gauges[gauge].reading()),
        }
    }

    /// The circuit that it is in.
    pub fn circuit(self, model: &Model) -> usize {
        match self {
            Self::Outlet(c, _, _) => c,
            Self::Gauge(gauge) => model.gauges[gauge].circuit,
        }
    }
}

/// A switch with hysteresis: it goes on where what it feels reaches one bound, and off where that reaches
/// the other.
#[derive(Clone, Debug)]
pub struct Switch {
    /// Its name, that of what it drives.
    pub name: String,
    /// What it feels.
    pub feels: Felt,
    /// Where it goes on, SI: rising where this is above `off`, else falling.
    pub on: Slot,
    /// Where it goes off, SI.
    pub off: Slot,
    /// The machines that stand while it is off, by their place among the model's machines.
    pub drives: Vec<usize>,
}

impl Switch {
    /// Whether it goes on as what it feels rises.
    pub fn goes_on_rising(&self, values: &Values) -> bool {
        values.get(self.on) > values.get(self.off)
    }

    /// Whether it is on where nothing is known of before: beyond where it goes on.
    pub fn starts_on(&self, values: &Values, felt: f64) -> bool {
        let on = values.get(self.on);
        if self.goes_on_rising(values) { felt >= on } else { felt <= on }
    }

    /// Whether it changes where it stands so and feels that: beyond its next bound.
    pub fn changes(&self, values: &Values, is_on: bool, felt: f64) -> bool {
        let off = values.get(self.off);
        match (is_on, self.goes_on_rising(values)) {
            (false, _) => self.starts_on(values, felt),
            (true, true) => felt < off,
            (true, false) => felt > off,
        }
    }

    /// The result that tells what it feels.
    pub fn felt(&self, model: &Model) -> (Id, &'static Quantity) {
        self.feels.result(model)
    }

    /// The circuit in which it feels that.
    pub fn circuit(&self, model: &Model) -> usize {
        self.feels.circuit(model)
    }
}
