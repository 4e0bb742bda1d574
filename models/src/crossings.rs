//! Every crossing of a pump or fan with the system it works alone against, where its head rises
//! with flow.
//!
//! Such a curve can meet the curve of its system several times. The system is asked at one flow
//! after another: all of the network is solved with that flow forced through the pump, and what the
//! pump would have to give for it is compared with what it gives. Temperatures stay those of the
//! operating point.

mod curves;

pub use curves::{Curves, curves};

use coolwright_solver::network::{Laws, Network, Settings};
use coolwright_solver::roots::bracketed;
use coolwright_solver::scalar::Dual;

use crate::air::AtFan;
use crate::circuit::{Circuit, CircuitLaws, Joint};
use crate::instance::Instance;
use crate::model::Model;
use crate::parts::LawInputs;
use crate::point::OperatingPoint;
use crate::simulate::{Simulator, around};
use crate::slots::Values;

/// One crossing of both curves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Volume flow through the pump or fan, m³/s at the density there.
    pub flow_m3_s: f64,
    /// Rise of pressure at it, Pa.
    pub rise_pa: f64,
    /// Whether flow returns to it when disturbed: beyond it the system asks for more than the pump
    /// gives.
    pub stable: bool,
}

/// All crossings of one pump, or of several in one run, with its system.
#[derive(Clone, Debug)]
pub struct Crossings {
    /// The pumps, or the fan, by their addresses.
    pub of: Vec<String>,
    /// Whether it moves air.
    pub air: bool,
    /// The crossings, by flow.
    pub list: Vec<Crossing>,
    /// On which of them the operating point stands.
    pub stands_on: usize,
}

/// How many flows the system is asked at. Two crossings nearer to each other than a step of the
/// whole range are seen as none.
const STEPS: u32 = 240;
/// How far beyond the free flow of the curve the system is asked.
const BEYOND: f64 = 1.3;

/// The crossings of every pump and fan of an operating point whose head rises with flow somewhere and
/// that works alone against its system: no other pump of its circuit turns, unless it stands in
/// the same run; no other fan stands in its air path.
///
/// Whatever cannot be solved with a forced flow is left out.
pub fn crossings(model: &Model, values: &Values, point: &OperatingPoint) -> Vec<Crossings> {
    of_instance(&mut Instance::new(model), values, &point.states)
}

/// The same on an instance that is kept, at the temperatures of an operating point.
pub fn of_instance(instance: &mut Instance<'_>, values: &Values, states: &[f64]) -> Vec<Crossings> {
    let model = instance.model();
    let Ok(simulator) = instance.at(values, states) else { return Vec::new() };
    let circuits = (0..model.circuits.len()).filter_map(|c| of_circuit(simulator, c));
    let mut found: Vec<_> = circuits.collect();
    found.extend((0..model.air_paths.len()).filter_map(|a| of_fan(simulator, a)));
    found
}

/// A pair of curves: at a forced flow, the flow that comes about (kg/s), what the machine gives and
/// what the system asks for there, Pa.
type Asked<'a> = dyn FnMut(f64) -> Option<(f64, f64, f64)> + 'a;

/// Finds the crossings between two forced flows, kg/s.
fn scan(ask: &mut Asked<'_>, from: f64, to: f64) -> Vec<(f64, f64, bool)> {
    let mut found: Vec<(f64, f64, bool)> = Vec::new();
    let mut before: Option<(f64, f64)> = None;
    for k in 0..=STEPS {
        let at = from + (to - from) * f64::from(k) / f64::from(STEPS);
        let Some((_, gives, asks)) = ask(at) else {
            before = None;
            continue;
        };
        let excess = gives - asks;
        if let Some((last, last_excess)) = before
            && (last_excess > 0.0) != (excess > 0.0)
        {
            let open = |x: f64| ask(x).map_or(f64::NAN, |(_, gives, asks)| gives - asks);
            if let Ok(root) = bracketed(open, last, at, 1e-12 * to.abs())
                && let Some((flow, gives, _)) = ask(root.x)
            {
                found.push((flow, gives, last_excess > 0.0));
            }
        }
        before = Some((at, excess));
    }
    found
}

/// A run that shares a forced flow, with its pumps.
type Leg = (usize, Vec<usize>);

/// The laws of a circuit with a flow forced through runs that share it: their pumps give way to sources
/// that push with R (m − m₀) against them, which has one answer whatever the pumps' curve.
struct Forced<'a> {
    laws: CircuitLaws<'a>,
    /// The runs, each with its pumps.
    legs: &'a [Leg],
    /// Index of each leg's first part within the circuit's parts.
    first: Vec<usize>,
    /// The flow m₀ of each that the source drives towards, kg/s.
    target: f64,
    stiffness: f64,
}

impl Forced<'_> {
    /// Fall of the pumps of a leg at a flow, with its slope.
    fn pumps_fall(&self, leg: usize, flow: f64) -> Dual<1> {
        let (run, pumps) = &self.legs[leg];
        let mut sum = Dual::from(0.0);
        for &part in pumps {
            let state = &self.laws.parts[self.first[leg] + part];
            let place = LawInputs {
                values: self.laws.values.reader().owning(state.own),
                density: Dual::from(state.density),
                viscosity: Dual::from(state.viscosity),
            };
            let part = &self.laws.circuit.runs[*run].parts[part].part;
            sum += part.fall_and_slope(&place, Dual::variable(flow));
        }
        sum
    }
}

impl Laws for Forced<'_> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        self.laws.evaluate(flows, falls, slopes, cross);
        for (leg, (run, _)) in self.legs.iter().enumerate() {
            let pumps = self.pumps_fall(leg, flows[*run]);
            falls[*run] += self.stiffness * (flows[*run] - self.target) - pumps.value;
            slopes[*run] += self.stiffness - pumps.slope();
        }
    }
}

/// The run in which all turning pumps of a circuit stand, and which of its parts they are.
fn alone(circuit: &Circuit, values: &Values) -> Option<Leg> {
    let mut found: Option<(usize, Vec<usize>)> = None;
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if !placed.part.as_pump().is_some_and(|pump| pump.turns(values)) {
                continue;
            }
            match &mut found {
                None => found = Some((r, vec![p])),
                Some((run, pumps)) if *run == r => pumps.push(p),
                Some(_) => return None,
            }
        }
    }
    found
}

fn of_circuit(simulator: &Simulator<'_>, c: usize) -> Option<Crossings> {
    let setup = &simulator.setup;
    let settled = &simulator.settled;
    let circuit = &setup.model.circuits[c];
    let leg = alone(circuit, &setup.values)?;
    let (run, pumps) = (leg.0, &leg.1);
    let range = setup.layout.circuit_parts[c]..setup.layout.circuit_parts[c + 1];
    let first = setup.layout.run_parts[c][run] - range.start;
    let couplings = circuit.couplings();
    let parts = &settled.parts[range];
    let density = parts[first + pumps[0]].density;
    let mut laws = Forced {
        laws: CircuitLaws {
            circuit,
            values: &setup.values,
            parts,
            junction_density: &settled.junction_density[c],
            couplings: &couplings,
        },
        legs: std::slice::from_ref(&leg),
        first: vec![first],
        target: 0.0,
        stiffness: 0.0,
    };
    let free = free_flow(circuit, &setup.values, (run, pumps[0])) * density;
    let to = BEYOND * free;
    let rises: Vec<f64> = (0..=STEPS)
        .map(|k| -laws.pumps_fall(0, to * f64::from(k) / f64::from(STEPS)).value)
        .collect();
    let most = rises.iter().fold(0.0_f64, |most, rise| most.max(*rise));
    if !rises.windows(2).any(|pair| pair[1] > pair[0] + 1e-9 * most) {
        return None;
    }
    laws.stiffness = 10.0 * most / free;
    let ends: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
    let mut network = Network::new(circuit.junctions.len(), &ends, &couplings).ok()?;
    let (inflow, held) = outside(simulator, c);
    let (mut flows, mut pressures) = (settled.flows[c].clone(), settled.pressures[c].clone());
    let settings = Settings::default();
    let mut ask = |forced: f64| {
        laws.target = forced;
        let solved =
            network.solve(&mut laws, &inflow, &held, &mut flows, &mut pressures, &settings);
        solved.ok()?;
        let flow = flows[run];
        Some((flow, -laws.pumps_fall(0, flow).value, laws.stiffness * (forced - flow)))
    };
    // Where the system asks for as much as the pump can give at all, the source stands a tenth of the
    // free flow higher than the flow that comes about.
    let found = scan(&mut ask, -0.01 * free, to + 0.2 * free);
    let path = |p: &usize| {
        format!("{}/{}/{}", circuit.name, circuit.runs[run].path, circuit.runs[run].parts[*p].name)
    };
    let of = pumps.iter().map(path).collect();
    finished(of, false, &found, (settled.flows[c][run], density))
}

/// The flow at which the curve of a pump has no rise left at its highest speed, m³/s.
fn free_flow(circuit: &Circuit, values: &Values, (run, part): (usize, usize)) -> f64 {
    let Some(pump) = circuit.runs[run].parts[part].part.as_pump() else { return 0.0 };
    let mut flow = pump.given[1];
    while pump.curve.value(flow) > 0.0 && flow < 1e3 * pump.given[1] {
        flow *= 1.05;
    }
    flow * pump.most_speed(values)
}

/// Flows from outside and held pressures of a circuit.
fn outside(simulator: &Simulator<'_>, c: usize) -> (Vec<f64>, Vec<Option<f64>>) {
    let values = &simulator.setup.values;
    let coolant = &simulator.setup.prepared.coolants[c];
    let of = |joint: &Joint| match joint {
        Joint::Held { pressure, .. } => (0.0, Some(values.get(*pressure))),
        Joint::Fed { flow, temperature } => {
            (values.get(*flow) * coolant.density(values.get(*temperature)), None)
        }
        Joint::Plain { .. } | Joint::Tank(_) | Joint::Tee { .. } => (0.0, None),
    };
    simulator.setup.model.circuits[c].junctions.iter().map(|j| of(&j.joint)).unzip()
}

/// A fan by itself: its path is one way, so each flow is asked directly.
fn of_fan(simulator: &mut Simulator<'_>, a: usize) -> Option<Crossings> {
    let (setup, gas) = (&simulator.setup, &mut simulator.settled.gases[a]);
    let path = &setup.model.air_paths[a];
    let [fan] = path.fans.as_slice() else { return None };
    let speed: f64 = fan.speed(&setup.values.reader());
    if speed <= 0.0 || !fan.curve.rises() {
        return None;
    }
    let AtFan { flow: stands, density, .. } = gas.fans()[0];
    let free = fan.curve.range().1 * speed * density;
    let mut ask = |forced: f64| {
        gas.forced(&around(setup, a), forced).map(|(system, fan)| (forced, -fan, system))
    };
    let found = scan(&mut ask, 1e-6 * free, BEYOND * free);
    let of = vec![format!("air_paths/{}/{}", path.name, fan.name)];
    finished(of, true, &found, (stands, density))
}

/// The crossings as volume flows, and on which one the operating point stands.
fn finished(
    of: Vec<String>,
    air: bool,
    found: &[(f64, f64, bool)],
    (stands_kg_s, density): (f64, f64),
) -> Option<Crossings> {
    let far = |k: &usize| (found[*k].0 - stands_kg_s).abs();
    let stands_on = (0..found.len()).min_by(|a, b| far(a).total_cmp(&far(b)))?;
    let crossing = |&(flow, rise_pa, stable): &(f64, f64, bool)| Crossing {
        flow_m3_s: flow / density,
        rise_pa,
        stable,
    };
    Some(Crossings { of, air, list: found.iter().map(crossing).collect(), stands_on })
}
