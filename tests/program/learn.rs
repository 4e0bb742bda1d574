//! Logs that the model itself made, with noise and faults and numbers that are known: `learn` must find them.

mod bad;
mod corners;
mod coverage;
pub(crate) mod draws;
mod made;
mod of_demo;
mod of_guide;
pub(crate) mod started;
