//! Exchangers between two liquids.

use super::{Card, Spread, step, sym};
use crate::laws::uncertainty::{self, Law};

/// The conductance that a rated point asks for.
pub static RATING: Card = Card {
    key: "exchanger.rating",
    name: "conductance between two liquids from one rated point",
    steps: &[
        step("U", "N·C₁"),
        step("R", "C₁/C₂"),
        step("ε", "q/(C₁·ΔT)"),
        step("C₁", "m₁·c₁"),
        step("C₂", "m₂·c₂"),
    ],
    symbols: &[
        sym(
            "U",
            "W/K",
            "conductance UA from liquid to liquid at the rating, both films and the plate",
        ),
        sym(
            "N",
            "1",
            "transfer units: against each other ln((1 − ε·R)/(1 − ε))/(1 − R), the same way −ln(1 − ε·(1 + R))/(1 + R)",
        ),
        sym("ε", "1", "share of what the first liquid would give if it left as the second enters"),
        sym("R", "1", "capacity flow of the first liquid over that of the second"),
        sym("q", "W", "rated heat"),
        sym("ΔT", "K", "inlet temperature of one liquid less that of the other at the rating"),
        sym("C₁", "W/K", "capacity flow of the first liquid"),
        sym("C₂", "W/K", "capacity flow of the second"),
        sym("m₁", "kg/s", "mass flow of the first liquid at the rating"),
        sym("m₂", "kg/s", "mass flow of the second"),
        sym("c₁", "J/(kg·K)", "heat capacity of the first liquid there"),
        sym("c₂", "J/(kg·K)", "heat capacity of the second"),
    ],
    ranges: &[],
    conditions: "liquids without change of phase, shared evenly by their ways; at other flows each film follows its own flow",
    source: "Kays & London, Compact Heat Exchangers, ch. 2: counterflow and parallel flow",
    spread: Some(Spread {
        law: Law::Film,
        half_width: "r of the conductance of each film",
        numbers: &[("r", uncertainty::EXCHANGER_FILM)],
        source: "AHRI Standard 410: a tested coil may give 5 % less heat than published (from memory), in two films that \
                 are independent",
    }),
    code: &["passing_conductance_w_k", "most_passed_w"],
};
