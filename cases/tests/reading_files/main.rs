//! Case files from text to typed values, and the messages about what is wrong in them.

mod faults;
mod fields;
mod no_panic;
mod quantities;
mod reading;
mod sample;
mod stand;
mod units;
