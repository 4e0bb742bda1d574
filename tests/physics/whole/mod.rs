//! The physics of whole models: derivatives, balances, rest, couplings, limits, symmetry.

mod balances;
mod couplings;
mod derivatives;
mod determinism;
mod jacobian;
mod limits;
mod mirror;
mod states;
mod three_circuits;
mod tracks;

/// The test cases, by name and text.
const CASES: [(&str, &str); 9] = [
    ("bay", include_str!("../cases/bay.ron")),
    ("one_loop", include_str!("../cases/one_loop.ron")),
    ("two_circuits", include_str!("../cases/two_circuits.ron")),
    ("every_part", include_str!("../cases/every_part.ron")),
    ("charge_air", include_str!("../cases/charge_air.ron")),
    ("thermostat", include_str!("../cases/thermostat.ron")),
    ("sagging", include_str!("../cases/sagging.ron")),
    ("governed", include_str!("../cases/governed.ron")),
    ("three_circuits", include_str!("../cases/three_circuits.ron")),
];

/// The text of a test case.
fn case(name: &str) -> &'static str {
    let found = CASES.iter().find(|(known, _)| *known == name);
    found.unwrap_or_else(|| panic!("no test case {name}")).1
}
