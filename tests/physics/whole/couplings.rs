//! Flows, temperatures and air are one coupled answer: each coupling, taken out, changes a named
//! number by at least what stands beside it.

use coolwright_cases::lower::Ready;
use coolwright_models::results::Results;

use super::case;
use crate::common::{at, near, point, read, simulator_at, with};

fn one_loop() -> Ready {
    read(case("one_loop"))
}

fn solved(ready: &Ready, changes: &[(&str, f64)]) -> Results {
    point(&ready.model, &with(ready, changes)).results
}

/// Asserts that a number moves by at least `least`, as a share of itself.
#[track_caller]
fn moves(what: &str, coupled: f64, uncoupled: f64, least: f64) {
    let change = (uncoupled / coupled - 1.0).abs();
    assert!(
        change >= least,
        "{what}: {coupled} coupled, {uncoupled} not: {change}, at least {least}"
    );
}

/// Temperature into the viscosity of the coolant, and from there into falls and flow:
/// `charge/loop/delivery:fall` against the fall at the start temperature, 4 %, and
/// `charge/loop:flow`, 1 %: rated falls go with viscosity too, so more flow makes up for some of the first.
#[test]
fn the_viscosity_of_warm_coolant_moves_falls_and_flow() {
    let ready = one_loop();
    let warm = solved(&ready, &[]);
    let model = &ready.model;
    let start = coolwright_models::simulate::Simulator::new(model, model.values.clone());
    let start = start.expect("the model can be set up").start();
    let cold = Results::read(&simulator_at(model, &model.values, &start), &start);
    for (address, least) in [("charge/loop/delivery:fall", 0.04), ("charge/loop:flow", 0.01)] {
        moves(address, at(&warm, address), at(&cold, address), least);
    }
    assert!(
        at(&warm, "charge/loop:flow") > at(&cold, "charge/loop:flow"),
        "warm coolant is thinner"
    );
}

/// Heat of the core into the density at the fans, and from there into the air flow:
/// `air_paths/front:mass_flow` against that of a core as cold as the air, 1 %.
#[test]
fn the_heat_of_a_core_moves_the_air_flow() {
    let ready = one_loop();
    let hot = solved(&ready, &[]);
    let cold = solved(
        &ready,
        &[("coolers/charge_cooler:share", 0.0), ("charge/loop/pump:heat_share", 0.0)],
    );
    near("no heat", at(&cold, "cores/radiator:heat"), 0.0, 0.1);
    moves(
        "air_paths/front:mass_flow",
        at(&hot, "air_paths/front:mass_flow"),
        at(&cold, "air_paths/front:mass_flow"),
        0.01,
    );
    // By the density alone: a fan moves volume, so hot air behind the core weighs less.
    assert!(at(&hot, "air_paths/front:mass_flow") < at(&cold, "air_paths/front:mass_flow"));
}

/// Coolant flow into the film of the core, `cores/radiator:ua` at half pump speed, 5 %; with hardly
/// any of the resistance in the film it moves by a twentieth of that.
#[test]
fn the_coolant_flow_moves_the_film_of_the_core() {
    let ready = one_loop();
    let ua = |share: Option<f64>, speed: f64| {
        let mut changes = vec![("charge/loop/pump:speed", speed), ("duty:power", 50e3)];
        changes.extend(share.map(|share| ("cores/radiator:coolant_share", share)));
        let results = solved(&ready, &changes);
        at(&results, "cores/radiator:ua")
    };
    moves("cores/radiator:ua", ua(None, 1.0), ua(None, 0.5), 0.05);
    let [full, half] = [1.0, 0.5].map(|speed| ua(Some(1e-4), speed));
    assert!((half / full - 1.0).abs() < 0.01, "without a film: {full}, {half}");
}

/// Coolant flow into the film of the cooler, `coolers/charge_cooler:metal` over its coolant at half
/// pump speed: 40 % more, for the film goes with flow to the power of 0.8.
#[test]
fn the_coolant_flow_moves_the_film_of_the_cooler() {
    let ready = one_loop();
    let over = |speed: f64| {
        let results = solved(&ready, &[("charge/loop/pump:speed", speed), ("duty:power", 50e3)]);
        let mean =
            0.5 * (at(&results, "charge/loop/cooler:in") + at(&results, "charge/loop/cooler:out"));
        let flow = at(&results, "charge/loop:flow");
        (at(&results, "coolers/charge_cooler:metal") - mean, flow)
    };
    let (full, half) = (over(1.0), over(0.5));
    moves("metal over coolant", full.0, half.0, 0.4);
    // Stirred cells lag the mean of both ends by a twelfth of the rise.
    let by_flow = (full.1 / half.1).powf(0.8);
    near("ratio of the films", half.0 / full.0, by_flow, 0.06 * by_flow);
}

/// Air flow into the air side of the core, `cores/radiator:ua` at 60 % fan speed, 10 %; with the
/// exponent 0 it stays. The coolant that goes in is warmer by 3 K.
#[test]
fn the_air_flow_moves_the_heat_of_the_core() {
    let ready = one_loop();
    let answer = |exponent: Option<f64>, speed: f64| {
        let mut changes = vec![("air_paths/front/fan:speed", speed)];
        if let Some(exponent) = exponent {
            changes.push(("cores/radiator:air_exponent", exponent));
            changes.push(("cores/radiator:coolant_share", 1e-4));
        }
        let results = solved(&ready, &changes);
        ["cores/radiator:ua", "charge/loop/radiator:in"].map(|address| at(&results, address))
    };
    let [ua, inlet] = answer(None, 1.0);
    let [slow_ua, slow_inlet] = answer(None, 0.6);
    moves("cores/radiator:ua", ua, slow_ua, 0.1);
    assert!(slow_inlet > inlet + 3.0, "radiator inlet: {inlet} K, {slow_inlet} K with slow fans");
    // The film, whose coolant is warmer then, is taken out as well.
    let [ua, slow_ua] = [1.0, 0.6].map(|speed| answer(Some(0.0), speed)[0]);
    assert!((slow_ua / ua - 1.0).abs() < 1e-3, "exponent 0: {ua}, {slow_ua}");
}

/// Pump power into the coolant, `charge/loop/radiator:in`: without it, cooler by 0.1 K at least, and
/// the heat of the core is less by just the power.
#[test]
fn the_power_of_the_pump_warms_the_coolant() {
    let ready = one_loop();
    let with_heat = solved(&ready, &[("charge/loop/pump:heat_share", 1.0)]);
    let without = solved(&ready, &[("charge/loop/pump:heat_share", 0.0)]);
    let power = at(&with_heat, "charge/loop/pump:power");
    let heats = [&with_heat, &without].map(|results| at(results, "cores/radiator:heat"));
    near("heat of the core", heats[0] - heats[1], power, 1e-3);
    let inlets = [&with_heat, &without].map(|results| at(results, "charge/loop/radiator:in"));
    assert!(inlets[0] > inlets[1] + 0.1, "radiator inlet: {inlets:?} K");
}

/// The front core into the air of the rear one, `cores/main:air_in` and the hottest coolant behind it:
/// without heat in the front core, cooler by 3 K and by 2 K at least.
#[test]
fn the_front_core_warms_the_air_of_the_rear_one() {
    let ready = read(case("two_circuits"));
    let hot = solved(&ready, &[]);
    let cold =
        solved(&ready, &[("coolers/charge:share", 0.0), ("charge/loop/pump:heat_share", 0.0)]);
    let site = 303.15;
    near("air into the rear core behind a cold one", at(&cold, "cores/main:air_in"), site, 0.01);
    assert!(at(&hot, "cores/main:air_in") > site + 3.0, "{}", at(&hot, "cores/main:air_in"));
    let [hot_engine, cold_engine] = [&hot, &cold].map(|results| at(results, "engine:hottest"));
    assert!(hot_engine > cold_engine + 2.0, "engine: {hot_engine} K, {cold_engine} K");
    near(
        "air out of the front core",
        at(&hot, "cores/front:air_out"),
        at(&hot, "cores/main:air_in"),
        1e-6,
    );
}
