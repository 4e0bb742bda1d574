//! The numerics against closed forms, published answers and each other.

mod common;
mod integrate;
mod least_squares;
mod minima;
mod network_benches;
mod network_circuits;
mod network_grids;
mod network_properties;
mod network_rising;
mod network_scale;
mod nist;
mod no_allocation;
mod robust;
mod roots;
mod sparse_lu;
mod steady;
