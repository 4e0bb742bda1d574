//! Speeds among the states: of machines that take their time, or whose speed follows a temperature.

use super::Setup;
use super::layout::{Layout, Pattern};
use super::settle::Settled;
use crate::govern::NEAR;
use crate::ids::Id;
use crate::model::Model;
use crate::switch::Felt;

/// A governed machine among the states.
#[derive(Clone, Debug)]
pub struct Governed {
    /// Its state: its speed, over that of its curve.
    pub state: usize,
    /// Entry of its state on itself.
    pub own: usize,
    /// The states that it may feel, whichever way the coolant flows, with their entries in its row.
    pub feels: Vec<(usize, usize)>,
    /// Rows that its state moves, with their entries: all temperatures, for its speed moves flows, and voltages.
    pub column: Vec<(usize, usize)>,
}

/// A governed machine that is slower than this stands still, over the speed of its curve: it never quite comes to rest
/// by its law, and does by its bearings.
pub(super) const STANDS: f64 = 1e-3;

/// What is small for a speed, over that of its curve, as 1 K is for a temperature.
pub(super) const SPEED_SCALE: f64 = 0.05;

/// What a governed machine is at that moves nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Waits {
    /// It is on its way to the speed that it is to have.
    Begins,
    /// It is called for, and stands at the temperature that it feels.
    Waits,
}

impl Layout {
    /// Gives governed machines their states; the states before `temperatures` are temperatures.
    pub(super) fn link_governed(
        &mut self,
        model: &Model,
        temperatures: usize,
        pattern: &mut Pattern,
    ) {
        for governor in &model.governors {
            let state = self.take(1, None);
            let own = pattern.entry(state, state);
            self.diagonal.push(own);
            let felt = match governor.follows.as_ref().map(|follows| follows.feels) {
                None => Vec::new(),
                Some(Felt::Outlet(c, r, p)) => {
                    let near = self.parts[self.run_parts[c][r] + p].near;
                    vec![near.0 + near.1 - 1]
                }
                Some(Felt::Gauge(gauge)) => self.shown_by(model, gauge),
            };
            let feels = felt.into_iter().map(|of| (of, pattern.entry(state, of))).collect();
            let column = (0..temperatures).map(|row| (row, pattern.entry(row, state))).collect();
            self.governed.push(Governed { state, own, feels, column });
        }
    }
}

impl Setup<'_> {
    /// The speed that a governed machine is to have, and how that goes with what it feels, per K.
    fn wanted(&self, settled: &Settled, y: &[f64], governor: usize) -> [f64; 2] {
        let commanded = self.commanded[governor];
        let Some(follows) = &self.model.governors[governor].follows else {
            return [commanded, 0.0];
        };
        let share = follows.share(&self.values, self.felt_k(settled, y, follows.feels));
        share.map(|share| share * commanded)
    }

    /// What a governed machine is at that stands, or moves nothing yet; `None` where it turns as it is to.
    pub(crate) fn governed_waits(
        &self,
        settled: &Settled,
        y: &[f64],
        governor: usize,
    ) -> Option<Waits> {
        let [wanted, _] = self.wanted(settled, y, governor);
        let speed = y[self.layout.governed[governor].state];
        if wanted - speed > NEAR {
            return Some(Waits::Begins);
        }
        let is_called = self.commanded[governor] > 0.0
            && self.model.governors[governor].most(&self.values) > 0.0;
        (is_called && wanted < STANDS).then_some(Waits::Waits)
    }

    /// Whether a machine is on its way to another speed: what it does meanwhile is over in a moment.
    pub(crate) fn changes_speed(&self, settled: &Settled, y: &[f64], machine: Id) -> bool {
        let governors = self.model.governors.iter().enumerate();
        let mut of = governors.filter(|(_, of)| self.model.machines[of.machine].id == machine);
        of.any(|(g, _)| {
            let [wanted, _] = self.wanted(settled, y, g);
            (wanted - y[self.layout.governed[g].state]).abs() > NEAR
        })
    }

    /// Writes the rate of each governed speed.
    pub(super) fn governed_rates(&self, settled: &Settled, y: &[f64], rate: &mut [f64]) {
        for (g, governed) in self.layout.governed.iter().enumerate() {
            let [wanted, _] = self.wanted(settled, y, g);
            let difference = wanted - y[governed.state];
            [rate[governed.state], _] = self.model.governors[g].rate(&self.values, difference);
        }
    }

    /// Adds how the rates of governed speeds go with themselves and with what they feel.
    pub(super) fn governed_jacobian(&self, settled: &Settled, y: &[f64], out: &mut [f64]) {
        for (g, governed) in self.layout.governed.iter().enumerate() {
            let [wanted, by_k] = self.wanted(settled, y, g);
            let difference = wanted - y[governed.state];
            let [_, slope] = self.model.governors[g].rate(&self.values, difference);
            out[governed.own] -= slope;
            let follows = self.model.governors[g].follows.as_ref();
            let felt = follows.map(|follows| self.felt_state(settled, follows.feels));
            let entry = governed.feels.iter().find(|(state, _)| Some(*state) == felt);
            if let Some((_, entry)) = entry {
                out[*entry] += slope * by_k;
            }
        }
    }

    /// Sets governed speeds to where they rest at the temperatures `y`.
    pub(super) fn governed_at_rest(&self, settled: &Settled, y: &mut [f64]) {
        for (g, governed) in self.layout.governed.iter().enumerate() {
            y[governed.state] = self.wanted(settled, y, g)[0];
        }
    }

    /// Sets governed speeds to the most that each ever has.
    pub(super) fn governed_at_most(&self, y: &mut [f64]) {
        for (g, governed) in self.layout.governed.iter().enumerate() {
            y[governed.state] = self.model.governors[g].most(&self.values) * self.commanded[g];
        }
    }
}
