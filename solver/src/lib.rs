//! Numerics that know nothing of coolant.
pub mod scalar;
