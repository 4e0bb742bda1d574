//! Fluids, laws and parts against published values.

mod core_tables;
mod fluids;
mod gases;
mod inputs;
mod laws;
mod parts;
mod pumps;
