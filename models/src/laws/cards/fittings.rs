//! Bends, changes of bore, ends of pipes, and parts known by a rated point.

use super::common::{BORE, DENSITY, FACTOR, FALL, FLOW, REYNOLDS, ROUGHNESS, VISCOSITY};
use super::{Card, Outside, Range, Spread, other_law, step, sym, within};
use crate::laws::fittings::RATED_LINEAR_SHARE;
use crate::laws::uncertainty::{
    BARB, BEND_SHARP, BEND_SLOW, BEND_SQUARE, CONE_HEADS, CONE_NARROWING, CONE_WIDENING,
    CONTRACTION, CRACKING, EXPANSION, Law, RATED_EXPONENT, TANK_HEADS,
};

/// A bend.
pub static BEND: Card = Card {
    key: "fittings.bend",
    name: "bend, over and above the straight friction of its centre line",
    steps: &[
        step(
            "Δp",
            "((0.10 + 2.4·f)·sin(α/2) + 6.6·f·(√sin(α/2) + sin(α/2))/x^(4·α/π))·8·m·|m|/(π²·ρ·D⁴) + \
             2·K₁·μ·m/(π·ρ·D³)",
        ),
        step("K₁", "1050·(1 − exp(−4·α/(1.5·π)))"),
        step("f", "8·((8/R)^12 + (A + B)^(−1.5))^(1/12)"),
        step("A", "(−2.457·ln((7/R)^0.9 + 0.27·k/D))^16"),
        step("B", "(37530/R)^16"),
        step("R", "√(Re² + 4000²)"),
        step("Re", "4·|m|/(π·D·μ)"),
        step("x", "r/D"),
    ],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        VISCOSITY,
        BORE,
        ROUGHNESS,
        sym("r", "m", "radius of the centre line"),
        sym("α", "rad", "angle through which the flow turns"),
        sym("x", "1", "radius over bore"),
        sym("K₁", "1", "constant of slow flow"),
        FACTOR,
        REYNOLDS,
        sym("R", "1", "Reynolds number of the friction factor, kept turbulent"),
        sym("A", "1", "term of turbulent flow"),
        sym("B", "1", "term of the transition"),
    ],
    ranges: &[within("x", 0.5, 20.0), HALF_TURN],
    conditions: "straight pipe before and behind it",
    source: "Rennels & Hudson 2012, Pipe Flow, ch. 15 (less its term f·α·r/D); slow flow: Hooper 1981, \
             Chem. Eng. 88(17), 96, whose 500, 800 and 1000 for 45°, 90° and 180° K₁ meets within 4 %",
    spread: Some(Spread {
        law: Law::Bend,
        half_width: "s of the turbulent part from 90° on, rising to t at 45° and below; v of the slow part",
        numbers: &[("s", BEND_SQUARE), ("t", BEND_SHARP), ("v", BEND_SLOW)],
        source: "Miller and Ito against Rennels & Hudson for r/D 1 to 5 and Re 10⁴ to 10⁵ (computed with \
                 the library fluids 1.3.1); slow part: Hooper's two-K against Darby's three-K method (from \
                 memory)",
    }),
    code: &["bend_fall", "bend_parts", "bend_uncertainty"],
};

const SMALL_BORE: super::Symbol = sym("D", "m", "the smaller bore");
const LARGE_BORE: super::Symbol = sym("D₂", "m", "the larger bore");
const AREA_RATIO: super::Symbol = sym("φ", "1", "smaller over larger area");

/// A sudden widening.
pub static EXPANSION_LOSS: Card = Card {
    key: "fittings.expansion",
    name: "sudden widening",
    steps: &[step("Δp", "(1 − φ)²·8·m·|m|/(π²·ρ·D⁴)"), step("φ", "(D/D₂)²")],
    symbols: &[FALL, FLOW, DENSITY, SMALL_BORE, LARGE_BORE, AREA_RATIO],
    ranges: &[within("φ", 0.0, 1.0)],
    conditions: "turbulent flow with a flat profile",
    source: "Borda and Carnot: balance of momentum",
    spread: Some(Spread {
        law: Law::BoreChange,
        half_width: "s of the fall",
        numbers: &[("s", EXPANSION)],
        source: "Archer 1913 measured 1.098·(Δv)^1.919/2g in feet (from memory); a full profile gives a few \
                 percent",
    }),
    code: &["bore_change_fall", "expansion_loss", "bore_change_uncertainty"],
};

/// A sudden narrowing.
pub static CONTRACTION_LOSS: Card = Card {
    key: "fittings.contraction",
    name: "sudden narrowing with a sharp edge",
    steps: &[step("Δp", "0.5·(1 − φ)·8·m·|m|/(π²·ρ·D⁴)"), step("φ", "(D/D₂)²")],
    symbols: &[FALL, FLOW, DENSITY, SMALL_BORE, LARGE_BORE, AREA_RATIO],
    ranges: &[within("φ", 0.0, 1.0)],
    conditions: "turbulent flow",
    source: "Flow of Fluids, TP 410 (2009), contraction of 180°",
    spread: Some(Spread {
        law: Law::BoreChange,
        half_width: "s of the fall",
        numbers: &[("s", CONTRACTION)],
        source: "at half the area handbooks print K from 0.25 (here) over 0.30 (Idelchik; Hooper) to 0.34 \
                 (Rennels & Hudson)",
    }),
    code: &["bore_change_fall", "contraction_loss", "bore_change_uncertainty"],
};

const CONE: super::Symbol = sym("α", "rad", "whole angle of the cone");
/// Up to half a turn, with room for rounding.
const HALF_TURN: Range = within("α", 0.0, std::f64::consts::PI * (1.0 + 1e-9));

/// A cone towards the larger bore.
pub static CONE_WIDENING_LOSS: Card = Card {
    key: "fittings.cone_widening",
    name: "cone towards the larger bore",
    steps: &[step("Δp", "min(2.6·sin(α/2); 1)·(1 − φ)²·8·m·|m|/(π²·ρ·D⁴)"), step("φ", "(D/D₂)²")],
    symbols: &[FALL, FLOW, DENSITY, SMALL_BORE, LARGE_BORE, AREA_RATIO, CONE],
    ranges: &[HALF_TURN],
    conditions: "turbulent flow; friction along the wall is not in it",
    source: "Flow of Fluids, TP 410 (2009), enlargements; of its two formulas the lower one",
    spread: Some(Spread {
        law: Law::Cone,
        half_width: "s of the fall and t velocity heads of the smaller bore",
        numbers: &[("s", CONE_WIDENING), ("t", CONE_HEADS)],
        source: "nine in ten values of Rennels & Hudson, Miller, Idelchik and Hooper, 20° to 60°, area \
                 ratios 0.25 to 0.75 (computed with the library fluids 1.3.1)",
    }),
    code: &["cone_fall", "cone_loss", "cone_uncertainty"],
};

/// A cone towards the smaller bore.
pub static CONE_NARROWING_LOSS: Card = Card {
    key: "fittings.cone_narrowing",
    name: "cone towards the smaller bore",
    steps: &[
        step("Δp", "min(0.8·sin(α/2); 0.5·√sin(α/2))·(1 − φ)·8·m·|m|/(π²·ρ·D⁴)"),
        step("φ", "(D/D₂)²"),
    ],
    symbols: &[FALL, FLOW, DENSITY, SMALL_BORE, LARGE_BORE, AREA_RATIO, CONE],
    ranges: &[HALF_TURN],
    conditions: "turbulent flow; friction along the wall is not in it",
    source: "Flow of Fluids, TP 410 (2009), reducers; of its two formulas the lower one",
    spread: Some(Spread {
        law: Law::Cone,
        half_width: "s of the fall",
        numbers: &[("s", CONE_NARROWING)],
        source: "as for the widening cone",
    }),
    code: &["cone_fall", "cone_loss", "cone_uncertainty"],
};

/// A pipe that ends in a vessel, or begins there.
pub static VESSEL: Card = Card {
    key: "fittings.vessel",
    name: "end of a pipe in a vessel: exit into it, sharp flush entry from it, or both",
    steps: &[step("Δp", "K·8·m·|m|/(π²·ρ·D⁴)")],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        sym("D", "m", "bore of the pipe"),
        sym("K", "1", "loss coefficient: exit 1, entry 0.5, one behind the other 1.5"),
    ],
    ranges: &[],
    conditions: "turbulent flow",
    source: "exit: Borda and Carnot into an endless bore; entry: Idelchik, Handbook of Hydraulic \
             Resistance, sharp flush entrance",
    spread: Some(Spread {
        law: Law::Tank,
        half_width: "s velocity heads of the pipe",
        numbers: &[("s", TANK_HEADS)],
        source: "handbooks print 0.50 to 0.57 for the entry, and profiles give 1.00 to 1.06 for the exit",
    }),
    code: &["loss_fall", "EXIT_LOSS", "ENTRY_LOSS", "tank_uncertainty"],
};

/// A barb: in, along, out.
pub static BARB_LOSS: Card = Card {
    key: "fittings.barb",
    name: "hose barb: sudden narrowing, friction, sudden widening",
    steps: &[step("Δp", "a + b + c")],
    symbols: &[
        FALL,
        sym("a", "Pa", "fall of the change of bore before it"),
        sym("b", "Pa", "friction along it"),
        sym("c", "Pa", "fall of the change of bore behind it"),
    ],
    ranges: &[],
    conditions: "that the three add up, though the flow has no room to recover, is on the high side",
    source: "no source: no coefficient of whole barbs is published",
    spread: Some(Spread {
        law: Law::Barb,
        half_width: "s of the fall",
        numbers: &[("s", BARB)],
        source: "judgement: the jet may have recovered or not, the edge may be broken or not",
    }),
    code: &["barb_uncertainty"],
};

/// A fall known at one flow.
pub static RATED: Card = Card {
    key: "fittings.rated",
    name: "fall known at one flow of one liquid, taken to others by powers",
    steps: &[
        step("Δp", "sign(m)·Δ·(ρ/ρ₀)^(e − 1)·v^(2 − e)·x^n"),
        step("x", "|m|/(ρ·Q)"),
        step("v", "μ/μ₀"),
        step("e", "min(max(n; 1); 2)"),
    ],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        VISCOSITY,
        sym("Δ", "Pa", "fall at the rated flow"),
        sym("ρ₀", "kg/m³", "density of the liquid of that fall"),
        sym("μ₀", "Pa·s", "its viscosity"),
        sym("v", "1", "viscosity over that of the rating"),
        sym("e", "1", "the exponent, held between laminar and quadratic"),
        sym("Q", "m³/s", "rated flow"),
        sym("n", "1", "exponent: 2 for sharp edges, about 1.75 for turbulent channels, 1 laminar"),
        sym("x", "1", "flow over rated flow"),
    ],
    ranges: &[
        other_law("x", RATED_LINEAR_SHARE, f64::INFINITY),
        // So thick a liquid may be laminar where that of the rating was turbulent (judgement, no source).
        Range { of: "v", least: 0.0, most: 5.0, outside: Outside::Warn },
    ],
    conditions: "one regime: laminar where the rated flow was turbulent, it falls by more; below a thousandth \
                 of the rated flow it goes on in proportion to the flow",
    source: "power of the flow: common practice, no source; of density and viscosity: dimensional analysis, as \
             in Blasius' law with n = 1.75",
    spread: Some(Spread {
        law: Law::Rated,
        half_width: "t·|ln(x·ρ/(ρ₀·v))| of the fall",
        numbers: &[("t", RATED_EXPONENT)],
        source: "half the way from the exponent 1.75 (Blasius 1913) to 2 (sharp edges)",
    }),
    code: &["rated_fall", "liquid_factor", "odd_power", "rated_uncertainty"],
};

/// A pump that does not turn.
pub static STOPPED_PUMP: Card = Card {
    key: "pump.stopped",
    name: "pump that is not driven, known by one point",
    steps: &[step("Δp", "sign(m)·r·f·Δ·x²"), step("x", "|m|/(ρ·Q)")],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        sym("r", "1", "density over that of the fluid of the curve"),
        sym("Δ", "Pa", "its fall at the flow Q in the fluid of the curve"),
        sym("Q", "m³/s", "flow at which it has that fall"),
        sym("f", "1", "how many times as much it resists backwards; 1 along its delivery"),
        sym("x", "1", "flow over that flow"),
    ],
    ranges: &[other_law("x", RATED_LINEAR_SHARE, f64::INFINITY)],
    conditions: "a seized pump and one that spins freely differ: each has its own point",
    source: "where not measured: complete characteristics of a radial pump, Donsky 1961, J. Basic Eng. 83, \
             685, as reprinted",
    spread: Some(Spread {
        law: Law::Rated,
        half_width: "t of the fall",
        numbers: &[("t", RATED_EXPONENT)],
        source: "as for a fall taken from one flow to 2.7 times it",
    }),
    code: &["AtRest"],
};

/// A check valve that is open.
pub static CHECK_VALVE_OPEN: Card = Card {
    key: "check_valve.open",
    name: "check valve, open",
    steps: &[
        step("Δp", "(Δ − p_c + p_c·(p_c/S)/(ρ·Q + p_c/S))·x² + p_c·m/(m + p_c/S)"),
        step("x", "m/(ρ·Q)"),
        step("S", "10^5/(0.0001·ρ·Q)"),
    ],
    symbols: &[
        FALL,
        FLOW,
        DENSITY,
        sym("Δ", "Pa", "fall at the rated flow, all of it"),
        sym("Q", "m³/s", "rated flow"),
        sym("p_c", "Pa", "cracking pressure, at least 1 Pa"),
        sym("x", "1", "flow over rated flow"),
        sym("S", "Pa·s/kg", "slope of the shut valve: a leak of 1e-4 of the rated flow at 100 kPa"),
    ],
    ranges: &[other_law("x", RATED_LINEAR_SHARE, f64::INFINITY)],
    conditions: "turbulent flow",
    source: "common practice, no source",
    spread: Some(Spread {
        law: Law::Valve,
        half_width: "t of the cracking pressure, beside that of its rated fall",
        numbers: &[("t", CRACKING)],
        source: "judgement, no source: a seat lifts sooner or later than it says",
    }),
    code: &["CheckValve", "LEAK_SHARE"],
};

/// A check valve that is shut.
pub static CHECK_VALVE_SHUT: Card = Card {
    key: "check_valve.shut",
    name: "check valve, shut: it leaks",
    steps: &[step("Δp", "m·10^5/(0.0001·ρ·Q)")],
    symbols: &[FALL, FLOW, DENSITY, sym("Q", "m³/s", "rated flow")],
    ranges: &[],
    conditions: "a leak of 1e-4 of the rated flow at 100 kPa",
    source: "common practice, no source: a soft-seated valve that is sound",
    spread: None,
    code: &["CheckValve", "LEAK_SHARE"],
};
