//! Modes: what is on and what is off, beside the states.
//!
//! The rates are a function of time, states and modes. A mode changes only at a located crossing of
//! a temperature, never within a step; between two temperatures it remembers what it was.

use super::Setup;
use crate::model::{Model, Switch};
use crate::slots::{Slot, Values};

/// The modes of a model.
#[derive(Clone, Debug)]
pub struct Modes {
    /// For each switch of the model, whether it is on.
    on: Vec<bool>,
    /// The numbers as commanded, with every switch on.
    commanded: Values,
}

impl Modes {
    /// Every switch on.
    pub fn all_on(model: &Model, commanded: Values) -> Self {
        Self { on: vec![true; model.switches.len()], commanded }
    }

    /// Other numbers are commanded; the modes stay.
    pub fn command(&mut self, commanded: &Values) {
        self.commanded.copy_from(commanded);
    }

    /// Turns every switch on.
    pub fn turn_all_on(&mut self) {
        self.on.fill(true);
    }

    /// Whether a switch is on.
    pub fn is_on(&self, switch: usize) -> bool {
        self.on[switch]
    }

    /// Whether each switch is on.
    pub fn switches(&self) -> &[bool] {
        &self.on
    }

    /// Sets a switch.
    pub fn set(&mut self, switch: usize, on: bool) {
        self.on[switch] = on;
    }

    /// Writes the numbers with the modes applied: machines whose switch is off have speed zero.
    pub fn apply(&self, model: &Model, values: &mut Values) {
        values.copy_from(&self.commanded);
        for (switch, on) in model.switches.iter().zip(&self.on) {
            if !on {
                switch.drives.iter().for_each(|&m| values.set(model.machines[m].speed, 0.0));
            }
        }
    }

    /// Some numbers are commanded anew, and what follows from them.
    pub fn write(&mut self, model: &Model, writes: &[(Slot, f64)]) {
        model.write_running(&mut self.commanded, writes);
    }

    /// The numbers as commanded, with every switch on.
    pub fn commanded(&self) -> &Values {
        &self.commanded
    }

    /// For each switch, a number that crosses zero where the switch changes: temperature less the
    /// temperature of the next change.
    pub fn crossings(&self, setup: &Setup<'_>, y: &[f64], out: &mut [f64]) {
        for ((switch, &on), out) in setup.model.switches.iter().zip(&self.on).zip(out) {
            let next = if on { switch.off } else { switch.on };
            *out = felt(setup, switch, y) - setup.values.get(next);
        }
    }

    /// Sets every switch as a cold or hot start finds it: on from its on-temperature upwards.
    pub fn start(&mut self, setup: &Setup<'_>, y: &[f64]) {
        for (switch, on) in setup.model.switches.iter().zip(&mut self.on) {
            *on = felt(setup, switch, y) >= setup.values.get(switch.on);
        }
    }
}

/// The temperature that a switch feels, K: that of the last cell of its part.
fn felt(setup: &Setup<'_>, switch: &Switch, y: &[f64]) -> f64 {
    let (c, r, p) = switch.feels;
    let cells = &setup.layout.parts[setup.layout.run_parts[c][r] + p];
    y[cells.near.0 + cells.near.1 - 1]
}
