//! Fluids, laws and parts against published values.

mod fluids;
mod laws;
mod parts;
mod pumps;
