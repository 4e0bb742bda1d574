//! The laws of a circuit sorted for speed are those of its parts: the same falls, slopes and couplings
//! but for their last digits, in every circuit of the demo cases and of the tests, at any flows.

use crate::common::{demo_cases, read};
use coolwright_models::circuit::{Circuit, CircuitLaws, CompiledLaws, PartState};
use coolwright_models::slots::Values;
use coolwright_solver::network::Laws;

const CASES: [&str; 3] = [
    include_str!("cases/every_part.ron"),
    include_str!("cases/two_circuits.ron"),
    include_str!("cases/three_circuits.ron"),
];

/// Random numbers from 0 to 1.
fn next(x: &mut u64) -> f64 {
    *x = x.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
    (*x >> 11) as f64 * (-53_f64).exp2()
}

/// Flows of every size and both directions, some at rest.
fn flows(count: usize, x: &mut u64) -> Vec<f64> {
    let mut flow = || {
        let size = 10_f64.powf(-8.0 + 9.0 * next(x));
        let kind = next(x);
        if kind < 0.1 { 0.0 } else { size * if kind < 0.5 { -1.0 } else { 1.0 } }
    };
    (0..count).map(|_| flow()).collect()
}

/// Falls, slopes and couplings.
fn evaluate(laws: &mut impl Laws, flows: &[f64], couplings: usize) -> [Vec<f64>; 3] {
    let mut got = [flows.to_vec(), flows.to_vec(), vec![0.0; couplings]];
    let [falls, slopes, cross] = &mut got;
    laws.evaluate(flows, falls, slopes, cross);
    got
}

fn hold(name: &str, circuit: &Circuit, values: &Values) {
    let parts: usize = circuit.runs.iter().map(|run| run.parts.len()).sum();
    let (mut x, couplings) = (1, circuit.couplings());
    let mut compiled = CompiledLaws::new(circuit, &couplings);
    for _ in 0..200 {
        // Each part and junction has its own, so that a wrong index is seen.
        let state = |x: &mut u64| {
            let density = 960.0 + 130.0 * next(x);
            let viscosity = 3e-4 * 100_f64.powf(next(x));
            PartState { temperature_k: 300.0, density, viscosity }
        };
        let states: Vec<PartState> = (0..parts).map(|_| state(&mut x)).collect();
        let junctions = 0..circuit.junctions.len();
        let densities: Vec<f64> = junctions.map(|_| 960.0 + 130.0 * next(&mut x)).collect();
        let laws = || CircuitLaws {
            circuit,
            values,
            parts: &states,
            junction_density: &densities,
            couplings: &couplings,
        };
        let flows = flows(circuit.runs.len(), &mut x);
        let want = evaluate(&mut laws(), &flows, couplings.len());
        let got = evaluate(&mut compiled.compile(laws()), &flows, couplings.len());
        for (what, (got, want)) in ["fall", "slope", "coupling"].iter().zip(got.iter().zip(&want)) {
            let most = want.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
            for (run, (got, want)) in got.iter().zip(want).enumerate() {
                // Parts of one run, and the tees at its ends, may cancel.
                let (off, scale) = ((got - want).abs(), want.abs() + 1e-3 * most);
                assert!(off <= 1e-12 * scale, "{name}: {what} {run}: got {got}, want {want}");
            }
        }
    }
}

#[test]
fn sorted_laws_are_those_of_the_parts() {
    let mut cases = demo_cases();
    cases.extend(CASES.iter().map(|text| ("a test's case".to_owned(), (*text).to_owned())));
    for (name, text) in cases {
        let ready = read(&text);
        for circuit in &ready.model.circuits {
            hold(&format!("{name}, {}", circuit.name), circuit, &ready.model.values);
        }
    }
}
