//! What heat a case asks its cooling to carry, phase by phase.

use std::collections::BTreeMap;

use coolwright_cases::lower::{LoweredPhase, Ready};
use coolwright_models::charge::expected_heats_w;
use coolwright_models::circuit::Circuit;
use coolwright_models::inputs::POWER;
use coolwright_models::model::Model;
use coolwright_models::parts::HeatPartner;
use coolwright_models::slots::Values;

/// A source that gives more than this share of its most heat is at work, and what cools it is needed. Common practice,
/// no source: engines idle well below it.
pub const WORKS: f64 = 0.2;

/// The heat into every body.
#[derive(Clone, Debug)]
pub struct Load {
    /// In every phase, W, body by body; of a case without phases, in the one that it is.
    heat_w: Vec<Vec<f64>>,
    /// How long each phase is, s.
    time_s: Vec<f64>,
    /// The most of each body, W: in any phase, or as the case stands.
    most_w: Vec<f64>,
    /// The bodies that each circuit cools.
    cools: Vec<Vec<usize>>,
}

/// The numbers of a phase.
pub fn values_in(ready: &Ready, phase: &LoweredPhase) -> Values {
    let mut values = ready.model.values.clone();
    ready.model.write_running(&mut values, &phase.sets);
    values
}

/// The coldest air of a case, in any phase or as it stands, K.
pub fn coldest_air_k(ready: &Ready) -> f64 {
    let air = ready.model.site.temperature;
    let sets = ready.duty.phases.iter().flat_map(|phase| &phase.sets);
    let airs_k = sets.filter(|(slot, _)| *slot == air).map(|(_, air_k)| *air_k);
    airs_k.fold(ready.model.values.get(air), f64::min)
}

/// Full power of a case, W; 0 where it tells none.
pub fn full_power_w(ready: &Ready) -> f64 {
    let share = ready.duty.point_share.filter(|share| *share > 0.0).unwrap_or(1.0);
    ready.model.inputs.value(&ready.model.values, POWER) / share
}

impl Load {
    /// That of a case.
    pub fn of(ready: &Ready) -> Self {
        let heats = |values: &Values| -> Vec<f64> { expected_heats_w(&ready.model, values) };
        let phases = &ready.duty.phases;
        // Rounds repeat their phases.
        let mut known: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
        let mut heat_w: Vec<Vec<f64>> = Vec::new();
        for phase in phases {
            let of = known.entry(&phase.plain).or_insert_with(|| heats(&values_in(ready, phase)));
            heat_w.push(of.clone());
        }
        let mut time_s: Vec<f64> = phases.iter().map(|phase| phase.time_s).collect();
        if phases.is_empty() {
            heat_w.push(heats(&ready.model.values));
            time_s.push(1.0);
        }
        let full = heats(&ready.model.values);
        let most =
            |body: usize| heat_w.iter().fold(full[body].max(0.0), |most, all| most.max(all[body]));
        let most_w = (0..ready.model.bodies.len()).map(most).collect();
        let cools = with_exchangers(&ready.model);
        Self { heat_w, time_s, most_w, cools }
    }

    /// Whether a body is at work in a phase.
    fn works(&self, phase: usize, body: usize) -> bool {
        let heat = self.heat_w[phase][body];
        heat > 0.0 && heat > WORKS * self.most_w[body]
    }

    /// Whether anything that a circuit cools is at work in a phase; of what is in no circuit, anything at all.
    pub fn is_on(&self, phase: usize, circuit: Option<usize>) -> bool {
        match circuit {
            Some(circuit) => self.cools[circuit].iter().any(|&body| self.works(phase, body)),
            None => (0..self.most_w.len()).any(|body| self.works(phase, body)),
        }
    }

    /// The bodies that a circuit cools.
    pub fn cools(&self, circuit: usize) -> &[usize] {
        &self.cools[circuit]
    }

    /// The heat into a body over all phases, J; without phases its power, W.
    pub fn sum(&self, body: usize) -> f64 {
        self.heat_w.iter().zip(&self.time_s).map(|(heat, time)| heat[body] * time).sum()
    }

    /// The most heat into a body in any phase, or as the case stands, W.
    pub fn most_w(&self, body: usize) -> f64 {
        self.most_w[body]
    }

    /// The heat into a body in a phase, W.
    pub fn in_phase_w(&self, phase: usize, body: usize) -> f64 {
        self.heat_w[phase][body]
    }

    /// The most and the least heat into a body, W.
    pub fn range_w(&self, body: usize) -> [f64; 2] {
        let of = self.heat_w.iter().map(|heat| heat[body]);
        let least = of.clone().fold(f64::INFINITY, f64::min);
        [least, of.fold(f64::NEG_INFINITY, f64::max)]
    }
}

/// The bodies that each circuit cools, those whose heat comes to it through exchangers too.
fn with_exchangers(model: &Model) -> Vec<Vec<usize>> {
    let mut cools: Vec<Vec<usize>> = model.circuits.iter().map(cooled_by).collect();
    let exchangers = (0..model.bodies.len()).filter(|&body| model.bodies[body].exchange.is_some());
    for exchanger in exchangers {
        let joined: Vec<usize> =
            (0..cools.len()).filter(|&circuit| cools[circuit].contains(&exchanger)).collect();
        let mut all: Vec<usize> =
            joined.iter().flat_map(|&circuit| cools[circuit].clone()).collect();
        all.sort_unstable();
        all.dedup();
        for circuit in joined {
            cools[circuit].clone_from(&all);
        }
    }
    cools
}

/// The bodies that a circuit cools.
pub(super) fn cooled_by(circuit: &Circuit) -> Vec<usize> {
    let parts = circuit.runs.iter().flat_map(|run| &run.parts);
    let mut bodies: Vec<usize> = parts
        .filter_map(|placed| match placed.part.partner() {
            Some(HeatPartner::Body(body)) => Some(body),
            Some(HeatPartner::Core(_)) | None => None,
        })
        .collect();
    bodies.sort_unstable();
    bodies.dedup();
    bodies
}
