//! Gauges in whole cases: what they show can be recomputed by hand; what they cannot is refused.

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::text::Sources;

use crate::common::{at, near, point, read};

/// Water of 20 °C, kg/m³ (IAPWS SR6-08), and gravity, m/s².
const DENSITY: f64 = 998.2;
const GRAVITY: f64 = 9.80665;

/// A line of water at 20 °C, 60 L/min: 25 mm that rises along a route, then 15 mm, then to the open.
fn line(gauges: &str) -> String {
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"line\": Run(from: \"in\", to: \"mid\", parts: {{
                \"up\": Hose(route: [(\"0 m\", \"0 m\", \"0 m\"), (\"1 m\", \"0 m\", \"0 m\"), (\"1 m\", \"0 m\", \"1 m\")], bend_radius: \"50 mm\") }}),
            \"neck\": Run(from: \"mid\", to: \"out\", parts: {{
                \"narrow\": Hose(length: \"0.2 m\", bore: \"15 mm\", rise: \"0 m\") }}) }},
            junctions: {{
                \"mid\": Joint(),
                \"in\": Open(flow: \"60 L/min\", temperature: \"20 °C\"),
                \"out\": Open(pressure: \"30 kPa\", temperature: \"20 °C\") }}) }},
        gauges: {{ {gauges} }})"
    )
}

#[test]
fn gauges_show_what_is_computed_by_hand() {
    let ready = read(&line(
        "\"first\": Gauge(reads: Pressure, at: \"stand/line/up\"),
         \"corner\": Gauge(reads: Pressure, at: \"stand/line/up\", along: \"0.9 m\"),
         \"top\": Gauge(reads: Pressure, at: \"stand/line/up\", end: Outlet),
         \"joint\": Gauge(reads: Pressure, at: \"stand/mid\"),
         \"throat\": Gauge(reads: Pressure, at: \"stand/neck/narrow\"),
         \"warm\": Gauge(reads: Temperature, at: \"stand/out\"),
         \"much\": Gauge(reads: Flow, at: \"stand/neck/narrow\", end: Outlet)",
    ));
    let results = point(&ready.model, &ready.model.values).results;
    let reads = |name: &str| at(&results, &format!("gauges/{name}:reading"));
    let fall = at(&results, "stand/line/up:fall");
    // The hose is 2 m less 2 r for the corner and r π/2 for its arc.
    let share = 0.9 / (2.0 + 0.05 * (std::f64::consts::FRAC_PI_2 - 2.0));
    near("corner", reads("first") - reads("corner"), share * fall, 1.0);
    near("top", reads("first") - reads("top"), fall + DENSITY * GRAVITY, 5.0);
    near("joint in the wide bore", reads("joint"), reads("top"), 0.01);
    // 1 L/s: 2.0372 m/s in 25 mm, 5.6588 m/s in 15 mm.
    let head = |v: f64| 0.5 * DENSITY * v * v;
    near("throat", reads("joint") - reads("throat"), head(5.6588) - head(2.0372), 5.0);
    near("flow", reads("much"), 1e-3, 1e-9);
    near("temperature", reads("warm"), 293.15, 1e-6);
    // What leaves at a held end has its total pressure there.
    let static_at_end = at(&results, "stand/neck/narrow:pressure_out");
    near("end", static_at_end + head(5.6588), 30e3, 5.0);
}

#[test]
fn a_gauge_may_carry_a_limit() {
    let text = line("\"much\": Gauge(reads: Flow, at: \"stand/neck/narrow\")");
    let end = text.rfind(')').expect("a bracket");
    let text = format!(
        "{}, limits: {{ \"flow\": Limit(of: \"gauges/much:reading\", min: \"55 L/min\") }})",
        &text[..end]
    );
    assert_eq!(read(&text).limits.len(), 1);
}

#[test]
fn gauges_that_cannot_be_are_refused_with_their_reason() {
    for (gauge, wanted) in [
        ("Gauge(reads: Pressure, at: \"stand/line/upp\")", "did you mean `stand/line/up`?"),
        ("Gauge(reads: Flow, at: \"stand/mid\")", "several flows meet at a junction"),
        ("Gauge(reads: Pressure, at: \"stand/mid\", end: Outlet)", "has neither `end` nor `along`"),
        ("Gauge(reads: Pressure, at: \"stand/line/up\", along: \"3 m\")", "must lie between"),
        ("Gauge(reads: Pressure, at: \"stand/line/up\", end: Inlet, along: \"1 m\")", "twice"),
    ] {
        let mut sources = Sources::new();
        let mut problems = Problems::new();
        let file = sources.add("case.ron", line(&format!("\"g\": {gauge}")));
        let mut fetch = |name: &str| Err(format!("no {name}"));
        let reading = Reading::new(&mut sources, file, &mut fetch, &mut problems);
        let _ = reading.and_then(|reading| reading.build(&mut problems));
        assert!(problems.has_errors(), "{gauge}");
        let said = problems.render(&sources, false);
        assert!(said.contains(wanted), "{gauge}: {said}");
    }
}
