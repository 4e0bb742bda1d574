//! What crosses the border of a model: heat of bodies and pumps, heat into the air, what open ends carry.

use super::Setup;
use super::rates::{ChargeRoom, Rates, wall_sum};
use super::settle::{Settled, along, rated_charges};
use crate::air::Met;
use crate::charge::{StageKind, follow};
use crate::circuit::{Joint, Junction};
use crate::parts::CORE_CELLS;

/// Heat that crosses the border of the model, W.
#[derive(Debug, Default)]
pub struct Border {
    /// Into each body.
    pub bodies: Vec<f64>,
    /// Into the coolant of each circuit by its pumps.
    pub pumps: Vec<f64>,
    /// From each core into the air.
    pub cores: Vec<f64>,
    /// Into each circuit through its open ends, net.
    pub outside: Vec<f64>,
    /// From the air of the bay into the hoses and tanks of each circuit.
    pub bay: Vec<f64>,
    /// From the air of the bay into the metal of each body.
    pub bay_bodies: Vec<f64>,
}

impl Clone for Border {
    fn clone(&self) -> Self {
        let mut copy = Self::default();
        copy.clone_from(self);
        copy
    }

    /// Nothing is allocated where both are of one model.
    fn clone_from(&mut self, other: &Self) {
        self.bodies.clone_from(&other.bodies);
        self.pumps.clone_from(&other.pumps);
        self.cores.clone_from(&other.cores);
        self.outside.clone_from(&other.outside);
        self.bay.clone_from(&other.bay);
        self.bay_bodies.clone_from(&other.bay_bodies);
    }
}

impl Border {
    /// A border without heat, for the given model.
    pub fn of(setup: &Setup<'_>) -> Self {
        let model = setup.model;
        let circuits = vec![0.0; model.circuits.len()];
        Self {
            bodies: vec![0.0; model.bodies.len()],
            pumps: circuits.clone(),
            cores: vec![0.0; model.cores.len()],
            outside: circuits.clone(),
            bay: circuits,
            bay_bodies: vec![0.0; model.bodies.len()],
        }
    }

    /// All its numbers in a row: bodies, pumps, cores, outside, bay.
    pub fn flat(&self) -> impl Iterator<Item = f64> {
        let Self { bodies, pumps, cores, outside, bay, bay_bodies } = self;
        [bodies, pumps, cores, outside, bay, bay_bodies].into_iter().flatten().copied()
    }

    /// Takes over the numbers of `flat`, in the order of [`Border::flat`].
    pub fn fill(&mut self, flat: &[f64]) {
        let Self { bodies, pumps, cores, outside, bay, bay_bodies } = self;
        let numbers = [bodies, pumps, cores, outside, bay, bay_bodies];
        for (number, flat) in numbers.into_iter().flatten().zip(flat) {
            *number = *flat;
        }
    }

    /// How many numbers it has.
    pub fn count(&self) -> usize {
        self.flat().count()
    }
}

/// Enthalpy of what crosses the border at an open end, J/kg: what enters has the temperature given, what leaves has its own.
/// `None` at a junction that is none.
pub(super) fn crossing(
    setup: &Setup<'_>,
    (c, junction): (usize, &Junction),
    flow: f64,
    inside: impl FnOnce() -> f64,
) -> Option<f64> {
    let (Joint::Held { temperature, .. } | Joint::Fed { temperature, .. }) = &junction.joint else {
        return None;
    };
    if flow > 0.0 {
        return Some(setup.prepared.coolants[c].enthalpy(setup.values.get(*temperature)));
    }
    Some(inside())
}

impl Rates {
    /// What crosses the border at states a little beside those of the last rates, with flows, films and what
    /// the air gains from a wall held as they were there: as the Jacobian of the rates has it.
    pub(super) fn border_beside(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        for gas in &settled.gases {
            for (k, met) in gas.cores().iter().enumerate() {
                let risen = |(j, other): (usize, &Met)| {
                    let moved = wall_sum(setup, other.core, y) - self.walls_k[other.core];
                    gas.entering_by_cell(k, j) * moved
                };
                let entering =
                    met.entering_k + gas.cores().iter().enumerate().map(risen).sum::<f64>();
                let above = wall_sum(setup, met.core, y) - CORE_CELLS as f64 * entering;
                self.border.cores[met.core] = met.exchange.wall_air * above;
            }
        }
        self.charge_beside(setup, y);
        self.bay_border(setup, settled, y);
        let Setup { model, prepared, layout, .. } = setup;
        for (c, circuit) in model.circuits.iter().enumerate() {
            let through = circuit.junctions.iter().enumerate().filter_map(|(j, junction)| {
                let flow = settled.outside[c][j];
                let inside = || prepared.coolants[c].enthalpy(y[layout.junctions[c] + j]);
                Some(flow * crossing(setup, (c, junction), flow, inside)?)
            });
            self.border.outside[c] = through.sum();
        }
    }

    /// Heat of charge air into bodies whose metal is a little beside that of the last rates.
    fn charge_beside(&mut self, setup: &Setup<'_>, y: &[f64]) {
        let Setup { model, values, offsets, .. } = setup;
        if model.charge_air.is_empty() {
            return;
        }
        let ChargeRoom { rated, metal_k, stages, heat_w } = &mut self.charge_beside;
        let coolers = |a: usize| {
            model.charge_air[a].stages.iter().enumerate().filter_map(|(s, stage)| {
                match stage.kind {
                    StageKind::Cooler { body } => Some((s, body)),
                    _ => None,
                }
            })
        };
        let ways = 0..model.charge_air.len();
        for (_, body) in ways.clone().flat_map(coolers) {
            self.border.bodies[body] = model.bodies[body].heat_w(values) * offsets.heats[body];
        }
        for a in ways {
            rated.clear();
            rated.extend(rated_charges(setup));
            metal_k.clear();
            metal_k.extend(setup.layout.charges[a].states.iter().map(|&state| y[state]));
            follow(&along(setup, a, rated), metal_k, stages, heat_w);
            for (s, body) in coolers(a) {
                self.border.bodies[body] += stages[s].heat_w;
            }
        }
    }
}
