//! The air of the site, and the coolants.

use super::{Card, Outside, Range, Spread, Symbol, step, sym};
use crate::fluids::glycol::{SOURCE_K, SOURCE_SHARE};
use crate::laws::uncertainty::{self, Law};

const PRESSURE: Symbol = sym("p", "Pa", "absolute pressure of the air");
const HUMIDITY_RATIO: Symbol = sym("ω", "1", "mass of vapour for each mass of dry air");

/// Density of moist air.
pub static AIR: Card = Card {
    key: "air.density",
    name: "density of moist air",
    steps: &[step("ρ", "p/(R·T)"), step("R", "(287.05287 + ω·461.526)/(1 + ω)")],
    symbols: &[
        sym("ρ", "kg/m³", "density of the air"),
        PRESSURE,
        sym("R", "J/(kg·K)", "gas constant of the moist air"),
        sym("T", "K", "temperature of the air"),
        HUMIDITY_RATIO,
    ],
    ranges: &[],
    conditions: "ideal gases: within 0.1 % of real air at 100 kPa from 250 K",
    source: "gas constants: ISO 2533:1975 (dry air) and IAPWS R7-97, equation 1 (vapour)",
    spread: None,
    code: &["density", "gas_constant"],
};

/// Vapour in the air.
pub static HUMIDITY: Card = Card {
    key: "air.humidity",
    name: "vapour in the air, from its relative humidity",
    steps: &[step("ω", "287.05287/461.526·p_v/(p − p_v)"), step("p_v", "φ·p_s")],
    symbols: &[
        HUMIDITY_RATIO,
        PRESSURE,
        sym("p_v", "Pa", "partial pressure of the vapour"),
        sym("φ", "1", "relative humidity over liquid water"),
        sym("p_s", "Pa", "pressure at which vapour is saturated"),
    ],
    ranges: &[],
    conditions: "ideal gases",
    source: "Dalton's law; saturation: IAPWS R7-97 (2012), equation 30",
    spread: None,
    code: &["humidity_ratio", "saturation_pressure_pa"],
};

/// Pressure at an altitude.
pub static ATMOSPHERE: Card = Card {
    key: "air.atmosphere",
    name: "pressure of the air at an altitude",
    steps: &[
        step(
            "p",
            "101325·(T_s/288.15)^(g/(287.05287·0.0065))·exp(−g·max(H − 11000; 0)/(287.05287·T_s))",
        ),
        step("T_s", "288.15 − 0.0065·min(H; 11000)"),
        step("H", "6356766·z/(6356766 + z)"),
    ],
    symbols: &[
        PRESSURE,
        sym("T_s", "K", "temperature of the standard atmosphere at that altitude"),
        sym("H", "m", "geopotential altitude"),
        sym("z", "m", "altitude above the sea"),
        sym("g", "m/s²", "standard acceleration of gravity, 9.80665"),
    ],
    ranges: &[Range { of: "H", least: -2000.0, most: 20000.0, outside: Outside::Warn }],
    conditions: "the temperature of the air is the one given, not the standard one",
    source: "ISO 2533:1975, equations 8, 12 and 13",
    spread: None,
    code: &["standard_pressure_pa", "standard_temperature_k", "geopotential_m"],
};

/// Water.
pub static WATER: Card = Card {
    key: "coolant.water",
    name: "properties of water",
    steps: &[],
    symbols: &[sym("T", "K", "temperature of the coolant")],
    ranges: &[Range { of: "T", least: 273.15, most: 433.15, outside: Outside::OwnWarning }],
    conditions: "read from a smooth curve through the formulations, every 2.5 K",
    source: "IAPWS R7-97 (2012), region 1 at 0.2 MPa and saturation; R12-08, viscosity; R15-11, conductivity",
    spread: None,
    code: &["Coolant"],
};

/// A liquid known by points.
pub static TABLE: Card = Card {
    key: "coolant.table",
    name: "properties of a liquid known by points over temperature",
    steps: &[],
    symbols: &[sym("T", "K", "temperature of the coolant")],
    ranges: &[Range { of: "T", least: 150.0, most: 800.0, outside: Outside::OwnWarning }],
    conditions: "through every point: density, heat capacity and conductivity on monotone cubics over T, ln p of the \
                 vapour on one over −1/T; from one point T_b alone ln p = ln p_b + 10.6 (1 − T_b/T); beyond the \
                 points on the line through the last two for 100 K, which a warning says",
    source: "the case; cubics: Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300; vapour: Clausius and \
             Clapeyron, and Trouton 1884 (the number from memory)",
    spread: None,
    code: &["LiquidTable"],
};

/// The viscosity of a liquid known by points.
pub static TABLE_VISCOSITY: Card = Card {
    key: "liquid.viscosity",
    name: "viscosity of a liquid known by points: where oils are straight",
    steps: &[
        step("W", "ln(ln(Z))"),
        step("Z", "N + 0.7 + exp(−1.47 − 1.84·N − 0.51·N²)"),
        step("N", "10⁶·μ/ρ"),
    ],
    symbols: &[
        sym(
            "W",
            "1",
            "what goes nearly straight with ln T, and on a monotone cubic through the points",
        ),
        sym("Z", "1", "kinematic viscosity, bent for thin liquids"),
        sym("N", "1", "kinematic viscosity in mm²/s"),
        sym("μ", "Pa·s", "viscosity"),
        sym("ρ", "kg/m³", "density"),
    ],
    ranges: &[Range { of: "N", least: 0.21, most: 2e7, outside: Outside::OwnWarning }],
    conditions: "Newtonian: no thinning with shear, no change with pressure or age",
    source: "ASTM D341-09 (the constants from memory), after Walther 1931, Erdöl und Teer 7, 382",
    spread: None,
    code: &["LiquidTable", "walther"],
};

/// Glycol in water.
pub static GLYCOL: Card = Card {
    key: "coolant.glycol",
    name: "properties of glycol in water",
    steps: &[],
    symbols: &[
        sym("x", "1", "share of glycol by volume"),
        sym("T", "K", "temperature of the coolant"),
    ],
    ranges: &[
        Range { of: "T", least: SOURCE_K.0, most: SOURCE_K.1, outside: Outside::OwnWarning },
        Range { of: "x", least: SOURCE_SHARE.0, most: SOURCE_SHARE.1, outside: Outside::OtherLaw },
    ],
    conditions: "from 100 to 160 °C continued on physical forms; below the least share in straight lines \
                 towards water; vapour pressure of ideal mixing",
    source: "ASHRAE Handbook of Fundamentals 2001, ch. 21, as fitted by Skovrup 2013 (in CoolProp 8.0.0 as \
             INCOMP::AEG and INCOMP::APG); vapour pressure: Perry's Chemical Engineers' Handbook, 8th ed., \
             table 2-8",
    spread: Some(Spread {
        law: Law::Mixture,
        half_width: "r of the heat capacity and s of the viscosity, b times that beyond the temperatures of the source",
        numbers: &[
            ("r", uncertainty::MIXTURE_HEAT_CAPACITY),
            ("s", uncertainty::MIXTURE_VISCOSITY),
            ("b", uncertainty::MIXTURE_BEYOND),
        ],
        source: "two families of tables at 50 % by volume of ethylene glycol, 0 to 99 °C: ASHRAE 2001 and Melinder 2010 (both in \
                 CoolProp 8.0.0) differ by −2 to +0.7 % and by +2 to +5 %; b by judgement",
    }),
    code: &["Mixture", "mixture_vapour_pressure_pa"],
};
