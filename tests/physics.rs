//! The physics of whole models: derivatives, balances, rest, couplings, limits, symmetry.

mod common;

#[path = "physics/balances.rs"]
mod balances;
#[path = "physics/couplings.rs"]
mod couplings;
#[path = "physics/derivatives.rs"]
mod derivatives;
#[path = "physics/determinism.rs"]
mod determinism;
#[path = "physics/jacobian.rs"]
mod jacobian;
#[path = "physics/limits.rs"]
mod limits;
#[path = "physics/mirror.rs"]
mod mirror;
#[path = "physics/three_circuits.rs"]
mod three_circuits;

/// The test cases, by name and text.
const CASES: [(&str, &str); 3] = [
    ("two_circuits", include_str!("physics/cases/two_circuits.ron")),
    ("every_part", include_str!("physics/cases/every_part.ron")),
    ("three_circuits", include_str!("physics/cases/three_circuits.ron")),
];

/// The text of a test case.
fn case(name: &str) -> &'static str {
    let found = CASES.iter().find(|(known, _)| *known == name);
    found.unwrap_or_else(|| panic!("no test case {name}")).1
}
