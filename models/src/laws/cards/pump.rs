//! Pumps: the affinity laws, viscosity, drives, suction.

use super::common::DENSITY;
use super::{Card, Outside, Range, Spread, Step, Symbol, step, sym};
use crate::laws::pump::{LEAST_BEST_FLOW_M3_S, LEAST_BEST_HEAD_M, MOST_B};
use crate::laws::uncertainty::{LABEL, Law, PUMP_FLOW, PUMP_HEAD};

const DENSITY_RATIO: Symbol = sym("r", "1", "density over that of the fluid of the curve");
const SPEED: Symbol = sym("s", "1", "speed over that of the curve");
const FLOW_FACTOR: Symbol = sym("c_Q", "1", "factor on the flow for viscosity");
const HEAD_FACTOR: Symbol = sym("c_H", "1", "factor on the head for viscosity");
const EFFICIENCY_FACTOR: Symbol = sym("c_η", "1", "factor on the efficiency for viscosity");
const RISE: Symbol = sym("Δp", "Pa", "rise of total pressure along the run");
const CURVE: Symbol = sym(
    "H₁",
    "Pa",
    "rise of the curve at the flow Q/(s·c_Q), by the cubics of Fritsch & Carlson; of a pump with \
         `head_scale` h and `flow_scale` f h times that of its curve at Q/(s·f·c_Q)",
);
pub(super) const REST: Symbol =
    sym("R", "Pa", "what it gives as if at rest: below zero beyond its curve, above it backwards");
pub(super) const STILL: Symbol = sym("Δ", "Pa", "its fall at rest at the flow Q₀");
pub(super) const BESIDES: Symbol = sym(
    "y",
    "1",
    "flow beyond the end of the curve over Q₀; backwards all of it, times the root of how many times as \
     much it resists then; else 0",
);
const BEYOND: &[Step] = &[step("Δp", "r·(c_H·s²·H₁ + R)"), step("R", "−Δ·y·|y|")];
const OWN_WARNING: Outside = Outside::OwnWarning;

/// A pump with a measured curve.
pub static CURVE_RISE: Card = Card {
    key: "pump.curve",
    name: "pump known by a curve, at any speed",
    steps: BEYOND,
    symbols: &[RISE, DENSITY_RATIO, HEAD_FACTOR, SPEED, CURVE, REST, STILL, BESIDES],
    ranges: &[],
    conditions: "homologous points; beyond its end the curve bends into what the pump resists at rest",
    source: "affinity laws, Q ∝ n and H ∝ n²; between points of the curve: Fritsch & Carlson 1980, SIAM \
             J. Numer. Anal. 17, 238; beyond them and backwards: our form, held to the complete \
             characteristics of Donsky 1961, J. Basic Eng. 83, 685",
    spread: Some(Spread {
        law: Law::PumpCurve,
        half_width: "√((s·H)² + (t·Q·dH/dQ)²)",
        numbers: &[("s", PUMP_HEAD), ("t", PUMP_FLOW)],
        source: "ISO 9906, acceptance grade 3B (from memory)",
    }),
    code: &["machine_rise", "pump_curve_uncertainty"],
};

/// A pump with the two numbers of a label.
pub static LABEL_RISE: Card = Card {
    key: "pump.label",
    name: "pump known by the two numbers of its label, at any speed",
    steps: BEYOND,
    symbols: &[
        RISE,
        DENSITY_RATIO,
        HEAD_FACTOR,
        SPEED,
        sym(
            "H₁",
            "Pa",
            "rise at the flow Q/(s·c_Q), by the parabola through shut-off and free flow",
        ),
        REST,
        STILL,
        BESIDES,
    ],
    ranges: &[],
    conditions: "homologous points",
    source: "affinity laws, Q ∝ n and H ∝ n²; the parabola: common practice, no source",
    spread: Some(Spread {
        law: Law::PumpLabel,
        half_width: "root of the sum of three squares: s of the pressure at shut-off, s of the free flow, \
                     and half the way from the parabola to a straight line",
        numbers: &[("s", LABEL)],
        source: "labels are rounded up more often than down (common practice, no source)",
    }),
    code: &["machine_rise", "pump_label_uncertainty"],
};

/// A pump's power.
pub static POWER: Card = Card {
    key: "pump.power",
    name: "power of a pump at any speed",
    steps: &[step("P", "r·c_Q·c_H/c_η·s³·P₁")],
    symbols: &[
        sym("P", "W", "power taken from the supply or at the shaft"),
        DENSITY_RATIO,
        FLOW_FACTOR,
        HEAD_FACTOR,
        EFFICIENCY_FACTOR,
        SPEED,
        sym("P₁", "W", "power of the curve at the flow Q/(s·c_Q), or the one power that is known"),
    ],
    ranges: &[],
    conditions: "homologous points; efficiency does not change with speed",
    source: "affinity laws, P ∝ n³",
    spread: None,
    code: &["pump_power"],
};

/// Viscosity.
pub static VISCOUS: Card = Card {
    key: "pump.viscous",
    name: "correction of a pump's curve for viscosity, against the fluid of the curve",
    steps: &[
        step("c_Q", "2.71^(−0.165·log10(b)^3.15)/2.71^(−0.165·log10(b₁)^3.15)"),
        step("c_η", "b^(−0.0547·b^0.69)/b₁^(−0.0547·b₁^0.69)"),
        step("b", "min(max(B; 1); 40)"),
        step("b₁", "min(max(B₁; 1); 40)"),
        step("B", "16.5·√(ν·10^6/s)·H^0.0625/((3600·Q)^0.375·(n·30/π)^0.25)"),
        step("B₁", "16.5·√(ν₁·10^6)·H^0.0625/((3600·Q)^0.375·(n·30/π)^0.25)"),
    ],
    symbols: &[
        FLOW_FACTOR,
        EFFICIENCY_FACTOR,
        sym("B", "1", "parameter of viscosity in the coolant"),
        sym("B₁", "1", "parameter of viscosity in the fluid of the curve"),
        sym("b", "1", "the same, held between the ends of the fit"),
        sym("b₁", "1", "the same, held between the ends of the fit"),
        sym("ν", "m²/s", "kinematic viscosity of the coolant"),
        sym("ν₁", "m²/s", "kinematic viscosity of the fluid of the curve"),
        SPEED,
        sym("H", "m", "head at the best point of the curve"),
        sym("Q", "m³/s", "flow at the best point of the curve"),
        sym("n", "rad/s", "speed of the curve"),
    ],
    ranges: &[
        Range { of: "B", least: 0.0, most: MOST_B, outside: OWN_WARNING },
        Range { of: "Q", least: LEAST_BEST_FLOW_M3_S, most: f64::INFINITY, outside: OWN_WARNING },
        Range { of: "H", least: LEAST_BEST_HEAD_M, most: f64::INFINITY, outside: OWN_WARNING },
    ],
    conditions: "held beyond both ends of the fit; head factor c_H = 1 − (1 − C_Q)·(Q/Q_best)^0.75, a cubic \
                 of our own below a tenth of the best flow",
    source: "ANSI/HI 9.6.7 (2004 and later; from memory)",
    spread: None,
    code: &[
        "viscosity_parameter",
        "viscous_flow_factor",
        "viscous_efficiency_factor",
        "viscous_head_factor",
    ],
};

/// The speed of an electric drive.
pub static ELECTRIC: Card = Card {
    key: "pump.electric",
    name: "speed of an electric drive: the least of what is commanded and what the voltage allows",
    steps: &[step("s", "min(y; U/U₁·max(1; y))")],
    symbols: &[
        SPEED,
        sym("y", "1", "commanded speed over that of the curve"),
        sym("U", "V", "voltage of the supply"),
        sym("U₁", "V", "voltage that gives the speed of the curve"),
    ],
    ranges: &[],
    conditions: "speed in proportion to the voltage. By the elementary equations of a motor with permanent \
                 magnets, U = k·ω + R·I and T = k·I, on a load T ∝ ω², u = (1 − ε)·s + ε·s², ε the share of \
                 the voltage that its resistance takes at full speed: s = u where ε is small, 0.78 for 0.75 \
                 where it is 0.2",
    source: "balance of voltages and torques, U = k·ω + R·I, T = k·I; small ε: common practice, no source",
    spread: None,
    code: &["most_speed"],
};

/// The speed that a limit of current leaves.
pub static CURRENT_LIMIT: Card = Card {
    key: "pump.current_limit",
    name: "speed at which a drive takes the power that its current limit allows",
    steps: &[step("P", "I·U")],
    symbols: &[
        sym("P", "W", "power that it takes at that speed"),
        sym("I", "A", "limit of the current"),
        sym("U", "V", "voltage of the supply"),
    ],
    ranges: &[],
    conditions: "the controller lowers the speed and wastes nothing",
    source: "balance of power",
    spread: None,
    code: &["speed_at_power"],
};

/// The speed of a drive from the engine.
pub static ENGINE: Card = Card {
    key: "pump.engine",
    name: "speed of a pump that the engine turns",
    steps: &[step("s", "i·n/n₁")],
    symbols: &[
        SPEED,
        sym("i", "1", "turns of the pump for one of the engine"),
        sym("n", "rad/s", "speed of the engine"),
        sym("n₁", "rad/s", "speed of the curve"),
    ],
    ranges: &[],
    conditions: "no slip",
    source: "geometry of the drive",
    spread: None,
    code: &["most_speed"],
};

/// Suction head available.
pub static SUCTION: Card = Card {
    key: "pump.suction",
    name: "net positive suction head available",
    steps: &[step("N", "(p − p_v)/(ρ·g)")],
    symbols: &[
        sym("N", "m", "net positive suction head"),
        sym("p", "Pa", "absolute total pressure at the pump's inlet"),
        sym("p_v", "Pa", "vapour pressure of the coolant there"),
        DENSITY,
        sym("g", "m/s²", "standard acceleration of gravity, 9.80665 (ISO 80000-3)"),
    ],
    ranges: &[],
    conditions: "the inlet is its datum",
    source: "definition of ISO 17769-1 and ISO 9906",
    spread: None,
    code: &["suction_head_m"],
};

/// Suction head required.
pub static SUCTION_REQUIRED: Card = Card {
    key: "pump.suction_required",
    name: "net positive suction head required, at any speed",
    steps: &[step("N", "s²·N₁")],
    symbols: &[
        sym("N", "m", "net positive suction head"),
        SPEED,
        sym("N₁", "m", "that of its curve at the flow Q/s"),
    ],
    ranges: &[Range { of: "s", least: 0.8, most: 1.2, outside: Outside::Fine }],
    conditions: "speeds not far from that of the curve",
    source: "affinity law as ISO 9906 allows it between 80 and 120 % of the speed",
    spread: None,
    code: &["pump_rise"],
};
