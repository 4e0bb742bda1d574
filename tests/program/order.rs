//! What does not depend on the order in which a case is written, and names that may be written in full.

use coolwright::ask::{Case, Moment, Question};
use coolwright::workers::Alone;

/// All results of a case at full power, by address.
fn results(text: &str) -> Vec<(String, f64)> {
    let mut none = |name: &str| Err(format!("no file {name}"));
    let case = Case::read("case.ron", text, &mut none)
        .unwrap_or_else(|refusal| panic!("{text}: {:?}", refusal.complaints()));
    let question = Question::Point { variant: None, moment: Moment::Full, off: false };
    let answer = case.ask(&question, &Alone).expect("it can be solved");
    let mut values: Vec<(String, f64)> =
        answer.results.into_iter().map(|result| (result.address, result.value)).collect();
    values.sort_by(|a, b| a.0.cmp(&b.0));
    values
}

fn same(one: &str, other: &str) {
    let (one, other) = (results(one), results(other));
    assert_eq!(one.len(), other.len());
    for ((address, a), (also, b)) in one.iter().zip(&other) {
        assert_eq!(address, also);
        let near = (a - b).abs() <= 1e-6 * a.abs().max(1e-6) || (a.is_nan() && b.is_nan());
        assert!(near, "{address}: {a} and {b}");
    }
}

const MAIN: &str = r#""main": Run(from: "split", to: "join", parts: { "stat": Thermostat(open: "60 %"), "plate": Pass(cooler: "plate") }),"#;
const SHORT: &str = r#""short": Run(from: "split", to: "join", parts: { "valve": Thermostat(side: Bypass, of: "main/stat") }),"#;

fn with(first: &str, second: &str) -> String {
    format!(
        r#"Case(
    circuits: {{ "rig": Circuit(coolant: Water, bore: "25 mm", runs: {{
        "feed": Run(from: "join", to: "split", parts: {{
            "tank": Tank(volume: "5 L"), "core": CoreSide(core: "core"),
            "pump": Pump(shut_off: "60 kPa", free_flow: "90 L/min") }}),
        {first} {second} }},
        bleeds: ["main/stat"]) }},
    coolers: {{ "plate": Cooler(heat: "2 kW", fall: (fall: "20 kPa", at: "60 L/min")) }},
    cores: {{ "core": Core(rated: (heat: "40 kW", coolant: "60 L/min", air: "1.6 kg/s", difference: "40 K")) }},
    air_paths: {{ "front": AirPath(cores: ["core"], fans: {{ "fan": Fan(shut_off: "260 Pa", free_flow: "2600 m3/h") }}) }},
)"#
    )
}

#[test]
fn a_bypass_may_stand_before_its_thermostat() {
    same(&with(MAIN, SHORT), &with(SHORT, MAIN));
}

/// At 60 % the bypass passes what a lift of 60 % leaves it, so the lift must reach it from either place.
#[test]
fn the_lift_of_a_thermostat_moves_its_bypass_from_either_place() {
    for text in [with(MAIN, SHORT), with(SHORT, MAIN)] {
        let flow = |text: &str| {
            let all = results(text);
            all.iter().find(|(address, _)| address == "rig/short:flow").expect("a flow").1
        };
        let (less, more) = (flow(&text), flow(&text.replace("60 %", "20 %")));
        assert!(more > 1.05 * less, "{more} m³/s at 20 %, {less} m³/s at 60 %");
    }
}

#[test]
fn a_name_may_be_written_as_its_full_address() {
    let short = with(MAIN, SHORT);
    let full = short
        .replace("\"split\"", "\"rig/split\"")
        .replace("\"join\"", "\"rig/join\"")
        .replace("\"main/stat\"", "\"rig/main/stat\"")
        .replace("cooler: \"plate\"", "cooler: \"coolers/plate\"")
        .replace("core: \"core\"", "core: \"cores/core\"")
        .replace("cores: [\"core\"]", "cores: [\"cores/core\"]");
    assert_eq!(full.matches("rig/").count(), 8, "{full}");
    same(&short, &full);
}
