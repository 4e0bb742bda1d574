//! Networks of 100,000 runs, of shapes in which something could grow faster than the network.

use crate::common::check_mass;
use coolwright_solver::network::{Laws, Network, Reason, Settings};

const RUNS: usize = 100_000;

/// Quadratic and linear resistances of several sizes, and a source in every seventh run.
struct Resistances;

impl Laws for Resistances {
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
        for (run, &m) in flows.iter().enumerate() {
            let size = 1.0 + (run % 11) as f64;
            let source = if run % 7 == 0 { 100.0 } else { 0.0 };
            falls[run] = size * (10.0 * m + 1e3 * m * m.abs()) - source;
            slopes[run] = size * (10.0 + 2e3 * m.abs());
        }
    }
}

/// Solves it, with a pressure held at junction 0, and checks mass and every law.
fn check(what: &str, junctions: usize, runs: &[(usize, usize)]) {
    let mut network = Network::new(junctions, runs, &[]).unwrap();
    let (mut flows, mut pressures) = (vec![0.1; runs.len()], vec![0.0; junctions]);
    let (inflow, mut held) = (vec![0.0; junctions], vec![None; junctions]);
    held[0] = Some(1e5);
    let settings = Settings::default();
    let solved = network
        .solve(&mut Resistances, &inflow, &held, &mut flows, &mut pressures, &settings)
        .unwrap_or_else(|stuck| panic!("{what}: {stuck}"));
    assert!(solved.iterations < 40, "{what}: {solved:?}");
    check_mass(&network, runs, &flows);
    let (mut falls, mut slopes) = (flows.clone(), flows.clone());
    Resistances.evaluate(&flows, &mut falls, &mut slopes, &mut []);
    for (run, (&(from, to), fall)) in runs.iter().zip(&falls).enumerate() {
        let want = pressures[from] - pressures[to];
        assert!((fall - want).abs() < 1e-4, "{what}, run {run}: {fall} and {want}");
    }
}

/// Two rails and a rung at every step: loops in a row, and a forest as deep as the network is long.
#[test]
fn a_ladder_of_100_000_runs_is_solved() {
    let steps = RUNS / 3;
    let rung = |i: usize| (2 * i, 2 * i + 1);
    let rails = |i: usize| [(2 * i, 2 * i + 2), (2 * i + 1, 2 * i + 3)];
    let mut runs: Vec<_> = (0..steps).flat_map(rails).collect();
    runs.extend((0..=steps).map(rung));
    check("ladder", 2 * steps + 2, &runs);
}

/// All runs between the same two junctions: as many loops as runs.
#[test]
fn a_bundle_of_100_000_runs_is_solved() {
    let runs: Vec<_> = (0..RUNS).map(|i| if i % 2 == 0 { (0, 1) } else { (1, 0) }).collect();
    check("bundle", 2, &runs);
}

/// Two junctions that every other one is joined to: two rows as long as the network.
#[test]
fn two_hubs_of_100_000_runs_are_solved() {
    let runs: Vec<_> = (0..RUNS / 2).flat_map(|i| [(0, i + 2), (i + 2, 1)]).collect();
    check("hubs", RUNS / 2 + 2, &runs);
}

/// 25,000 networks of four runs each in one, with and without flow from outside.
#[test]
fn many_components_are_solved() {
    let ring =
        |i: usize| [(2 * i, 2 * i + 1), (2 * i + 1, 2 * i), (2 * i, 2 * i + 1), (2 * i, 2 * i)];
    let runs: Vec<_> = (0..RUNS / 4).flat_map(ring).collect();
    check("components", RUNS / 2, &runs);
    let mut network = Network::new(RUNS / 2, &runs, &[]).unwrap();
    let (mut flows, mut pressures) = (vec![0.1; runs.len()], vec![0.0; RUNS / 2]);
    let mut inflow: Vec<f64> = (0..RUNS / 2).map(|i| if i % 2 == 0 { 0.3 } else { -0.3 }).collect();
    let (none, settings) = (vec![None; RUNS / 2], Settings::default());
    network
        .solve(&mut Resistances, &inflow, &none, &mut flows, &mut pressures, &settings)
        .unwrap_or_else(|stuck| panic!("{stuck}"));
    // The last ring gains more than it loses.
    inflow[RUNS / 2 - 2] = 0.4;
    let stuck = network
        .solve(&mut Resistances, &inflow, &none, &mut flows, &mut pressures, &settings)
        .unwrap_err();
    match &stuck.reason {
        Reason::Unbalanced { junctions, inflow_kg_s } => {
            assert_eq!(junctions, &[RUNS / 2 - 2, RUNS / 2 - 1]);
            assert!((inflow_kg_s - 0.1).abs() < 1e-12, "{inflow_kg_s}");
        }
        other => panic!("{other:?}"),
    }
}
