//! Cores, and the air that crosses them.

use super::common::VISCOSITY;
use super::pump::{BESIDES, REST, STILL};
use super::{Card, Outside, Range, Spread, Symbol, other_law, step, sym};
use crate::laws::fittings::RATED_LINEAR_SHARE;
use crate::laws::uncertainty::{self, Law};

const FLOW: Symbol = sym("m", "kg/s", "mass flow of the coolant");
const AIR: Symbol = sym("w", "kg/s", "mass flow of the air");
/// A core that works at more than three times its rated flow, or less than a third, is far from its
/// rating (judgement, no source).
const RATED: Range = Range { of: "x", least: 1.0 / 3.0, most: 3.0, outside: Outside::OwnWarning };
const CONDUCTANCE: Symbol = sym("U", "W/K", "conductance UA between coolant and air");

/// The conductance that a rated point asks for.
pub static RATING: Card = Card {
    key: "core.rating",
    name: "conductance of a core from one rated point",
    steps: &[
        step("U", "−C_a·ln(1 − Γ)"),
        step("Γ", "−C_c/C_a·ln(1 − q/(C_c·ΔT))"),
        step("C_c", "m·c"),
        step("C_a", "w·c_a"),
    ],
    symbols: &[
        CONDUCTANCE,
        sym("q", "W", "rated heat"),
        sym("ΔT", "K", "coolant inlet less air inlet temperature at the rating"),
        sym("m", "kg/s", "mass flow of the coolant at the rating"),
        sym("w", "kg/s", "mass flow of the air at the rating"),
        sym("c", "J/(kg·K)", "heat capacity of the coolant of the rating"),
        sym("c_a", "J/(kg·K)", "heat capacity of air, 1006"),
        sym("C_c", "W/K", "capacity flow of the coolant"),
        sym("C_a", "W/K", "capacity flow of the air"),
        sym("Γ", "1", "effectiveness against the warmest coolant that each air stream meets"),
    ],
    ranges: &[],
    conditions: "cross-flow, air unmixed, coolant mixed across the depth (a single row of flat tubes)",
    source: "Kays & London, Compact Heat Exchangers, ch. 2",
    spread: Some(Spread {
        law: Law::CoreRating,
        half_width: "r of the conductance",
        numbers: &[("r", uncertainty::CORE_RATING)],
        source: "AHRI Standard 410: a tested coil may give 5 % less heat than published (from memory)",
    }),
    code: &[
        "rated_conductance_w_k",
        "heat_for_each_kelvin_w_k",
        "most_heat_w",
        "most_heat_of_any_w",
        "rated_ua",
    ],
};

/// The film of a core at other flows.
pub static FILM: Card = Card {
    key: "core.film",
    name: "resistance of a core's coolant film, from that at its rating",
    steps: &[
        step("R", "R₀·(s^5 + x^4)^(−1/5)/((λ/λ₀)^0.6·(c·μ₀/(c₀·μ))^0.4)/y"),
        step("x", "|m|/m₀"),
    ],
    symbols: &[
        sym("R", "K/W", "resistance of the film"),
        sym("R₀", "K/W", "that at the rating"),
        FLOW,
        sym("m₀", "kg/s", "mass flow of the coolant at the rating"),
        sym("x", "1", "flow over rated flow"),
        sym("s", "1", "share of the rated film that is left at rest"),
        sym("λ", "W/(m·K)", "conductivity of the coolant"),
        sym("λ₀", "W/(m·K)", "that of the rating's coolant"),
        sym("c", "J/(kg·K)", "heat capacity of the coolant"),
        sym("c₀", "J/(kg·K)", "that of the rating's coolant"),
        VISCOSITY,
        sym("μ₀", "Pa·s", "viscosity of the rating's coolant"),
        sym("y", "1", "share of the face that is open"),
    ],
    ranges: &[RATED],
    conditions: "turbulent flow in its tubes",
    source: "Dittus and Boelter 1930 (from memory); the share at rest: common practice, no source",
    spread: None,
    code: &["resistances"],
};

/// The air side of a core at other flows.
pub static AIR_SIDE: Card = Card {
    key: "core.air_side",
    name: "resistance of a core's air side, from that at its rating",
    steps: &[step("R", "R₀·((x² + 10^(−12))^(1/2))^(−n)/y"), step("x", "w/(y·w₀)")],
    symbols: &[
        sym("R", "K/W", "resistance of the air side, fins included"),
        sym("R₀", "K/W", "that at the rating"),
        AIR,
        sym("w₀", "kg/s", "mass flow of the air at the rating"),
        sym("x", "1", "flow through the open face over rated flow"),
        sym("n", "1", "exponent"),
        sym("y", "1", "share of the face that is open"),
    ],
    ranges: &[RATED],
    conditions: "a power of the flow; a table of ratings, where there is one, stands in its place",
    source: "common practice, no source",
    spread: None,
    code: &["resistances"],
};

/// The air side of a core by a table.
pub static TABLE: Card = Card {
    key: "core.table",
    name: "resistance of a core's air side, from a table of its conductance",
    steps: &[step("R_a", "a·(1/U − R_t − R_w)/y")],
    symbols: &[
        sym("R_a", "K/W", "resistance of the air side, fins included"),
        CONDUCTANCE,
        sym(
            "R_t",
            "K/W",
            "resistance of the film of the table's coolant at that flow, 85 % of 1/U at the most",
        ),
        sym("R_w", "K/W", "resistance of the wall"),
        sym(
            "a",
            "1",
            "with one air flow in the table what the air side has there over that at it, as in `core.air_side`; with several 1",
        ),
        sym("y", "1", "share of the face that is open"),
    ],
    ranges: &[],
    conditions: "ln U on a monotone cubic over the logarithm of each flow, through every row; beyond the rows the power between \
                 the last two goes on, which a warning says; over a flow of which the table has one only, film and air go on \
                 as in `core.film` and `core.air_side`. The film goes on from that of the table with the liquid, as in \
                 `core.film`",
    source: "the rows: the case; cubics: Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300; conductance of a row: \
             as `core.rating`",
    spread: Some(Spread {
        law: Law::CoreRating,
        half_width: "r of the conductance",
        numbers: &[("r", uncertainty::CORE_RATING)],
        source: "AHRI Standard 410: a tested coil may give 5 % less heat than published (from memory)",
    }),
    code: &["UaTable", "slope_between", "resistances"],
};

/// The fall of air through a core by a table.
pub static FALL_TABLE: Card = Card {
    key: "core.fall_table",
    name: "fall of the air through a core, from a table of it",
    steps: &[step("Δp", "F/ρ")],
    symbols: &[
        AIR_FALL,
        sym(
            "F",
            "Pa·kg/m³",
            "fall times density by the table, at the mass flow through the open face",
        ),
        sym("ρ", "kg/m³", "mean density of the air in the core"),
    ],
    ranges: &[],
    conditions: "ln F on a monotone cubic over ln w, through every point; beyond the points the power between the last two goes on, \
                 which a warning says; in proportion to w next to rest",
    source: "the points: the case; fall × density is a function of mass flux: Kays & London, Compact Heat Exchangers, ch. 2; \
             cubics: Fritsch & Butland 1984",
    spread: Some(Spread {
        law: Law::AirFall,
        half_width: "a of the fall",
        numbers: &[("a", uncertainty::AIR_FALL)],
        source: "AHRI Standard 410: the fall may be 10 % over what was published (from memory)",
    }),
    code: &["FallTable"],
};

/// One cell of a core.
pub static EXCHANGE: Card = Card {
    key: "core.exchange",
    name: "heat between coolant and entering air in one cell of a core",
    steps: &[
        step("G", "C_a·(1 − exp(−U/C_a))"),
        step("U", "1/((R_a + R_f + R_w)·n)"),
        step("C_a", "w·c_a/n"),
    ],
    symbols: &[
        sym("G", "W/K", "heat for each kelvin between coolant and entering air"),
        sym("U", "W/K", "conductance UA of the cell"),
        sym("C_a", "W/K", "capacity flow of the air through the cell"),
        sym("R_a", "K/W", "resistance of the air side of the whole core"),
        sym("R_f", "K/W", "resistance of the coolant film of the whole core"),
        sym("R_w", "K/W", "resistance of the wall of the whole core"),
        AIR,
        sym("c_a", "J/(kg·K)", "heat capacity of the air"),
        sym("n", "1", "number of cells"),
    ],
    ranges: &[],
    conditions: "air unmixed, one temperature of coolant in the cell; raised by (e^x − 1)/x, x = G/C_c, so \
                 that the cells in a row give what plug flow gives; in coolant next to rest no more than its air \
                 could take twice over",
    source: "Kays & London, Compact Heat Exchangers, ch. 2; the raise follows from (1 + φ·x)⁻¹ = e^(−x)",
    spread: None,
    code: &["of_cell", "plug_flow_factor", "arranged_conductance"],
};

const AIR_FALL: Symbol = sym("Δp", "Pa", "fall of the air's pressure");

/// The fall of air through a core.
pub static AIR_FALL_OF_CORE: Card = Card {
    key: "core.air_fall",
    name: "fall of the air through a core, from that at its rating",
    steps: &[step("Δp", "Δ·ρ₀/ρ·x·((x² + 0.0001)/1.0001)^((n − 1)/2)"), step("x", "w/(y·w₀)")],
    symbols: &[
        AIR_FALL,
        sym("Δ", "Pa", "fall at the rated flow and density"),
        sym("ρ₀", "kg/m³", "density of that fall"),
        sym("ρ", "kg/m³", "mean density of the air in the core"),
        AIR,
        sym("w₀", "kg/s", "flow of that fall"),
        sym("x", "1", "flow through the open face over rated flow"),
        sym("n", "1", "exponent"),
        sym("y", "1", "share of the face that is open"),
    ],
    ranges: &[],
    conditions: "fall times density follows the mass flow; in proportion to the flow below a hundredth of it",
    source: "common practice, no source (the same mass flux at another density: Kays & London, Compact Heat \
             Exchangers)",
    spread: Some(Spread {
        law: Law::AirFall,
        half_width: "a of the fall",
        numbers: &[("a", uncertainty::AIR_FALL)],
        source: "AHRI Standard 410: the fall may be 10 % over what was published (from memory)",
    }),
    code: &["at"],
};

/// The fall of grille, shroud and ducts.
pub static DUCTS: Card = Card {
    key: "air.ducts",
    name: "fall of grille, shroud and ducts, less the ram pressure of the road speed",
    steps: &[
        step("Δp", "Δ·ρ₀/ρ·x·((x² + 0.0001)/1.0001)^((n − 1)/2) − ½·k·ρ_s·v²"),
        step("x", "w/w₀"),
    ],
    symbols: &[
        AIR_FALL,
        sym("Δ", "Pa", "fall at the flow w₀ and the density ρ₀"),
        sym("ρ₀", "kg/m³", "density of that fall"),
        sym("ρ", "kg/m³", "density of the air there, as it enters"),
        AIR,
        sym("w₀", "kg/s", "flow of that fall"),
        sym("x", "1", "flow over that flow"),
        sym("n", "1", "exponent"),
        sym("k", "1", "share of the dynamic pressure that stands in front"),
        sym("ρ_s", "kg/m³", "density of the air of the site"),
        sym("v", "m/s", "road speed"),
    ],
    ranges: &[],
    conditions: "fall times density follows the mass flow; in proportion to the flow below a hundredth of it",
    source: "dynamic pressure: Bernoulli; fall: as that of a core",
    spread: None,
    code: &["at"],
};

/// The fall through a gap past the cores.
pub static GAP: Card = Card {
    key: "air.gap",
    name: "fall of the air through a gap past the cores",
    steps: &[
        step("Δp", "½·ζ·(w₀/A)²/ρ·x·((x² + 0.0001)/1.0001)^(1/2)"),
        step("x", "w/w₀"),
        step("w₀", "12·A"),
    ],
    symbols: &[
        AIR_FALL,
        sym("ζ", "1", "loss coefficient on the velocity in the gap"),
        sym("A", "m²", "its area"),
        sym("ρ", "kg/m³", "density of the air there, as it enters"),
        AIR,
        sym("x", "1", "flow over that of 12 kg/(s·m²)"),
        sym("w₀", "kg/s", "flow of 12 kg/(s·m²)"),
    ],
    ranges: &[],
    conditions: "ζ/2 ρ v²; in proportion to the flow below a hundredth of w₀",
    source: "all of the jet is lost behind it; ζ of sharp edges: ((π + 2)/π)², the contraction of a jet through a slit, Kirchhoff 1869",
    spread: None,
    code: &["at"],
};

/// A fan that turns.
pub static FAN: Card = Card {
    key: "fan.curve",
    name: "fan known by a curve, at any speed and density",
    steps: &[step("Δp", "ρ/ρ₁·(s²·H₁ + R)"), step("R", "−Δ·y·|y|")],
    symbols: &[
        sym("Δp", "Pa", "rise of the air's static pressure"),
        sym("ρ", "kg/m³", "density of the air at the fan"),
        sym("ρ₁", "kg/m³", "density of the curve"),
        sym("s", "1", "speed over that of the curve"),
        sym("H₁", "Pa", "rise of the curve at the flow Q/s"),
        REST,
        STILL,
        BESIDES,
    ],
    ranges: &[],
    conditions: "homologous points; beyond its end the curve bends into what the fan resists at rest",
    source: "affinity laws, Q ∝ n and Δp ∝ ρ·n²; beyond the curve and backwards: our form, as for pumps",
    spread: Some(Spread {
        law: Law::FanCurve,
        half_width: "√((t p)² + (t Q dp/dQ)²)",
        numbers: &[("t", uncertainty::FAN)],
        source: "ISO 13348:2007, tolerance grade AN4 (from memory)",
    }),
    code: &["machine_rise", "fan_curve_uncertainty"],
};

/// A fan that stands still.
pub static STOPPED_FAN: Card = Card {
    key: "fan.stopped",
    name: "fan that is not driven, known by one point",
    steps: &[step("Δp", "f·Δ·ρ/ρ₁·x·|x|"), step("x", "w/(ρ·Q)")],
    symbols: &[
        AIR_FALL,
        sym("Δ", "Pa", "fall at the flow Q and the density of the curve"),
        sym("ρ", "kg/m³", "density of the air at the fan"),
        sym("ρ₁", "kg/m³", "density of the curve"),
        sym("w", "kg/s", "mass flow through the fan"),
        sym("Q", "m³/s", "volume flow of that fall"),
        sym("f", "1", "how many times as much it resists backwards; 1 along its delivery"),
        sym("x", "1", "flow over that flow"),
    ],
    ranges: &[other_law("x", RATED_LINEAR_SHARE, f64::INFINITY)],
    conditions: "turbulent flow",
    source: "common practice, no source",
    spread: None,
    code: &["AtRest"],
};

/// A fan's power.
pub static FAN_POWER: Card = Card {
    key: "fan.power",
    name: "power of a fan at any speed and density",
    steps: &[step("P", "P₁·s³·ρ/ρ₁")],
    symbols: &[
        sym("P", "W", "electric power"),
        sym("P₁", "W", "that at the speed and density of the curve"),
        sym("s", "1", "speed over that of the curve"),
        sym("ρ", "kg/m³", "density of the air at the fan"),
        sym("ρ₁", "kg/m³", "density of the curve"),
    ],
    ranges: &[],
    conditions: "the change along the curve is left out",
    source: "affinity laws, P ∝ ρ·n³",
    spread: None,
    code: &["power_w"],
};

/// What a fan warms its air by.
pub static FAN_WARMS: Card = Card {
    key: "fan.warms",
    name: "air warmed by the fan that it goes through",
    steps: &[step("ΔT", "P·|w|/(c·(w² + w_s²))")],
    symbols: &[
        sym("ΔT", "K", "by how much the air leaves warmer"),
        sym("P", "W", "electric power of the fan"),
        sym("w", "kg/s", "mass flow of air through it"),
        sym("c", "J/(kg·K)", "heat capacity of air"),
        sym(
            "w_s",
            "kg/s",
            "flow below which air takes less along: 0.05 of that of its curve at rest",
        ),
    ],
    ranges: &[],
    conditions: "the motor stands in the air, and all that it takes ends there",
    source: "energy conserved; what air next to rest takes along: common practice, no source",
    spread: None,
    code: &["warms"],
};
