//! coolwright: lays out and proves the cooling of hard-worked vehicles before the metal is cut.
//!
//! The program over the crates: it reads files, runs studies, and writes answers. The physics is in
//! `coolwright-models`, the case file in `coolwright-cases`, the numerics in `coolwright-solver`.

pub mod cli;
pub mod commands;
pub mod load;
pub mod study;
pub mod write;
