//! What a pump breathes.

use coolwright::study::Severity;

use super::{LOOP, has, nothing, of, one};

#[test]
fn pressure_held_on_the_wrong_side_is_found() {
    let text = LOOP.text();
    // The same parts in another order: pump, plate, tank; the plate between tank and pump.
    let tank = "\"tank\": Tank(volume: \"5 L\"), ";
    let moved =
        text.replace(tank, "").replace("\"plate\": Pass", &format!("{tank}\"plate\": Pass"));
    let subject = "pressure held far from the pump's inlet";
    let finding = one(&moved, subject);
    assert_eq!(finding.places, ["rig/loop/tank", "rig/loop/pump"]);
    has(&finding.what, "`rig/loop/plate`");
    assert!(of(&text, subject).is_empty());
}

#[test]
fn a_pump_without_margin_is_found() {
    let subject = "little margin at a pump's inlet";
    let hot = LOOP.text().replace("start: \"20 °C\"", "start: \"99 °C\"");
    let open = hot.replace("pressure: \"50 kPa\"", "pressure: \"0 kPa\"");
    let finding = one(&open, subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert!(finding.beside);
    assert!(of(&hot, subject).is_empty());
}

#[test]
fn a_suction_below_the_air_is_found() {
    let subject = "suction below the pressure of the air";
    let low = LOOP.text().replace("pressure: \"50 kPa\"", "pressure: \"-25 kPa\"");
    let finding = one(&low, subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert!(finding.beside && finding.severity == Severity::Warning);
    has(&finding.why, "from some 20 kPa below the air on");
    assert!(of(&LOOP.text(), subject).is_empty());
}

#[test]
fn a_suction_narrower_than_the_port_is_found() {
    let subject = "suction narrower than the pump's port";
    let case = |port: &str| {
        let pump = format!(
            "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\", bore: \"{port}\")"
        );
        LOOP.text().replace(LOOP.pump, &pump)
    };
    assert_eq!(one(&case("32 mm"), subject).places, ["rig/loop/suction", "rig/loop/pump"]);
    nothing(&case("25 mm"));
}

#[test]
fn a_filter_before_the_pump_is_found_and_one_behind_it_is_not() {
    let filter = "\"filter\": Filter(fall: \"4 kPa\", at: \"40 L/min\")";
    let before = LOOP.text().replace(LOOP.pump, &format!("{filter}, {}", LOOP.pump));
    let behind = LOOP.text().replace(LOOP.pump, &format!("{}, {filter}", LOOP.pump));
    let finding = one(&before, "something narrow in a suction line");
    assert_eq!(finding.places, ["rig/loop/filter", "rig/loop/pump"]);
    nothing(&behind);
}

#[test]
fn many_bends_and_a_long_way_before_the_pump_are_found() {
    let bends = |count: u32| {
        let hose = format!(
            "\"suction\": Hose(length: \"1 m\", rise: \"0 m\", bends: [Bend(angle: \"90°\", count: {count})])"
        );
        LOOP.text().replace(LOOP.suction, &hose)
    };
    let finding = one(&bends(4), "many bends before a pump");
    has(&finding.what, "4 bends");
    nothing(&bends(2));
    let long = |length: &str| {
        let hose = format!("\"suction\": Hose(length: \"{length}\", rise: \"0 m\")");
        LOOP.text().replace(LOOP.suction, &hose)
    };
    let finding = one(&long("3 m"), "long suction line");
    assert_eq!(finding.places, ["rig/loop/suction"]);
    has(&finding.why, "up to 1.5 m");
    nothing(&long("1 m"));
}

/// A loop with a core, so that it has an operating point: the pump behind the engine or behind the
/// core.
fn heated(parts: &str, gauges: &str) -> String {
    format!(
        "Case(site: Site(air: \"30 °C\"), circuits: {{ \"rig\": Circuit(coolant: Water, start: \"80 °C\", bore: \"25 mm\", pressure: \"80 kPa\", runs: {{
            \"loop\": Run(parts: {{ {parts} }}) }}) }},
        engines: {{ \"engine\": Engine(heat: \"40 kW\", fall: (fall: \"8 kPa\", at: \"50 L/min\")) }},
        cores: {{ \"core\": Core(rated: (heat: \"40 kW\", coolant: \"60 L/min\", air: \"1.6 kg/s\", difference: \"60 K\"), fall: (fall: \"6 kPa\", at: \"60 L/min\")) }},
        air_paths: {{ \"front\": AirPath(cores: [\"core\"], fans: {{ \"fan\": Fan(shut_off: \"260 Pa\", free_flow: \"5200 m3/h\") }}) }},
        gauges: {{ {gauges} }})"
    )
}

#[test]
fn a_pump_that_takes_the_hottest_coolant_is_found() {
    let pump = "\"tank\": Tank(volume: \"4 L\"), \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\"), \"hose\": Hose(length: \"1 m\", rise: \"0 m\")";
    let (engine, core) =
        ("\"jacket\": Jacket(engine: \"engine\")", "\"core\": CoreSide(core: \"core\")");
    let subject = "hot coolant into a pump";
    let finding = one(&heated(&format!("{pump}, {core}, {engine}"), ""), subject);
    assert_eq!(finding.places, ["rig/loop/pump", "rig/loop/jacket"]);
    assert!(of(&heated(&format!("{pump}, {engine}, {core}"), ""), subject).is_empty());
}
