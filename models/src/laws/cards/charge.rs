//! Charge air: compressors, charge coolers, pipes.

use super::{Card, Outside, Range, Spread, Symbol, step, sym};
use crate::laws::uncertainty::{self, Law};

const AIR: Symbol = sym("w", "kg/s", "mass flow of the charge air");
const ENTERING: Symbol = sym("T₁", "K", "temperature of the air in front of the stage");
const LEAVING: Symbol = sym("T₂", "K", "temperature of the air behind the stage");
const CAPACITY: Symbol = sym("C", "W/K", "capacity flow of the air over the node");

/// A compressor.
pub static COMPRESSOR: Card = Card {
    key: "charge.compressor",
    name: "compressor known by its pressure ratio and its isentropic efficiency",
    steps: &[step("T₂", "T₁·(1 + (Π^(R/c) − 1)/η)")],
    symbols: &[
        LEAVING,
        ENTERING,
        sym("Π", "1", "pressure behind it over pressure in front of it"),
        sym("η", "1", "isentropic efficiency"),
        sym("R", "J/(kg·K)", "gas constant of the moist air, for each kg of its dry air"),
        sym(
            "c",
            "J/(kg·K)",
            "its heat capacity at the mean temperature, for each kg of its dry air",
        ),
    ],
    ranges: &[],
    conditions: "ideal gas; what the casing gives off is left out",
    source: "isentropic compression and the definition of the efficiency: Saravanamuttoo et al., Gas Turbine \
             Theory, ch. 2",
    spread: None,
    code: &["compressed_k", "corrected_flow"],
};

/// The air side of a charge cooler that its rating asks for.
pub static RATING: Card = Card {
    key: "charge.rating",
    name: "air side of one node of a charge cooler, from its rated effectiveness",
    steps: &[
        step("a", "−C·ln(1 − g/C)"),
        step("g", "1/(1/W − n/f)"),
        step("W", "C·(1 − (1 − G/C)^(1/n))"),
    ],
    symbols: &[
        sym("a", "W/K", "conductance of the air side of the node at the rating"),
        sym(
            "G",
            "W/K",
            "conductance from coolant to entering air that a row of such cells needs to meet the rating",
        ),
        sym(
            "f",
            "W/K",
            "conductance of the film between coolant and metal in the cell at the rating",
        ),
        sym("g", "W/K", "heat for each kelvin between metal and entering air in one layer"),
        sym("W", "W/K", "conductance from coolant to the air that enters one layer"),
        sym("n", "1", "layers of metal across the air"),
        CAPACITY,
    ],
    ranges: &[],
    conditions: "metal at one temperature in each layer across the air; cells in a row along the coolant leave (1 + G/C_c)^(−N) of \
                 the difference, so that the rating is met exactly",
    source: "Kays & London, Compact Heat Exchangers, ch. 2: effectiveness, multipass",
    spread: Some(Spread {
        law: Law::ChargeRating,
        half_width: "r of the conductance",
        numbers: &[("r", uncertainty::CHARGE_RATING)],
        source: "what 5 % less heat (AHRI Standard 410, from memory) is at an effectiveness of 80 %",
    }),
    code: &["rated_cell", "air_side"],
};

/// The air side at another flow.
pub static AIR_SIDE: Card = Card {
    key: "charge.air_side",
    name: "air side of one node of a charge cooler at another flow",
    steps: &[step("a", "a₀·x^n"), step("x", "w/w₀")],
    symbols: &[
        sym("a", "W/K", "conductance of the air side of the node, fins included"),
        sym("a₀", "W/K", "that at the rating"),
        AIR,
        sym("w₀", "kg/s", "mass flow of the air at the rating"),
        sym("x", "1", "flow over rated flow"),
        sym("n", "1", "exponent"),
    ],
    ranges: &[Range { of: "x", least: 1.0 / 3.0, most: 3.0, outside: Outside::OwnWarning }],
    conditions: "a power of the flow; what pressure and temperature of the air change is left out",
    source: "common practice, no source",
    spread: None,
    code: &["air_side_at"],
};

/// One cell, dry.
pub static CELL: Card = Card {
    key: "charge.cell",
    name: "heat from charge air into one node of metal",
    steps: &[step("q", "C·(1 − exp(−a/C))·(T₁ − T_m)")],
    symbols: &[
        sym("q", "W", "heat into the metal, without that of what condenses"),
        CAPACITY,
        sym("a", "W/K", "conductance of the air side of the node"),
        ENTERING,
        sym("T_m", "K", "temperature of the metal"),
    ],
    ranges: &[],
    conditions: "metal at one temperature in the node",
    source: "Kays & London, Compact Heat Exchangers, ch. 2: a wall of one temperature",
    spread: None,
    code: &["through"],
};

/// What condenses.
pub static CONDENSING: Card = Card {
    key: "charge.condensing",
    name: "heat of the moisture that condenses on one node of metal",
    steps: &[
        step("q", "d·(ω − ω_s)·(1 − exp(−a/(C·l)))·L"),
        step("L", "2500900 − 2381·(T_m − 273.15)"),
    ],
    symbols: &[
        sym("q", "W", "heat of what condenses"),
        sym("d", "kg/s", "mass flow of dry air over the node"),
        sym("ω", "1", "mass of vapour per mass of dry air, entering"),
        sym(
            "ω_s",
            "1",
            "the same where saturated at the metal's temperature and the air's pressure",
        ),
        sym("a", "W/K", "conductance of the air side of the node"),
        CAPACITY,
        sym(
            "l",
            "1",
            "film coefficient over mass transfer coefficient and heat capacity, Le^(2/3)",
        ),
        sym("L", "J/kg", "heat of condensing"),
        sym("T_m", "K", "temperature of the metal"),
    ],
    ranges: &[],
    conditions: "where ω is above ω_s; what has condensed is taken to be drained and does not come back",
    source: "analogy of heat and mass transfer: Threlkeld, Thermal Environmental Engineering, 1970, ch. 10 (from \
             memory); L: a straight line through IAPWS R7-97, 0 to 100 °C",
    spread: None,
    code: &["latent_heat", "dried"],
};

/// A pipe that takes up heat.
pub static SOAK: Card = Card {
    key: "charge.soak",
    name: "charge air in a pipe that takes up heat from the air around it",
    steps: &[step("T₂", "T₁ − (T₁ − T_a)·(1 − exp(−G/C))")],
    symbols: &[
        LEAVING,
        ENTERING,
        sym("T_a", "K", "temperature of the air of the site"),
        sym("G", "W/K", "conductance between both"),
        sym("C", "W/K", "capacity flow of the charge air"),
    ],
    ranges: &[],
    conditions: "air around it as warm as that of the site",
    source: "Kays & London, Compact Heat Exchangers, ch. 2: a wall of one temperature",
    spread: None,
    code: &["follow"],
};

/// A charge cooler in the wind.
pub static AIR_COOLED: Card = Card {
    key: "charge.air_cooled",
    name: "charge cooler whose other side is the air of the site",
    steps: &[step("T₂", "T₁ − ε·(T₁ − T_a)")],
    symbols: &[
        LEAVING,
        ENTERING,
        sym("T_a", "K", "temperature of the air of the site"),
        sym("ε", "1", "effectiveness, as told"),
    ],
    ranges: &[],
    conditions: "the effectiveness told holds whatever flows",
    source: "definition of the effectiveness",
    spread: None,
    code: &["follow"],
};

/// The fall of a stage.
pub static FALL: Card = Card {
    key: "charge.fall",
    name: "fall of the charge air through a stage, from that at one flow",
    steps: &[step("Δp", "Δ·ρ₀/ρ·x·((x² + 0.0001)/1.0001)^((n − 1)/2)"), step("x", "w/w₀")],
    symbols: &[
        sym("Δp", "Pa", "fall of the air's pressure"),
        sym("Δ", "Pa", "fall at the flow w₀ and the density ρ₀"),
        sym("ρ₀", "kg/m³", "density of that fall"),
        sym("ρ", "kg/m³", "density at the mean temperature and the pressure in front of the stage"),
        AIR,
        sym("w₀", "kg/s", "flow of that fall"),
        sym("x", "1", "flow over that flow"),
        sym("n", "1", "exponent"),
    ],
    ranges: &[],
    conditions: "fall times density follows the mass flow; at most nine tenths of the pressure",
    source: "common practice, no source (the same mass flux at another density: Kays & London, Compact Heat \
             Exchangers)",
    spread: None,
    code: &["fall"],
};
