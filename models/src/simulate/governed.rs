//! Speeds among the states: of machines that take their time, or whose speed follows a temperature.

use super::Setup;
use super::layout::{Layout, Pattern};
use super::settle::Settled;
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
    /// Entries of its state in the rows of all temperatures: its speed moves flows.
    pub column: Vec<usize>,
}

/// A governed machine that is slower than this stands still, over the speed of its curve: it never quite comes to rest
/// by its law, and does by its bearings.
pub(super) const STANDS: f64 = 1e-3;

/// What is small for a speed, over that of its curve, as 1 K is for a temperature.
pub(super) const SPEED_SCALE: f64 = 0.05;

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
            let column = (0..temperatures).map(|row| pattern.entry(row, state)).collect();
            self.governed.push(Governed { state, own, feels, column });
        }
    }
}

impl Setup<'_> {
    /// The state that a governor feels at the flows of the last settling, where it feels one.
    fn felt_by(&self, settled: &Settled, governor: usize) -> Option<usize> {
        let follows = self.model.governors[governor].follows.as_ref()?;
        Some(match follows.feels {
            Felt::Outlet(..) => self.layout.governed[governor].feels[0].0,
            Felt::Gauge(gauge) => self.thermometer(settled, gauge),
        })
    }

    /// The temperature that a governor feels, K, with what its gauge shows above the truth; that of freezing where it
    /// feels none.
    fn felt_k(&self, settled: &Settled, y: &[f64], governor: usize) -> f64 {
        let state = self.felt_by(settled, governor);
        let follows = self.model.governors[governor].follows.as_ref();
        let off = match follows.map(|follows| follows.feels) {
            Some(Felt::Gauge(gauge)) => self.values.get(self.model.gauges[gauge].offset),
            _ => 0.0,
        };
        state.map_or(273.15, |state| y[state] + off)
    }

    /// The speed that a governed machine is to have, and how that goes with what it feels, per K.
    fn wanted(&self, settled: &Settled, y: &[f64], governor: usize) -> [f64; 2] {
        let felt_k = self.felt_k(settled, y, governor);
        let share = self.model.governors[governor].share(&self.values, felt_k);
        share.map(|share| share * self.commanded[governor])
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
            let felt = self.felt_by(settled, g);
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
