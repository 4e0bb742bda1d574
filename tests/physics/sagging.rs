//! Supplies that sag under what their machines draw.

use coolwright_models::cycle::Phase;
use coolwright_models::results::Results;

use crate::common::{at, column, cycle, near, point, read, slots, solve};

const SAGGING: &str = include_str!("cases/sagging.ron");

/// The supplies with what each has open, V, its resistance, Ω, and its machines.
const SUPPLIES: [(&str, f64, f64, &[&str]); 2] = [
    (
        "supply",
        14.2,
        0.040,
        &["drive/loop/first", "drive/loop/second", "air_paths/front/main", "air_paths/front/other"],
    ),
    ("supplies/aux", 28.0, 0.2, &["air_paths/front/third"]),
];

fn drawn(results: &Results, machines: &[&str]) -> f64 {
    machines.iter().map(|machine| at(results, &format!("{machine}:current"))).sum()
}

/// U = U₀ − R·I by hand, and the machines turn as fast as that lets them.
#[test]
fn a_supply_gives_what_its_resistance_leaves() {
    let results = solve(SAGGING);
    for (supply, open, resistance, machines) in SUPPLIES {
        let amps = drawn(&results, machines);
        let volts = at(&results, &format!("{supply}:terminal_voltage"));
        near(supply, volts, open - resistance * amps, 1e-6);
        near("all of them", at(&results, &format!("{supply}:current")), amps, 1e-9);
    }
    let volts = at(&results, "supply:terminal_voltage");
    assert!((11.0..13.4).contains(&volts), "the demo sags below the rated voltage: {volts} V");
    near("a pump by its voltage", at(&results, "drive/loop/first:speed"), volts / 13.5, 1e-9);
    near("a controller holds it", at(&results, "drive/loop/second:speed"), 0.8, 1e-12);
    near("a fan by its voltage", at(&results, "air_paths/front/other:speed"), volts / 13.5, 1e-9);
}

/// A supply that holds the voltage to which the other sags gives the same point.
#[test]
fn a_supply_that_holds_the_voltage_found_gives_the_same_point() {
    let sagging = solve(SAGGING);
    let mut text = SAGGING.to_owned();
    for (told, supply) in [
        ("voltage: \"14.2 V\", resistance: \"40 mΩ\"", "supply"),
        ("voltage: \"28 V\", resistance: \"0.2 ohm\"", "supplies/aux"),
    ] {
        let volts = at(&sagging, &format!("{supply}:terminal_voltage"));
        text = text.replace(told, &format!("voltage: \"{volts} V\""));
    }
    let held = solve(&text);
    for address in [
        "drive/loop:flow",
        "drive/loop/block:out",
        "air_paths/front:mass_flow",
        "air_paths/front/main:speed",
        "supply:current",
    ] {
        let want = at(&held, address);
        near(address, at(&sagging, address), want, 1e-6 * want.abs());
    }
}

/// What holds its power P finds U = (U₀ + √(U₀² − 4 R P))/2, the upper root of U = U₀ − R·P/U.
#[test]
fn what_holds_its_power_finds_the_upper_root() {
    let text = SAGGING.replace("\"front\": AirPath(", "\"front\": AirPath(ram: \"100 %\", ");
    let ready = read(&text);
    let off: Vec<_> = ["air_paths/front/main", "air_paths/front/other", "drive/loop/first"]
        .into_iter()
        .map(|machine| (slots(&ready, &format!("{machine}:speed"))[0], 0.0))
        .chain([(slots(&ready, "duty:road_speed")[0], 20.0)])
        .chain([(slots(&ready, "supply:resistance")[0], 0.3)])
        .collect();
    let mut values = ready.model.values.clone();
    ready.model.write(&mut values, &off);
    let results = point(&ready.model, &values).results;
    let power = at(&results, "drive/loop/second:power");
    assert!(power > 50.0, "{power} W");
    let root = (14.2_f64 * 14.2 - 4.0 * 0.3 * power).sqrt();
    near("voltage", at(&results, "supply:terminal_voltage"), 0.5 * (14.2 + root), 1e-6);
}

/// Fans that come on pull the voltage down, and the pump beside them slows; what it settles to is the operating point.
#[test]
fn fans_that_come_on_slow_the_pump() {
    let ready = read(SAGGING);
    let fans = ["air_paths/front/main:speed", "air_paths/front/other:speed"];
    let phase = |time_s: f64, share: f64| Phase {
        name: "phase".to_owned(),
        time_s,
        sets: fans.iter().map(|fan| (slots(&ready, fan)[0], share)).collect(),
        ..Phase::default()
    };
    let history = cycle(&ready.model, &ready.model.values, &[phase(60.0, 0.0), phase(3600.0, 1.0)]);
    let volts = column(&history, "supply:terminal_voltage");
    let speed = column(&history, "drive/loop/first:speed");
    let around = history.times_s.iter().position(|time| *time > 59.0).expect("a row");
    let after = history.times_s.iter().position(|time| *time > 64.0).expect("a row");
    assert!(volts[after] < volts[around] - 0.3, "{} then {}", volts[around], volts[after]);
    assert!(speed[after] < speed[around] - 0.02, "{} then {}", speed[around], speed[after]);
    // It begins where it rests with what is drawn then.
    near("at once", volts[0], volts[1], 0.02);
    let rest = solve(SAGGING);
    for address in ["supply:terminal_voltage", "drive/loop/first:speed", "drive/loop/block:out"] {
        let end = *column(&history, address).last().expect("an end");
        near(address, end, at(&rest, address), 5e-3);
    }
}
