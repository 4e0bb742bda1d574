//! Circuits at the edge of what a circuit is have a defined answer: a run from a junction to itself, a
//! dead end, no pump that turns, pumps against each other, a shut valve in the only way. What cannot be
//! built (an end that nothing joins, separate pieces) is refused where faulty cases are.

use crate::common::{at, near, point, read, said};

const PUMP: &str = "Pump(shut_off: \"80 kPa\", free_flow: \"90 L/min\"";

/// A circuit of a run `feed` from `a` to `b` with a pump, and other runs.
fn case(pump: &str, others: &str, junctions: &str) -> String {
    format!(
        "Case(circuits: {{ \"c\": Circuit(coolant: Water, start: \"20 °C\", bore: \"20 mm\", pressure: \"50 kPa\", \
         pressure_at: \"a\", runs: {{ \"feed\": Run(from: \"a\", to: \"b\", parts: {{ \"pump\": {pump}), \"hose\": \
         Hose(length: \"1 m\") }}), {others} }}, junctions: {{ {junctions} }}) }})"
    )
}

fn hose(name: &str, from: &str, to: &str) -> String {
    format!(
        "\"{name}\": Run(from: \"{from}\", to: \"{to}\", parts: {{ \"hose\": Hose(length: \"2 m\") }}), "
    )
}

fn told(text: &str) -> (coolwright_models::results::Results, Vec<String>) {
    let ready = read(text);
    let point = point(&ready.model, &ready.model.values);
    let warnings = said(&ready.model, &point);
    (point.results, warnings)
}

#[test]
fn a_run_from_a_junction_to_itself_stands_still() {
    let runs = hose("back", "b", "a") + &hose("ring", "b", "b");
    let (results, warnings) = told(&case(PUMP, &runs, ""));
    assert!(at(&results, "c/feed:flow") > 1e-3);
    near("flow of the ring", at(&results, "c/ring:flow"), 0.0, 1e-12);
    assert!(warnings.is_empty(), "{warnings:?}");
}

/// The capped end of a header is a dead end: no flow, and the pressure of the tee before it, less what
/// the tee takes.
#[test]
fn a_dead_end_carries_exactly_nothing() {
    let runs = hose("left", "b", "a") + &hose("right", "b", "a");
    let header = "\"b\": Header(inlet: \"feed\", outlets: [\"left\", \"right\"], bore: \"25 mm\")";
    let (results, _) = told(&case(PUMP, &runs, header));
    assert_eq!(at(&results, "c/b/end:flow").to_bits() << 1, 0);
    assert!(at(&results, "c/left:flow") > 1e-4 && at(&results, "c/right:flow") > 1e-4);
}

#[test]
fn nothing_moves_where_no_pump_turns() {
    let stopped = format!("{PUMP}, speed: \"0 %\"");
    let (results, warnings) = told(&case(&stopped, &hose("back", "b", "a"), ""));
    near("flow", at(&results, "c/feed:flow"), 0.0, 1e-12);
    assert_eq!(
        warnings,
        ["nothing moves in `c`: none of its pumps turns, and no open end drives it"]
    );
}

/// Both ends held at the same pressure drive nothing.
#[test]
fn nothing_moves_between_equal_ends() {
    let text = "Case(circuits: { \"c\": Circuit(coolant: Water, start: \"20 °C\", bore: \"20 mm\", runs: {
        \"one\": Run(from: \"a\", to: \"b\", parts: { \"hose\": Hose(length: \"1 m\") }),
        \"two\": Run(from: \"b\", to: \"a\", parts: { \"hose\": Hose(length: \"1 m\") }) }, junctions: {
        \"a\": Open(pressure: \"50 kPa\", temperature: \"20 °C\"),
        \"b\": Open(pressure: \"50 kPa\", temperature: \"20 °C\") }) })";
    let (results, warnings) = told(text);
    near("flow", at(&results, "c/one:flow"), 0.0, 1e-12);
    assert!(warnings[0].starts_with("nothing moves in `c`"), "{warnings:?}");
}

/// A pump against a throttle that leaks 0.01 %: Δ = 20 kPa (Q/(1e-4 · 60 L/min))² takes all but a
/// trace of the 80 kPa, so Q = 1e-4 · 60 · √4 = 0.012 L/min. The pump's heat has nowhere to go, and in
/// hot water its head is lower with the density: hence the tolerance of a fifth.
#[test]
fn a_shut_valve_in_the_only_way_leaves_the_pump_at_shut_off() {
    let valve = "\"back\": Run(from: \"b\", to: \"a\", parts: { \"valve\": Throttle(fall: \"20 kPa\", at: \"60 \
                 L/min\", open: \"0 %\", leak: \"0.01 %\"), \"hose\": Hose(length: \"1 m\") })";
    let (results, warnings) = told(&case(PUMP, valve, ""));
    near("flow", at(&results, "c/feed:flow") * 60e3, 0.012, 0.0025);
    let shut = "`c/feed/pump` turns and moves next to nothing, ";
    assert!(warnings.iter().any(|warning| warning.starts_with(shut)), "{warnings:?}");
}
