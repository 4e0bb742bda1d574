//! Circuits that several tests solve, and the checks that every answer has to pass.
#![allow(dead_code)] // Each test program uses its own part of this.

pub(crate) mod grid;
pub(crate) mod laws;
pub(crate) mod pull;
pub(crate) mod split;
pub(crate) mod systems;

use coolwright_solver::network::Network;

/// What enters every junction leaves it, to rounding of the largest flow in the network. Not of the
/// largest flow at the junction: a run's flow is a sum of loop flows, and two large ones may cancel in
/// it (3e5 kg/s in random circuits, whose last digit is 6e-11 kg/s).
pub(crate) fn check_mass(network: &Network, runs: &[(usize, usize)], flows: &[f64]) {
    let outside = network.outside();
    let largest = flows.iter().chain(outside).fold(1e-3_f64, |most, flow| most.max(flow.abs()));
    for (junction, outside) in outside.iter().enumerate() {
        let mut net = *outside;
        for (&(from, to), flow) in runs.iter().zip(flows) {
            net += f64::from(u8::from(to == junction)) * flow;
            net -= f64::from(u8::from(from == junction)) * flow;
        }
        assert!(
            net.abs() <= 1e-13 * largest,
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
