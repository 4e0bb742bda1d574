//! Closed circuits, dead ends, valves, pumps beside each other, bypasses.

use coolwright::study::Severity;

use super::{LOOP, PUMP, beside, has, nothing, of, one, two_pumps};

#[test]
fn a_closed_circuit_wants_a_tank() {
    let subject = "no room to expand";
    let without = LOOP.text().replace("\"tank\": Tank(volume: \"5 L\"), ", "");
    let finding = one(&without, subject);
    assert_eq!(finding.places, ["rig"]);
    // Water: 998.2 kg/m³ at 20 °C, 971.8 at 80 °C (IAPWS SR6-08): 2.72 %.
    has(&finding.why, "2.72 %");
    assert!(of(&LOOP.text(), subject).is_empty());
}

#[test]
fn a_dead_end_is_found() {
    let dead = beside(
        "from: \"far\", to: \"far\", parts: { \"end\": Hose(length: \"1 m\", rise: \"0 m\") }), \"to_far\": Run(from: \"out\", to: \"far\", parts: { \"h\": Hose(length: \"1 m\", rise: \"0 m\") }",
        "\"round\"",
        "",
    );
    let finding = one(&dead, "dead end");
    assert!(finding.places.contains(&"rig/to_far".to_owned()), "{:?}", finding.places);
    let alive = beside(
        "from: \"out\", to: \"back\", parts: { \"h\": Hose(length: \"1 m\", bore: \"8 mm\", rise: \"0 m\") }",
        "\"other\"",
        "",
    );
    assert!(of(&alive, "dead end").is_empty());
}

#[test]
fn a_fill_line_to_a_bottle_is_no_dead_end() {
    let text = beside(
        "from: \"bottle\", to: \"back\", parts: { \"line\": Hose(length: \"1 m\", bore: \"16 mm\", rise: \"0 m\") }",
        "\"fill\"",
        "junctions: { \"bottle\": Tank(volume: \"2 L\") }",
    );
    let text = text.replace("\"tank\": Tank(volume: \"5 L\"), ", "");
    assert!(of(&text, "dead end").is_empty());
}

/// A run beside the main one, written from the suction side to the pressure side: its flow is negative, and no
/// valve is needed to see it. Between equals, or written with the flow, nothing is said.
#[test]
fn a_run_written_against_its_flow_is_found() {
    let between = |from: &str, to: &str| {
        beside(
            &format!(
                "from: \"{from}\", to: \"{to}\", parts: {{ \"h\": Hose(length: \"1 m\", bore: \"12 mm\", rise: \"0 m\") }}"
            ),
            "\"other\"",
            "",
        )
    };
    let subject = "run written against its flow";
    let finding = one(&between("back", "out"), subject);
    assert_eq!(finding.places, ["rig/other"]);
    has(&finding.remedy, "swap its `from` and `to`");
    assert!(of(&between("out", "back"), subject).is_empty());
}

#[test]
fn a_check_valve_against_the_flow_is_found() {
    let case = |from: &str, to: &str| {
        let text = beside(
            &format!(
                "from: \"{from}\", to: \"{to}\", parts: {{ \"valve\": CheckValve(), \"plate_2\": Pass(cooler: \"plate_2\") }}"
            ),
            "\"second\"",
            "",
        );
        text.replace(
            "coolers: {",
            "coolers: { \"plate_2\": Cooler(heat: \"1 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")),",
        )
    };
    let finding = one(&case("back", "out"), "nothing flows");
    assert_eq!(finding.severity, Severity::Serious);
    assert_eq!(finding.places, ["rig/second/plate_2"]);
    has(&finding.what, "`rig/second/valve` stands against the flow");
    assert!(of(&case("out", "back"), "nothing flows").is_empty());
}

#[test]
fn a_valve_that_shuts_the_only_way_is_found() {
    let case = |from: &str, to: &str| {
        format!(
            "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
                \"feed\": Run(from: \"back\", to: \"out\", parts: {{ \"tank\": Tank(volume: \"5 L\"), \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\") }}),
                \"main\": Run(from: \"{from}\", to: \"{to}\", parts: {{ \"hose\": Hose(length: \"1 m\", rise: \"0 m\"), \"valve\": CheckValve() }}) }}) }})"
        )
    };
    let finding = one(&case("back", "out"), "nothing flows");
    assert_eq!(finding.places, ["rig/feed/pump", "rig/main/valve"]);
    has(&finding.what, "the only way is shut at `rig/main/valve`");
    assert!(of(&case("out", "back"), "nothing flows").is_empty());
}

/// A valve whose spring is stronger than the pump lets past what it leaks, and a pump that is stronger opens it.
#[test]
fn a_check_valve_that_the_pump_cannot_open_is_found() {
    let case = |cracking: &str| {
        let valve = format!(
            "\"valve\": CheckValve(cracking: \"{cracking}\", fall: \"90 kPa\", at: \"60 L/min\"), \"back\""
        );
        LOOP.text().replace("\"back\"", &valve)
    };
    let finding = one(&case("70 kPa"), "check valve that does not open");
    assert_eq!(finding.severity, Severity::Serious);
    assert_eq!(finding.places, ["rig/loop/valve"]);
    has(&finding.what, "needs 70 kPa to open and has only");
    assert!(of(&case("20 kPa"), "check valve that does not open").is_empty());
}

/// 2 kW through a pump at 0.1 % of its speed: it moves so little that the coolant would boil away; at half it does not.
#[test]
fn heat_that_the_flow_cannot_take_is_found() {
    let case = |speed: &str| {
        LOOP.text().replace(
            "free_flow: \"70 L/min\"",
            &format!("free_flow: \"70 L/min\", speed: \"{speed}\""),
        )
    };
    let finding = one(&case("0.1 %"), "heat without flow");
    assert_eq!(finding.severity, Severity::Serious);
    assert_eq!(finding.places, ["coolers/plate"]);
    assert!(of(&case("50 %"), "heat without flow").is_empty());
}

/// A pump against the way of its circuit turns all of it round: the finding is one, and names the pump's run.
#[test]
fn a_pump_the_wrong_way_round_is_found() {
    let case = |from: &str, to: &str| {
        let runs = format!(
            "\"feed\": Run(from: \"{from}\", to: \"{to}\", parts: {{ \"tank\": Tank(volume: \"5 L\"), {PUMP} }}),
             \"main\": Run(from: \"out\", to: \"back\", parts: {{ \"h\": Hose(length: \"1 m\", rise: \"0 m\"), \"plate\": Pass(cooler: \"plate\") }})"
        );
        format!(
            "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{ {runs} }}) }},
             coolers: {{ \"plate\": Cooler(heat: \"1 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")) }})"
        )
    };
    let finding = one(&case("out", "back"), "run written against its flow");
    assert!(finding.beside);
    has(&finding.what, "run backwards through `rig/main`");
    has(&finding.remedy, "swap `from` and `to` of `rig/feed`");
    assert!(of(&case("back", "out"), "run written against its flow").is_empty());
}

#[test]
fn equal_pumps_that_push_against_each_other_are_found() {
    let case = |from: &str, to: &str| {
        let pump = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\"), \"hose\": Hose(length: \"1 m\", rise: \"0 m\")";
        format!(
            "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
                \"a\": Run(from: \"in\", to: \"out\", parts: {{ \"tank\": Tank(volume: \"5 L\"), {pump} }}),
                \"b\": Run(from: \"{from}\", to: \"{to}\", parts: {{ {pump} }}) }}) }})"
        )
    };
    let finding = one(&case("in", "out"), "nothing flows");
    assert_eq!(finding.places, ["rig/a/pump", "rig/b/pump"]);
    has(&finding.what, "run and nothing flows in the circuit: they push against each other");
    assert!(of(&case("out", "in"), "nothing flows").is_empty());
}

/// A thermostat that stays shut in the run of what is heated lets past what it leaks: a phase may open it.
#[test]
fn a_shut_thermostat_before_what_is_heated_is_found() {
    let subject = "shut valve before what is heated";
    let with = |open: &str| {
        let valve = format!("Thermostat(fall: \"10 kPa\", at: \"40 L/min\", open: \"{open}\")");
        LOOP.text().replace("\"back\":", &format!("\"stat\": {valve}, \"back\":"))
    };
    let finding = one(&with("0 %"), subject);
    assert_eq!(
        (finding.severity, &finding.places[..]),
        (Severity::Serious, &["rig/loop/stat".to_owned()][..])
    );
    has(&finding.what, "only what leaks past it flows through `rig/loop/plate`");
    assert!(of(&with("50 %"), subject).is_empty());
    let opened = "Case(duty: Duty(phases: {\"pull\": Phase(time: \"9 s\", set: [(\"rig/loop/stat:open\", \"100 %\")])}), ";
    assert!(of(&with("0 %").replacen("Case(", opened, 1), subject).is_empty());
}

#[test]
fn a_stopped_twin_is_a_short_circuit() {
    let stopped = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", speed: \"0 %\")";
    let subject = "short circuit through a stopped pump";
    let finding = one(&two_pumps(PUMP, stopped), subject);
    assert_eq!(finding.severity, Severity::Serious);
    assert_eq!(finding.places, ["rig/two/pump"]);
    let valve = format!("{stopped}, \"valve\": CheckValve()");
    assert!(of(&two_pumps(PUMP, &valve), subject).is_empty());
}

#[test]
fn twins_without_check_valves_are_told_what_one_dead_costs() {
    let subject = "pumps side by side without check valves";
    let finding = one(&two_pumps(PUMP, PUMP), subject);
    has(&finding.what, "if `rig/one/pump` stops");
    // Both run: it is told of a day that may come.
    assert!(!finding.beside);
    let valved = format!("{PUMP}, \"valve\": CheckValve()");
    assert!(of(&two_pumps(&valved, &valved), subject).is_empty());
    let group = |valves: &str| {
        let pump = format!(
            "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"35 L/min\", count: Parallel(2){valves})"
        );
        LOOP.text().replace(LOOP.pump, &pump)
    };
    let finding = one(&group(""), subject);
    assert_eq!(finding.places, ["rig/loop/pump/1", "rig/loop/pump/2"]);
    nothing(&group(", check_valves: true"));
}

#[test]
fn a_pump_held_shut_by_a_stronger_one_is_found() {
    let weak =
        "\"pump\": Pump(shut_off: \"10 kPa\", free_flow: \"60 L/min\"), \"valve\": CheckValve()";
    let finding = one(&two_pumps(PUMP, weak), "pumps against each other");
    assert_eq!(finding.places, ["rig/two/pump", "rig/one/pump"]);
    assert!(of(&two_pumps(PUMP, PUMP), "pumps against each other").is_empty());
}

#[test]
fn a_pump_pushed_past_its_free_flow_is_found() {
    let case = |free: &str| {
        let two = format!(
            "{}, \"link\": Hose(length: \"0.3 m\", rise: \"0 m\"), \"small\": Pump(shut_off: \"30 kPa\", free_flow: \"{free}\")",
            LOOP.pump
        );
        LOOP.text().replace(LOOP.pump, &two)
    };
    let subject = "pump past its free flow";
    assert_eq!(one(&case("20 L/min"), subject).places, ["rig/loop/small"]);
    assert!(of(&case("120 L/min"), subject).is_empty());
}

#[test]
fn a_bypass_larger_than_the_main_way_is_found() {
    let case = |bore: &str| {
        beside(
            &format!(
                "from: \"out\", to: \"back\", parts: {{ \"around\": Hose(length: \"1 m\", bore: \"{bore}\", rise: \"0 m\") }}"
            ),
            "\"bypass\"",
            "",
        )
    };
    let subject = "bypass larger than the main way";
    let finding = one(&case("25 mm"), subject);
    assert_eq!(finding.places, ["rig/bypass"]);
    has(&finding.what, "past `rig/main/plate`");
    assert!(of(&case("8 mm"), subject).is_empty());
}

#[test]
fn the_arms_of_a_bridge_are_no_bypasses() {
    let hose = |name: &str, from: &str, to: &str, part: &str| {
        format!("\"{name}\": Run(from: \"{from}\", to: \"{to}\", parts: {{ {part} }})")
    };
    let text = |bore: &str| {
        let plain = format!("\"h\": Hose(length: \"1 m\", bore: \"{bore}\", rise: \"0 m\")");
        let small = "\"h\": Hose(length: \"1 m\", bore: \"12 mm\", rise: \"0 m\")";
        let plate = "\"plate\": Pass(cooler: \"plate\")";
        format!(
            "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{ {}, {}, {}, {}, {}, {} }}) }},
            coolers: {{ \"plate\": Cooler(heat: \"2 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")) }})",
            hose("feed", "back", "out", "\"tank\": Tank(volume: \"5 L\"), \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\")"),
            hose("upper", "out", "a", &plain),
            hose("lower", "out", "b", small),
            hose("bridge", "a", "b", small),
            hose("upper_on", "a", "back", small),
            hose("lower_on", "b", "back", plate),
        )
    };
    assert!(of(&text("20 mm"), "bypass larger than the main way").is_empty());
}
