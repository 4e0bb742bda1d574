//! What `check` finds in the plumbing: for every finding a small case that provokes it, and a
//! neighbour that does not.

use coolwright::study::{Finding, Findings, Severity, findings};
use coolwright_cases::quantity::{UnitSystem, in_units};
use coolwright_models::point::operating_point;

use crate::common::read;

fn look(text: &str) -> Findings {
    let ready = read(text);
    let point = operating_point(&ready.model, ready.model.values.clone(), None).ok();
    let found = findings(&ready, point.as_ref());
    let mut found = found.unwrap_or_else(|error| panic!("{error}\n{text}"));
    for finding in &mut found.list {
        for text in [&mut finding.what, &mut finding.why, &mut finding.remedy] {
            *text = in_units(text, UnitSystem::Metric);
        }
    }
    found
}

/// The findings of a subject.
#[track_caller]
fn of(text: &str, subject: &str) -> Vec<Finding> {
    look(text).list.into_iter().filter(|finding| finding.subject == subject).collect()
}

/// The one finding of a subject.
#[track_caller]
fn one(text: &str, subject: &str) -> Finding {
    let all = look(text).list;
    let subjects: Vec<&str> = all.iter().map(|finding| finding.subject).collect();
    let mut found: Vec<Finding> = all.iter().filter(|f| f.subject == subject).cloned().collect();
    assert_eq!(found.len(), 1, "{subject}: found {subjects:?}");
    let finding = found.remove(0);
    for text in [&finding.what, &finding.why, &finding.remedy] {
        assert!(!text.is_empty() && !text.ends_with('.') && !text.contains("NaN"), "{text:?}");
    }
    assert!(!finding.places.is_empty(), "{}", finding.what);
    finding
}

#[track_caller]
fn nothing(text: &str) {
    let found = look(text);
    let said: Vec<&str> = found.list.iter().map(|finding| finding.what.as_str()).collect();
    assert!(
        found.list.is_empty() && found.statements.is_empty(),
        "{said:?} {:?}",
        found.statements
    );
}

#[track_caller]
fn has(text: &str, words: &str) {
    assert!(text.contains(words), "{words:?} is not in {text:?}");
}

/// A plain loop of 25 mm: tank, suction line, pump, delivery, plate, and back.
struct Loop {
    circuit: &'static str,
    suction: &'static str,
    pump: &'static str,
    delivery: &'static str,
    back: &'static str,
    rest: &'static str,
}

const LOOP: Loop = Loop {
    circuit: "",
    suction: "\"suction\": Hose(length: \"0.5 m\", rise: \"0 m\")",
    pump: "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\")",
    delivery: "\"delivery\": Hose(length: \"1 m\", rise: \"0 m\")",
    back: "\"back\": Hose(length: \"1 m\", rise: \"0 m\")",
    rest: "",
};

impl Loop {
    fn text(&self) -> String {
        let Self { circuit, suction, pump, delivery, back, rest } = self;
        format!(
            "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", pressure: \"50 kPa\", {circuit} runs: {{
                \"loop\": Run(parts: {{ \"tank\": Tank(volume: \"5 L\"), {suction}, {pump}, {delivery}, \"plate\": Pass(cooler: \"plate\"), {back} }}) }}) }},
            coolers: {{ \"plate\": Cooler(heat: \"2 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")) }}, {rest})"
        )
    }
}

#[test]
fn sound_plumbing_has_no_findings() {
    nothing(&LOOP.text());
}

#[test]
fn the_demo_cases_say_only_what_a_builder_would_want() {
    for (name, text) in crate::common::demo_cases() {
        let found = look(&text);
        assert!(found.list.len() <= 4, "{name}: {:#?}", found.list);
        let hard = found.list.iter().filter(|finding| finding.severity != Severity::Advice);
        assert_eq!(hard.count(), 0, "{name}: {:#?}", found.list);
    }
}

#[test]
fn the_most_serious_comes_first() {
    let text = Loop {
        suction: "\"suction\": Hose(length: \"0.5 m\", bore: \"16 mm\", rise: \"0 m\")",
        delivery: "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"-0.4 m\")], bend_radius: \"60 mm\")",
        back: "\"back\": Hose(length: \"1 m\", rise: \"0.4 m\")",
        ..LOOP
    }
    .text();
    let found = look(&text).list;
    assert!(found.len() > 1, "{found:#?}");
    assert!(found.windows(2).all(|pair| pair[0].severity <= pair[1].severity), "{found:#?}");
}

// Heights.

/// Up by 0.5 m behind the pump, over a crest in the route, down again.
const OVER: &str = "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0 m\", \"0 m\", \"0.5 m\"), (\"0.6 m\", \"0 m\", \"0 m\")], bend_radius: \"60 mm\")";

#[test]
fn a_high_point_wants_a_bleed() {
    let text = Loop { delivery: OVER, ..LOOP }.text();
    let finding = one(&text, "high point without a bleed");
    // It is above the tank, so the tank does not fill it.
    assert_eq!(finding.severity, Severity::Warning);
    assert_eq!(finding.places, ["rig/loop/delivery"]);
    has(&finding.what, "500 mm along its route, 500 mm above `rig/loop/tank`");
    // By hand for 25 mm and a slope of 0.5 m in √(0.5² + 0.6²): (0.25 √0.640 + 0.825) 0.4951 = 0.5075 m/s.
    has(&finding.why, "from 0.508 m/s");
    nothing(&Loop { delivery: OVER, circuit: "bleeds: [\"loop/delivery\"],", ..LOOP }.text());
}

#[test]
fn a_tank_at_the_top_bleeds_by_itself() {
    let text = Loop {
        suction: "\"suction\": Hose(length: \"0.6 m\", rise: \"-0.5 m\")",
        back: "\"back\": Hose(length: \"1 m\", rise: \"0.5 m\")",
        circuit: "drains: [\"loop/plate\"],",
        ..LOOP
    };
    nothing(&text.text());
}

#[test]
fn a_step_below_half_a_bore_is_no_high_point() {
    let small = "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"0.012 m\"), (\"1 m\", \"0 m\", \"0 m\")])";
    nothing(&Loop { delivery: small, ..LOOP }.text());
}

#[test]
fn slow_flow_down_from_a_high_point_is_a_trap() {
    let slow = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\", speed: \"20 %\")";
    let finding =
        one(&Loop { delivery: OVER, pump: slow, ..LOOP }.text(), "high point without a bleed");
    has(&finding.why, "it is a trap");
    let finding = one(&Loop { delivery: OVER, ..LOOP }.text(), "high point without a bleed");
    assert!(!finding.why.contains("trap"), "{}", finding.why);
}

#[test]
fn a_high_point_in_the_suction_line_says_so() {
    let over = "\"suction\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0 m\", \"0 m\", \"0.3 m\"), (\"0.5 m\", \"0 m\", \"0 m\")], bend_radius: \"60 mm\")";
    let finding = one(&Loop { suction: over, ..LOOP }.text(), "high point without a bleed");
    has(&finding.why, "suction line");
}

#[test]
fn an_open_line_takes_its_air_along() {
    let line = |flow: &str| {
        format!(
            "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
                \"line\": Run(from: \"tap\", to: \"bucket\", parts: {{
                    \"up\": Hose(length: \"1 m\", rise: \"0.5 m\"), \"down\": Hose(length: \"1 m\", rise: \"-0.5 m\") }}) }},
                junctions: {{ \"tap\": Open(flow: \"{flow}\", temperature: \"20 °C\"), \"bucket\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }})"
        )
    };
    nothing(&line("40 L/min"));
    let finding = one(&line("4 L/min"), "high point without a bleed");
    has(&finding.why, "it is a trap");
}

#[test]
fn a_low_point_wants_a_drain() {
    let down = "\"delivery\": Hose(length: \"1 m\", rise: \"-0.4 m\")";
    let up = "\"back\": Hose(length: \"1 m\", rise: \"0.4 m\")";
    let finding =
        one(&Loop { delivery: down, back: up, ..LOOP }.text(), "low point without a drain");
    assert_eq!(finding.severity, Severity::Advice);
    assert_eq!(finding.places, ["rig/loop/plate"]);
    let drained = Loop { delivery: down, back: up, circuit: "drains: [\"loop/plate\"],", ..LOOP };
    nothing(&drained.text());
}

#[test]
fn what_is_not_told_is_said_once_and_not_judged() {
    let text = Loop {
        delivery: "\"delivery\": Hose(length: \"1 m\", rise: \"0.4 m\")",
        back: "\"back\": Hose(length: \"1 m\")",
        ..LOOP
    };
    let found = look(&text.text());
    assert!(found.list.is_empty(), "{:#?}", found.list);
    assert_eq!(found.statements.len(), 1);
    has(&found.statements[0], "1 of 3 hoses are not told how much they rise (`rig/loop/back`)");
}

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

// Where nothing flows.

/// A loop between two junctions, with a run beside it.
fn beside(parts: &str, run: &str, junctions: &str) -> String {
    format!(
        "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", pressure: \"50 kPa\", runs: {{
            \"feed\": Run(from: \"back\", to: \"out\", parts: {{ \"tank\": Tank(volume: \"5 L\"), \"suction\": Hose(length: \"0.5 m\", rise: \"0 m\"), \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\") }}),
            \"main\": Run(from: \"out\", to: \"back\", parts: {{ \"hose\": Hose(length: \"1 m\", rise: \"0 m\"), \"plate\": Pass(cooler: \"plate\") }}),
            {run}: Run({parts}) }}, {junctions}) }},
        coolers: {{ \"plate\": Cooler(heat: \"2 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")) }})"
    )
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

// Pumps.

/// Two pumps in runs of their own, side by side, with check valves or not.
fn two_pumps(first: &str, second: &str) -> String {
    format!(
        "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"one\": Run(from: \"back\", to: \"out\", parts: {{ {first} }}),
            \"two\": Run(from: \"back\", to: \"out\", parts: {{ {second} }}),
            \"main\": Run(from: \"out\", to: \"back\", parts: {{ \"hose\": Hose(length: \"20 m\", rise: \"0 m\"), \"tank\": Tank(volume: \"5 L\") }}) }}) }})"
    )
}

const PUMP: &str = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\")";

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
    assert!(!finding.is_said_beside());
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

// The suction side.

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
    assert!(finding.is_said_beside());
    assert!(of(&hot, subject).is_empty());
}

#[test]
fn a_suction_below_the_air_is_found() {
    let subject = "suction below the pressure of the air";
    let low = LOOP.text().replace("pressure: \"50 kPa\"", "pressure: \"-25 kPa\"");
    let finding = one(&low, subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert!(finding.is_said_beside() && finding.severity == Severity::Warning);
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

// Velocities.

#[test]
fn velocities_out_of_practice_are_found() {
    let suction = |bore: &str| {
        let hose = format!("\"suction\": Hose(length: \"0.3 m\", bore: \"{bore}\", rise: \"0 m\")");
        LOOP.text().replace(LOOP.suction, &hose)
    };
    assert_eq!(one(&suction("19 mm"), "fast suction line").places, ["rig/loop/suction"]);
    assert!(of(&suction("25 mm"), "fast suction line").is_empty());
    let delivery = |bore: &str| {
        let hose =
            format!("\"delivery\": Hose(length: \"0.3 m\", bore: \"{bore}\", rise: \"0 m\")");
        LOOP.text().replace(LOOP.delivery, &hose)
    };
    assert_eq!(one(&delivery("13 mm"), "fast pressure line").places, ["rig/loop/delivery"]);
    nothing(&delivery("19 mm"));
}

/// 0.9 to 1.5 m/s in 25 mm, a quarter of that in 50 mm.
const SMALL: &str = "\"pump\": Pump(shut_off: \"20 kPa\", free_flow: \"45 L/min\")";

#[test]
fn a_bypass_may_be_fast() {
    let text = beside(
        "from: \"out\", to: \"back\", parts: { \"around\": Hose(length: \"0.3 m\", bore: \"8 mm\", rise: \"0 m\") }",
        "\"bypass\"",
        "",
    );
    assert!(of(&text, "fast pressure line").is_empty());
    let main = text.replace(
        "\"hose\": Hose(length: \"1 m\"",
        "\"hose\": Hose(length: \"1 m\", bore: \"10 mm\"",
    );
    assert_eq!(one(&main, "fast pressure line").places, ["rig/main/hose"]);
}

#[test]
fn tubes_are_neither_fast_nor_slow() {
    let case =
        |passes: &str| LOOP.text().replace("fall: (fall: \"20 kPa\", at: \"40 L/min\")", passes);
    let fast = case("bore: \"16 mm\", length: \"1 m\"");
    assert_eq!(one(&fast, "fast tubes").places, ["rig/loop/plate"]);
    let slow = case("bore: \"50 mm\", length: \"1 m\"").replace(LOOP.pump, SMALL);
    assert_eq!(one(&slow, "slow tubes").places, ["rig/loop/plate"]);
    nothing(&case("bore: \"25 mm\", length: \"1 m\"").replace(LOOP.pump, SMALL));
}

#[test]
fn equal_findings_of_several_runs_are_one_line() {
    let runs: Vec<String> = (1..=5)
        .map(|k| format!("\"leg_{k}\": Run(from: \"out\", to: \"back\", bore: \"8 mm\", parts: {{ \"hose\": Hose(length: \"0.2 m\", rise: \"0 m\") }})"))
        .collect();
    let text = format!(
        "Case(circuits: {{ \"rig\": Circuit(coolant: Water, start: \"20 °C\", bore: \"40 mm\", runs: {{
            \"feed\": Run(from: \"back\", to: \"out\", parts: {{ \"tank\": Tank(volume: \"5 L\"), \"suction\": Hose(length: \"0.3 m\", rise: \"0 m\"), \"pump\": Pump(shut_off: \"90 kPa\", free_flow: \"120 L/min\") }}),
            {} }}) }})",
        runs.join(", ")
    );
    let finding = one(&text, "fast pressure line");
    assert_eq!(finding.places.len(), 5);
    has(&finding.what, "and 1 more");
}

// Bends.

#[test]
fn bends_too_tight_are_found() {
    let subject = "bend too tight";
    let listed = |radius: &str| {
        let hose = format!(
            "\"delivery\": Hose(length: \"1 m\", rise: \"0 m\", bends: [Bend(angle: \"90°\", radius: \"{radius}\")])"
        );
        LOOP.text().replace(LOOP.delivery, &hose)
    };
    let finding = one(&listed("20 mm"), subject);
    assert_eq!(finding.severity, Severity::Warning);
    has(&finding.what, "0.8 bores");
    nothing(&listed("30 mm"));
    let routed = |radius: &str| {
        let hose = format!(
            "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0.5 m\", \"0 m\")], bend_radius: \"{radius}\")"
        );
        LOOP.text().replace(LOOP.delivery, &hose)
    };
    assert_eq!(one(&routed("40 mm"), subject).severity, Severity::Advice);
    nothing(&routed("60 mm"));
}

#[test]
fn corners_without_room_are_found() {
    let routed = |leg: &str| {
        let hose = format!(
            "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"{leg}\", \"0 m\"), (\"1 m\", \"{leg}\", \"0 m\")])"
        );
        LOOP.text().replace(LOOP.delivery, &hose)
    };
    assert_eq!(one(&routed("50 mm"), "corners too close").places, ["rig/loop/delivery"]);
    nothing(&routed("100 mm"));
}

#[test]
fn a_bend_right_before_a_pump_is_found() {
    let routed = |leg: &str| {
        let hose = format!(
            "\"suction\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"{leg}\", \"0 m\")], bend_radius: \"60 mm\")"
        );
        LOOP.text().replace(LOOP.suction, &hose)
    };
    let finding = one(&routed("100 mm"), "bend right before a pump");
    // 100 mm less the 60 mm that the arc takes: 1.6 bores.
    has(&finding.what, "1.6 bores");
    nothing(&routed("200 mm"));
}

// Gauges.

fn meter_behind(straight: &str) -> String {
    let parts = format!(
        "\"delivery\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"0.3 m\", \"0 m\", \"0 m\"), (\"0.3 m\", \"{straight}\", \"0 m\")], bend_radius: \"60 mm\"), \
         \"meter\": Meter(fall: \"2 kPa\", at: \"40 L/min\"), \"after\": Hose(length: \"0.5 m\", rise: \"0 m\")"
    );
    LOOP.text().replace(LOOP.delivery, &parts)
}

#[test]
fn a_meter_right_behind_a_bend_is_found() {
    let subject = "meter too close to a fitting";
    let finding = one(&meter_behind("160 mm"), subject);
    assert_eq!(finding.places, ["rig/loop/meter"]);
    has(&finding.what, "4 bores behind a bend of `rig/loop/delivery`, 10 wanted");
    nothing(&meter_behind("400 mm"));
}

#[test]
fn a_meter_wants_the_straight_bores_of_its_kind() {
    let subject = "meter too close to a fitting";
    let of_kind = |kind: &str, straight: &str| {
        let text = meter_behind(straight);
        text.replace("Meter(", &format!("Meter({kind}, "))
    };
    nothing(&of_kind("kind: Magnetic", "200 mm"));
    has(&one(&of_kind("kind: Orifice", "400 mm"), subject).what, "20 wanted");
    has(&one(&of_kind("kind: Vortex", "400 mm"), subject).what, "15 wanted");
    nothing(&of_kind("straight_before: 3", "160 mm"));
}

fn with_gauge(gauge: &str) -> String {
    let gauges = format!("gauges: {{ \"g\": Gauge({gauge}) }},");
    let text = LOOP.text();
    let end = text.rfind(", )").map_or(text.len() - 1, |at| at + 2);
    format!("{}{gauges})", &text[..end])
}

#[test]
fn a_flow_gauge_right_behind_the_pump_is_found() {
    let subject = "meter too close to a fitting";
    let near = with_gauge("reads: Flow, at: \"rig/loop/delivery\", along: \"0.05 m\"");
    let finding = one(&near, subject);
    assert_eq!(finding.places, ["gauges/g"]);
    has(&finding.what, "2 bores behind the pump `rig/loop/pump`");
    nothing(&with_gauge("reads: Flow, at: \"rig/loop/delivery\", along: \"0.5 m\""));
}

#[test]
fn a_pressure_gauge_right_behind_the_pump_is_found() {
    let subject = "gauge too close to a fitting";
    let near = with_gauge("reads: Pressure, at: \"rig/loop/delivery\"");
    has(&one(&near, subject).what, "0 bores behind the pump `rig/loop/pump`");
    nothing(&with_gauge("reads: Pressure, at: \"rig/loop/delivery\", along: \"0.5 m\""));
    // At the tank's outlet, and before the pump's inlet behind half a metre of straight hose.
    nothing(&with_gauge("reads: Pressure, at: \"rig/loop/pump\""));
}

#[test]
fn a_pressure_gauge_in_a_narrow_bore_is_found() {
    let subject = "gauge in a narrow bore";
    let narrow = with_gauge("reads: Pressure, at: \"rig/loop/back\", along: \"0.5 m\"")
        .replace(LOOP.back, "\"back\": Hose(length: \"1 m\", bore: \"15 mm\", rise: \"0 m\")");
    let finding = one(&narrow, subject);
    assert_eq!(finding.places, ["gauges/g"]);
    has(&finding.what, "than it would in the 25 mm of the same run");
    nothing(&with_gauge("reads: Pressure, at: \"rig/loop/back\", along: \"0.5 m\""));
}

#[test]
fn a_thermometer_before_streams_have_mixed_is_found() {
    let case = |along: &str| {
        format!(
            "Case(site: Site(air: \"30 °C\"), circuits: {{ \"rig\": Circuit(coolant: Water, start: \"60 °C\", bore: \"25 mm\", pressure: \"80 kPa\", runs: {{
                \"feed\": Run(from: \"mix\", to: \"out\", parts: {{ \"hose\": Hose(length: \"1 m\", rise: \"0 m\"), \"tank\": Tank(volume: \"4 L\"), \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\"), \"jacket\": Jacket(engine: \"engine\") }}),
                \"main\": Run(from: \"out\", to: \"mix\", parts: {{ \"core\": CoreSide(core: \"core\") }}),
                \"around\": Run(from: \"out\", to: \"mix\", parts: {{ \"bypass\": Hose(length: \"1 m\", bore: \"13 mm\", rise: \"0 m\") }}) }}) }},
            engines: {{ \"engine\": Engine(heat: \"30 kW\", fall: (fall: \"8 kPa\", at: \"50 L/min\")) }},
            cores: {{ \"core\": Core(rated: (heat: \"40 kW\", coolant: \"60 L/min\", air: \"1.6 kg/s\", difference: \"60 K\"), fall: (fall: \"6 kPa\", at: \"60 L/min\")) }},
            air_paths: {{ \"front\": AirPath(cores: [\"core\"], fans: {{ \"fan\": Fan(shut_off: \"260 Pa\", free_flow: \"5200 m3/h\") }}) }},
            gauges: {{ \"t\": Gauge(reads: Temperature, at: \"rig/feed/hose\", along: \"{along}\") }})"
        )
    };
    let subject = "thermometer before streams have mixed";
    assert_eq!(one(&case("0.1 m"), subject).places, ["gauges/t"]);
    assert!(of(&case("0.6 m"), subject).is_empty());
}

// Machines that do nothing, or the wrong thing.

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

/// Two tanks at the ends of 20 m of hose: the one that does not hold the pressure stands above or below.
#[test]
fn an_open_tank_beside_the_one_that_holds_the_pressure_runs_over() {
    let subject = "open tanks under pressure";
    let text = two_pumps(PUMP, PUMP).replace(
        ", \"tank\": Tank(volume: \"5 L\") }) }) })",
        " }) }, junctions: { \"back\": Tank(volume: \"5 L\"), \"out\": Tank(volume: \"5 L\") }) })",
    );
    let finding = one(&text, subject);
    assert_eq!(finding.places, ["rig/out"]);
    assert!(of(&two_pumps(PUMP, PUMP), subject).is_empty());
}

/// With next to no flow the second tank has at its ports what the first holds, the pressure of the air, so its
/// surface 0.2 m higher has 998.2 · 9.80665 · 0.2 = 1958 Pa less; 0.03 m make 294 Pa.
#[test]
fn a_second_tank_in_a_run_has_the_pressure_of_its_place() {
    let subject = "open tanks under pressure";
    let case = |level: &str| {
        let slow = "\"pump\": Pump(shut_off: \"6 kPa\", free_flow: \"1 L/min\")";
        let far = format!("\"far\": Tank(volume: \"2 L\", level: \"{level}\"), {}", LOOP.suction);
        let text = LOOP.text().replace(LOOP.pump, slow).replace(LOOP.suction, &far);
        text.replace("pressure: \"50 kPa\"", "pressure: \"0 kPa\"")
    };
    let finding = one(&case("0.2 m"), subject);
    assert_eq!(finding.places, ["rig/loop/far"]);
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "-1.96 kPa");
    has(&finding.why, "as full of coolant");
    assert!(of(&case("0.03 m"), subject).is_empty());
}

/// 5 L less 4.6 L of air are 0.4 L, 8 %; less 4.4 L, 12 %.
#[test]
fn a_tank_that_is_nearly_empty_is_told() {
    let subject = "tank nearly empty";
    let case = |air: &str| {
        let tank = format!("Tank(volume: \"5 L\", air: \"{air}\")");
        LOOP.text().replace("Tank(volume: \"5 L\")", &tank)
    };
    let finding = one(&case("4.6 L"), subject);
    assert_eq!(finding.places, ["rig/loop/tank"]);
    assert!(finding.is_said_beside());
    has(&finding.what, "only 0.4 L are coolant");
    assert!(of(&case("4.4 L"), subject).is_empty());
}

/// Behind the pump stands more than before it: there it is highest.
#[test]
fn more_pressure_than_hoses_stand_is_told() {
    let subject = "more pressure than hoses stand";
    let given = |pressure: &str| {
        LOOP.text().replace("pressure: \"50 kPa\"", &format!("pressure: \"{pressure}\""))
    };
    let finding = one(&given("290 kPa"), subject);
    assert!(["rig/loop/pump", "rig/loop/delivery"].contains(&finding.places[0].as_str()));
    assert!(finding.is_said_beside());
    has(&finding.why, "some 300 kPa gauge");
    assert!(of(&given("200 kPa"), subject).is_empty());
    let capped = |opens: &str| {
        let tank = format!("Tank(volume: \"5 L\", cap: Cap(opens: \"{opens}\"))");
        let text = LOOP.text().replace("Tank(volume: \"5 L\")", &tank);
        text.replace("pressure: \"50 kPa\",", "")
    };
    let finding = one(&capped("320 kPa"), subject);
    assert_eq!(finding.places, ["rig/loop/tank"]);
    has(&finding.what, "320 kPa gauge before its cap opens");
    assert!(of(&capped("100 kPa"), subject).is_empty());
}

// Phases.

/// The loop with a duty.
fn with_duty(text: &str, duty: &str) -> String {
    text.replacen("Case(", &format!("Case(duty: Duty({duty}), "), 1)
}

#[test]
fn an_engine_at_speed_through_a_rest_is_told() {
    let subject = "engine at speed through a rest";
    let case = |rest: &str| {
        let curve = "pump_curves: { \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"30 L/min\", \"45 kPa\"), (\"70 L/min\", \"0 kPa\")], at_speed: \"6000 rpm\") }, ";
        let pump = "\"pump\": Pump(curve: \"own\", driven_by: Engine(ratio: 1))";
        let text =
            LOOP.text().replace(LOOP.pump, pump).replacen("Case(", &format!("Case({curve}"), 1);
        with_duty(
            &text,
            &format!(
                "power: \"100 kW\", engine_speed: \"6000 rpm\", phases: {{ \"pull\": Phase(time: \"10 s\"), \"rest\": Phase(time: \"60 s\", {rest}) }}, repeat: 2"
            ),
        )
    };
    let finding = one(&case("power: \"2 %\""), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert!(finding.is_said_beside());
    has(&finding.what, "at 6000 rpm in the phase `rest`");
    for quiet in ["power: \"2 %\", engine_speed: \"900 rpm\"", "power: \"10 %\""] {
        assert!(of(&case(quiet), subject).is_empty(), "{quiet}");
    }
}

#[test]
fn a_pump_that_a_phase_stops_under_power_is_told() {
    let subject = "pump stopped while heat comes in";
    let case = |pull: &str| {
        with_duty(
            &LOOP.text(),
            &format!(
                "power: \"100 kW\", phases: {{ \"pull\": Phase(time: \"10 s\", {pull}) }}, repeat: 2"
            ),
        )
    };
    let set = "set: [(\"rig/loop/pump:speed\", \"0 %\")]";
    for stops in ["pumps: \"0 %\"", set] {
        let finding = one(&case(stops), subject);
        assert_eq!(finding.places, ["rig/loop/pump"]);
        assert!(finding.is_said_beside());
        has(&finding.what, "the phase `pull` stops `rig/loop/pump`");
    }
    for quiet in ["pumps: \"50 %\"", "power: \"10 %\", pumps: \"0 %\""] {
        assert!(of(&case(quiet), subject).is_empty(), "{quiet}");
    }
}

/// On the road the wind stands in for the fan: 60 km/h.
#[test]
fn a_fan_that_a_phase_stops_under_power_is_told() {
    let subject = "fan stopped while heat comes in";
    let case = |pull: &str| {
        with_duty(
            &with_cores(["0.25 m2"; 2], FAN),
            &format!("power: \"100 kW\", phases: {{ \"pull\": Phase(time: \"10 s\", {pull}) }}"),
        )
    };
    let finding = one(&case("fans: \"0 %\""), subject);
    assert_eq!(finding.places, ["air_paths/nose/fan"]);
    for quiet in ["fans: \"50 %\"", "fans: \"0 %\", road_speed: \"60 km/h\""] {
        assert!(of(&case(quiet), subject).is_empty(), "{quiet}");
    }
}

/// Between both ends stands what the main way falls, 20 to 30 kPa: less than 50 kPa, more than 1 kPa.
#[test]
fn a_check_valve_that_the_pressure_does_not_open_is_told() {
    let case = |cracking: &str| {
        let valve = format!(
            "from: \"out\", to: \"back\", parts: {{ \"valve\": CheckValve(fall: \"60 kPa\", at: \"40 L/min\", cracking: \"{cracking}\"), \"plate_2\": Pass(cooler: \"plate_2\") }}"
        );
        let text = beside(&valve, "\"second\"", "");
        text.replace(
            "coolers: {",
            "coolers: { \"plate_2\": Cooler(heat: \"1 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")),",
        )
    };
    let finding = one(&case("50 kPa"), "nothing flows");
    assert_eq!(finding.places, ["rig/second/plate_2"]);
    has(&finding.what, "`rig/second/valve` needs 50 kPa to open and has only 2");
    assert!(of(&case("1 kPa"), "nothing flows").is_empty());
}

// Slips.

/// Its curve is taken as H₀ (1 − (Q/Q₀)²), whose hydraulic power is highest at Q₀/√3: 0.3849 · 600 kPa · 0.7 m³/min/60
/// = 2694 W, over 40 % 6.74 kW, at 13.5 V 499 A.
#[test]
fn a_pump_of_a_power_out_of_practice_is_told() {
    let subject = "pump of a power out of practice";
    let large = "\"pump\": Pump(shut_off: \"600 kPa\", free_flow: \"700 L/min\")";
    let finding = one(&LOOP.text().replace(LOOP.pump, large), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    has(&finding.what, "draws 6.74 kW and 499 A");
    has(&finding.remedy, "flow or pressure");
    // What it takes is told: no guess.
    let curve = "pump_curves: { \"own\": PumpCurve(points: [(\"0 L/min\", \"600 kPa\"), (\"300 L/min\", \"490 kPa\"), (\"700 L/min\", \"0 kPa\")], power: [\"7 kW\", \"7 kW\", \"7 kW\"]) }, ";
    let told = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
    assert!(of(&told.replacen("Case(", &format!("Case({curve}"), 1), subject).is_empty());
    assert!(of(&LOOP.text(), subject).is_empty());
}

#[test]
fn heat_of_an_engine_out_of_practice_is_told() {
    let subject = "heat of an engine out of practice";
    let case = |heat: &str| {
        let jacket = format!("\"jacket\": Jacket(engine: \"v8\"), {}", LOOP.back);
        let engine = format!(
            "engines: {{ \"v8\": Engine({heat}fall: (fall: \"8 kPa\", at: \"50 L/min\")) }}, "
        );
        let text = LOOP.text().replace(LOOP.back, &jacket);
        with_duty(&text.replacen("Case(", &format!("Case({engine}"), 1), "power: \"20 kW\"")
    };
    for slip in ["share: \"4 %\", ", "share: \"130 %\", "] {
        assert_eq!(one(&case(slip), subject).places, ["engines/v8"]);
    }
    for usual in ["share: \"45 %\", ", "share: \"100 %\", ", "", "heat: \"500 W\", "] {
        assert!(of(&case(usual), subject).is_empty(), "{usual}");
    }
}

/// Twice 60 % of the power are 120 %, twice 40 % are 80 %.
#[test]
fn more_heat_than_power_is_told() {
    let subject = "more heat than there can be";
    let case = |share: &str| {
        let cooler =
            format!("Cooler(share: \"{share}\", fall: (fall: \"20 kPa\", at: \"40 L/min\"))");
        let both = format!("coolers: {{ \"plate\": {cooler}, \"motor\": {cooler} }}");
        let pass = format!("\"motor\": Pass(cooler: \"motor\"), {}", LOOP.back);
        let text = LOOP.text().replace(LOOP.back, &pass);
        let from = text.find("coolers:").expect("coolers");
        with_duty(&format!("{}{both})", &text[..from]), "power: \"20 kW\"")
    };
    let finding = one(&case("60 %"), subject);
    has(&finding.what, "120 % of the power");
    assert!(of(&case("40 %"), subject).is_empty());
}

/// 30 m³/s of some 1.2 kg/m³ are 36 kg/s.
#[test]
fn air_out_of_practice_is_told() {
    let subject = "air out of practice";
    let text = with_cores(["0.25 m2"; 2], FAN);
    let cores = of(&text.replace("air: \"1 kg/s\"", "air: \"40 kg/s\""), subject);
    let places: Vec<&String> = cores.iter().flat_map(|finding| &finding.places).collect();
    assert_eq!(places, ["cores/first", "cores/second"]);
    let fan = one(&text.replace("free_flow: \"1 m3/s\"", "free_flow: \"30 m3/s\""), subject);
    assert_eq!(fan.places, ["air_paths/nose/fan"]);
    has(&fan.what, "with 36");
    assert!(of(&text, subject).is_empty());
}

/// Some 35 to 40 L/min flow.
#[test]
fn a_required_suction_head_beyond_what_is_given_is_told() {
    let subject = "required suction head beyond what is given";
    let case = |to: &str| {
        let curve = format!(
            "pump_curves: {{ \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"30 L/min\", \"45 kPa\"), (\"70 L/min\", \"0 kPa\")], npsh_required_at: [(\"5 L/min\", \"0.5 m\"), (\"10 L/min\", \"0.7 m\"), (\"{to}\", \"1 m\")]) }}, "
        );
        let text = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
        text.replacen("Case(", &format!("Case({curve}"), 1)
    };
    let finding = one(&case("20 L/min"), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    has(&finding.what, "from 5 L/min to 20 L/min");
    assert!(of(&case("60 L/min"), subject).is_empty());
}

/// The curve falls in a line from 60 kPa to 70 L/min, so between 10 and 60 L/min it gives more than
/// 10 L/min times 8.6 kPa, 1.4 W: with 1.2 W the pump would give more than it takes, with 100 W it does not.
#[test]
fn a_pump_that_gives_more_than_it_takes_is_serious() {
    let subject = "efficiency over 100 %";
    let case = |power: &str| {
        let curve = format!(
            "pump_curves: {{ \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"1 L/min\", \"59.1 kPa\"), (\"70 L/min\", \"0 kPa\")], power: [\"{power}\", \"{power}\", \"{power}\"]) }}, "
        );
        let text = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
        text.replacen("Case(", &format!("Case({curve}"), 1)
    };
    let finding = one(&case("1.2 W"), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "of what it takes");
    assert!(of(&case("100 W"), subject).is_empty());
}

/// The loop with two cores, one behind the other on the air side.
fn with_cores(faces: [&str; 2], fans: &str) -> String {
    let core = |face: &str| {
        format!(
            "Core(rated: (heat: \"10 kW\", coolant: \"40 L/min\", air: \"1 kg/s\", difference: \"40 K\"), face: \"{face}\")"
        )
    };
    let rest = format!(
        "cores: {{ \"first\": {}, \"second\": {} }}, air_paths: {{ \"nose\": AirPath(cores: [\"first\", \"second\"], fans: {{ {fans} }}) }},",
        core(faces[0]),
        core(faces[1])
    );
    let back = format!(
        "\"one\": CoreSide(core: \"first\"), \"two\": CoreSide(core: \"second\"), {}",
        LOOP.back
    );
    LOOP.text().replace(LOOP.back, &back).replacen("Case(", &format!("Case({rest} "), 1)
}

const FAN: &str = "\"fan\": Fan(shut_off: \"200 Pa\", free_flow: \"1 m3/s\")";

/// 0.2 of 0.25 m² are 20 % less, 0.24 of 0.25 m² only 4 %.
#[test]
fn cores_of_different_faces_are_told() {
    let subject = "cores of different faces";
    let finding = one(&with_cores(["0.2 m2", "0.25 m2"], FAN), subject);
    assert_eq!(finding.places, ["cores/first", "cores/second"]);
    assert_eq!(finding.severity, Severity::Warning);
    has(&finding.what, "in front of `cores/second`");
    assert!(of(&with_cores(["0.24 m2", "0.25 m2"], FAN), subject).is_empty());
}

#[test]
fn fans_that_stand_are_told() {
    let subject = "stopped fan";
    let still = "\"still\": Fan(shut_off: \"200 Pa\", free_flow: \"1 m3/s\", speed: \"0 %\")";
    let faces = ["0.25 m2"; 2];
    let alone = one(&with_cores(faces, still), subject);
    assert_eq!(alone.places, ["air_paths/nose/still"]);
    assert_eq!(alone.severity, Severity::Warning);
    has(&alone.what, "only the road");
    assert!(alone.is_said_beside());
    let beside = one(&with_cores(faces, &format!("{FAN}, {still}")), subject);
    assert_eq!(beside.places, ["air_paths/nose/still"]);
    has(&beside.what, "beside others that do");
    assert!(!beside.is_said_beside());
    assert!(of(&with_cores(faces, FAN), subject).is_empty());
}
