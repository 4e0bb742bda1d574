//! The steps on a stand before they are followed: what runs, how long, at which power.

use coolwright_cases::lower::{LoweredPhase, Ready};
use coolwright_models::cycle::Phase;
use coolwright_models::inputs::{ENGINE_SPEED, FULL_SHARE, Machine, MachineKind};
use coolwright_models::slots::{Slot, Values};

use crate::study::values_in;

/// How long a step without heat is held, s: pressures and flows stand at once, gauges follow.
const COLD_S: f64 = 30.0;
/// How long a step under load is held at most, s.
const LOAD_S: f64 = 120.0;
/// Loads of the steps, shares of full power.
const LOADS: [(&str, f64); 5] = [
    ("warm idle", 0.05),
    ("quarter load", 0.25),
    ("half load", 0.5),
    ("three quarters", 0.75),
    ("full load", 1.0),
];

/// A step before it is followed.
pub struct Plan {
    /// What it is.
    pub name: String,
    /// How long it is held, s.
    pub hold_s: f64,
    /// Share of full power.
    pub share: f64,
    /// Machines that run.
    pub runs: Vec<String>,
    /// Speed of the engine, rad/s; 0 where it drives no pump.
    pub engine_speed: f64,
    /// The numbers that make it so.
    pub writes: Vec<(Slot, f64)>,
}

impl Plan {
    fn of(ready: &Ready, name: String, (hold_s, share): (f64, f64), runs: Vec<String>) -> Self {
        let engine_speed = if drives_a_pump(ready) { engine_speed(ready, share) } else { 0.0 };
        let mut writes = writes(ready, &|machine| runs.contains(&machine.name), share);
        let slot = ready.model.inputs.slot(ENGINE_SPEED).filter(|_| engine_speed > 0.0);
        writes.extend(slot.map(|slot| (slot, engine_speed)));
        Self { name, hold_s, share, runs, engine_speed, writes }
    }

    /// The step as it is followed.
    pub fn phase(&self) -> Phase {
        let (name, sets) = (self.name.clone(), self.writes.clone());
        Phase { name, time_s: self.hold_s, sets, ..Phase::default() }
    }

    /// All numbers of the case as this step has them.
    pub(super) fn values(&self, ready: &Ready) -> Values {
        written(ready, &self.writes)
    }
}

/// The numbers of a case with every machine stopped and no power.
pub(in crate::study::sheets) fn stopped(ready: &Ready) -> Values {
    written(ready, &writes(ready, &|_| false, 0.0))
}

fn written(ready: &Ready, writes: &[(Slot, f64)]) -> Values {
    let mut values = ready.model.values.clone();
    ready.model.write_running(&mut values, writes);
    values
}

/// What runs some machines at a share of full power; heats that come in by themselves are taken to go with it.
fn writes(ready: &Ready, runs: &dyn Fn(&Machine) -> bool, share: f64) -> Vec<(Slot, f64)> {
    let model = &ready.model;
    let set = |slot: Slot| model.values.get(slot);
    let of_machine = |machine: &Machine| {
        let own = machine.command.own;
        (own, if runs(machine) { set(own) } else { 0.0 })
    };
    let machines = model.machines.iter().map(of_machine);
    let power = model.inputs.slot(FULL_SHARE).map(|slot| (slot, share));
    let heats = model.bodies.iter().map(|body| (body.heat, share * set(body.heat)));
    machines.chain(power).chain(heats).collect()
}

/// The steps: each pump alone where a circuit has several, all pumps, fans too, then the loads.
pub fn plans(ready: &Ready) -> Vec<Plan> {
    let model = &ready.model;
    let pumps = || model.machines.iter().filter(|machine| machine.kind == MachineKind::Pump);
    let circuit = |machine: &Machine| machine.name.split('/').next().unwrap_or("").to_owned();
    let names = |of: &dyn Fn(&Machine) -> bool| -> Vec<String> {
        let kept = model.machines.iter().filter(|machine| of(machine));
        kept.map(|machine| machine.name.clone()).collect()
    };
    let cold = |name: String, runs| Plan::of(ready, name, (COLD_S, 0.0), runs);
    let mut plans = Vec::new();
    for pump in pumps() {
        if pumps().filter(|other| circuit(other) == circuit(pump)).count() > 1 {
            let alone = |other: &Machine| {
                other.kind == MachineKind::Pump
                    && (other.name == pump.name || circuit(other) != circuit(pump))
            };
            plans.push(cold(
                format!("cold, of {} only {}", circuit(pump), pump.name),
                names(&alone),
            ));
        }
    }
    let is_pump = |machine: &Machine| machine.kind == MachineKind::Pump;
    plans.push(cold("cold, all pumps".to_owned(), names(&is_pump)));
    if model.machines.iter().any(|machine| machine.kind == MachineKind::Fan) {
        plans.push(cold("pumps and fans".to_owned(), names(&|_| true)));
    }
    // No stand asks for more than the duty does.
    let asked = ready.duty.phases.iter().map(|phase| phase.power_share).fold(0.0, f64::max);
    let most = if asked > 0.0 { asked.min(1.0) } else { 1.0 };
    let below =
        LOADS.iter().filter(|(_, share)| *share < most - 1e-9).map(|(name, share)| (*name, *share));
    let top = if most < 1.0 { "the most that the duty asks" } else { "full load" };
    let loads = below.chain([(top, most)]).map(|(name, share)| {
        Plan::of(ready, name.to_owned(), (held_s(ready, share), share), names(&|_| true))
    });
    plans.extend(loads);
    plans
}

/// How long a load is held, s: as long as the longest phase of the duty that asks for as much, if that is less; what
/// pulls for seconds is not held under load for minutes.
fn held_s(ready: &Ready, share: f64) -> f64 {
    let phases = ready.duty.phases.iter();
    let as_much = phases.filter(|phase| phase.power_share >= share).map(|phase| phase.time_s);
    let longest = as_much.fold(0.0, f64::max);
    if ready.duty.phases.is_empty() || share < LOADS[1].1 {
        LOAD_S
    } else if longest > 0.0 {
        longest.min(LOAD_S)
    } else {
        COLD_S
    }
}

/// Speed of the engine at a share of full power, rad/s: under load that of the phase that asks for so much and little more,
/// as an engine that idles gives no load; else that of the phase whose power is nearest.
fn engine_speed(ready: &Ready, share: f64) -> f64 {
    let inputs = &ready.model.inputs;
    let off = |phase: &&LoweredPhase| (phase.power_share - share).abs();
    let is_load = share > LOADS[0].1;
    let gives = |phase: &&LoweredPhase| !is_load || phase.power_share > share - 1e-9;
    let phases = ready.duty.phases.iter().filter(gives);
    let phase = phases.min_by(|a, b| off(a).total_cmp(&off(b)));
    let values = phase.map_or_else(|| ready.model.values.clone(), |phase| values_in(ready, phase));
    inputs.value(&values, ENGINE_SPEED)
}

/// Whether the engine turns a pump.
fn drives_a_pump(ready: &Ready) -> bool {
    let runs = ready.model.circuits.iter().flat_map(|circuit| &circuit.runs);
    let mut pumps = runs.flat_map(|run| &run.parts).filter_map(|placed| placed.part.as_pump());
    pumps.any(|pump| pump.drive.supply().is_none())
}
