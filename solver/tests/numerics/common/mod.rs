//! Circuits that several tests solve, and the checks that every answer has to pass.
#![allow(dead_code)] // Each test program uses its own part of this.

pub(crate) mod grid;
pub(crate) mod laws;
pub(crate) mod split;
pub(crate) mod systems;

use coolwright_solver::network::Network;

/// What enters every junction leaves it, but for 1e-10 of the largest flow there.
pub(crate) fn check_mass(network: &Network, runs: &[(usize, usize)], flows: &[f64]) {
    let mut sums: Vec<_> = network.outside().iter().map(|flow| (*flow, flow.abs())).collect();
    for (&(from, to), flow) in runs.iter().zip(flows).filter(|((from, to), _)| from != to) {
        for (junction, net) in [(from, -flow), (to, *flow)] {
            sums[junction].0 += net;
            sums[junction].1 = sums[junction].1.max(flow.abs());
        }
    }
    for (junction, (net, largest)) in sums.into_iter().enumerate() {
        assert!(
            net.abs() <= 1e-10 * largest,
            "junction {junction}: net {net} kg/s beside a largest flow of {largest} kg/s"
        );
    }
}

pub(crate) fn check_relative(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance * want.abs(),
        "{what}: got {got:.13}, want {want:.13}, relative {:e}",
        (got - want) / want
    );
}
