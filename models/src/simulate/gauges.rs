//! Thermometers that lag behind the coolant: each has a state of its own, the temperature that it shows.

use super::Setup;
use super::layout::{Layout, Pattern};
use super::settle::Settled;
use crate::gauge::{Gauge, GaugePlace, Sheath, Spot};
use crate::laws::sheath::follows_per_s;
use crate::model::Model;
use crate::results::is_forward;
use crate::switch::Felt;

/// A thermometer with a lag among the states.
#[derive(Clone, Debug)]
pub struct LaggingGauge {
    /// The gauge.
    pub gauge: usize,
    /// Its state: what it shows, K.
    pub state: usize,
    /// Entry of its state on itself.
    pub own: usize,
    /// The coolant states that it may see, whichever way the coolant flows, with their entries in its row.
    pub sees: Vec<(usize, usize)>,
}

impl Layout {
    /// Gives lagging thermometers their states.
    pub(super) fn link_gauges(&mut self, model: &Model, pattern: &mut Pattern) {
        for (g, gauge) in
            model.gauges.iter().enumerate().filter(|(_, gauge)| gauge.sheath.is_some())
        {
            let state = self.take(1, None);
            let own = pattern.entry(state, state);
            self.diagonal.push(own);
            let seen = self.seen_at(model, gauge);
            let sees = seen.into_iter().map(|of| (of, pattern.entry(state, of))).collect();
            self.gauges.push(LaggingGauge { gauge: g, state, own, sees });
        }
    }

    /// The states that a thermometer may show: its own where it lags, else what it may see.
    pub(super) fn shown_by(&self, model: &Model, gauge: usize) -> Vec<usize> {
        let lagging = self.gauges.iter().find(|known| known.gauge == gauge);
        lagging.map_or_else(|| self.seen_at(model, &model.gauges[gauge]), |known| vec![known.state])
    }

    /// The states whose coolant may be where a gauge sits.
    fn seen_at(&self, model: &Model, gauge: &Gauge) -> Vec<usize> {
        match gauge.place {
            GaugePlace::Junction(junction) => vec![self.junctions[gauge.circuit] + junction],
            GaugePlace::Part { run, part, spot } => {
                self.seen_in(model, (gauge.circuit, run, part), spot)
            }
        }
    }

    /// The states whose coolant may be at a place in a part.
    fn seen_in(&self, model: &Model, at: (usize, usize, usize), spot: Spot) -> Vec<usize> {
        let (c, run, part) = at;
        let cells = self.parts[self.run_parts[c][run] + part];
        if matches!(spot, Spot::Along { .. }) && cells.count > 0 {
            return (cells.first..cells.first + cells.count).collect();
        }
        let point = part + usize::from(matches!(spot, Spot::Outlet));
        let both = [true, false].map(|forward| self.upstream(model, (c, run, point), forward));
        if both[0] == both[1] { vec![both[0]] } else { both.to_vec() }
    }

    /// The state whose coolant is at a point of a run, before its first part, between two or after the last: the
    /// one upstream.
    fn upstream(
        &self,
        model: &Model,
        (c, r, point): (usize, usize, usize),
        forward: bool,
    ) -> usize {
        let run = &model.circuits[c].runs[r];
        let parts = &self.parts[self.run_parts[c][r]..][..run.parts.len()];
        let junction = self.junctions[c] + if forward { run.from } else { run.to };
        let filled = |cells: &&super::PartCells| cells.count > 0;
        if forward {
            let last = parts[..point].iter().rev().find(filled);
            last.map_or(junction, |cells| cells.first + cells.count - 1)
        } else {
            parts[point..].iter().find(filled).map_or(junction, |cells| cells.first)
        }
    }
}

impl Setup<'_> {
    /// The coolant state that a gauge sees at the flows of the last settling.
    pub fn seen_by(&self, settled: &Settled, gauge: usize) -> usize {
        let Self { model, layout, values, .. } = self;
        let spec = &model.gauges[gauge];
        let c = spec.circuit;
        match spec.place {
            GaugePlace::Junction(junction) => layout.junctions[c] + junction,
            GaugePlace::Part { run, part, spot } => {
                let cells = layout.parts[layout.run_parts[c][run] + part];
                if let Spot::Along { distance, length, .. } = spot
                    && cells.count > 0
                {
                    let share = values.get(distance) / values.get(length);
                    return cells.first + along(share, cells.count);
                }
                let point = part + usize::from(matches!(spot, Spot::Outlet));
                let forward = is_forward(settled.flows[c][run]);
                layout.upstream(model, (c, run, point), forward)
            }
        }
    }

    /// The state that a thermometer shows at the flows of the last settling.
    pub(super) fn thermometer(&self, settled: &Settled, gauge: usize) -> usize {
        let lagging = self.layout.gauges.iter().find(|known| known.gauge == gauge);
        lagging.map_or_else(|| self.seen_by(settled, gauge), |known| known.state)
    }

    /// The state of what a switch or a governor feels of temperature, at the flows of the last settling.
    pub(super) fn felt_state(&self, settled: &Settled, feels: Felt) -> usize {
        match feels {
            Felt::Outlet(c, r, p) => {
                let cells = &self.layout.parts[self.layout.run_parts[c][r] + p];
                cells.near.0 + cells.near.1 - 1
            }
            Felt::Gauge(gauge) => self.thermometer(settled, gauge),
        }
    }

    /// The temperature that a switch or a governor feels, K: with what its gauge shows above the truth.
    pub(super) fn felt_k(&self, settled: &Settled, y: &[f64], feels: Felt) -> f64 {
        let off = match feels {
            Felt::Gauge(gauge) => self.values.get(self.model.gauges[gauge].offset),
            Felt::Outlet(..) => 0.0,
        };
        y[self.felt_state(settled, feels)] + off
    }

    /// How fast a lagging thermometer follows what it sees, 1/s.
    pub(super) fn follows(&self, settled: &Settled, gauge: usize) -> f64 {
        let [lag, share] = self.sheath(settled, gauge);
        follows_per_s(lag, share)
    }

    /// Rated lag of a thermometer, s, and its flow over that at which it holds.
    pub(crate) fn sheath(&self, settled: &Settled, gauge: usize) -> [f64; 2] {
        let spec = &self.model.gauges[gauge];
        let Some(Sheath { lag, at }) = spec.sheath else { return [0.0, 1.0] };
        let share = match (at, spec.place) {
            (Some(at), GaugePlace::Part { run, .. }) => {
                let c = spec.circuit;
                // Its density at the start: what it changes on the way is a hundredth of the lag.
                let start_k = self.values.get(self.model.circuits[c].start);
                let density = self.prepared.coolants[c].density(start_k);
                settled.flows[c][run].abs() / density / self.values.get(at)
            }
            _ => 1.0,
        };
        [self.values.get(lag), share]
    }
}

/// The cell at a share of the way through a part of so many.
pub(crate) fn along(share: f64, count: usize) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // from 0 to count
    let cell = (share.clamp(0.0, 1.0) * count as f64) as usize;
    cell.min(count - 1)
}
