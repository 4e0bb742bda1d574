//! A hot wall and boiling at it.

use super::common::{CONDUCTIVITY, GRAVITY, HEAT_CAPACITY, VISCOSITY};
use super::{Card, Outside, Range, Spread, Symbol, step, sym};
use crate::laws::boiling::{CRITICAL_CONSTANT, ONSET_LEAST_PA, ONSET_MOST_PA};
use crate::laws::uncertainty::{self, BOILING, Law};

const LATENT: Symbol = sym("L", "J/kg", "heat of evaporation");
const LIQUID: Symbol = sym("ρ", "kg/m³", "density of the liquid");
const VAPOUR: Symbol = sym("ρ_v", "kg/m³", "density of the vapour");
const TENSION: Symbol = sym("σ", "N/m", "surface tension");
const SURFACE: Symbol = sym("T_s", "K", "temperature of the surface");
const BOILS: Symbol = sym("T_b", "K", "boiling point under the pressure there");
const COOLANT: Symbol = sym("T_c", "K", "temperature of the coolant");

/// A hot wall.
pub static WALL: Card = Card {
    key: "wall.surface",
    name: "coolant side of a hot wall: film and boiling side by side",
    steps: &[step("q", "h·(T_s − T_c) + B·D^3"), step("D", "(T_s − T_b + |T_s − T_b|)/2")],
    symbols: &[
        sym("q", "W/m²", "heat flux into the coolant"),
        sym("h", "W/(m²·K)", "film coefficient"),
        sym("B", "W/(m²·K³)", "heat flux by boiling for the cube of the superheat"),
        sym("D", "K", "temperature of the surface over the boiling point, not below nothing"),
        SURFACE,
        COOLANT,
        BOILS,
    ],
    ranges: &[],
    conditions: "heat straight through the wall; no vapour gets away from a coolant below its boiling point",
    source: "Rohsenow 1953, in Heat Transfer, University of Michigan: film and boiling added (from memory)",
    spread: None,
    code: &["WallCell", "brought"],
};

/// Nucleate boiling.
pub static NUCLEATE: Card = Card {
    key: "wall.nucleate",
    name: "nucleate boiling at a wall",
    steps: &[step("B", "μ·L·√(g·(ρ − ρ_v)/σ)·(c/(C·L·Pr))^3"), step("Pr", "c·μ/λ")],
    symbols: &[
        sym("B", "W/(m²·K³)", "heat flux by boiling for the cube of the superheat"),
        VISCOSITY,
        LATENT,
        GRAVITY,
        LIQUID,
        VAPOUR,
        TENSION,
        HEAT_CAPACITY,
        sym("C", "1", "number of surface and liquid"),
        sym("Pr", "1", "Prandtl number of the liquid"),
        CONDUCTIVITY,
    ],
    ranges: &[],
    conditions: "clean wetted wall; properties at the boiling point; vapour taken as that of water; the exponent of Pr \
                 is that of water for mixtures too",
    source: "Rohsenow 1952, Trans. ASME 74, 969; as in Incropera et al., Fundamentals of Heat and Mass Transfer, \
             section 10.4.1",
    spread: Some(Spread {
        law: Law::Boiling,
        half_width: "b of the heat flux at one superheat",
        numbers: &[("b", BOILING)],
        source: "25 % in superheat, up to 100 % in heat flux: Incropera et al., section 10.4.1 (from memory)",
    }),
    code: &["nucleate_w_m2_k3"],
};

/// Onset of boiling.
pub static ONSET: Card = Card {
    key: "wall.onset",
    name: "superheat at which boiling begins",
    steps: &[step("D", "(q/(1082·(p/100000)^1.156))^((p/100000)^0.0234/2.16)/1.799")],
    symbols: &[
        sym("D", "K", "temperature of the surface over the boiling point"),
        sym("q", "W/m²", "heat flux"),
        sym("p", "Pa", "absolute pressure"),
    ],
    ranges: &[Range {
        of: "p",
        least: ONSET_LEAST_PA,
        most: ONSET_MOST_PA,
        outside: Outside::Fine,
    }],
    conditions: "water; taken for mixtures as well",
    source: "Bergles & Rohsenow 1964, J. Heat Transfer 86, 365",
    spread: None,
    code: &["onset_superheat_k"],
};

/// Critical heat flux.
pub static CRITICAL: Card = Card {
    key: "wall.critical",
    name: "critical heat flux: beyond it vapour covers the wall",
    steps: &[step("q", "0.131·L·ρ_v·(σ·g·(ρ − ρ_v)/ρ_v^2)^(1/4)·(1 + 0.1·(ρ/ρ_v)^(3/4)·c·D/L)")],
    symbols: &[
        sym("q", "W/m²", "critical heat flux"),
        LATENT,
        VAPOUR,
        TENSION,
        GRAVITY,
        LIQUID,
        HEAT_CAPACITY,
        sym("D", "K", "by how much the coolant is below its boiling point"),
    ],
    ranges: &[Range { of: "D", least: 0.0, most: 70.0, outside: Outside::Fine }],
    conditions: "a pool: what the flow along the wall adds is left out, so a moving coolant bears more",
    source: "Zuber 1959, AECU-4439, as in Incropera et al., section 10.4.2; below the boiling point Ivey & Morris \
             1962, AEEW-R137 (from memory)",
    spread: Some(Spread {
        law: Law::Critical,
        half_width: "k of the critical heat flux",
        numbers: &[("k", uncertainty::CRITICAL)],
        source: "constants of 0.12 to 0.18: Zuber 1959, Kutateladze 1952, Lienhard & Dhir 1973 (from memory); \
                 judgement for cold coolant, no source",
    }),
    code: &["critical_w_m2"],
};

const _: () = assert!(CRITICAL_CONSTANT == 0.131, "as it stands on the card");
