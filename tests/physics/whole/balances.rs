//! Mass and energy in every demo and every test case; a cycle that is held comes to the operating
//! point.

use coolwright_models::point::OperatingPoint;

use super::{CASES, case};
use crate::common::{
    check_mass, constant, cycle, demo_cases, guide_cases, phases, point, read, read_variant,
    simulator_at, variants,
};

/// All cases, with each of their variants.
fn all_cases() -> Vec<(String, coolwright_cases::lower::Ready)> {
    let mut texts = demo_cases();
    texts.extend(guide_cases());
    texts.extend(CASES.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())));
    let mut all = Vec::new();
    for (name, text) in texts {
        let ready = read(&text);
        all.push((name.clone(), ready));
        for variant in variants(&text) {
            all.push((format!("{name} {variant}"), read_variant(&text, Some(&variant))));
        }
    }
    all
}

#[test]
fn mass_and_energy_balance_at_every_operating_point() {
    for (name, ready) in all_cases() {
        println!("{name}");
        point(&ready.model, &ready.model.values);
    }
}

#[test]
fn mass_and_energy_balance_through_every_cycle() {
    for (name, ready) in all_cases() {
        println!("{name}");
        let mut phases = phases(&ready);
        if phases.is_empty() {
            phases = constant(120.0);
        }
        let history = cycle(&ready.model, &ready.model.values, &phases);
        assert_eq!(history.phases.len(), phases.len(), "{name}: every phase is followed");
        let simulator = simulator_at(&ready.model, &ready.model.values, &history.states);
        let results = coolwright_models::results::Results::read(&simulator, &history.states);
        check_mass(&simulator, &results);
    }
}

/// How far a held cycle may end from the operating point, K.
const REST: f64 = 0.02;

fn comes_to_rest(text: &str, hours: f64) {
    let ready = read(text);
    let OperatingPoint { states: rest, .. } = point(&ready.model, &ready.model.values);
    let history = cycle(&ready.model, &ready.model.values, &constant(hours * 3600.0));
    let simulator = simulator_at(&ready.model, &ready.model.values, &rest);
    for (state, (cycle, rest)) in history.states.iter().zip(&rest).enumerate() {
        let name = simulator.setup.state_of(state);
        assert!((cycle - rest).abs() <= REST, "{name:?}: {cycle} after {hours} h, {rest} at rest");
    }
}

#[test]
fn a_cycle_held_constant_ends_at_the_operating_point() {
    comes_to_rest(case("one_loop"), 1.0);
    comes_to_rest(case("two_circuits"), 2.0);
    comes_to_rest(case("governed"), 2.0);
    comes_to_rest(case("sagging"), 2.0);
    comes_to_rest(case("three_circuits"), 2.0);
}
