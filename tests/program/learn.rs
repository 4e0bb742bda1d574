//! Logs that the model itself made, with noise and faults and numbers that are known: `learn` must find them.

mod bad;
mod coverage;
mod made;
mod of_demo;
