//! Random networks against a general-purpose solver.
//!
//! `tests/reference/random_networks.json` has the cases and what scipy makes of them with laws that
//! were written down apart from this program (see `scripts/random_networks.py`): looped and branched
//! networks of 6 to 40 runs, open and closed, with hoses, bore changes, cones, rated parts, check
//! valves, pumps by curve and tees of all six flow patterns.

use std::collections::{BTreeMap, BTreeSet};

use coolwright_cases::lower::Ready;
use coolwright_models::circuit::{Circuit, CircuitLaws, Joint, PartState};
use coolwright_models::fluids::Coolant;
use coolwright_models::slots::Values;
use coolwright_solver::network::{Network, Settings};
use serde_json::Value;

use crate::common::{at, near, point, read};

/// Largest error, in shares of a number, where both solvers see the same density and viscosity.
const CLOSE: f64 = 1e-10;

/// The same in shares of the largest number of the network, for those that are nearly zero.
const CLOSE_OF_LARGEST: f64 = 1e-12;

/// The same with the program's own water of 20 °C, in shares of the largest of the network: its
/// density is off IAPWS by up to 1e-5, its viscosity by up to 1e-3, and a flow follows friction's
/// share of that.
const OWN_WATER: f64 = 2e-4;

struct Solved {
    name: String,
    case: String,
    tees: Vec<String>,
    flows: BTreeMap<String, f64>,
    pressures: BTreeMap<String, f64>,
}

struct Data {
    density: f64,
    viscosity: f64,
    networks: Vec<Solved>,
}

fn numbers(value: &Value) -> BTreeMap<String, f64> {
    let pairs = value.as_object().expect("numbers by name").iter();
    pairs.map(|(name, x)| (name.clone(), x.as_f64().expect("a number"))).collect()
}

fn data() -> Data {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/random_networks.json");
    let text = std::fs::read_to_string(path).expect("the file of the script");
    let json: Value = serde_json::from_str(&text).expect("well-formed JSON");
    let word = |value: &Value| value.as_str().expect("a text").to_owned();
    let network = |value: &Value| Solved {
        name: word(&value["name"]),
        case: word(&value["case"]),
        tees: value["tees"].as_array().expect("tees").iter().map(word).collect(),
        flows: numbers(&value["flows_kg_s"]),
        pressures: numbers(&value["pressures_pa"]),
    };
    Data {
        density: json["density_kg_m3"].as_f64().expect("a density"),
        viscosity: json["viscosity_pa_s"].as_f64().expect("a viscosity"),
        networks: json["networks"].as_array().expect("networks").iter().map(network).collect(),
    }
}

/// The numbers of a case whose ratings hold in water of 20 °C, with given properties in their place.
fn rated_in(ready: &Ready, density: f64, viscosity: f64) -> Values {
    let water = Coolant::water();
    let mut values = ready.model.values.clone();
    for rule in ready.model.rules.list() {
        let bits = values.get(rule.sets).to_bits();
        if bits == water.density(293.15_f64).to_bits() {
            values.set(rule.sets, density);
        } else if bits == water.viscosity(293.15_f64).to_bits() {
            values.set(rule.sets, viscosity);
        }
    }
    values
}

/// Flows and pressures of a circuit, solved as `point` solves it, but with given properties.
fn solve_with(ready: &Ready, density: f64, viscosity: f64) -> (Vec<f64>, Vec<f64>) {
    let circuit = &ready.model.circuits[0];
    let values = &rated_in(ready, density, viscosity);
    let count = circuit.runs.iter().map(|run| run.parts.len()).sum();
    let state = PartState { temperature_k: 293.15, density, viscosity, ..PartState::default() };
    let couplings = circuit.couplings();
    let ends: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
    let junctions = circuit.junctions.len();
    let (held, inflow): (Vec<_>, Vec<_>) = circuit
        .junctions
        .iter()
        .map(|junction| match &junction.joint {
            Joint::Held { pressure, .. } => (Some(values.get(*pressure)), 0.0),
            Joint::Fed { flow, .. } => (None, values.get(*flow) * density),
            _ => (None, 0.0),
        })
        .unzip();
    let mut laws = CircuitLaws {
        circuit,
        values,
        parts: &vec![state; count],
        junction_density: &vec![density; junctions],
        couplings: &couplings,
    };
    let mut flows = vec![0.0; ends.len()];
    let mut pressures = vec![0.0; junctions];
    let mut network = Network::new(junctions, &ends, &couplings).expect("a whole network");
    let settings = Settings::default();
    let solved = network.solve(&mut laws, &inflow, &held, &mut flows, &mut pressures, &settings);
    solved.unwrap_or_else(|stuck| panic!("{stuck:?}"));
    (flows, pressures)
}

fn largest(numbers: &BTreeMap<String, f64>) -> f64 {
    numbers.values().fold(0.0, |most: f64, x| most.max(x.abs()))
}

/// Pressure that the answer has over the program's: a closed circuit has one constant free.
fn offset(circuit: &Circuit, pressures: &[f64], want: &BTreeMap<String, f64>) -> f64 {
    let held = circuit.junctions.iter().any(|j| matches!(j.joint, Joint::Held { .. }));
    if held { 0.0 } else { want[&circuit.junctions[0].name] - pressures[0] }
}

#[test]
fn random_networks_have_the_flows_and_pressures_of_a_general_solver() {
    let data = data();
    assert_eq!(data.networks.len(), 40);
    for solved in &data.networks {
        let ready = read(&solved.case);
        let circuit = &ready.model.circuits[0];
        let (flows, pressures) = solve_with(&ready, data.density, data.viscosity);
        let close = |want: f64, most: f64| CLOSE * want.abs() + CLOSE_OF_LARGEST * most;

        assert_eq!(circuit.runs.len(), solved.flows.len(), "{}", solved.name);
        let most = largest(&solved.flows);
        for (run, flow) in circuit.runs.iter().zip(&flows) {
            let want = solved.flows[&run.name];
            let what = format!("{}, flow of {}", solved.name, run.name);
            near(&what, *flow, want, close(want, most));
        }
        assert_eq!(circuit.junctions.len(), solved.pressures.len(), "{}", solved.name);
        let most = largest(&solved.pressures);
        let offset = offset(circuit, &pressures, &solved.pressures);
        for (junction, pressure) in circuit.junctions.iter().zip(&pressures) {
            let want = solved.pressures[&junction.name];
            let what = format!("{}, pressure of {}", solved.name, junction.name);
            near(&what, pressure + offset, want, close(want, most));
        }
    }
}

/// The whole way, from the text of the case to the operating point, with water as the program has
/// it; mass and energy are checked in every network.
#[test]
fn random_networks_are_solved_the_same_as_whole_cases() {
    for solved in data().networks {
        let ready = read(&solved.case);
        let results = point(&ready.model, &ready.model.values).results;
        let most = largest(&solved.flows);
        for (run, want) in &solved.flows {
            let got = at(&results, &format!("net/{run}:mass_flow"));
            near(&format!("{}, flow of {run}", solved.name), got, *want, OWN_WATER * most);
        }
        let most = largest(&solved.pressures);
        for (junction, want) in &solved.pressures {
            let got = at(&results, &format!("net/{junction}:pressure"));
            let what = format!("{}, pressure of {junction}", solved.name);
            near(&what, got, *want, OWN_WATER * most);
        }
    }
}

/// (This holds the data, not the program: they contain what they are meant to contain.)
#[test]
fn the_random_networks_cover_every_part_and_every_flow_pattern() {
    let data = data();
    let tees: BTreeSet<&str> =
        data.networks.iter().flat_map(|n| &n.tees).map(String::as_str).collect();
    for pattern in ["dividing A", "dividing B", "joining A", "joining B", "opposed", "splitting"] {
        let with = |set: &str| tees.iter().any(|t| t.starts_with(set) && t.ends_with(pattern));
        assert!(with("Unified"), "no {pattern} with the unified law");
        let turns = ["opposed", "splitting"].contains(&pattern);
        assert!(turns || with("Gardel"), "no {pattern} after Gardel");
    }
    for joining in ["joining A", "joining B"] {
        assert!(tees.iter().any(|t| t.starts_with("TP410") && t.ends_with(joining)), "{joining}");
    }
    for part in [
        "Hose(",
        "Reducer(",
        "Meter(",
        "Filter(",
        "Coupling(",
        "Resistance(",
        "CheckValve(",
        "Pump(",
        "Tee(",
        "flow:",
        "pressure_at:",
    ] {
        let count = data.networks.iter().filter(|n| n.case.contains(part)).count();
        assert!(count >= 4, "{part} in {count} networks only");
    }
    let reversed = |n: &&Solved| n.flows.values().any(|flow| *flow < 0.0);
    assert!(data.networks.iter().filter(reversed).count() >= 30);
    let sizes: Vec<usize> = data.networks.iter().map(|n| n.flows.len()).collect();
    assert!(sizes.iter().any(|n| *n >= 40) && sizes.iter().any(|n| *n <= 6), "{sizes:?}");
}
