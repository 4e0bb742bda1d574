//! Circuits that several tests solve, and the checks that every answer has to pass.
#![allow(dead_code)] // Each test program uses its own part of this.

pub(crate) mod grid;
pub(crate) mod laws;
pub(crate) mod pull;
pub(crate) mod split;
pub(crate) mod systems;

use coolwright_solver::network::Network;

/// What enters every junction leaves it, but for 1e-10 of the largest flow there.
pub(crate) fn check_mass(network: &Network, runs: &[(usize, usize)], flows: &[f64]) {
    for (junction, outside) in network.outside().iter().enumerate() {
        let (mut net, mut largest) = (*outside, outside.abs());
        for (&(from, to), flow) in runs.iter().zip(flows) {
            if (from == junction) != (to == junction) {
                net += if to == junction { *flow } else { -flow };
                largest = largest.max(flow.abs());
            }
        }
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
