//! Cores known by their dimensions: fins, the air between them, and rows of tubes.

use super::common::VISCOSITY;
use super::{Card, Range, Spread, Step, Symbol, other_law, step, sym, within};
use crate::laws::film::{WALL_LAMINAR, WALL_TURBULENT};
use crate::laws::fins::{
    LOUVRE_CORNER, LOUVRE_FIRST_END, LOUVRE_REYNOLDS_MAX, LOUVRE_REYNOLDS_MIN, LOUVRE_SECOND_START,
    PLAIN_REYNOLDS_MAX,
};
use crate::laws::uncertainty::{self, Law};

const AIR: Symbol = sym("w", "kg/s", "mass flow of the air");
const OPEN: Symbol = sym("y", "1", "share of the face that is open");
const SCALE: Symbol = sym("u", "1", "factor on all conductances of the core, as the case tells it");
const FREE: Symbol = sym("S", "m²", "least free area of the air, of the whole core");
const SURFACE: Symbol = sym("A", "m²", "surface that the air touches");
const OF_FINS: Symbol = sym("A_f", "m²", "surface of the fins in it");
const FLUX: Symbol = sym("g", "kg/(m²·s)", "mass flux of the air in the least free area");
const R: Symbol = sym("R", "K/W", "resistance of the air side, fins included");
const H: Symbol = sym("h", "W/(m²·K)", "film coefficient of the air");
const ETA: Symbol = sym("η", "1", "efficiency of the surface");
const E: Symbol = sym("e", "1", "efficiency of a fin");
const M: Symbol = sym("M", "1", "length of a fin, over what its metal carries heat along");
const AIR_VISCOSITY: Symbol =
    sym("μ", "Pa·s", "viscosity of the air, half the way from where it enters to the wall");
const AIR_CONDUCTIVITY: Symbol = sym("λ", "W/(m·K)", "its conductivity");
const AIR_CAPACITY: Symbol = sym("c", "J/(kg·K)", "its heat capacity");
const PRANDTL: Symbol = sym("Pr", "1", "Prandtl number of the air");
const METAL: Symbol = sym("k", "W/(m·K)", "conductivity of the fins");
const THICKNESS: Symbol = sym("δ", "m", "thickness of a fin");
const DEGREE: f64 = std::f64::consts::PI / 180.0;
const F_P: Symbol = sym("F_p", "m", "distance from fin to fin");
const F_L: Symbol = sym("F_l", "m", "height of the fins from tube to tube");
const F_D: Symbol = sym("F_d", "m", "depth of the fins along the air");
const L_P: Symbol = sym("L_p", "m", "distance from louvre to louvre along the air");
const L_L: Symbol = sym("L_l", "m", "length of a louvre across the air");
const THETA: Symbol = sym("θ", "rad", "angle of the louvres to the air");
const T_P: Symbol = sym("T_p", "m", "distance from tube to tube");
const T_D: Symbol = sym("T_d", "m", "depth of the tubes along the air, of all rows");
const D_M: Symbol = sym("D_m", "m", "outside thickness of a tube");
const D_H: Symbol = sym("D_h", "m", "hydraulic diameter of the passages of the air");
const ON_LOUVRE: Symbol = sym("Re", "1", "Reynolds number of the air on the louvre pitch");
const X: Symbol = sym("X", "1", "Fanning friction factor of the air times the Reynolds number");
const FANNING: Symbol = sym("f", "1", "Fanning friction factor");
const F1: Symbol = sym("f₁", "1", "first factor of it");
const F2: Symbol = sym("f₂", "1", "second factor of it");
const F3: Symbol = sym("f₃", "1", "third factor of it");
const BETA: Symbol = sym("β", "1", "angle of the louvres in degrees");

const RESISTANCE: Step = step("R", "1/(h·η·A·y·u)");
const EFFICIENCY: Step = step("η", "1 − A_f/A·(1 − e)");
const OF_FIN: Step = step("e", "(1 − exp(−2·M))/((1 + exp(−2·M))·M)");
const MU: Step = step("M", "F_l/2·(2·h/(k·δ))^(1/2)");
const G: Step = step("g", "|w|/(y·S)");
const PR: Step = step("Pr", "c·μ/λ");
const RE: Step = step("Re", "g·L_p/μ");
const DEGREES: Step = step("β", "180/π·θ");

/// What heat by louvred fins may be off by.
const COLBURN: Spread = Spread {
    law: Law::CoreDimensions,
    half_width: "a of the film of the air, b at Re 100 and below, in between by the logarithm of Re up to 250; with the \
                 film of the coolant, as the root of the sum of both squares, each by its share of the resistance",
    numbers: &[("a", uncertainty::FIN_FILM), ("b", uncertainty::FIN_FILM_SLOW)],
    source: "Chang & Wang 1997: nine in ten of their measurements lie within 15 % (from memory); slow air, where cores \
             fall off that this law does not know (Kim & Cho 2008, Heat Mass Transfer 44, 1127): judgement, no source",
};

/// The air side of louvred fins.
pub static LOUVRED_HEAT: Card = Card {
    key: "core.louvred_heat",
    name: "resistance of the air side of louvred fins between flat tubes",
    steps: &[
        RESISTANCE,
        EFFICIENCY,
        OF_FIN,
        MU,
        step("h", "j·g·c/Pr^(2/3)"),
        step(
            "j",
            "Re^(−0.49)·(θ/(π/2))^0.27·(F_p/L_p)^(−0.14)·(F_l/L_p)^(−0.29)·(T_d/L_p)^(−0.23)·(L_l/L_p)^0.68·\
             (T_p/L_p)^(−0.28)·(δ/L_p)^(−0.05)",
        ),
        RE,
        G,
        PR,
    ],
    symbols: &[
        R,
        H,
        ETA,
        E,
        M,
        sym("j", "1", "Colburn factor"),
        ON_LOUVRE,
        FLUX,
        PRANDTL,
        AIR,
        OPEN,
        SCALE,
        FREE,
        SURFACE,
        OF_FINS,
        AIR_VISCOSITY,
        AIR_CONDUCTIVITY,
        AIR_CAPACITY,
        METAL,
        THICKNESS,
        F_P,
        F_L,
        L_P,
        L_L,
        THETA,
        T_P,
        T_D,
    ],
    ranges: &[
        within("Re", LOUVRE_REYNOLDS_MIN, LOUVRE_REYNOLDS_MAX),
        within("θ", 8.4 * DEGREE, 35.0 * DEGREE),
        within("L_p", 0.5e-3, 3e-3),
        within("F_p", 0.5e-3, 3.35e-3),
        within("F_l", 2.8e-3, 20e-3),
        within("L_l", 2.1e-3, 18.5e-3),
        within("T_d", 15.5e-3, 57.5e-3),
        within("T_p", 7.5e-3, 25e-3),
    ],
    conditions: "brazed corrugated fins; the fins outside of the last tubes count as the others; dry surface",
    source: "j: Chang & Wang 1997, Int. J. Heat Mass Transfer 40, 533, with the ranges of its 91 cores (from memory); fins of one thickness: Incropera et al., \
             Fundamentals of Heat and Mass Transfer, section 3.6",
    spread: Some(COLBURN),
    code: &["louvred_colburn", "fin_efficiency", "surface_efficiency", "fin_film_share"],
};

/// The air side of plain fins.
pub static PLAIN_HEAT: Card = Card {
    key: "core.plain_heat",
    name: "resistance of the air side of plain fins between flat tubes",
    steps: &[
        RESISTANCE,
        EFFICIENCY,
        OF_FIN,
        MU,
        step("h", "Nu·λ/D"),
        step("Nu", "N + 0.03·Gz/(1 + 0.016·Gz^(2/3))"),
        step("N", "7.541·(1 − 2.610·a + 4.970·a² − 5.119·a³ + 2.702·a⁴ − 0.548·a⁵)"),
        step("Gz", "Re·Pr·D/F_d"),
        step("Re", "g·D/μ"),
        step("D", "2·s·F_l/(s + F_l)"),
        step("a", "min(s/F_l; F_l/s)"),
        step("s", "F_p − δ"),
        G,
        PR,
    ],
    symbols: &[
        R,
        H,
        ETA,
        E,
        M,
        sym("Nu", "1", "mean Nusselt number"),
        sym("N", "1", "developed Nusselt number of the rectangle"),
        sym("Gz", "1", "Graetz number"),
        sym("Re", "1", "Reynolds number of the air on the hydraulic diameter"),
        sym("D", "m", "hydraulic diameter of the passage between two fins"),
        sym("a", "1", "aspect ratio of that passage, short over long side"),
        sym("s", "m", "gap between two fins"),
        FLUX,
        PRANDTL,
        AIR,
        OPEN,
        SCALE,
        FREE,
        SURFACE,
        OF_FINS,
        AIR_VISCOSITY,
        AIR_CONDUCTIVITY,
        AIR_CAPACITY,
        METAL,
        THICKNESS,
        F_P,
        F_L,
        F_D,
    ],
    ranges: &[within("Re", 0.0, PLAIN_REYNOLDS_MAX)],
    conditions: "straight fins without louvres, one temperature of the wall; the developing term is that of parallel plates",
    source: "Edwards, Denny & Mills 1979, Transfer Processes (from memory); developed: Shah & London 1978, Laminar Flow Forced \
             Convection in Ducts (from memory); fins of one thickness: Incropera et al., Fundamentals of Heat and Mass Transfer, \
             section 3.6",
    spread: Some(Spread {
        law: Law::CoreDimensions,
        half_width: "a of the film of the air; with the film of the coolant as for louvred fins",
        numbers: &[("a", uncertainty::FIN_FILM)],
        source: "fins are bent, and not as even as plates: judgement, no source",
    }),
    code: &["plain_nusselt", "fin_efficiency", "surface_efficiency"],
};

/// The wall of the tubes.
pub static TUBE_WALL: Card = Card {
    key: "core.tube_wall",
    name: "resistance of the walls of a core's tubes",
    steps: &[step("R", "t/(k·W·y·u)")],
    symbols: &[
        sym("R", "K/W", "resistance of the walls"),
        sym("t", "m", "thickness of a wall"),
        sym("k", "W/(m·K)", "conductivity of the tubes"),
        sym("W", "m²", "wall inside of all tubes"),
        OPEN,
        SCALE,
    ],
    ranges: &[],
    conditions: "a plane wall: what is between brazed fins and tubes is left out",
    source: "Fourier's law",
    spread: None,
    code: &["wall_resistance"],
};

/// The viscosity at the wall.
pub static WALL_VISCOSITY: Card = Card {
    key: "film.wall_viscosity",
    name: "factor on a film for the viscosity at the wall",
    steps: &[
        step("V", "(μ/μ_w)^n"),
        step("n", "0.14 − 0.03·γ²·(3 − 2·γ)"),
        step("γ", "min(max((Re − 2300)/1700; 0); 1)"),
    ],
    symbols: &[
        sym("V", "1", "factor on the film"),
        VISCOSITY,
        sym("μ_w", "Pa·s", "dynamic viscosity of the coolant at the temperature of the wall"),
        sym("n", "1", "exponent: 0.14 laminar, 0.11 turbulent"),
        sym("γ", "1", "how far Re is between both"),
        sym("Re", "1", "Reynolds number in a tube"),
    ],
    ranges: &[],
    conditions: "liquids, cooled or heated; the ratio of viscosities stands for that of Prandtl numbers",
    source: "Sieder & Tate 1936, Ind. Eng. Chem. 28, 1429; Gnielinski 1976, Int. Chem. Eng. 16, 359; between both: our own",
    spread: None,
    code: &["wall_viscosity_factor"],
};

const _: () = assert!(WALL_LAMINAR - WALL_TURBULENT < 0.0301 && WALL_LAMINAR < 0.1401);

/// The fall of the air through fins.
pub static FINS_FALL: Card = Card {
    key: "core.fins_fall",
    name: "fall of the air through the fins of a core",
    steps: &[
        step("Δp", "v·(g·|g|/(2·ρ₁)·(K_c + K_e·b + (1 + σ²)·(b − 1)) + X·μ·g·A/(2·S·l·ρ_m))"),
        step("K_c", "0.5·(1 − σ)"),
        step("K_e", "(1 − σ)²"),
        step("b", "ρ₁/ρ₂"),
        step("σ", "S/B"),
        step("g", "w/(y·S)"),
    ],
    symbols: &[
        sym("Δp", "Pa", "fall of the air's pressure"),
        FLUX,
        sym("K_c", "1", "loss coefficient where the air narrows"),
        sym("K_e", "1", "loss coefficient where it widens"),
        sym("b", "1", "how many times thinner the air leaves"),
        sym("σ", "1", "least free area over the face"),
        X,
        sym("l", "m", "length of that Reynolds number"),
        AIR_VISCOSITY,
        sym("ρ₁", "kg/m³", "density of the air where it enters"),
        sym("ρ_m", "kg/m³", "mean density of the air in the core"),
        sym("ρ₂", "kg/m³", "density of the air where it leaves"),
        sym("v", "1", "factor on the fall, as the case tells it"),
        AIR,
        OPEN,
        FREE,
        SURFACE,
        sym("B", "m²", "face"),
    ],
    ranges: &[],
    conditions: "fall times density follows the mass flux, but for what the air is warmed by",
    source: "Kays & London, Compact Heat Exchangers, ch. 2; K_c: TP 410, K_e: Borda and Carnot, as for pipes",
    spread: Some(Spread {
        law: Law::AirFall,
        half_width: "a of the fall, b at Re 100 and below, in between by the logarithm of Re up to 250",
        numbers: &[("a", uncertainty::FIN_FALL), ("b", uncertainty::FIN_FALL_SLOW)],
        source: "Chang et al. 2000: eight in ten of their measurements lie within 15 % (from memory); slow air: judgement, no \
                 source",
    }),
    code: &["core_air_fall", "contraction_loss", "expansion_loss", "fin_fall_share"],
};

const FIRST: [Step; 4] = [
    step("f", "f₁·f₂·f₃"),
    step("f₂", "ln((δ/F_p)^0.48 + 0.9)^(−1.435)·(D_h/L_p·ln(0.5·Re))^(−3.01)"),
    step("f₃", "(F_p/L_l·F_d/L_l)^(−0.308)·exp(−0.1167·T_p/D_m)·β^0.35"),
    DEGREES,
];
const F1_FIRST: Step = step("f₁", "14.39·Re^(−0.805·F_p/F_l)·ln(1 + F_p/L_p)^3.04");

const FRICTION_SOURCE: &str = "Chang, Hsu, Lin & Wang 2000, Int. J. Heat Mass Transfer 43, 2237";

/// Friction of louvred fins in slow air.
pub static LOUVRED_SLOW: Card = Card {
    key: "core.louvred_slow",
    name: "friction of the air between louvred fins, slower than measured",
    steps: &[
        step("X", "100·f"),
        FIRST[0],
        step("f₁", "14.39·100^(−0.805·F_p/F_l)·ln(1 + F_p/L_p)^3.04"),
        step("f₂", "ln((δ/F_p)^0.48 + 0.9)^(−1.435)·(D_h/L_p·ln(50))^(−3.01)"),
        FIRST[2],
        FIRST[3],
        RE,
    ],
    symbols: &[
        X,
        FANNING,
        F1,
        F2,
        F3,
        BETA,
        ON_LOUVRE,
        FLUX,
        AIR_VISCOSITY,
        THICKNESS,
        F_P,
        F_L,
        F_D,
        L_P,
        L_L,
        THETA,
        T_P,
        D_M,
        D_H,
    ],
    ranges: &[other_law("Re", 0.0, LOUVRE_REYNOLDS_MIN)],
    conditions: "laminar: as at Re 100, in inverse proportion to Re",
    source: FRICTION_SOURCE,
    spread: None,
    code: &["louvred_friction_times_reynolds", "louvred_friction_first"],
};

/// The first friction correlation of louvred fins.
pub static LOUVRED_FIRST: Card = Card {
    key: "core.louvred_first",
    name: "friction of the air between louvred fins, at low Reynolds numbers",
    steps: &[step("X", "f·Re"), FIRST[0], F1_FIRST, FIRST[1], FIRST[2], FIRST[3], RE],
    symbols: &[
        X,
        FANNING,
        F1,
        F2,
        F3,
        BETA,
        ON_LOUVRE,
        FLUX,
        AIR_VISCOSITY,
        THICKNESS,
        F_P,
        F_L,
        F_D,
        L_P,
        L_L,
        THETA,
        T_P,
        D_M,
        D_H,
    ],
    ranges: &[other_law("Re", LOUVRE_REYNOLDS_MIN, LOUVRE_FIRST_END - LOUVRE_CORNER)],
    conditions: "rounded where it meets what is between both correlations",
    source: FRICTION_SOURCE,
    spread: None,
    code: &["louvred_friction_times_reynolds", "louvred_friction_first"],
};

const BETWEEN: Range =
    other_law("Re", LOUVRE_FIRST_END + LOUVRE_CORNER, LOUVRE_SECOND_START - LOUVRE_CORNER);

/// Friction of louvred fins between both correlations.
pub static LOUVRED_BETWEEN: Card = Card {
    key: "core.louvred_between",
    name: "friction of the air between louvred fins, between both correlations",
    steps: &[
        step("X", "f·Re"),
        step("f", "√(((1 + v)·q₁² + (1 − v)·q₂²)/2)"),
        step("v", "3.6 − 0.02·Re"),
        RE,
    ],
    symbols: &[
        X,
        FANNING,
        sym("v", "1", "weight of the first correlation"),
        sym("q₁", "1", "friction factor of the first correlation at Re 130"),
        sym("q₂", "1", "friction factor of the second correlation at Re 230"),
        ON_LOUVRE,
        FLUX,
        AIR_VISCOSITY,
        L_P,
    ],
    ranges: &[BETWEEN],
    conditions: "rounded over about 20 where it meets the laws on both sides",
    source: "Chang, Chang, Li & Wang 2006, Int. J. Heat Mass Transfer 49, 4250",
    spread: None,
    code: &["louvred_friction_times_reynolds"],
};

/// The second friction correlation of louvred fins.
pub static LOUVRED_SECOND: Card = Card {
    key: "core.louvred_second",
    name: "friction of the air between louvred fins",
    steps: &[
        step("X", "f·Re"),
        step("f", "f₁·f₂·f₃"),
        step("f₁", "4.97·Re^(0.6049 − 1.064/β^0.2)·ln((δ/F_p)^0.5 + 0.9)^(−0.527)"),
        step("f₂", "(D_h/L_p·ln(0.3·Re))^(−2.966)·(F_p/L_l)^(−0.7931·T_p/(T_p − D_m))"),
        step("f₃", "(T_p/D_m)^(−0.0446)·ln(1.2 + (L_p/F_p)^1.4)^(−3.553)·β^(−0.477)"),
        DEGREES,
        RE,
    ],
    symbols: &[
        X,
        FANNING,
        F1,
        F2,
        F3,
        BETA,
        ON_LOUVRE,
        FLUX,
        AIR_VISCOSITY,
        THICKNESS,
        F_P,
        L_P,
        L_L,
        THETA,
        T_P,
        D_M,
        D_H,
    ],
    ranges: &[other_law("Re", LOUVRE_SECOND_START + LOUVRE_CORNER, f64::INFINITY)],
    conditions: "rounded where it meets what is between both correlations; fitted up to Re 5000",
    source: FRICTION_SOURCE,
    spread: None,
    code: &["louvred_friction_times_reynolds", "louvred_friction_second"],
};

/// Friction of plain fins.
pub static PLAIN_FRICTION: Card = Card {
    key: "core.plain_friction",
    name: "friction of the air between plain fins, its entry included",
    steps: &[
        step("X", "√((C/4)² + 3.44²·Re·D/F_d)"),
        step("C", "96·(1 − 1.3553·a + 1.9467·a² − 1.7012·a³ + 0.9564·a⁴ − 0.2537·a⁵)"),
        step("Re", "g·D/μ"),
        step("D", "2·s·F_l/(s + F_l)"),
        step("a", "min(s/F_l; F_l/s)"),
        step("s", "F_p − δ"),
    ],
    symbols: &[
        X,
        sym("C", "1", "laminar constant of the rectangle, of Darcy's factor"),
        sym("Re", "1", "Reynolds number of the air on the hydraulic diameter"),
        sym("D", "m", "hydraulic diameter of the passage between two fins"),
        sym("a", "1", "aspect ratio of that passage, short over long side"),
        sym("s", "m", "gap between two fins"),
        FLUX,
        AIR_VISCOSITY,
        THICKNESS,
        F_P,
        F_L,
        F_D,
    ],
    ranges: &[],
    conditions: "laminar flow; within 10 % of the solutions for ducts of any shape",
    source: "Muzychka & Yovanovich 2009, J. Fluids Eng. 131, 111105 (from memory); laminar constant: Shah & London 1978, Laminar \
             Flow Forced Convection in Ducts (from memory)",
    spread: None,
    code: &["plain_friction_times_reynolds", "tube_laminar_factor"],
};

const CONDUCTANCE: Symbol = sym("U", "W/K", "conductance UA of the cell");
const ROWS_SYMBOLS: [Symbol; 14] = [
    sym("G", "W/K", "heat for each kelvin between coolant and entering air"),
    CONDUCTANCE,
    sym("K", "1", "effectiveness of one row against its coolant"),
    sym("x", "1", "capacity flow of the air over that of the coolant, of one pass"),
    sym("C_a", "W/K", "capacity flow of the air through the cell"),
    sym("C_c", "W/K", "capacity flow of the coolant, the share of the cell"),
    sym("p", "1", "passes of the coolant one after the other"),
    sym("R_a", "K/W", "resistance of the air side of the whole core"),
    sym("R_f", "K/W", "resistance of the coolant film of the whole core"),
    sym("R_w", "K/W", "resistance of the wall of the whole core"),
    AIR,
    sym("c_a", "J/(kg·K)", "heat capacity of the air"),
    sym("C", "W/K", "capacity flow of all the coolant"),
    sym("n", "1", "number of cells"),
];
const U_CELL: Step = step("U", "1/((R_a + R_f + R_w)·n)");
const C_AIR: Step = step("C_a", "w·c_a/n");
const C_COOLANT: Step = step("C_c", "C/n");
const X_ROWS: Step = step("x", "C_a/(p·C_c)");
const ROWS_CONDITIONS: &str = "air unmixed; coolant mixed in each tube, equal in all rows, mixed between passes; raised as in `core.exchange`";
const ROWS_SOURCE: &str =
    "ESDU 86018 (from memory); passes in turn, each with air as cold as in front, follow from it";

/// Two rows of tubes.
pub static TWO_ROWS: Card = Card {
    key: "core.exchange_two_rows",
    name: "heat between coolant and entering air in one cell of a core of two rows",
    steps: &[
        step("G", "2·K·C_a − p·C_c·ln(1 + K²·x)"),
        step("K", "1 − exp(−U/(2·C_a))"),
        U_CELL,
        X_ROWS,
        C_AIR,
        C_COOLANT,
    ],
    symbols: &ROWS_SYMBOLS,
    ranges: &[],
    conditions: ROWS_CONDITIONS,
    source: ROWS_SOURCE,
    spread: None,
    code: &["arranged_conductance"],
};

/// Three rows of tubes.
pub static THREE_ROWS: Card = Card {
    key: "core.exchange_three_rows",
    name: "heat between coolant and entering air in one cell of a core of three rows",
    steps: &[
        step("G", "3·K·C_a − p·C_c·ln(1 + K²·(3 − K)·x + 3/2·K⁴·x²)"),
        step("K", "1 − exp(−U/(3·C_a))"),
        U_CELL,
        X_ROWS,
        C_AIR,
        C_COOLANT,
    ],
    symbols: &ROWS_SYMBOLS,
    ranges: &[],
    conditions: ROWS_CONDITIONS,
    source: ROWS_SOURCE,
    spread: None,
    code: &["arranged_conductance"],
};

/// Four rows of tubes.
pub static FOUR_ROWS: Card = Card {
    key: "core.exchange_four_rows",
    name: "heat between coolant and entering air in one cell of a core of four rows",
    steps: &[
        step("G", "4·K·C_a − p·C_c·ln(1 + K²·(6 − 4·K + K²)·x + 4·K⁴·(2 − K)·x² + 8/3·K⁶·x³)"),
        step("K", "1 − exp(−U/(4·C_a))"),
        U_CELL,
        X_ROWS,
        C_AIR,
        C_COOLANT,
    ],
    symbols: &ROWS_SYMBOLS,
    ranges: &[],
    conditions: ROWS_CONDITIONS,
    source: ROWS_SOURCE,
    spread: None,
    code: &["arranged_conductance"],
};
