//! What the crates below say as typed values, in words with slots for numbers.

pub mod errors;
pub mod plain;
pub mod units;
pub mod warnings;
