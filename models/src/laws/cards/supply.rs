//! Electric supplies.

use super::{Card, step, sym};

/// A supply that sags under what its machines draw.
pub static SAG: Card = Card {
    key: "supply.sag",
    name: "voltage that pumps and fans find on a supply that sags",
    steps: &[step("U", "U₀ − R·I")],
    symbols: &[
        sym("U", "V", "voltage at the machines, where it comes to rest"),
        sym("U₀", "V", "voltage with nothing drawn"),
        sym("R", "Ω", "resistance of battery, leads and joints, to the machines and back"),
        sym("I", "A", "current of all pumps and fans on it"),
    ],
    ranges: &[],
    conditions: "it follows the current within a tenth of a second; a battery that runs down and an alternator at its limit \
                 are not in it",
    source: "Ohm’s law; the tenth of a second: common practice, no source",
    spread: None,
    code: &["terminal_v"],
};
