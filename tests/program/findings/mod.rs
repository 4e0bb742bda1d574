//! What `check` finds in the plumbing: for every finding a small case that provokes it, and a
//! neighbour that does not.

mod heights;
mod machines;
mod phases;
mod places;
mod slips;
mod suction;
mod tanks;
mod ways;

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
