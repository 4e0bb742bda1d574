//! The case file.

pub mod diagnostic;
pub mod quantity;
pub mod text;
