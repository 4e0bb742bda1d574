//! Numbers that a slip makes: what then holds says nothing.

use super::{LOOP, Loop, has, nothing, of, one};

/// The plain loop with this in its last lines.
fn with(rest: &'static str) -> String {
    Loop { rest, ..LOOP }.text()
}

#[test]
fn a_limit_that_nothing_breaks_is_found() {
    let subject = "limit that nothing breaks";
    for (idle, sound) in [
        (
            "of: \"coolers/plate:flow_ratio\", min: \"0.9\"",
            "of: \"coolers/plate:flow_ratio\", max: \"1.1\"",
        ),
        (
            "of: \"rig/loop/pump:suction_margin\", max: \"400 kPa\"",
            "of: \"rig/loop/pump:suction_margin\", min: \"40 kPa\"",
        ),
        ("of: \"rig:hottest\", max: \"1050 °C\"", "of: \"rig:hottest\", max: \"105 °C\""),
        ("of: \"rig/loop/plate:in\", max: \"550 °C\"", "of: \"rig/loop/plate:in\", max: \"55 °C\""),
    ] {
        let limits = |bound: &str| -> String {
            with(String::leak(format!("limits: {{ \"bound\": Limit({bound}) }},")))
        };
        let finding = one(&limits(idle), subject);
        assert!(finding.beside, "{idle}");
        assert_eq!(finding.places, ["limits/bound"]);
        nothing(&limits(sound));
    }
}

#[test]
fn a_full_power_of_a_toy_is_found() {
    let power = |power: &str| with(String::leak(format!("duty: Duty(power: \"{power}\"),")));
    has(&one(&power("600 W"), "power out of practice").what, "full power is 0.6 kW");
    assert!(of(&power("600 kW"), "power out of practice").is_empty());
}

#[test]
fn sizes_out_of_practice_are_found() {
    let bore = |bore: &str| {
        LOOP.text().replace("\"1 m\", rise", &format!("\"1 m\", bore: \"{bore}\", rise"))
    };
    let found = of(&bore("250 mm"), "size out of practice");
    assert!(found.iter().all(|finding| finding.beside) && !found.is_empty(), "{found:?}");
    assert!(of(&bore("25 mm"), "size out of practice").is_empty());
}

/// A fall written in Pa for kPa, and a pump of a fire engine's monitor: each is told, the usual ones beside them are not.
#[test]
fn falls_and_pumps_out_of_practice_are_found() {
    let subject = "size out of practice";
    let fall = |fall: &str| LOOP.text().replace("fall: \"20 kPa\"", &format!("fall: \"{fall}\""));
    let finding = one(&fall("15 Pa"), subject);
    assert!(finding.beside);
    assert_eq!(finding.places, ["coolers/plate:fall"]);
    assert!(of(&fall("15 kPa"), subject).is_empty());
    let pump = |flow: &str| {
        LOOP.text().replace("free_flow: \"70 L/min\"", &format!("free_flow: \"{flow}\""))
    };
    assert_eq!(of(&pump("2300 L/min"), subject)[0].places, ["rig/loop/pump"]);
    assert!(of(&pump("300 L/min"), subject).is_empty());
}

/// A switch that goes off below the air never does.
#[test]
fn a_switch_below_the_air_is_found() {
    let case = |on: &str, off: &str| {
        let rest = format!(
            "cores: {{ \"core\": Core(rated: (heat: \"20 kW\", coolant: \"40 L/min\", air: \"1 kg/s\", difference: \"40 K\")) }},
             air_paths: {{ \"front\": AirPath(cores: [\"core\"], fans: {{ \"fan\": Fan(shut_off: \"250 Pa\", free_flow: \"3000 m3/h\",
                switch: Switch(feels: \"rig/loop/plate\", on: \"{on}\", off: \"{off}\")) }}) }},"
        );
        with(String::leak(rest))
            .replace("\"back\": Hose", "\"core\": CoreSide(core: \"core\"), \"back\": Hose")
    };
    let finding = one(&case("8.8 °C", "8.2 °C"), "switch below the air");
    has(&finding.what, "goes off at 8.2 °C, below the air");
    assert!(of(&case("88 °C", "82 °C"), "switch below the air").is_empty());
}
