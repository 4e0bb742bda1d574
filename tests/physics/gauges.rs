//! Gauges in whole cases: what they show can be recomputed by hand; what they cannot is refused.

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::text::Sources;
use coolwright_models::cycle::Phase;
use coolwright_models::uncertainty::uncertainty;

use crate::common::{at, column, cycle, near, phases, point, read, read_variant};

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

/// A thermometer after a step from 20 to 80 °C is that of a first-order element in closed form: 20 + 60 (1 −
/// e^(−t/τ)); the junction where it sits has hardly any coolant of its own. Where the flow is a quarter, the lag
/// is twice as long.
#[test]
fn a_thermometer_follows_a_step_as_a_first_order_element_does() {
    // 15 L/min of water at 80 °C, 971.8 kg/m³, has so much of the mass of as much at 20 °C, for which the lag holds.
    let lighter = (971.8_f64 / DENSITY).sqrt();
    for (flow, lag_at, tau) in
        [("60 L/min", "", 4.0), ("15 L/min", ", lag_at: \"60 L/min\"", 8.0 / lighter)]
    {
        let text = line(&format!(
            "\"warm\": Gauge(reads: Temperature, at: \"stand/line/up\", lag: \"4 s\"{lag_at}),
             \"bare\": Gauge(reads: Temperature, at: \"stand/line/up\")"
        ));
        let duty = "duty: Duty(phases: { \"hot\": Phase(time: \"8 s\", set: [(\"stand/in:temperature\", \"80 °C\")]) }), gauges:";
        let text = text.replace("60 L/min\", temperature", &format!("{flow}\", temperature"));
        let ready = read(&text.replace("gauges:", duty));
        let history = cycle(&ready.model, &ready.model.values, &phases(&ready));
        let shows = *column(&history, "gauges/warm:reading").last().expect("an end");
        let want = 353.15 - 60.0 * (-8.0_f64 / tau).exp();
        near(flow, shows, want, 0.3);
        let coolant = *column(&history, "gauges/warm:coolant").last().expect("an end");
        near("what it sees", coolant, 353.15, 1e-3);
        let bare = *column(&history, "gauges/bare:reading").last().expect("an end");
        near("without a lag", bare, coolant, 1e-9);
    }
}

/// Once nothing changes a thermometer shows what it sees.
#[test]
fn at_rest_nothing_lags() {
    let text = line(
        "\"warm\": Gauge(reads: Temperature, at: \"stand/line/up\", end: Outlet, lag: \"40 s\")",
    );
    let ready =
        read(&text.replace(
            "\"60 L/min\", temperature: \"20 °C\"",
            "\"60 L/min\", temperature: \"70 °C\"",
        ));
    let results = point(&ready.model, &ready.model.values).results;
    near("reading", at(&results, "gauges/warm:reading"), 343.15, 1e-4);
}

/// What a gauge may be off by of itself is independent of what laws make of its reading: squares add.
#[test]
fn the_error_of_a_gauge_counts_in_what_its_reading_may_be_off_by() {
    let half_width = |error: &str| {
        let ready =
            read(&line(&format!("\"in\": Gauge(reads: Pressure, at: \"stand/line/up\"{error})")));
        let values = &ready.model.values;
        let found = uncertainty(&ready.model, values, &point(&ready.model, values));
        found.expect("an uncertainty").get("gauges/in:reading").expect("a ±")
    };
    let (bare, with_error) = (half_width(""), half_width(", error: \"3 kPa\""));
    near("±", with_error, bare.hypot(3e3), 1e-6);
    assert!(bare > 0.0, "laws make some of it");
}

/// What one gauge shows above another is a result with a limit of its own, and may be off by both: by hand √(0.3² + 0.4²)
/// K is 0.5 K where nothing else is uncertain. A gauge that shows too much shows too much of a rise.
#[test]
fn a_rise_is_what_two_gauges_show() {
    let gauge = |name: &str, what: &str| format!("\"{name}\": Gauge(at: \"stand/{name}\", {what})");
    let text = line(&format!(
        "{}, {}, \"low\": Gauge(reads: Pressure, at: \"stand/line/up\"),
         \"high\": Gauge(reads: Pressure, at: \"stand/line/up\", end: Outlet, error: \"2 kPa\")",
        gauge("in", "reads: Temperature, error: \"0.3 K\""),
        gauge("out", "reads: Temperature, error: \"0.4 K\", offset: \"1.5 K\""),
    ));
    let rises = "gauges: {";
    let text = text.replace(
        rises,
        "rises: { \"warmer\": Rise(from: \"in\", to: \"out\"), \"fall\": Rise(from: \"low\", to: \
         \"high\") }, limits: { \"rise\": Limit(of: \"rises/warmer:reading\", max: \"1 K\") }, gauges: {",
    );
    let ready = read(&text);
    let solved = point(&ready.model, &ready.model.values);
    let shown = |name: &str| at(&solved.results, name);
    near("off", shown("rises/warmer:reading"), 1.5, 1e-9);
    let [low, high] = ["gauges/low:reading", "gauges/high:reading"].map(shown);
    near("of pressure", shown("rises/fall:reading"), high - low, 1e-9);
    let known = uncertainty(&ready.model, &ready.model.values, &solved).expect("a response");
    let place = |name: &str| {
        let entries = solved.results.catalogue.entries();
        let found = entries.iter().position(|entry| entry.address == name).expect("a result");
        (entries[found].id, entries[found].quantity)
    };
    let (id, quantity) = place("rises/warmer:reading");
    near("own errors", known.of(id, quantity).expect("a ±"), 0.5, 1e-6);
    let hold = Phase { name: "hold".to_owned(), time_s: 5.0, ..Phase::default() };
    let history = cycle(&ready.model, &ready.model.values, &[hold]);
    let last = column(&history, "rises/warmer:reading");
    near("over time", last[last.len() - 1], 1.5, 1e-9);
}

/// A variant may change any field of a gauge or a rise, written before or not: as the file changed by hand.
#[test]
fn a_variant_changes_gauges_and_rises() {
    let gauges = "\"a\": Gauge(reads: Pressure, at: \"stand/line/up\"), \"b\": Gauge(reads: Pressure, at: \
                  \"stand/line/up\", end: Outlet), \"c\": Gauge(reads: Pressure, at: \"stand/neck/narrow\")";
    let text = line(gauges).replace(
        "gauges: {",
        "rises: { \"r\": Rise(from: \"a\", to: \"b\") }, variants: { \"v\": Variant(change: [(\"gauges/a:error\", \"1 \
         kPa\"), (\"gauges/b:along\", \"0.5 m\"), (\"gauges/b:end\", None), (\"rises/r:to\", \"c\")]) }, gauges: {",
    );
    let changed = read_variant(&text, Some("v"));
    let by_hand = read(
        &line(
            &gauges
                .replace("up\")", "up\", error: \"1 kPa\")")
                .replace("end: Outlet", "along: \"0.5 m\""),
        )
        .replace("gauges: {", "rises: { \"r\": Rise(from: \"a\", to: \"c\") }, gauges: {"),
    );
    let [one, other] = [&changed, &by_hand].map(|ready| point(&ready.model, &ready.model.values));
    assert_eq!(one.results.values.len(), other.results.values.len());
    for address in ["rises/r:reading", "gauges/b:reading"] {
        near(address, at(&one.results, address), at(&other.results, address), 0.0);
    }
    let error = |ready: &coolwright_cases::lower::Ready| ready.model.gauges[0].error.is_some();
    assert!(error(&changed) && error(&by_hand));
}
