//! Whole models against published answers, closed forms, hand sums and each other.

#[path = "../common/mod.rs"]
mod common;

mod bench_problems;
mod compiled_laws;
mod edges;
mod fittings;
mod gauges;
mod no_allocation;
mod pressure;
mod published;
mod random_networks;
mod uncertainty;
mod whole;
