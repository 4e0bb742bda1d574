//! A drive that was logged, against the same drive told by phases, and logs as loggers write them.

use std::process::Command;

use serde_json::Value;

/// The first case with a duty of its own, and a log beside it.
fn answered(duty: &str, log: &str, words: &[&str]) -> (i32, Value, String) {
    let text = include_str!("../../cases/first.ron");
    let from = text.find("    duty: Duty(").expect("a duty");
    let to = from + text[from..].find("\n    limits:").expect("limits");
    let text = format!("{}    duty: Duty({duty}),{}", &text[..from], &text[to..]);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("a case");
    std::fs::write(folder.path().join("drive.csv"), log).expect("a log");
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .arg(words[0])
        .arg(&path)
        .args(&words[1..])
        .arg("--json")
        .output()
        .expect("the program runs");
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    let answer = serde_json::from_slice(&output.stdout).unwrap_or(Value::Null);
    (output.status.code().expect("an exit status"), answer, err)
}

const LOGGED: &str = r#"power: "400 kW", log: Log(file: "drive.csv", time: ("time", "s"), set: [("power", "P", "kW")])"#;

/// A row of a table of a section.
fn row<'a>(answer: &'a Value, section: &str, key: &str, wanted: &str) -> &'a Value {
    let sections = answer["sections"].as_array().expect("sections");
    let section = sections.iter().find(|s| s["name"] == section).expect("the section");
    let rows = section["tables"][0]["rows"].as_array().expect("rows");
    rows.iter()
        .find(|row| row[key] == wanted || row[key]["text"] == wanted)
        .unwrap_or_else(|| panic!("no {wanted} in {rows:?}"))
}

fn si(value: &Value) -> f64 {
    value.as_f64().or(value["si"].as_f64()).or(value["value"].as_f64()).unwrap_or(f64::NAN)
}

/// Pulls of 20 s and rests of 60 s, as phases and as a log of one row in 0.1 s: what gets hot and when it is at its
/// worst is the same but for the tenth of a second in which the log goes from one power to the next.
#[test]
fn a_log_drives_as_the_phases_that_it_tells() {
    let phases = r#"power: "400 kW", repeat: 3, phases: { "work": Phase(time: "20 s"), "rest": Phase(time: "60 s", power: "10 %") }"#;
    let (_, told, _) = answered(phases, "", &["cycle"]);
    let mut log = "time,P\n".to_owned();
    for k in 0..=2400 {
        let power = if k % 800 < 200 { 400.0 } else { 40.0 };
        log.push_str(&format!("{:.1},{power}\n", f64::from(k) / 10.0));
    }
    let (_, logged, _) = answered(LOGGED, &log, &["cycle"]);
    for address in ["coolers/motor:metal", "coolers/left_inverter:metal", "drive:hottest"] {
        let [told, logged] = [&told, &logged].map(|answer| {
            let row = row(answer, "peaks", "address", address);
            [si(&row["most"]), si(&row["most_at"])]
        });
        assert!((told[0] - logged[0]).abs() < 0.05, "{address}: {told:?} {logged:?}");
        assert!((told[1] - logged[1]).abs() < 0.5, "{address}: {told:?} {logged:?}");
    }
    let names: Vec<&str> = logged["sections"]
        .as_array()
        .expect("sections")
        .iter()
        .filter_map(|section| section["name"].as_str())
        .collect();
    assert!(names.contains(&"log"), "{names:?}");
}

/// Semicolons, decimal commas, units below the names, a gap, a repeat, a time that goes back, a hole, power below
/// zero: all is told, and nothing is dropped without a word.
#[test]
fn what_is_wrong_with_a_log_is_told() {
    let log = "time;P;note\ns;kW;-\n10,0;200,5;a\n10,5;210,0;\n11,0;;x\n11,0;220,0;\n10,9;1,0;\n11,5;-50,0;\n12,0;100,0;\nend;0;\n30,0;100,0;\n";
    let (code, answer, err) = answered(LOGGED, log, &["cycle"]);
    assert!(code < 2, "{err}");
    let told = answer.to_string();
    for words in [
        "7 rows over",
        "1 gap, the longest of",
        "1 row with the time of the row before: a step there",
        "1 row with a time before that of the row above",
        "1 row without a time",
        "`P` has no number in 1 row",
        "is below zero in 1 of 7 rows",
    ] {
        assert!(told.contains(words), "{words} is not in {told}");
    }
}

#[test]
fn a_log_that_cannot_drive_is_refused_where_it_is_named() {
    let log = "time,Pmot\n0,100\n1,100\n";
    let (code, _, err) = answered(LOGGED, log, &["cycle"]);
    assert!(code == 2 && err.contains("has no column `P`") && err.contains("Pmot"), "{err}");
    let other = LOGGED.replace("drive.csv", "other.csv");
    let (code, _, err) = answered(&other, log, &["cycle"]);
    assert!(code == 2 && err.contains("cannot read the log `other.csv`"), "{err}");
    let both = format!("{LOGGED}, phases: {{ \"a\": Phase(time: \"1 s\") }}");
    let (code, _, err) = answered(&both, &log.replace("Pmot", "P"), &["cycle"]);
    assert!(code == 2 && err.contains("not both"), "{err}");
    let wrong = LOGGED.replace("\"kW\"", "\"km\"");
    let (code, _, err) = answered(&wrong, &log.replace("Pmot", "P"), &["cycle"]);
    assert!(code == 2 && err.contains("the unit of this column"), "{err}");
    let hot = LOGGED.replace("(\"power\"", "(\"site:air\", \"P\", \"°C\"), (\"power\"");
    let (code, _, err) = answered(&hot, &log.replace("Pmot", "P"), &["cycle"]);
    assert!(code == 2 && err.contains("air temperature"), "{err}");
    let (code, _, err) = answered(LOGGED, &log.replace("Pmot", "P"), &["cycle", "--longest"]);
    assert!(code == 2 && err.contains("as long as it did"), "{err}");
}

/// Two rows of one time are a step: the drive of the phases to the last digit that is printed. What a log drives cannot
/// be written, by a variant or a tolerance, and what it says of its units counts.
#[test]
fn a_step_is_two_rows_of_one_time_and_what_is_driven_is_not_written() {
    let phases = r#"power: "400 kW", phases: { "work": Phase(time: "20 s"), "rest": Phase(time: "60 s", power: "10 %") }"#;
    let (_, told, _) = answered(phases, "", &["cycle"]);
    let log = "time;P\ns;kW\n0;400\n20;400\n20;40\n80;40\n";
    let (_, logged, _) = answered(LOGGED, log, &["cycle"]);
    let [told, logged] = [&told, &logged]
        .map(|answer| si(&row(answer, "peaks", "address", "coolers/motor:metal")["most"]));
    assert!((told - logged).abs() < 1e-3, "{told} {logged}");
    let (code, _, err) = answered(LOGGED, &log.replace("kW", "W"), &["cycle"]);
    assert!(code == 2 && err.contains("below `P` the log says `W`"), "{err}");
    let (code, _, err) = answered(LOGGED, log, &["grid", "--over", "duty:power=300 kW,400 kW"]);
    assert!(code == 2 && err.contains("the log of the duty drives it"), "{err}");
    let twice = LOGGED.replace("set: [", "set: [(\"duty:power\", \"P\", \"kW\"), ");
    let (code, _, err) = answered(&twice, log, &["cycle"]);
    assert!(code == 2 && err.contains("twice"), "{err}");
    // By its short name as well, and a step at the very start makes no stretch of no length.
    let short = LOGGED.replace("set: [", "set: [(\"road_speed\", \"v\", \"km/h\"), ");
    let speeds = "time,P,v\n0,40,10\n0,400,10\n20,400,10\n20,40,10\n80,40,10\n";
    let (code, answer, err) = answered(&short, speeds, &["cycle"]);
    assert!(code < 2, "{err}");
    assert!(answer.to_string().contains("work 1"), "{answer}");
    let (code, _, err) =
        answered(&short, speeds, &["grid", "--over", "duty:road_speed=10 km/h,20 km/h"]);
    assert!(code == 2 && err.contains("the log of the duty drives it"), "{err}");
    let mut holes = "time,P\n".to_owned();
    (0..100).for_each(|k| holes.push_str(&format!("{k},{}\n", if k % 2 == 0 { "40" } else { "" })));
    let (code, answer, _) = answered(LOGGED, &holes, &["cycle"]);
    let told = answer.to_string();
    assert!(code == 1 && told.contains("of the log could not be taken as they stand"), "{told}");
}
