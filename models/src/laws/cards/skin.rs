//! The outside of hoses, tanks and blocks in the air of the bay.

use super::{Card, Outside, Range, Spread, Symbol, step, sym};
use crate::laws::uncertainty::{BAY, Law};

const RAYLEIGH: Symbol = sym("Ra", "1", "Rayleigh number, g·ΔT·L³·Pr/(T·ν²)");
const PRANDTL: Symbol = sym("Pr", "1", "Prandtl number of the air");
const REYNOLDS: Symbol = sym("Re", "1", "Reynolds number of the air that blows");
const RISING: Symbol = sym("Nu", "1", "Nusselt number of air that rises along it");
const BLOWN: Symbol = sym("Nu", "1", "Nusselt number of air that blows along it");

/// What a thing exchanges with the air around.
pub static THROUGH: Card = Card {
    key: "bay.through",
    name: "heat between what a hose, tank or block holds and the air around",
    steps: &[
        step("q", "U·A·(T_bay − T_i)"),
        step("U", "1/(1/h + R)"),
        step("h", "k·(Nu_r^3 + Nu_b^3)^(1/3) + h_r"),
        step("h_r", "ε·σ·(T_s^2 + T_bay^2)·(T_s + T_bay)"),
    ],
    symbols: &[
        sym("q", "W", "heat that it gets"),
        sym("U", "W/(m²·K)", "conductance of a square metre of its outside"),
        sym("A", "m²", "its outside"),
        sym("T_bay", "K", "temperature of the air around"),
        sym("T_i", "K", "mean temperature of what it holds"),
        sym("h", "W/(m²·K)", "film coefficient outside"),
        sym("R", "m²·K/W", "resistance of its wall"),
        sym("k", "W/(m²·K)", "conductivity of the air over the diameter, or over the height"),
        sym("Nu_r", "1", "Nusselt number of air that rises along it"),
        sym("Nu_b", "1", "Nusselt number of air that blows along it"),
        sym("h_r", "W/(m²·K)", "what radiation adds"),
        sym("ε", "1", "emissivity, 0.9"),
        sym("σ", "W/(m²·K⁴)", "Stefan's constant"),
        sym("T_s", "K", "temperature of the surface"),
    ],
    ranges: &[],
    conditions: "all around is as warm as the air; sun and the glow of an exhaust are left out; pumps, fittings and \
                 junctions between the hoses of a circuit exchange as much for each kilogram",
    source: "third power of both where both help: Churchill 1977, AIChE J. 23, 10 (from memory); emissivity of rubber, \
             paint and oxidised metal: common practice, no source",
    spread: Some(Spread {
        law: Law::Bay,
        half_width: "b of the conductance, all of it at once",
        numbers: &[("b", BAY)],
        source: "20 % of air that rises or blows: Incropera et al., sections 7.4 and 9.6 (from memory); emissivity, rubber and \
                 foam within that: judgement, no source",
    }),
    code: &["through", "film", "met", "radiation", "wall"],
};

/// Air that rises along a lying cylinder.
pub static RISING_ROUND: Card = Card {
    key: "bay.rising_round",
    name: "air that rises along a hose",
    steps: &[step("Nu", "(0.6 + 0.387·(Ra/(1 + (0.559/Pr)^(9/16))^(16/9))^(1/6))^2")],
    symbols: &[RISING, RAYLEIGH, PRANDTL],
    ranges: &[Range { of: "Ra", least: 1e-5, most: 1e12, outside: Outside::Fine }],
    conditions: "it lies",
    source: "Churchill & Chu 1975, Int. J. Heat Mass Transfer 18, 1049",
    spread: None,
    code: &["rising_round"],
};

/// Air that rises along an upright wall.
pub static RISING_WALL: Card = Card {
    key: "bay.rising_wall",
    name: "air that rises along a tank or a block",
    steps: &[step("Nu", "(0.825 + 0.387·Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))^2")],
    symbols: &[RISING, RAYLEIGH, PRANDTL],
    ranges: &[Range { of: "Ra", least: 0.0, most: 1e12, outside: Outside::Fine }],
    conditions: "all of its outside counts as upright",
    source: "Churchill & Chu 1975, Int. J. Heat Mass Transfer 18, 1323",
    spread: None,
    code: &["rising_wall"],
};

/// Air that blows across a cylinder.
pub static BLOWN_ROUND: Card = Card {
    key: "bay.blown_round",
    name: "air that blows across a hose",
    steps: &[step(
        "Nu",
        "0.3 + 0.62·Re^(1/2)·Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4)·(1 + (Re/282000)^(5/8))^(4/5)",
    )],
    symbols: &[BLOWN, REYNOLDS, PRANDTL],
    ranges: &[Range { of: "Re", least: 0.3, most: 1e7, outside: Outside::Fine }],
    conditions: "across it, not along",
    source: "Churchill & Bernstein 1977, J. Heat Transfer 99, 300",
    spread: None,
    code: &["blown_round"],
};

/// Air that blows along a wall.
pub static BLOWN_WALL: Card = Card {
    key: "bay.blown_wall",
    name: "air that blows along a tank or a block",
    steps: &[
        step("Nu", "(Nu_l^2 + Nu_t^2)^(1/2)"),
        step("Nu_l", "0.664·Re^(1/2)·Pr^(1/3)"),
        step("Nu_t", "0.037·Re^(4/5)·Pr/(1 + 2.443·Re^(−1/10)·(Pr^(2/3) − 1))"),
    ],
    symbols: &[
        BLOWN,
        sym("Nu_l", "1", "the same, laminar"),
        sym("Nu_t", "1", "the same, turbulent"),
        REYNOLDS,
        PRANDTL,
    ],
    ranges: &[Range { of: "Re", least: 10.0, most: 1e7, outside: Outside::Fine }],
    conditions: "a flat wall from its edge on",
    source: "Gnielinski 1975, Forsch. Ing.-Wes. 41, 145, with Pohlhausen 1921 (from memory)",
    spread: None,
    code: &["blown_wall"],
};
