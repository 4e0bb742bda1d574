//! Answers put down as text, JSON and CSV. Nothing is worked out here but units and digits.

pub mod csv;
pub(crate) mod grid;
pub mod json;
mod numbers;
mod plan;
pub mod text;

pub use numbers::Style;
pub use plan::Extent;
