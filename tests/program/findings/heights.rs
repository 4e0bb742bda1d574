//! High and low points along the hoses.

use coolwright::study::Severity;

use super::{LOOP, Loop, has, look, nothing, one};

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
