//! Physics in SI units.

pub mod fluids;
