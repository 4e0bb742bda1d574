//! The curve of every pump and fan and that of its system, flow by flow, for whoever draws them.

use super::{
    Asked, BEYOND, Circuit, CircuitLaws, Crossing, Forced, LawInputs, Leg, Network, Settings,
    Simulator, free_flow, outside, scan,
};
use crate::air::{AtFan, Fan};
use crate::ids::Id;
use crate::instance::Instance;
use crate::simulate::around;
use crate::slots::Values;

/// A pump, several in one run or side by side, or the fans of an air path, with their system.
#[derive(Clone, Debug)]
pub struct Curves {
    /// The run, the pumps side by side, or the air path.
    pub of: Id,
    /// The pumps or fans.
    pub machines: Vec<Id>,
    /// Whether they move air.
    pub air: bool,
    /// Flow (m³/s at the density there), and what the machines give and the system asks for at it, Pa.
    pub samples: Vec<[f64; 3]>,
    /// Every crossing of both, by flow.
    pub crossings: Vec<Crossing>,
    /// Flow (m³/s) and rise (Pa) of the operating point.
    pub stands: [f64; 2],
}

/// How many flows a picture of two curves needs.
const SAMPLES: u32 = 60;

/// The curves of all pumps and fans that turn, at the temperatures of an operating point. The system of
/// a pump is all of its network with that pump's flow forced, the other pumps at work in it.
///
/// Whatever cannot be solved with a forced flow is left out.
pub fn curves(instance: &mut Instance<'_>, values: &Values, states: &[f64]) -> Vec<Curves> {
    let model = instance.model();
    let Ok(simulator) = instance.at(values, states) else { return Vec::new() };
    let mut found = Vec::new();
    for c in 0..model.circuits.len() {
        for (of, legs) in sets(&model.circuits[c], values, c) {
            found.extend(of_pumps(simulator, c, (of, &legs)));
        }
    }
    found.extend((0..model.air_paths.len()).filter_map(|a| of_fans(simulator, a)));
    found
}

/// The pumps of a circuit that turn: those side by side under one name together, others by their run.
fn sets(circuit: &Circuit, values: &Values, c: usize) -> Vec<(Id, Vec<Leg>)> {
    let turns = |r: usize, p: usize| {
        circuit.runs[r].parts[p].part.as_pump().is_some_and(|pump| pump.turns(values))
    };
    let mut found: Vec<(Id, Vec<Leg>)> = Vec::new();
    let mut done = vec![false; circuit.runs.len()];
    let pumps_of = |r: usize| (0..circuit.runs[r].parts.len()).filter(|p| turns(r, *p)).collect();
    for (g, group) in circuit.groups.iter().enumerate() {
        let mut legs: Vec<Leg> = Vec::new();
        for &(r, p) in &group.units {
            if turns(r, p) && !legs.iter().any(|(run, _)| *run == r) {
                legs.push((r, pumps_of(r)));
            }
        }
        if legs.len() > 1 {
            for (r, _) in &legs {
                done[*r] = true;
            }
            found.push((Id::Group(c, g), legs));
        }
    }
    for (r, _) in done.iter().enumerate().filter(|(_, done)| !**done) {
        let pumps: Vec<usize> = pumps_of(r);
        if !pumps.is_empty() {
            found.push((Id::Run(c, r), vec![(r, pumps)]));
        }
    }
    found
}

fn of_pumps(simulator: &Simulator<'_>, c: usize, (of, legs): (Id, &[Leg])) -> Option<Curves> {
    let (setup, settled) = (&simulator.setup, &simulator.settled);
    let circuit = &setup.model.circuits[c];
    let range = setup.layout.circuit_parts[c]..setup.layout.circuit_parts[c + 1];
    let first: Vec<usize> =
        legs.iter().map(|(run, _)| setup.layout.run_parts[c][*run] - range.start).collect();
    let couplings = circuit.couplings();
    let parts = &settled.parts[range];
    let (run, pumps) = &legs[0];
    let density = parts[first[0] + pumps[0]].density;
    let laws = CircuitLaws {
        circuit,
        values: &setup.values,
        parts,
        junction_density: &settled.junction_density[c],
        couplings: &couplings,
    };
    let mut laws = Forced { laws, legs, first, target: 0.0, stiffness: 0.0 };
    let free = free_flow(circuit, &setup.values, (*run, pumps[0])) * density;
    let most = -laws.pumps_fall(0, 0.0).value;
    let stands_kg_s: f64 = legs.iter().map(|(run, _)| settled.flows[c][*run]).sum();
    let to = (BEYOND * free).max(1.1 * settled.flows[c][*run]);
    // So stiff that the flow that comes about is close to the one that is forced.
    laws.stiffness = 300.0 * most.abs().max(1.0) / free;
    let ends: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
    let mut network = Network::new(circuit.junctions.len(), &ends, &couplings).ok()?;
    let (inflow, held) = outside(simulator, c);
    let (mut flows, mut pressures) = (settled.flows[c].clone(), settled.pressures[c].clone());
    let settings = Settings::default();
    let mut ask = |forced: f64| {
        laws.target = forced;
        network.solve(&mut laws, &inflow, &held, &mut flows, &mut pressures, &settings).ok()?;
        let flow = flows[*run];
        let gives = -laws.pumps_fall(0, flow).value;
        Some((flow, gives, laws.stiffness * (forced - flow)))
    };
    let count = legs.len() as f64;
    let rise = -settled_fall(simulator, c, (*run, pumps));
    let machines = legs.iter().flat_map(|(r, pumps)| pumps.iter().map(|p| Id::Part(c, *r, *p)));
    let machines = machines.collect();
    let stands = [stands_kg_s / density, rise];
    let of = (of, machines, false);
    Some(drawn(of, &mut ask, (to, count / density), stands))
}

/// Fall of pumps of one run as they stand, Pa.
fn settled_fall(simulator: &Simulator<'_>, c: usize, (run, pumps): (usize, &[usize])) -> f64 {
    let first = simulator.setup.layout.run_parts[c][run];
    let flow = simulator.settled.flows[c][run];
    let fall = |p: &usize| {
        let state = &simulator.settled.parts[first + p];
        let place = LawInputs {
            values: simulator.setup.values.reader().owning(state.own),
            density: state.density,
            viscosity: state.viscosity,
        };
        simulator.setup.part(first + p).fall_at(&place, flow)
    };
    pumps.iter().map(fall).sum()
}

/// The fans of a path, all alike, that share its flow evenly.
fn of_fans(simulator: &mut Simulator<'_>, a: usize) -> Option<Curves> {
    let (setup, gas) = (&simulator.setup, &mut simulator.settled.gases[a]);
    let path = &setup.model.air_paths[a];
    let (fan, &AtFan { density, .. }) = (path.fans.first()?, gas.fans().first()?);
    let values = setup.values.reader::<f64>();
    let speed = fan.speed(&values);
    // Beside one that stands still others do not share the flow evenly.
    let differs = |other: &Fan| other.speed(&values).to_bits() != speed.to_bits();
    if speed <= 0.0 || path.fans.iter().any(differs) {
        return None;
    }
    let count = path.fans.len() as f64;
    let stands_kg_s: f64 = gas.fans().iter().map(|at| at.flow).sum();
    let (_, fall) = gas.forced_evenly(&around(setup, a), stands_kg_s)?;
    let free = fan.curve.range().1 * speed * density;
    let to = (BEYOND * free).max(1.1 * stands_kg_s / count);
    let mut ask = |each: f64| {
        let forced = gas.forced_evenly(&around(setup, a), count * each);
        forced.map(|(system, fan)| (each, -fan, system))
    };
    let machines = (0..path.fans.len()).map(|f| Id::Fan(a, f)).collect();
    let of = (Id::AirPath(a), machines, true);
    Some(drawn(of, &mut ask, (to, count / density), [stands_kg_s / density, -fall]))
}

/// Samples two curves up to a flow of one machine, and finds where they cross; `volume` makes a volume flow of all
/// machines of that.
fn drawn(
    (of, machines, air): (Id, Vec<Id>, bool),
    ask: &mut Asked<'_>,
    (to, volume): (f64, f64),
    stands: [f64; 2],
) -> Curves {
    let sample = |k: u32| {
        let (flow, gives, asks) = ask(to * f64::from(k.max(1)) / f64::from(SAMPLES))?;
        Some([flow * volume, gives, asks])
    };
    let samples = (0..=SAMPLES).filter_map(sample).collect();
    let crossing = |(flow, rise_pa, stable)| Crossing { flow_m3_s: flow * volume, rise_pa, stable };
    let crossings = scan(ask, 1e-3 * to, to).into_iter().map(crossing).collect();
    Curves { of, machines, air, samples, crossings, stands }
}
