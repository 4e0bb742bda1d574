//! Solves and steps allocate nothing. The counter counts this thread's allocations only.

use crate::common::grid::Grid;
use crate::common::split::{COUPLINGS, JUNCTIONS, RUNS, START, Split};
use crate::common::systems::{Cells, Lumps};
use coolwright_solver::integrate::{Integrator, Settings as Accuracy};
use coolwright_solver::network::{Network, Settings};
use coolwright_solver::sparse::Sparse;

fn allocations(work: impl FnOnce()) -> u64 {
    allocation_counter::measure(work).count_total
}

#[test]
fn the_counter_counts() {
    assert!(allocations(|| drop(std::hint::black_box(vec![0_u8; 9]))) > 0);
}

#[test]
fn a_solve_allocates_nothing() {
    let mut network = Network::new(JUNCTIONS, &RUNS, &COUPLINGS).unwrap();
    let mut laws = Split::new(1.0, 1.0);
    let (none, settings) = ([None; JUNCTIONS], Settings::default());
    // From a good start, from rest (the flows are followed in time), from reversed flow.
    for factor in [1.0, 0.0, -1.0] {
        let (mut flows, mut pressures) = (START.map(|m| m * factor), [0.0; JUNCTIONS]);
        let mut rates = ([0.0; 17], [0.0; JUNCTIONS]);
        let count = allocations(|| {
            let inflow = [0.0; JUNCTIONS];
            network
                .solve(&mut laws, &inflow, &none, &mut flows, &mut pressures, &settings)
                .unwrap();
            network.sensitivity_solve(&[1.0; 17], &mut rates.0, &mut rates.1).unwrap();
            network.adjoint_solve(&[1.0; 17], &inflow, &mut rates.0).unwrap();
        });
        assert_eq!(count, 0, "start times {factor}");
    }
}

/// A held junction changes the forest; only a second one needs room for one more loop.
#[test]
fn a_held_junction_allocates_nothing() {
    let mut grid = Grid::new(6);
    let mut network = Network::new(36, &grid.runs.clone(), &[]).unwrap();
    let (mut flows, mut pressures) = (grid.start.clone(), vec![0.0; 36]);
    let mut held = [None; 36];
    held[7] = Some(1e5);
    let count = allocations(|| {
        let inflow = [0.0; 36];
        network
            .solve(&mut grid, &inflow, &held, &mut flows, &mut pressures, &Settings::default())
            .unwrap();
    });
    assert_eq!(count, 0);
}

/// Large networks take another way; what falls back to GMRES keeps its directions.
#[test]
fn a_large_solve_allocates_nothing() {
    let mut grid = Grid::new(20);
    let mut network = Network::new(400, &grid.runs.clone(), &[]).unwrap();
    assert!(network.loops() > 300);
    let (mut flows, mut pressures) = (grid.start.clone(), vec![0.0; 400]);
    let (inflow, mut held) = (vec![0.0; 400], vec![None; 400]);
    held[7] = Some(1e5);
    let count = allocations(|| {
        let settings = Settings::default();
        network.solve(&mut grid, &inflow, &held, &mut flows, &mut pressures, &settings).unwrap();
    });
    assert_eq!(count, 0);
    let (rates, mut weights) = (vec![1.0; flows.len()], flows.clone());
    let mut respond = || {
        network.sensitivity_solve(&rates, &mut flows, &mut pressures).unwrap();
        network.adjoint_solve(&rates, &inflow, &mut weights).unwrap();
    };
    respond();
    assert_eq!(allocations(respond), 0);
}

#[test]
fn steps_allocate_nothing() {
    let mut cells = Cells::new(40, 1.0);
    let mut integrator = Integrator::new(&cells, Accuracy::default()).unwrap();
    integrator.restart(0.0, &[0.0; 40]);
    assert_eq!(allocations(|| assert!(integrator.advance(&mut cells, 2.0).is_ok())), 0);
    let mut lumps = Lumps { lag: 1.0, fluid: 1.0, mark: 0.5 };
    let mut integrator = Integrator::new(&lumps, Accuracy::default()).unwrap();
    integrator.restart(0.0, &[0.0]);
    assert_eq!(allocations(|| assert!(integrator.advance(&mut lumps, 2.0).is_ok())), 0);
    assert!((integrator.time() - 2.0_f64.ln()).abs() < 1e-4, "it stopped at the mark");
}

#[test]
fn a_factorisation_allocates_nothing() {
    let pattern: Vec<_> =
        (0..60).flat_map(|i| [(i, i), (i, (i + 1) % 60), (i, (i * 7) % 60)]).collect();
    let values: Vec<f64> = pattern.iter().map(|(i, j)| if i == j { 5.0 } else { -1.0 }).collect();
    let mut matrix = Sparse::new(60, &pattern).unwrap();
    let mut b = [1.0; 60];
    let count = allocations(|| {
        matrix.factor(1.0, &values, 0.0).unwrap();
        matrix.solve(&mut b);
    });
    assert_eq!(count, 0);
    assert!(!matrix.is_pivoted());
}
