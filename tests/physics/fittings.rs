//! Restrictors, throttles, thermostats, barbs, flat tubes, tees and headers in whole cases: by their own word in the pressure
//! budget, with falls that can be recomputed by hand, and with faults that are said.

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::quantity::UnitSystem;
use coolwright_cases::text::Sources;

use coolwright_cases::lower::Ready;

use crate::common::{at, near, point, read, said, with};

/// A line of water at 20 °C, 60 L/min through a 25 mm bore.
fn line(parts: &str) -> String {
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"line\": Run(from: \"in\", to: \"out\", parts: {{ {parts} }}) }},
            junctions: {{
                \"in\": Open(flow: \"60 L/min\", temperature: \"20 °C\"),
                \"out\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }})"
    )
}

/// Water of 20 °C, kg/m³ (IAPWS SR6-08).
const DENSITY: f64 = 998.2;

#[test]
fn the_parts_fall_as_computed_by_hand() {
    let ready = read(&line(
        "\"hole\": Restrictor(bore: \"15 mm\"),
         \"valve\": Throttle(fall: \"5 kPa\", at: \"60 L/min\", open: \"50 %\", leak: \"2 %\", characteristic: EqualPercentage),
         \"stat\": Thermostat(fall: \"8 kPa\", at: \"60 L/min\", open: \"50 %\", leak: \"1 %\"),
         \"barb\": Barb(bore: \"19 mm\", length: \"30 mm\")",
    ));
    let words: Vec<&str> =
        ready.model.circuits[0].runs[0].parts.iter().map(|p| p.part.word()).collect();
    assert_eq!(words, ["restrictor", "throttle", "thermostat", "barb"]);
    let results = point(&ready.model, &ready.model.values).results;
    let fall = |name: &str| at(&results, &format!("stand/line/{name}:fall"));
    // f = 0.36: K = ((1 + 0.5656 - 0.36)/0.36)² = 11.2151 on ½ρv² at 1 L/s in 25 mm (2.0372 m/s).
    let head = 0.5 * DENSITY * 2.0372 * 2.0372;
    near("restrictor", fall("hole"), 11.2151 * head, 0.005 * 11.2 * head);
    // φ = 0.02^0.5: 5 kPa/0.02.
    near("throttle", fall("valve"), 250e3, 10.0);
    // a = 0.01 + 0.99/2 = 0.505: 8 kPa/0.505².
    near("thermostat", fall("stat"), 31.3695e3, 10.0);
    // f = 0.5776: contraction 0.2112, expansion 0.1784, friction about 0.020·30/19 = 0.031.
    let head = head / (0.5776 * 0.5776);
    near("barb", fall("barb"), 0.421 * head, 0.004 * head);
    let shut = with(&ready, &[("stand/line/stat:open", 0.0)]);
    let results = point(&ready.model, &shut).results;
    near("shut", at(&results, "stand/line/stat:fall"), 80e6, 10.0);
}

#[test]
fn bad_values_are_refused_with_their_reason() {
    for (part, wanted) in [
        ("Restrictor(bore: \"30 mm\")", "the bore of this restrictor is not below the bore"),
        ("Barb(bore: \"25 mm\", length: \"30 mm\")", "the bore of this barb is not below the bore"),
        (
            "Throttle(fall: \"5 kPa\", at: \"60 L/min\", open: \"120 %\")",
            "opening of a throttle must",
        ),
        ("Thermostat(open: \"-5 %\")", "opening of a thermostat must"),
        ("Thermostat(fall: \"5 kPa\")", "`fall` and `at` belong together"),
        ("Throttle(fall: \"5 kPa\", at: \"60 L/min\", leak: \"0 %\")", "must lie between 0.001 %"),
    ] {
        let mut sources = Sources::new();
        let mut problems = Problems::new();
        let file = sources.add("case.ron", line(&format!("\"part\": {part}")));
        let mut fetch = |name: &str| Err(format!("no {name}"));
        let reading = Reading::new(&mut sources, file, &mut fetch, &mut problems);
        let _ = reading.and_then(|reading| reading.build(&mut problems));
        assert!(problems.has_errors(), "{part}");
        let said = problems.render_in(UnitSystem::Metric, &sources, false);
        assert!(said.contains(wanted), "{part}: {said}");
    }
}

/// Water of 20 °C, 60 L/min, through the main valve and the bypass of one thermostat side by side.
fn thermostat_with_bypass(of: &str) -> String {
    let valve = "fall: \"8 kPa\", at: \"60 L/min\", leak: \"1 %\"";
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"in\": Run(from: \"mains\", to: \"housing\", parts: {{ \"h\": Hose(length: \"0.5 m\") }}),
            \"main\": Run(from: \"housing\", to: \"join\", parts: {{ \"stat\": Thermostat({valve}) }}),
            \"bypass\": Run(from: \"housing\", to: \"join\", parts: {{
                \"valve\": Thermostat({valve}, side: Bypass{of}) }}),
            \"out\": Run(from: \"join\", to: \"drain\", parts: {{ \"h\": Hose(length: \"0.5 m\") }}) }},
            junctions: {{
                \"mains\": Open(flow: \"60 L/min\", temperature: \"20 °C\"),
                \"drain\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }})"
    )
}

#[test]
fn one_lift_opens_a_thermostat_and_shuts_its_bypass() {
    // Where there is one thermostat only, its bypass need not name it.
    for of in [", of: \"main/stat\"", ""] {
        one_lift(&read(&thermostat_with_bypass(of)));
    }
}

fn one_lift(ready: &Ready) {
    // Open areas a₀ + (1 − a₀) h and a₀ + (1 − a₀)(1 − h); at equal falls flows go with the areas.
    for lift in [0.0, 0.5, 0.8, 1.0] {
        let results = point(&ready.model, &with(ready, &[("stand/main/stat:open", lift)])).results;
        let [main, bypass] = [0.01 + 0.99 * lift, 0.01 + 0.99 * (1.0 - lift)];
        let flow = 1e-3 * main / (main + bypass);
        near("main", at(&results, "stand/main:flow"), flow, 1e-9);
        near("bypass", at(&results, "stand/bypass:flow"), 1e-3 - flow, 1e-9);
        let share = flow / main * 1e3;
        near("fall", at(&results, "stand/main/stat:fall"), 8e3 * share * share, 0.01);
    }
    // Shut: 1/101 of 60 L/min leaks through the main valve, 0.594 L/min.
    let results = point(&ready.model, &with(ready, &[("stand/bypass/valve:open", 0.0)])).results;
    near("leak", 60e3 * at(&results, "stand/main:flow"), 0.594, 1e-3);
}

#[test]
fn flat_tubes_fall_as_laminar_flow_by_their_aspect_ratio() {
    // f Re = 89 on the hydraulic diameter at 16:1 (Shah & London 1978), not 64: twenty tubes of
    // 16 mm x 1 mm x 0.5 m, 2 L/min of water of 20 °C (1.0016 mPa s, IAPWS R12-08).
    let text = |flow: &str| {
        format!(
            "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"19 mm\", runs: {{
                \"line\": Run(from: \"in\", to: \"out\", parts: {{ \"pass\": Pass(cooler: \"plate\") }}) }},
                junctions: {{
                    \"in\": Open(flow: \"{flow} L/min\", temperature: \"20 °C\"),
                    \"out\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }},
             coolers: {{ \"plate\": Cooler(heat: \"0 W\", loss: 0,
                tubes: FlatTubes(count: 20, width: \"16 mm\", height: \"1 mm\", length: \"0.5 m\")) }})"
        )
    };
    let (velocity, diameter, viscosity) =
        (2e-3 / 60.0 / (20.0 * 16e-6), 32.0 / 17.0 * 1e-3, 1.0016e-3);
    let want = 89.0 * viscosity * 0.5 * velocity / (2.0 * diameter * diameter);
    for (flow, sign) in [("2", 1.0), ("-2", -1.0)] {
        let ready = read(&text(flow));
        let operating = point(&ready.model, &ready.model.values);
        near("fall", at(&operating.results, "stand/line/pass:fall"), sign * want, 0.01 * want);
        let reynolds = at(&operating.results, "stand/line/pass:reynolds");
        let by_hand = DENSITY * velocity * diameter / viscosity;
        near("reynolds", reynolds, by_hand, 2e-3 * by_hand);
        let said = said(&ready.model, &operating);
        assert!(said.iter().any(|w| w.contains("laminar (Re at most 19")), "{said:?}");
    }
}

/// Water of 20 °C into a tee from both straight ends, out at its side; the second end may be an outlet.
fn tee(formulas: &str, second: &str) -> String {
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"a\": Run(from: \"mains\", to: \"tee\", parts: {{ \"h\": Hose(length: \"1 m\") }}),
            \"b\": Run(from: \"tee\", to: \"end\", parts: {{ \"h\": Hose(length: \"1 m\") }}),
            \"side\": Run(from: \"tee\", to: \"drain\", parts: {{ \"h\": Hose(length: \"1 m\") }}) }},
            junctions: {{
                \"tee\": Tee(straight: (\"a\", \"b\"), side: \"side\", formulas: {formulas}),
                \"mains\": Open(flow: \"30 L/min\", temperature: \"20 °C\"),
                \"end\": Open(flow: \"{second} L/min\", temperature: \"20 °C\"),
                \"drain\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }})"
    )
}

#[test]
fn a_tee_says_where_its_formulas_do_not_hold() {
    let said = |formulas: &str, second: &str| -> Vec<String> {
        let ready = read(&tee(formulas, second));
        let operating = point(&ready.model, &ready.model.values);
        let warnings = crate::common::said(&ready.model, &operating).into_iter();
        warnings.filter(|w| w.contains("stand/tee")).collect()
    };
    let opposed =
        "both straight legs flow into the side, or the side into both: the unified law holds";
    for set in ["Gardel", "TP410"] {
        let found = said(set, "20");
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains(set) && found[0].contains(opposed), "{found:?}");
        assert!(said(set, "-10").is_empty(), "{set}");
    }
    assert!(said("Unified", "20").is_empty());
}

/// Six equal ways between a spreader and a collector. In a Z the flow leaves the collector at the far
/// end, in a U where it came in.
fn headers(far_end: bool, formulas: &str) -> String {
    let names: Vec<String> = (1..=6).map(|k| format!("\"p{k}\"")).collect();
    let back: Vec<String> = names.iter().rev().cloned().collect();
    let order = if far_end { names.join(", ") } else { back.join(", ") };
    let way = |name: &String| {
        format!(
            "{name}: Run(from: \"spreader\", to: \"collector\", bore: \"8 mm\", parts: {{ \"h\": Hose(length: \"1.5 m\") }})"
        )
    };
    let ways: Vec<String> = names.iter().map(way).collect();
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"14 mm\", runs: {{
            \"in\": Run(from: \"mains\", to: \"spreader\", parts: {{ \"h\": Hose(length: \"0.5 m\") }}),
            {},
            \"out\": Run(from: \"collector\", to: \"drain\", parts: {{ \"h\": Hose(length: \"0.5 m\") }}) }},
            junctions: {{
                \"mains\": Open(flow: \"40 L/min\", temperature: \"20 °C\"),
                \"drain\": Open(pressure: \"0 kPa\", temperature: \"20 °C\"),
                \"spreader\": Header(inlet: \"in\", outlets: [{}], bore: \"14 mm\", formulas: {formulas}),
                \"collector\": Header(inlets: [{order}], outlet: \"out\", bore: \"14 mm\", formulas: {formulas}) }}) }})",
        ways.join(", "),
        names.join(", ")
    )
}

/// With wide ports, recovery in the spreader raises its static pressure towards the far end, and the
/// collector's falls towards its outlet. In a Z both act alike: the way at the far end gets most. In a U
/// they act against each other: more even, and the way next to inlet and outlet gets more than the last.
///
/// Source: Bajura & Jones 1976, J. Fluids Eng. 98, 654 (parallel and reverse flow systems); Wang 2011,
/// Chem. Eng. J. 168, 1331 (from memory).
#[test]
fn a_z_feeds_its_far_end_and_a_u_is_more_even() {
    for set in ["Unified", "Gardel", "TP410"] {
        let flows = |far_end: bool| -> Vec<f64> {
            let ready = read(&headers(far_end, set));
            let results = point(&ready.model, &ready.model.values).results;
            // Static pressure along the spreader, from port to port: it recovers.
            let along = |k: u32| {
                at(&results, &format!("stand/spreader/port_{k}_{}/length:pressure_in", k + 1))
            };
            assert!(along(5) > along(1), "{set}: {} {}", along(1), along(5));
            (1..=6).map(|k| at(&results, &format!("stand/p{k}:flow"))).collect()
        };
        let (z, u) = (flows(true), flows(false));
        assert!(z.windows(2).all(|pair| pair[0] < pair[1]), "{set}: Z {z:?}");
        assert!(u[0] > u[5], "{set}: U {u:?}");
        let spread = |q: &[f64]| {
            let most = q.iter().copied().fold(0.0, f64::max);
            most / q.iter().copied().fold(f64::INFINITY, f64::min)
        };
        assert!(spread(&z) > 1.2 * spread(&u), "{set}: Z {z:?}, U {u:?}");
    }
}
