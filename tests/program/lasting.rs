//! How long a pull may last and a rest must, against the same lengths written into the file.

use serde_json::Value;

use crate::demos::{ask, within};

/// The guide's last step with lengths of its phases, s, and a limit that a pull of minutes comes near to.
fn case(pump_s: f64, rest_s: f64) -> String {
    include_str!("../../cases/guide/6_duty_cycle.ron")
        .replace("time: \"3 min\"", &format!("time: \"{pump_s} s\""))
        .replace("time: \"6 min\"", &format!("time: \"{rest_s} s\""))
        .replace("max: \"105 °C\"", "max: \"92 °C\"")
}

fn cycle(text: &str, options: &[&str]) -> (i32, Value) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("a case that can be written");
    let path = path.to_str().expect("a path");
    ask(&[&["cycle", path, "--variant", "wide_far"][..], options].concat())
}

fn section<'a>(answer: &'a Value, name: &str) -> Option<&'a Value> {
    let sections = answer["sections"].as_array().expect("sections");
    sections.iter().find(|section| section["name"] == name)
}

/// The lengths that the program finds, s: by phase, and what else fails.
fn found(options: &[&str]) -> Vec<(String, Option<f64>, String)> {
    let (_, answer) = cycle(&case(180.0, 360.0), options);
    let Some(section) = section(&answer, "lasting") else { return Vec::new() };
    let rows = section["tables"][0]["rows"].as_array().expect("rows");
    let row = |row: &Value| {
        let text = |name: &str| row[name].as_str().unwrap_or_default().to_owned();
        (text("phase"), row["lasts"]["value"].as_f64(), text("by"))
    };
    rows.iter().map(row).collect()
}

/// Whether the case holds and is ready with such lengths of its phases.
fn holds(pump_s: f64, rest_s: f64) -> bool {
    let (code, answer) = cycle(&case(pump_s, rest_s), &[]);
    let ready = section(&answer, "ready").expect("rests");
    let rests = ready["tables"][0]["rows"].as_array().expect("rows");
    code == 0 && rests.iter().all(|rest| rest["ready_after"]["value"].is_number())
}

#[test]
fn what_lasts_so_long_does_so_in_the_file_and_no_longer() {
    assert!(found(&[]).is_empty(), "nobody asked");
    let pulls = found(&["--longest"]);
    let [(phase, Some(pump_s), by)] = &pulls[..] else { panic!("{pulls:?}") };
    assert_eq!((phase.as_str(), by.as_str()), ("pump", "engine_out"));
    assert!(holds(*pump_s, 360.0), "{pump_s} s");
    assert!(!holds(1.006 * pump_s + 0.2, 360.0), "{pump_s} s");
    let rests = found(&["--rest"]);
    let [(phase, Some(rest_s), by)] = &rests[..] else { panic!("{rests:?}") };
    assert_eq!((phase.as_str(), by.as_str()), ("ready", "not ready: engines/diesel:metal"));
    assert!(holds(180.0, *rest_s), "{rest_s} s");
    assert!(!holds(180.0, 0.994 * rest_s - 0.2), "{rest_s} s");
    // The answer of the cycle says that the engine is ready 37 s after the pull: no more is needed.
    within("rest, s", *rest_s, 20.0, 60.0);
}
