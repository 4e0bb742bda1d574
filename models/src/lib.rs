//! Physics in SI units.

pub mod fluids;
pub mod laws;
