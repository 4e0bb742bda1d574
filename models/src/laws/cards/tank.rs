//! Tanks.

use super::{Card, other_law, step, sym};

/// The gas that a closed tank shuts in.
pub static CUSHION: Card = Card {
    key: "tank.gas",
    name: "gas over the coolant of a closed tank",
    steps: &[step("p", "p_v + (p₁ − p_v₁)·V₁/V·T/T₁")],
    symbols: &[
        sym("p", "Pa", "absolute pressure over the surface"),
        sym("p_v", "Pa", "vapour pressure of the coolant"),
        sym("p₁", "Pa", "absolute pressure when it was filled"),
        sym("p_v₁", "Pa", "vapour pressure when it was filled"),
        sym("V₁", "m³", "volume of the gas when it was filled"),
        sym("V", "m³", "its volume: less what the coolant grew by, more what the hoses swell by"),
        sym("T", "K", "temperature of the tank"),
        sym("T₁", "K", "temperature when it was filled"),
        sym("j", "1", "1 where the cap is shut; open either way, it sets the pressure"),
    ],
    ranges: &[other_law("j", 1.0, 1.0)],
    conditions: "ideal dry gas, saturated with vapour; what dissolves in the coolant is left out",
    source: "ideal gas and Dalton's law",
    spread: None,
    code: &["gas"],
};
