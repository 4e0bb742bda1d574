//! Random circuits: from any start the answer balances, and does not depend on the start.

use crate::common::check_mass;
use coolwright_solver::network::{Laws, Network, Settings, Solved};
use proptest::prelude::*;

/// One run: linear and quadratic resistance, a source that sags with flow, and whether it is
/// steep backwards.
#[derive(Clone, Copy, Debug)]
struct Run {
    ends: (usize, usize),
    linear: f64,
    quadratic: f64,
    source: f64,
    one_way: bool,
}

struct Circuit(Vec<Run>);

impl Laws for Circuit {
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
        for (i, (run, m)) in self.0.iter().zip(flows).enumerate() {
            let steep = if run.one_way && *m < 0.0 { 1e9 } else { 0.0 };
            falls[i] = (run.linear + steep) * m + run.quadratic * m * m.abs() - run.source;
            slopes[i] = run.linear + steep + 2.0 * run.quadratic * m.abs();
        }
    }
}

/// Twelve orders of magnitude of resistance; sources, stopped or opposed, in a third of the runs.
fn run(junctions: usize) -> impl Strategy<Value = Run> {
    let ends = (0..junctions, 0..junctions);
    let source = prop_oneof![2 => Just(0.0), 1 => -1e5_f64..1e5];
    (ends, -6.0_f64..6.0, -6.0_f64..6.0, source, 0_u8..8).prop_map(|(ends, a, b, source, kind)| {
        Run { ends, linear: 10_f64.powf(a), quadratic: 10_f64.powf(b), source, one_way: kind == 0 }
    })
}

fn circuit() -> impl Strategy<Value = (usize, Vec<Run>)> {
    (1_usize..9).prop_flat_map(|n| (Just(n), proptest::collection::vec(run(n), 1..24)))
}

fn solve(
    junctions: usize,
    runs: &[Run],
    held: &[Option<f64>],
    start: f64,
) -> (Vec<f64>, Vec<f64>, Solved) {
    let ends: Vec<_> = runs.iter().map(|run| run.ends).collect();
    let mut network = Network::new(junctions, &ends, &[]).unwrap();
    let mut flows: Vec<f64> = (0..runs.len()).map(|i| start * ((i * 7) % 5) as f64).collect();
    let (mut pressures, inflow) = (vec![0.0; junctions], vec![0.0; junctions]);
    let mut laws = Circuit(runs.to_vec());
    let solved = network
        .solve(&mut laws, &inflow, held, &mut flows, &mut pressures, &Settings::default())
        .unwrap_or_else(|stuck| panic!("start {start}: {stuck}\n{stuck:?}"));
    check_mass(&network, &ends, &flows);
    (flows, pressures, solved)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn monotone_circuits_balance_from_any_start(
        (junctions, runs) in circuit(),
        levels in proptest::collection::vec(proptest::option::weighted(0.2, -1e5_f64..1e5), 9),
    ) {
        let held = &levels[..junctions];
        let (flows, pressures, solved) = solve(junctions, &runs, held, 0.1);
        prop_assert!(!solved.continued, "monotone laws need no continuation: {solved:?}");
        prop_assert!(solved.evaluations < 150, "{solved:?}");
        let (mut falls, mut slopes) = (flows.clone(), flows.clone());
        Circuit(runs.clone()).evaluate(&flows, &mut falls, &mut slopes, &mut []);
        for (i, run) in runs.iter().enumerate() {
            let want = pressures[run.ends.0] - pressures[run.ends.1];
            // Rounding of the flow alone moves the fall by slope · flow · ε.
            let largest = flows.iter().fold(0.0_f64, |most, m| most.max(m.abs()));
            let noise = 1e-12 * slopes[i] * largest + 1e-9 * (falls[i].abs() + run.source.abs());
            prop_assert!((falls[i] - want).abs() <= noise + 1e-7, "run {i}: {} {want}", falls[i]);
        }
        // Below 1e-9 Pa no fall counts: over 1e-6 Pa·s/kg that is a flow of 1e-3 kg/s.
        let largest = flows.iter().fold(1e-3_f64, |most, m| most.max(m.abs()));
        for start in [0.0, -50.0] {
            let (again, _, _) = solve(junctions, &runs, held, start);
            for (i, (a, b)) in flows.iter().zip(&again).enumerate() {
                prop_assert!((a - b).abs() <= 1e-8 * largest, "start {start}, run {i}: {a} {b}");
            }
        }
    }
}
