//! Voltages among the states: of supplies that sag under what their machines draw.

use super::Setup;
use super::layout::{Layout, Pattern};
use super::settle::Settled;
use crate::model::Model;
use crate::parts::LawInputs;
use crate::slots::Slot;

/// A supply that sags, among the states.
#[derive(Clone, Debug)]
pub struct Sagging {
    /// Which of the model's supplies.
    pub supply: usize,
    /// Its state: the voltage at its machines, V.
    pub state: usize,
    /// Entry of its state on itself.
    pub own: usize,
    /// Rows that its state moves, with their entries: all temperatures, for it moves flows, and itself.
    pub column: Vec<(usize, usize)>,
}

/// What is small for a voltage, V, as 1 K is for a temperature.
pub(super) const VOLTAGE_SCALE: f64 = 0.5;

/// How often a voltage at rest is looked for, and how near it comes, V.
const ROUNDS: usize = 60;
const FOUND_V: f64 = 1e-9;

impl Layout {
    /// Gives supplies that sag their states; the states before `temperatures` are temperatures. What governed machines draw
    /// goes with their speeds.
    pub(super) fn link_sagging(
        &mut self,
        model: &Model,
        temperatures: usize,
        pattern: &mut Pattern,
    ) {
        let sagging = model.supplies.iter().enumerate().filter(|(_, supply)| supply.sag.is_some());
        for (supply, _) in sagging {
            let state = self.take(1, None);
            let own = pattern.entry(state, state);
            self.diagonal.push(own);
            let rows = (0..temperatures).chain(std::iter::once(state));
            let column = rows.map(|row| (row, pattern.entry(row, state))).collect();
            for governed in &mut self.governed {
                governed.column.push((state, pattern.entry(state, governed.state)));
            }
            self.sagging.push(Sagging { supply, state, own, column });
        }
    }
}

impl Setup<'_> {
    /// Current that the machines of a supply draw at the flows of the last settling, A.
    pub(crate) fn drawn_a(&self, settled: &Settled, supply: usize) -> f64 {
        let Self { model, values, layout, .. } = self;
        let voltage = model.supplies[supply].voltage;
        let is_fed = |by: &Slot| *by == voltage;
        let mut watts = 0.0;
        for (index, cells) in layout.parts.iter().enumerate() {
            let (c, r, _) = cells.at;
            let pump = self.part(index).as_pump();
            let Some(pump) = pump.filter(|pump| pump.drive.supply().is_some_and(|by| is_fed(&by)))
            else {
                continue;
            };
            let state = &settled.parts[index];
            let place = LawInputs {
                values: values.reader().owning(state.own),
                density: state.density,
                viscosity: state.viscosity,
            };
            watts += pump.duty(&place, settled.flows[c][r]).power_w;
        }
        for (path, gas) in model.air_paths.iter().zip(&settled.gases) {
            let fans = path.fans.iter().zip(gas.fans()).filter(|(fan, _)| is_fed(&fan.voltage));
            watts += fans.map(|(fan, at)| fan.power_w(values, at.density)).sum::<f64>();
        }
        watts / values.get(voltage)
    }

    /// Writes the rate of each voltage.
    pub(super) fn sagging_rates(&self, settled: &Settled, y: &[f64], rate: &mut [f64]) {
        for sagging in &self.layout.sagging {
            let Some(sag) = self.model.supplies[sagging.supply].sag else { continue };
            let at = (y[sagging.state], self.drawn_a(settled, sagging.supply));
            [rate[sagging.state], _] = sag.rate(&self.values, at);
        }
    }

    /// Adds how the rates of voltages go with themselves, what is drawn held.
    pub(super) fn sagging_jacobian(&self, out: &mut [f64]) {
        for sagging in &self.layout.sagging {
            let Some(sag) = self.model.supplies[sagging.supply].sag else { continue };
            let [_, slope] = sag.rate(&self.values, (0.0, 0.0));
            out[sagging.own] -= slope;
        }
    }

    /// Moves voltages to those at rest where what is drawn stays; by how much the most has moved, V.
    fn sag_at(&self, settled: &Settled, y: &mut [f64]) -> f64 {
        let mut moves = 0.0_f64;
        for sagging in &self.layout.sagging {
            let Some(sag) = self.model.supplies[sagging.supply].sag else { continue };
            let amps = self.drawn_a(settled, sagging.supply);
            let wanted = sag.found_v(&self.values, sag.terminal_v(&self.values, amps));
            // Half of the way: what holds its power draws more as the voltage falls.
            let by = 0.5 * (wanted - y[sagging.state]);
            y[sagging.state] += by;
            moves = moves.max(by.abs());
        }
        moves
    }
}

impl super::Simulator<'_> {
    /// Voltages before anything is drawn.
    pub(super) fn start_voltages(&self, y: &mut [f64]) {
        for sagging in &self.setup.layout.sagging {
            let sag = self.setup.model.supplies[sagging.supply].sag;
            y[sagging.state] = sag.map_or(0.0, |sag| self.setup.values.get(sag.open));
        }
    }

    /// Sets voltages to where they rest at the temperatures `y`, as they are when a cycle begins; where flows do not come to
    /// rest they stay.
    pub(crate) fn rest_voltages(&mut self, y: &mut [f64]) {
        for _ in 0..ROUNDS {
            if self.setup.layout.sagging.is_empty() || self.settle(y).is_err() {
                return;
            }
            if self.setup.sag_at(&self.settled, y) < FOUND_V {
                return;
            }
        }
    }
}
