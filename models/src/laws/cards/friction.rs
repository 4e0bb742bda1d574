//! Friction in hoses and tubes, and the height that they gain.

use super::common::{BORE, DENSITY, FACTOR, FALL, FLOW, LENGTH, REYNOLDS, ROUGHNESS, VISCOSITY};
use super::{Card, Spread, step, sym, within};
use crate::laws::friction::ROUGHNESS_MAX;
use crate::laws::uncertainty::{ASPECT, DEVELOPING_HEADS, Law, ROUGH, SMOOTH};

/// Friction and a loss coefficient in a round bore.
pub static ROUND: Card = Card {
    key: "friction.round",
    name: "friction in a round bore",
    steps: &[
        step("Δp", "(f·L/D + K)·8·m·|m|/(π²·ρ·D⁴)"),
        step("f", "8·((8/Re)^12 + (A + B)^(−1.5))^(1/12)"),
        step("A", "(−2.457·ln((7/Re)^0.9 + 0.27·ε))^16"),
        step("B", "(37530/Re)^16"),
        step("Re", "4·|m|/(π·D·μ)"),
        step("ε", "k/D"),
    ],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        VISCOSITY,
        BORE,
        LENGTH,
        ROUGHNESS,
        sym("K", "1", "loss coefficient of whatever else sits in it, velocity heads"),
        FACTOR,
        REYNOLDS,
        sym("ε", "1", "relative roughness"),
        sym("A", "1", "term of turbulent flow"),
        sym("B", "1", "term of the transition"),
    ],
    ranges: &[within("ε", 0.0, ROUGHNESS_MAX)],
    conditions: "developed flow of one liquid; between Re 2000 and 4000 the real flow is unsteady and \
                 this is one smooth curve through it",
    source: "Darcy and Weisbach; factor: Churchill 1977, Chem. Eng. 84(24), 91; range of roughness: that \
             of the chart of Moody 1944, Trans. ASME 66, 671 (from memory)",
    spread: Some(FRICTION),
    code: &[
        "pipe_fall",
        "darcy_factor",
        "signed_head",
        "pipe_uncertainty",
        "friction_share",
        "developing_uncertainty",
    ],
};

/// What the friction of a bore may be off by.
const FRICTION: Spread = Spread {
    law: Law::Friction,
    half_width: "turbulent: (s + r·(1 − f_smooth/f)) of the friction; laminar: up to k∞ velocity heads \
                 while the profile develops; between Re 2000 and 4500: half the way from one regime to \
                 the other",
    numbers: &[("s", SMOOTH), ("r", ROUGH), ("k∞", DEVELOPING_HEADS)],
    source: "Moody 1944, Trans. ASME 66, 671 (from memory); White, Fluid Mechanics, ch. 6; k∞: Shah & \
             London 1978, Laminar Flow Forced Convection in Ducts (from memory)",
};

/// Friction in one flat tube.
pub static FLAT: Card = Card {
    key: "friction.flat",
    name: "friction in a flat tube, taken as a rectangle",
    steps: &[
        step("Δp", "(f·L/D + K)·m·|m|/(2·ρ·S²)"),
        step("f", "8·((C/(8·Re))^12 + (A + B)^(−1.5))^(1/12)"),
        step("C", "96·(1 − 1.3553·a + 1.9467·a² − 1.7012·a³ + 0.9564·a⁴ − 0.2537·a⁵)"),
        step("A", "(−2.457·ln((7/Re)^0.9 + 0.27·ε))^16"),
        step("B", "(37530/Re)^16"),
        step("Re", "|m|·D/(S·μ)"),
        step("ε", "k/D"),
        step("D", "2·S/(s + w)"),
        step("S", "s·w"),
        step("a", "s/w"),
    ],
    symbols: &[
        FALL,
        sym("m", "kg/s", "mass flow of one tube, signed"),
        DENSITY,
        VISCOSITY,
        sym("s", "m", "inside height, the narrow way"),
        sym("w", "m", "inside width"),
        LENGTH,
        ROUGHNESS,
        sym("K", "1", "loss coefficient of its ends, on the velocity head in the tube"),
        sym("D", "m", "hydraulic diameter"),
        sym("S", "m²", "cross-section"),
        sym("a", "1", "aspect ratio, short over long side"),
        sym("C", "1", "laminar constant f·Re"),
        FACTOR,
        REYNOLDS,
        sym("ε", "1", "relative roughness"),
        sym("A", "1", "term of turbulent flow"),
        sym("B", "1", "term of the transition"),
    ],
    ranges: &[within("ε", 0.0, ROUGHNESS_MAX), within("a", 0.0, 1.0)],
    conditions: "developed flow",
    source: "laminar constant: Shah & London 1978, Laminar Flow Forced Convection in Ducts, eq. 341 (from \
             memory); blended as in Churchill 1977, Chem. Eng. 84(24), 91",
    spread: Some(Spread {
        law: Law::Friction,
        half_width: "as in a round bore, and t of turbulent friction for the aspect ratio",
        numbers: &[("t", ASPECT)],
        source: "Jones 1976, J. Fluids Eng. 98, 173 (from memory)",
    }),
    code: &["flat_tube_fall", "tube_laminar_factor", "flat_tube_uncertainty"],
};

/// The fall by height gained.
pub static HEIGHT: Card = Card {
    key: "height",
    name: "weight of the coolant over a height",
    steps: &[step("Δp", "ρ·g·z")],
    symbols: &[
        FALL,
        DENSITY,
        sym("z", "m", "height gained along the run"),
        sym("g", "m/s²", "standard acceleration of gravity, 9.80665 (ISO 80000-3)"),
    ],
    ranges: &[],
    conditions: "one density along the part",
    source: "hydrostatics",
    spread: None,
    code: &["lift"],
};
