//! The words of answers: what is told first, what is told once, and what is never left out.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

use crate::one_loop::{Case, PLAIN, limit, number, run, verdict};

/// What people read of a case, lines that were wrapped joined again.
fn told(text: &str, words: &[&str]) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("it can be written");
    let (command, options) = words.split_first().expect("a command");
    let mut program = Command::new(env!("CARGO_BIN_EXE_coolwright"));
    let output = program.arg(command).arg(&path).args(options).output().expect("the program runs");
    let said = [output.stdout, output.stderr].concat();
    String::from_utf8_lossy(&said).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn with(cooler_share: &str, more: Case) -> Case {
    let cooler = format!("share: \"{cooler_share}\", fall: (fall: \"30 kPa\", at: \"45 L/min\")");
    Case { cooler: String::leak(cooler), ..more }
}

/// `count: 1` in the file is one pump, as it is in a variant.
#[test]
fn one_pump_may_be_written_as_a_number() {
    let pump = |count: &str| Case {
        pump: String::leak(format!("shut_off: \"75 kPa\", free_flow: \"95 L/min\"{count}")),
        ..PLAIN
    };
    let answer = |count: &str| pump(count).ask(&["point"]).1["results"].clone();
    let plain = answer("");
    assert!(plain["loop/way/pump:flow"]["value"].as_f64().expect("a flow") > 0.0);
    for count in [", count: 1", ", count: One", ", count: \"1\""] {
        assert_eq!(answer(count), plain, "{count}");
    }
    let changed = Case {
        rest: "variants: {\"one\": Variant(change: [(\"loop/way/pump:count\", 1)])}",
        ..PLAIN
    };
    assert_eq!(changed.ask(&["point", "--variant", "one"]).1["results"], plain);
}

/// A rest that does not make ready stands in the short answer, and the verdict begins with it.
#[test]
fn a_rest_that_does_not_make_ready_is_never_left_out() {
    let pull = |k: usize| format!("\"pull_{k}\": Phase(time: \"20 s\")");
    let rest =
        |k: usize, time: &str| format!("\"rest_{k}\": Phase(time: \"{time}\", power: \"0 %\")");
    let phases = |third: &str| {
        let each = (1..=8).map(|k| {
            let time = if k == 3 { third } else { "10 min" };
            format!("{}, {}", pull(k), rest(k, time))
        });
        each.collect::<Vec<_>>().join(", ")
    };
    let case = |third: &str| Case {
        duty: String::leak(format!(
            "power: \"300 kW\", phases: {{{}}}, ready: [Ready(of: \"coolers/block:metal\", below: \"40 °C\")]",
            phases(third)
        )),
        ..PLAIN
    };
    let short = told(&case("1 s").text(), &["cycle"]);
    let row = "rest_3 21:00.0 pull_4 not within this rest coolers/block:metal";
    assert!(short.contains(row), "{short}");
    let begins = "VERDICT BROKEN: not ready for the next pull; all 6 limits are kept";
    assert!(short.starts_with(begins), "{short}");
    assert!(short.contains("rest_1 0:20.0 pull_2") && short.contains("rest_8"), "{short}");
    // Where every rest does, the slowest stands there. The one after the short rest begins warmest.
    let short = told(&case("40 s").text(), &["cycle"]);
    assert!(short.contains("VERDICT HOLDS"), "{short}");
    assert!(short.contains("rest_4 22:00.0 pull_5"), "{short}");
}

/// What could leave limits without a value is told in one sentence that lists the assumptions.
#[test]
fn assumptions_that_end_in_boiling_are_told_together() {
    let (_, point) = with("18 %", PLAIN).ask(&["point"]);
    let said = verdict(&point);
    assert_eq!(said.matches("boils or is never steady").count(), 1, "{said}");
    for what in ["supply voltage", "fall of air pressure through a core"] {
        let listed = said.split("cannot be judged: ").nth(1).expect("a list");
        assert!(listed.contains(what), "{what} is not in {listed}");
    }
}

/// What has no steady state, in one sentence: why, what is not judged, until when it is kept.
#[test]
fn what_is_never_steady_is_told_once_with_its_cause() {
    let hot = with("24 %", PLAIN);
    let (code, point) = hot.ask(&["point"]);
    let said = verdict(&point);
    assert_eq!(code, 1);
    assert_eq!(said.matches("not judged:").count(), 1, "{said}");
    assert!(said.contains("`loop` boils with this heat kept up, so nothing is ever steady there"));
    let boils = number(&limit(&point, "loop:boil_margin")["first_broken"]);
    let minutes = format!("{}:{:04.1}", (boils / 60.0).floor(), boils % 60.0);
    assert!(said.contains(&format!("kept at least for the first {minutes}")), "{said}");
    // Side by side the limits are counted, and named where all is asked for.
    let rest = "variants: {\"hot\": Variant(change: [(\"coolers/block:share\", \"24 %\")])}";
    let both = Case { rest, ..PLAIN }.text();
    let (short, full) = (told(&both, &["compare"]), told(&both, &["compare", "--full"]));
    let counted = "5 limits not judged: `loop` boils with this heat kept up";
    assert!(short.contains(counted) && !full.contains(counted), "{short}\n{full}");
    let named = "not judged: margin against freezing in loop, coolant lost from loop/way/tank";
    assert!(!short.contains(named) && full.contains(named), "{short}\n{full}");
}

/// No coolant lost is the best there is: a limit of nothing is not near for being met exactly, and what could
/// turn it is told all the same.
#[test]
fn a_bound_that_is_met_exactly_is_not_kept_by_nothing() {
    let case = Case { tank: "volume: \"3 L\", air: \"0.12 L\"", ..PLAIN };
    let (_, point) = case.ask(&["point"]);
    let lost = &limit(&point, "loop/way/tank:lost");
    assert!(number(&lost["value"]["value"]).abs() < 1e-12, "{lost}");
    let said = verdict(&point);
    assert!(said.contains("coolant lost from loop/way/tank is kept, but could turn by"), "{said}");
    assert!(!told(&case.text(), &["point", "--full"]).contains("by 0 L"));
}

/// Hot coolant is told in one line a circuit, with the hottest that was seen.
#[test]
fn coolant_beyond_its_source_is_told_once_with_its_worst() {
    let count = |said: &str| said.matches("of the property source").count();
    // Kept at so high a pressure that all of it may be hotter than 100 °C.
    let hot = Case {
        coolant: "EthyleneGlycol(by_volume: \"30 %\"), pressure: \"200 kPa\"",
        air: "60 °C",
        start: "90 °C",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"2 min\"), \"on\": Phase(time: \"2 min\")}",
        ..with("17 %", PLAIN)
    };
    let point = told(&hot.text(), &["point"]);
    assert_eq!(count(&point), 1, "{point}");
    let (_, answer) = hot.ask(&["point"]);
    let coolest = number(&answer["results"]["loop/way/pump:in"]["value"]);
    assert!(coolest > 373.15, "{coolest} K is no coolant beyond its source");
    let (_, cycle) = hot.ask(&["cycle", "--columns", "loop:hottest"]);
    let rows = cycle["histories"]["rows"].as_array().expect("rows");
    let columns = cycle["histories"]["columns"].as_array().expect("columns");
    let place = columns.iter().position(|c| c["address"] == "loop:hottest").expect("a column");
    let hottest = rows.iter().map(|row| number(&row[place])).fold(0.0, f64::max);
    let sections = cycle["sections"].as_array().expect("sections");
    let warnings = sections.iter().find(|s| s["name"] == "warnings").expect("warnings");
    let of_source = |said: &&Value| count(said["text"].as_str().unwrap_or_default()) > 0;
    let found: Vec<&Value> =
        warnings["says"].as_array().expect("points").iter().filter(of_source).collect();
    assert_eq!(found.len(), 1, "{warnings}");
    let text = found[0]["text"].as_str().expect("words");
    let seen = text.split("seen up to ").nth(1).and_then(|rest| rest.split(' ').next());
    let seen: f64 = seen.and_then(|number| number.parse().ok()).expect("a temperature");
    assert!(hottest > 378.15, "{hottest} K is too cold to tell the first from the worst");
    // The moments that are looked at are not those of the rows.
    assert!((seen - hottest).abs() < 1.0, "{seen} K seen, {hottest} K in the history");
}

/// At a moment of a cycle heat goes into metal and coolant, and the answer says so.
#[test]
fn a_moment_of_the_cycle_says_that_heat_is_stored() {
    let case = Case {
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \"60 s\", power: \"2 %\")}",
        ..PLAIN
    };
    let says = "coolant and metal take up or give off heat, so flow × rise × heat capacity is not quite the heat";
    assert!(told(&case.text(), &["point", "--at", "5 s"]).contains(says));
    assert!(!told(&case.text(), &["point"]).contains(says));
}

/// What is assumed in several places, and moves little, is named once.
#[test]
fn what_is_of_little_influence_is_named_once() {
    let cases = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/desert_racer.ron");
    let text = std::fs::read_to_string(cases).expect("a demo");
    let said = told(&text, &["point", "--full"]);
    let list = said.split("Of little influence here: ").nth(1).expect("a list");
    let list = list.split(". ").next().expect("its end");
    let all: Vec<&str> = list.split("; ").collect();
    let plain = |name: &&str| name.split(" (").next().unwrap_or_default().to_owned();
    let once: BTreeSet<String> = all.iter().map(plain).collect();
    assert!(all.len() > 5, "{list}");
    assert_eq!(once.len(), all.len(), "{list}");
}

/// What the guide shows of curves and of what a phase sets reads as it stands.
#[test]
fn the_curves_of_the_guide_read() {
    let page = include_str!("../../guide/src/file/holds.md");
    let codes: Vec<&str> = page.split('`').collect();
    let shown = |begins: &str| {
        let found = codes.iter().find(|code| code.starts_with(begins));
        found.unwrap_or_else(|| panic!("the guide does not show {begins}")).to_string()
    };
    let (pumps, fans) = (shown("pump_curves: {"), shown("fan_curves: {"));
    let (pump, fan) = (shown("Pump(curve:"), shown("Fan(curve:"));
    let phase = shown("Phase(time: \"20 s\", set:").replace("engine/main/stat", "loop/way/stat");
    let text = PLAIN.text();
    let pump_of =
        text.split("\"pump\": ").nth(1).and_then(|rest| rest.split(", \"delivery\"").next());
    let fan_of = text.split("\"fan\": ").nth(1).and_then(|rest| rest.split(" }").next());
    let text = text
        .replace(pump_of.expect("a pump"), &format!("{pump}, \"stat\": Thermostat()"))
        .replace(fan_of.expect("a fan"), &fan)
        .replace(
            "duty: Duty(power: \"300 kW\")",
            &format!(
                "{pumps}, {fans}, duty: Duty(power: \"300 kW\", phases: {{\"pull\": {phase}, \"rest\": Phase(time: \
                 \"30 s\", power: \"0 %\")}})"
            ),
        );
    let (code, cycle, err) = run(&text, &["cycle"]);
    assert_eq!((code, err.as_str()), (0, ""), "{text}\n{}", verdict(&cycle));
}
