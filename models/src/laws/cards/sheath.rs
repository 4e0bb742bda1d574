//! Thermometers that lag.

use super::{Card, Outside, Range, step, sym};

/// A thermometer in its sheath.
pub static SHEATH: Card = Card {
    key: "gauge.sheath",
    name: "thermometer behind its coolant: one lump in a sheath",
    steps: &[step("τ", "τ₀/√x")],
    symbols: &[
        sym("τ", "s", "time in which it has come 63 % of the way after a step"),
        sym("τ₀", "s", "the same at the flow at which it was told"),
        sym("x", "1", "flow over that flow; 1 where none was told"),
    ],
    ranges: &[Range { of: "x", least: 0.01, most: f64::INFINITY, outside: Outside::Fine }],
    conditions: "the film on the sheath alone decides; ten times the lag is the most, in coolant that stands still",
    source: "Hilpert 1933, Forsch. Ing.-Wes. 4, 215: Nu ∝ Re^0.466 across a cylinder at Re 40 to 4000 (from memory); \
             what is left at rest: common practice, no source",
    spread: None,
    code: &["follows_per_s"],
};
