//! Restrictors, throttles, thermostats and barbs in whole cases: by their own word in the pressure
//! budget, with falls that can be recomputed by hand, and with faults that are said.

mod common;

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::text::Sources;

use common::{at, near, point, read, with};

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
        ("Thermostat(open: \"-5 %\")", "lift of a thermostat must"),
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
        let said = problems.render(&sources, false);
        assert!(said.contains(wanted), "{part}: {said}");
    }
}
