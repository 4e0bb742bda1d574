//! Whole models against published answers, closed forms, hand sums and each other.

#[path = "../common/mod.rs"]
mod common;

mod bay;
mod bench_problems;
mod built_cores;
mod charge_air;
mod compiled_laws;
mod core_tables;
mod edges;
mod exchangers;
mod fittings;
mod gauges;
mod governors;
mod heat_sources;
mod ice;
mod instance;
mod lanes;
mod limiting;
mod liquids;
mod machines;
mod no_allocation;
mod own_states;
mod pressure;
mod published;
mod random_networks;
mod ratings;
mod reasons;
mod sagging;
mod seams;
mod sway;
mod switches;
mod tangent;
mod thermostat;
mod transport;
mod uncertainty;
mod wall;
mod whole;
mod written;
