//! Orifices and valves.

use super::common::{BORE, DENSITY, FALL, FLOW, VISCOSITY};
use super::{Card, Spread, other_law, step, sym, within};
use crate::laws::fittings::RATED_LINEAR_SHARE;
use crate::laws::uncertainty::{Law, ORIFICE, ORIFICE_SLOW, VALVE};

/// A sharp-edged hole.
pub static ORIFICE_LOSS: Card = Card {
    key: "restriction.orifice",
    name: "sharp-edged hole in a thin plate",
    steps: &[
        step("Δp", "K·8·m·|m|/(π²·ρ·D⁴) + 24·(1 − φ)·μ·m/(ρ·d³)"),
        step("K", "((1 + 0.707·√(1 − φ) − φ)/φ)²"),
        step("φ", "β²"),
        step("β", "d/D"),
    ],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        VISCOSITY,
        BORE,
        sym("d", "m", "bore of the hole"),
        sym("K", "1", "loss coefficient on the velocity head in the bore"),
        sym("φ", "1", "area of the hole over that of the bore"),
        sym("β", "1", "hole over bore"),
    ],
    ranges: &[within("β", 0.0, 1.0)],
    conditions: "held against ISO 5167-2 for d/D from 0.2 to 0.75 and a Reynolds number of the hole above \
                 10⁴; a rounded or thick edge loses less",
    source: "Idelchik, Handbook of Hydraulic Resistance, sharp-edged orifice in a straight pipe; slow \
             flow: Sampson 1891, Phil. Trans. R. Soc. A 182, 449; the factor (1 − φ) on it: no source",
    spread: Some(Spread {
        law: Law::Orifice,
        half_width: "s of the fall, rising by t as the Reynolds number of the hole goes from 10⁴ to 10³",
        numbers: &[("s", ORIFICE), ("t", ORIFICE_SLOW)],
        source: "permanent loss of ISO 5167-2 (computed with the library fluids 1.3.1); slow flow: \
                 judgement, no source",
    }),
    code: &["orifice_fall", "orifice_loss", "orifice_uncertainty"],
};

const SHARE: super::Symbol = sym("φ", "1", "share of the full-open flow at equal fall");
const RATED_FALL: super::Symbol = sym("Δ", "Pa", "fall at the rated flow, full open");
const RATED_DENSITY: super::Symbol = sym("ρ₀", "kg/m³", "density of the liquid of that fall");
const RATED_FLOW: super::Symbol = sym("Q", "m³/s", "rated flow");
const OPEN: super::Symbol = sym("y", "1", "opening, 0 shut to 1 full open");
const LEAK: super::Symbol = sym("φ₀", "1", "that share when shut");
const OVER: super::Symbol = sym("x", "1", "flow over the rated flow at this opening");

const VALVE_SPREAD: Spread = Spread {
    law: Law::Valve,
    half_width: "t·(1 − φ) of the fall, beside that of its rated fall",
    numbers: &[("t", VALVE)],
    source: "IEC 60534-2-4 lets a flow coefficient deviate by 10 % (from memory), twice that in the fall",
};

/// A valve of which the flow goes in proportion to the opening.
pub static VALVE_LINEAR: Card = Card {
    key: "restriction.valve_linear",
    name: "valve: equal steps of the opening give equal steps of flow",
    steps: &[
        step("Δp", "sign(m)·Δ·ρ/ρ₀·x²"),
        step("x", "|m|/(ρ·Q·φ)"),
        step("φ", "φ₀ + (1 − φ₀)·max(y; 0)"),
    ],
    symbols: &[FALL, FLOW, DENSITY, RATED_FALL, RATED_DENSITY, RATED_FLOW, OPEN, LEAK, SHARE, OVER],
    ranges: &[within("y", 0.0, 1.0), other_law("x", RATED_LINEAR_SHARE, f64::INFINITY)],
    conditions: "turbulent flow, no cavitation; the curtain π·d·lift of a poppet opens so (geometry)",
    source: "IEC 60534-1, inherent flow characteristics; IEC 60534-2-1, Q = Kv·√(Δp/ρ)",
    spread: Some(VALVE_SPREAD),
    code: &["valve_fall", "opening_share", "valve_uncertainty"],
};

/// A valve of which the flow goes with a power of the opening.
pub static VALVE_EQUAL_PERCENTAGE: Card = Card {
    key: "restriction.valve_equal_percentage",
    name: "valve: equal steps of the opening change the flow by equal percentages",
    steps: &[step("Δp", "sign(m)·Δ·ρ/ρ₀·x²"), step("x", "|m|/(ρ·Q·φ)"), step("φ", "φ₀^(1 − y)")],
    symbols: &[FALL, FLOW, DENSITY, RATED_FALL, RATED_DENSITY, RATED_FLOW, OPEN, LEAK, SHARE, OVER],
    ranges: &[within("y", 0.0, 1.0), other_law("x", RATED_LINEAR_SHARE, f64::INFINITY)],
    conditions: "turbulent flow, no cavitation",
    source: "IEC 60534-1, inherent flow characteristics; IEC 60534-2-1, Q = Kv·√(Δp/ρ)",
    spread: Some(VALVE_SPREAD),
    code: &["valve_fall", "opening_share", "valve_uncertainty"],
};
