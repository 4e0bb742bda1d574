//! Large networks, against answers that were computed independently of this crate.
//!
//! Definition: the project's bench problem `grid`. Answers: Newton on flows and pressures, written twice outside
//! this crate and equal to the digits given; those programs are not in the tree.

use crate::common::grid::Grid;
use crate::common::{check_mass, check_relative};
use coolwright_solver::network::{Laws, Network, Settings};

/// Solves the grid of n × n junctions and checks Σ|m|, Σm², max |m|, the last pressure and the
/// spread of the pressures.
fn check(n: usize, steps: usize, answers: [f64; 5]) {
    let mut grid = Grid::new(n);
    let runs = grid.runs.clone();
    let mut network = Network::new(n * n, &runs, &[]).unwrap();
    let (mut flows, mut pressures) = (grid.start.clone(), vec![0.0; n * n]);
    let (inflow, mut held) = (vec![0.0; n * n], vec![None; n * n]);
    held[0] = Some(0.0);
    let settings = Settings::default();
    let solved =
        network.solve(&mut grid, &inflow, &held, &mut flows, &mut pressures, &settings).unwrap();
    let most = pressures.iter().copied().fold(f64::MIN, f64::max);
    let least = pressures.iter().copied().fold(f64::MAX, f64::min);
    let got = [
        flows.iter().map(|m| m.abs()).sum(),
        flows.iter().map(|m| m * m).sum(),
        flows.iter().fold(0.0_f64, |most, m| most.max(m.abs())),
        pressures[n * n - 1],
        most - least,
    ];
    let names = ["sum of |m|", "sum of m²", "max |m|", "p(last)", "spread of p"];
    for ((name, got), want) in names.iter().zip(got).zip(answers) {
        check_relative(name, got, want, 1e-11);
    }
    assert_eq!((solved.iterations, solved.evaluations, solved.continued), (steps, steps, false));
    assert!(network.outside()[0] == 0.0, "nothing enters or leaves");
    check_mass(&network, &runs, &flows);
    check_every_fall(&mut grid, &flows, &pressures);
}

/// Every law is met: its fall is the difference of the pressures at its ends.
fn check_every_fall(grid: &mut Grid, flows: &[f64], pressures: &[f64]) {
    let (mut falls, mut slopes) = (flows.to_vec(), flows.to_vec());
    grid.evaluate(flows, &mut falls, &mut slopes, &mut []);
    for (run, &(from, to)) in grid.runs.iter().enumerate() {
        let want = pressures[from] - pressures[to];
        assert!((falls[run] - want).abs() < 1e-6, "run {run}: {} and {want}", falls[run]);
    }
}

#[test]
fn grid_of_thirty_has_its_answer() {
    check(30, 8, [841.894160805, 1028.20832973, 3.45633385723, -906.249119450, 27168.4887385]);
}

#[test]
fn grid_of_a_hundred_has_its_answer() {
    check(100, 9, [11095.9262811, 14759.5185821, 5.09084990532, -52820.2073378, 136137.099297]);
}
