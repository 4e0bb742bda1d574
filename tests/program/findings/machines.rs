//! Machines that stand, turn backwards or have another voltage.

use coolwright::study::Severity;
use coolwright_models::point::operating_point;

use crate::common::read;

use super::{LOOP, Loop, PUMP, has, of, one, two_pumps};

#[test]
fn stopped_pumps_are_told_with_what_gets_no_coolant() {
    let stopped = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", speed: \"0 %\")";
    let finding = one(&Loop { pump: stopped, ..LOOP }.text(), "all pumps stopped");
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "`rig/loop/plate` get no coolant");
    let two = format!(
        "{PUMP}, \"dead\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", speed: \"0 %\")"
    );
    let text = LOOP.text().replace(LOOP.pump, &two);
    let finding = one(&text, "stopped pump in the way");
    assert_eq!(finding.places, ["rig/loop/dead"]);
    assert!(of(&LOOP.text(), "stopped pump in the way").is_empty());
}

#[test]
fn a_pump_that_turns_and_is_driven_backwards_is_serious() {
    let weak = "\"pump\": Pump(shut_off: \"10 kPa\", free_flow: \"60 L/min\")";
    let finding = one(&two_pumps(PUMP, weak), "pump driven backwards");
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "is stronger");
    assert!(of(&two_pumps(PUMP, PUMP), "pump driven backwards").is_empty());
}

/// 12/16: 75 %.
#[test]
fn another_voltage_than_that_of_the_curve_is_told() {
    let subject = "another voltage than that of the curve";
    let slow =
        "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", rated_voltage: \"16 V\")";
    let text = Loop { pump: slow, ..LOOP }.text();
    let text = text.replacen("Case(", "Case(supply: Supply(voltage: \"12 V\"), ", 1);
    let finding = one(&text, subject);
    has(&finding.what, "it turns at 75 % of its speed");
    assert!(of(&LOOP.text(), subject).is_empty());
}

/// A plate cooled by a core in the air of one fan, with the most that its feed may be (°C) and what the air path says
/// beside its fan.
fn standing(most: f64, path: &str, duty: &str) -> String {
    let core = "Core(rated: (heat: \"20 kW\", coolant: \"40 L/min\", air: \"2000 m3/h\", difference: \"50 K\"), face: \"0.2 m2\")";
    let fan = "Fan(shut_off: \"300 Pa\", free_flow: \"3000 m3/h\")";
    let rest = format!(
        "cores: {{ \"radiator\": {core} }}, air_paths: {{ \"front\": AirPath(cores: [\"radiator\"], {path} fans: {{ \"fan\": {fan} }}) }},
        {duty} limits: {{ \"feed\": Limit(of: \"rig/loop/core:out\", max: \"{most} °C\") }},"
    );
    let back =
        "\"core\": CoreSide(core: \"radiator\"), \"back\": Hose(length: \"1 m\", rise: \"0 m\")";
    let text = Loop { back, rest: "REST", ..LOOP }.text();
    text.replace("heat: \"2 kW\"", "heat: \"20 kW\"").replace("REST", &rest)
}

/// The limit is told while its margin is what it moves by when a tenth of the air is let come round, give or take a fifth of
/// that: warmer air is thinner, and less of it flows, which is left out.
#[test]
fn a_limit_that_air_coming_round_would_break_is_told() {
    let subject = "air that may come round";
    let feed = |text: &str| {
        let ready = read(text);
        let point = operating_point(&ready.model, ready.model.values.clone(), None);
        let results = point.expect("it rests").results;
        results.get("rig/loop/core:out").expect("a result") - 273.15
    };
    let still = feed(&standing(100.0, "", ""));
    let moves = feed(&standing(100.0, "recirculation: \"10 %\",", "")) - still;
    assert!(moves > 2.0, "{moves}");
    let finding = one(&standing(still + 0.8 * moves, "", ""), subject);
    has(&finding.what, "`limits/feed` would not hold");
    assert!(finding.beside);
    for (most, path, duty) in [
        (still + 1.2 * moves, "", ""),
        (still - 1.0, "", ""),
        (still + 0.8 * moves, "recirculation: \"0 %\",", ""),
        (still + 0.8 * moves, "", "duty: Duty(road_speed: \"60 km/h\"),"),
    ] {
        assert!(of(&standing(most, path, duty), subject).is_empty(), "{most} {path} {duty}");
    }
}
