//! The papers for shop and stand, a sheet each.

mod coolant;
mod filling;
mod order;
mod ports;
mod pressing;
mod stand;
mod wiring;

pub use coolant::coolant;
pub use filling::filling;
pub use order::order;
pub use ports::ports;
pub use pressing::pressing;
pub use stand::stand;
pub use wiring::wiring;

use coolwright_cases::quantity::Kind;

use crate::answer::{Sentence, Value};
use crate::say;

/// What is filled in by hand.
const BLANK: &str = "________";

/// A width as it is shown.
fn bore(si: f64) -> Value {
    Value::of(Kind::Length, si)
}

/// Several widths, the widest first.
fn bores(all: &[f64]) -> Value {
    match all {
        [] => Value::Nothing,
        all => Value::list(all.iter().map(|si| bore(*si)), " / "),
    }
}

/// How many, with a word.
fn several(count: usize, one: &'static str, many: &'static str) -> Sentence {
    say!("{count} {word}", count = count, word = if count == 1 { one } else { many })
}
