//! Films between a wall and the coolant in a channel.

use super::common::{CONDUCTIVITY, FILM, HEAT_CAPACITY, LENGTH, NUSSELT, PRANDTL, VISCOSITY};
use super::{Card, Range, Spread, Step, Symbol, other_law, step, sym, within};
use crate::laws::film::{
    ASPECT_MAX, CORNER, LAMINAR_END, PRANDTL_MAX, PRANDTL_MIN, REYNOLDS_MAX, TURBULENT_START,
};
use crate::laws::uncertainty::{FILM_BETWEEN, FILM_EXPONENT, FILM_LAMINAR, FILM_TURBULENT, Law};

const CONDUCTANCE: Symbol = sym("G", "W/K", "conductance from the wall into the coolant");
const FLOW: Symbol = sym("m", "kg/s", "mass flow of one channel, signed");
const DIAMETER: Symbol = sym("D", "m", "bore, or hydraulic diameter of a flat tube");
const SECTION: Symbol = sym("S", "m²", "cross-section of one channel");
const WETTED: Symbol = sym("W", "m²", "wetted wall of all channels");
const FACTOR: Symbol =
    sym("F", "1", "factor for turbulators or ribs; in a core, for the viscosity at the wall too");
const SIZE: Symbol = sym("Re", "1", "Reynolds number, rounded at rest");
const RAW: Symbol = sym("R", "1", "Reynolds number, signed");
const STILL: Symbol = sym("e", "1", "Reynolds number of a Graetz number of 0.1");
const SLENDER: Symbol = sym("δ", "1", "diameter over length");

const G: Step = step("G", "h·F·W");
const H: Step = step("h", "Nu·λ/D");
const RE: Step = step("Re", "R²/√(R² + e²)");
const R: Step = step("R", "m·D/(S·μ)");
const E: Step = step("e", "0.1/(Pr·δ)");
const PR: Step = step("Pr", "c·μ/λ");
const DELTA: Step = step("δ", "D/L");
const SHORT: Range = within("δ", 0.0, 1.0);
const LAMINAR: Range = other_law("Re", 0.0, LAMINAR_END - 2.0 * CORNER);

const LAMINAR_SPREAD: Spread = Spread {
    law: Law::Film,
    half_width: "a of the film",
    numbers: &[("a", FILM_LAMINAR)],
    source: "a wall between one temperature (Nu 3.66) and one heat flux (4.36); judgement, no source",
};

const BETWEEN_SPREAD: Spread = Spread {
    law: Law::Film,
    half_width: "b of the film at Re 2300 to 4000, where the flow may be either, fading in and out",
    numbers: &[("b", FILM_BETWEEN)],
    source: "judgement, no source",
};

const TURBULENT_SPREAD: Spread = Spread {
    law: Law::Film,
    half_width: "t of the film",
    numbers: &[("t", FILM_TURBULENT)],
    source: "Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, section 8.5 (from memory)",
};

const RATED_SPREAD: Spread = Spread {
    law: Law::Film,
    half_width: "n·|ln (Q/Q₀)| of the conductance: nothing at the rated flow",
    numbers: &[("n", FILM_EXPONENT)],
    source: "exponents from 0.6 (short fins, banks of tubes) to 0.8 (long smooth tubes); judgement, no source",
};

/// A laminar film in a round bore.
pub static LAMINAR_ROUND: Card = Card {
    key: "film.laminar_round",
    name: "laminar film in a round bore, developing from its inlet",
    steps: &[
        G,
        H,
        step("Nu", "3.66 + 0.0668·Gz/(1 + 0.04·Gz^(2/3))"),
        step("Gz", "Re·Pr·δ"),
        RE,
        R,
        E,
        PR,
        DELTA,
    ],
    symbols: &[
        CONDUCTANCE,
        FLOW,
        DIAMETER,
        SECTION,
        LENGTH,
        WETTED,
        FACTOR,
        VISCOSITY,
        CONDUCTIVITY,
        HEAT_CAPACITY,
        FILM,
        NUSSELT,
        sym("Gz", "1", "Graetz number"),
        SIZE,
        RAW,
        STILL,
        PRANDTL,
        SLENDER,
    ],
    ranges: &[LAMINAR, SHORT],
    conditions: "one wall temperature, developed velocity profile, properties at bulk temperature",
    source: "Hausen 1943, Z. VDI Beih. Verfahrenstechnik 4, 91",
    spread: Some(LAMINAR_SPREAD),
    code: &["film_coefficient", "nusselt_round", "nusselt_laminar", "film_share"],
};

/// A laminar film in a flat tube.
pub static LAMINAR_FLAT: Card = Card {
    key: "film.laminar_flat",
    name: "laminar film in a flat tube, developing from its inlet",
    steps: &[
        G,
        H,
        step("Nu", "N + 0.03·Gz/(1 + 0.016·Gz^(2/3))"),
        step("N", "7.541·(1 − 2.610·a + 4.970·a² − 5.119·a³ + 2.702·a⁴ − 0.548·a⁵)"),
        step("Gz", "Re·Pr·δ"),
        RE,
        R,
        E,
        PR,
        DELTA,
    ],
    symbols: &[
        CONDUCTANCE,
        FLOW,
        DIAMETER,
        SECTION,
        LENGTH,
        WETTED,
        FACTOR,
        VISCOSITY,
        CONDUCTIVITY,
        HEAT_CAPACITY,
        FILM,
        NUSSELT,
        sym("N", "1", "developed Nusselt number of the rectangle"),
        sym("a", "1", "aspect ratio, short over long side"),
        sym("Gz", "1", "Graetz number"),
        SIZE,
        RAW,
        STILL,
        PRANDTL,
        SLENDER,
    ],
    ranges: &[LAMINAR, SHORT, within("a", 0.0, ASPECT_MAX)],
    conditions: "one wall temperature, properties at bulk temperature; the developing term is that of \
                 parallel plates",
    source: "Edwards, Denny & Mills 1979, Transfer Processes (from memory); developed: Shah & London 1978, \
             Laminar Flow Forced Convection in Ducts (from memory)",
    spread: Some(LAMINAR_SPREAD),
    code: &["flat_film_coefficient", "nusselt_flat", "nusselt_rectangular", "film_share"],
};

/// A film between laminar and turbulent flow.
pub static TRANSITION: Card = Card {
    key: "film.transition",
    name: "film between laminar and turbulent flow",
    steps: &[
        G,
        H,
        step("Nu", "(1 − γ)·N₁ + γ·N₂"),
        step("γ", "(Re − 2300)/1700"),
        RE,
        R,
        E,
        PR,
        DELTA,
    ],
    symbols: &[
        CONDUCTANCE,
        FLOW,
        DIAMETER,
        SECTION,
        LENGTH,
        WETTED,
        FACTOR,
        VISCOSITY,
        CONDUCTIVITY,
        HEAT_CAPACITY,
        FILM,
        NUSSELT,
        sym("N₁", "1", "Nusselt number of the laminar law at Re 2300"),
        sym("N₂", "1", "Nusselt number of the turbulent law at Re 4000"),
        sym("γ", "1", "how far Re is between both"),
        SIZE,
        RAW,
        STILL,
        PRANDTL,
        SLENDER,
    ],
    ranges: &[other_law("Re", LAMINAR_END + 2.0 * CORNER, TURBULENT_START - 2.0 * CORNER), SHORT],
    conditions: "rounded over about 300 where it meets the laws on both sides",
    source: "Gnielinski 2013, Int. J. Heat Mass Transfer 63, 134",
    spread: Some(BETWEEN_SPREAD),
    code: &["nusselt_round", "nusselt_flat", "film_share"],
};

/// A turbulent film.
pub static TURBULENT: Card = Card {
    key: "film.turbulent",
    name: "turbulent film in a channel",
    steps: &[
        G,
        H,
        step("Nu", "f/8·(Re − 1000)·Pr/(1 + 12.7·√(f/8)·(Pr^(2/3) − 1))·(1 + δ^(2/3))"),
        step("f", "(0.79·ln(Re) − 1.64)⁻²"),
        RE,
        R,
        E,
        PR,
        DELTA,
    ],
    symbols: &[
        CONDUCTANCE,
        FLOW,
        DIAMETER,
        SECTION,
        LENGTH,
        WETTED,
        FACTOR,
        VISCOSITY,
        CONDUCTIVITY,
        HEAT_CAPACITY,
        FILM,
        NUSSELT,
        super::common::FACTOR,
        SIZE,
        RAW,
        STILL,
        PRANDTL,
        SLENDER,
    ],
    ranges: &[
        other_law("Re", TURBULENT_START + 2.0 * CORNER, f64::INFINITY),
        within("Re", 0.0, REYNOLDS_MAX),
        within("Pr", PRANDTL_MIN, PRANDTL_MAX),
        SHORT,
    ],
    conditions: "smooth walls, properties at bulk temperature",
    source: "Gnielinski 1976, Int. Chem. Eng. 16, 359; its friction factor: Petukhov 1970",
    spread: Some(TURBULENT_SPREAD),
    code: &["film_coefficient", "flat_film_coefficient", "nusselt_turbulent", "film_share"],
};

/// A conductance known at one flow.
pub static RATED_FILM: Card = Card {
    key: "film.rated",
    name: "conductance into the coolant, known at one flow of one liquid",
    steps: &[
        step("G", "G₀·(s^5 + x^4·y^5)^(1/5)"),
        step("y", "(λ/λ₀)^0.6·(c·μ₀/(c₀·μ))^0.4"),
        step("x", "|m|/(ρ₀·Q)"),
    ],
    symbols: &[
        CONDUCTANCE,
        super::common::FLOW,
        sym("ρ₀", "kg/m³", "density of the liquid of the rating"),
        sym("λ", "W/(m·K)", "conductivity of the coolant"),
        sym("λ₀", "W/(m·K)", "that of the rating's liquid"),
        sym("c", "J/(kg·K)", "heat capacity of the coolant"),
        sym("c₀", "J/(kg·K)", "that of the rating's liquid"),
        super::common::VISCOSITY,
        sym("μ₀", "Pa·s", "viscosity of the rating's liquid"),
        sym("G₀", "W/K", "conductance at the rated flow"),
        sym("Q", "m³/s", "rated flow"),
        sym("x", "1", "flow over rated flow"),
        sym("y", "1", "turbulent film over that of the rating's liquid"),
        sym("s", "1", "share that is left when nothing moves"),
    ],
    ranges: &[],
    conditions: "follows flow and liquid as turbulent films do",
    source: "powers: Dittus and Boelter 1930 (from memory); the share at rest: common practice, no source",
    spread: Some(RATED_SPREAD),
    code: &["conductance_w_k", "film_liquid_factor", "STILL_SHARE", "rated_film_share"],
};
