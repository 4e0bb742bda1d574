//! Fluids against published values and named libraries; the tables are in `tests/reference`.

// Printed symbols and units (c_p, MPa) look like identifiers to this lint.
#![allow(clippy::doc_markdown)]

mod air;
mod coolant;
mod glycol;
pub(crate) mod table;
mod tabled;
mod water;
