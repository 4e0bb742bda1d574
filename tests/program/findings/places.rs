//! Velocities, bends, and where meters and gauges sit.

use coolwright::study::Severity;

use super::{LOOP, beside, has, nothing, of, one};

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
