//! Physics in SI units.
