//! The program as it is used: files that are none, streams that fail, exit statuses, JSON, colour.

use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};

use assert_cmd::Command;
use coolwright::answer::Topic;
use coolwright::render::{Extent, json};
use coolwright_cases::quantity::UnitSystem;
use predicates::prelude::*;
use serde_json::Value;

use crate::answered;

const FIRST: &str = "cases/first.ron";
/// One loop with a pump: what the program does with a case, whatever its first one is.
const LOOP: &str = "tests/physics/cases/one_loop.ron";

fn program() -> Command {
    let mut program = Command::cargo_bin("coolwright").expect("the program");
    program.current_dir(env!("CARGO_MANIFEST_DIR"));
    program
}

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn write(folder: &Path, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, content).expect("it can be written");
    path
}

fn loop_with(from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(LOOP));
    let text = text.expect("the case");
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

#[test]
fn what_is_no_case_is_refused_with_the_reason() {
    let folder = scratch();
    let long = format!("Case(title: \"{}\", nothing: 1)", "x".repeat(1 << 20));
    let cases: [(&str, &[u8], &str); 8] = [
        ("empty.ron", b"", "this text is empty"),
        ("blank.ron", b" \n\t\r\n", "nothing but blanks and comments"),
        ("comment.ron", b"// to do\n/* all */", "nothing but blanks and comments"),
        ("binary.ron", b"\x7fELF\x02\x01\x01\x00\x00", "this is not a text file"),
        (
            "latin.ron",
            b"Case(\n  title: \"K\xfchler\")",
            "byte 18 (in line 2) is part of no character",
        ),
        ("long.ron", long.as_bytes(), "`Case` has no field `nothing`"),
        ("cut.ron", b"Case(circuits: {", "ends"),
        ("other.ron", b"Parts(cores: {})", "expected `Case(…)`, found `Parts(…)`"),
    ];
    for (name, content, wanted) in cases {
        let path = write(folder.path(), name, content);
        for command in ["check", "point", "cycle", "compare"] {
            let run = program().arg(command).arg(&path).assert().code(2).stdout("");
            let err = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
            assert!(err.contains(wanted), "{name}: {wanted:?} is not in\n{err}");
            assert!(err.contains(name) && err.len() < 3000, "{name}:\n{err}");
        }
    }
    let missing = folder.path().join("none.ron");
    let lacks = predicate::str::contains("there is no such file");
    program().arg("point").arg(missing).assert().code(2).stderr(lacks);
    let is_folder = predicate::str::contains("this is a folder, not a file");
    program().arg("point").arg(folder.path()).assert().code(2).stderr(is_folder);
}

#[test]
fn the_status_says_holds_broken_or_failed() {
    let folder = scratch();
    let holds = write(folder.path(), "holds.ron", loop_with("max: \"7 K\"", "max: \"17 K\""));
    let broken = write(folder.path(), "broken.ron", loop_with("max: \"7 K\"", "max: \"0.5 K\""));
    let boils =
        write(folder.path(), "boils.ron", loop_with("count: 2,", "count: 2, speed: \"0 %\","));
    let failed = write(folder.path(), "failed.ron", loop_with("\"8 L\"", "\"8 K\""));
    for command in ["point", "cycle"] {
        program().arg(command).arg(&holds).assert().code(0);
        program()
            .arg(command)
            .arg(&broken)
            .assert()
            .code(1)
            .stdout(predicate::str::contains("BROKEN"));
        program().arg(command).arg(&failed).assert().code(2).stdout("");
    }
    program().arg("point").arg(&boils).assert().code(predicate::in_iter([1, 2]));
    program().arg("check").arg(&broken).assert().code(0);
    program().arg("compare").arg(&failed).assert().code(2).stdout("");
    program().arg("fly").assert().code(2).stderr(predicate::str::contains("unrecognized"));
}

#[test]
fn names_on_the_command_line_are_checked() {
    for (args, wanted) in [
        (["point", "--variant", "two_in_serie"], "Did you mean `two_in_series`?"),
        (["cycle", "--variant", "none_such"], "It has: `two_in_series`"),
        (["point", "--phase", "pul 1"], "Did you mean `pull 1`?"),
        (["compare", "--variant", "two_in_serie"], "Did you mean `two_in_series`?"),
    ] {
        let [command, option, name] = args;
        let run = program().args([command, LOOP, option, name]).assert().code(2).stdout("");
        run.stderr(predicate::str::contains(wanted));
    }
}

#[test]
fn json_has_the_documented_head() {
    for command in ["check", "point", "cycle", "compare"] {
        let run = program().args([command, LOOP, "--json"]).assert();
        let value: Value = serde_json::from_slice(&run.get_output().stdout).expect(command);
        assert_eq!(value["format"], format!("coolwright-{command}"));
        assert_eq!(value["version"], 5);
        assert_eq!(value["program"], env!("CARGO_PKG_VERSION"));
        assert_eq!(value["units"], "SI");
        assert!(value["title"].is_string(), "{command}");
        if ["point", "cycle"].contains(&command) {
            assert!(["holds", "broken"].contains(&value["verdict"].as_str().expect("a verdict")));
            let worst = if command == "point" { "value" } else { "worst" };
            let limit = &rows(&value, "limits")[0];
            assert_eq!(limit["address"], "coolers/charge_cooler:rise");
            assert_eq!(limit[worst]["kind"], "temperature_difference");
            assert_eq!(limit[worst]["unit"], "K");
            assert_eq!(limit[format!("{worst}_holds")], false, "{limit}");
            // At most 7 K.
            let bound = limit["bound_value"]["value"].as_f64().expect("a number");
            assert!((bound - 7.0).abs() < 1e-12 && limit["bound_side"] == "max", "{limit}");
        }
    }
}

/// The rows of the table in a section.
fn rows<'a>(answer: &'a Value, section: &str) -> &'a [Value] {
    let sections = answer["sections"].as_array().expect("sections");
    let found = sections.iter().find(|s| s["name"] == section);
    let table = &found.unwrap_or_else(|| panic!("no section {section}"))["tables"][0];
    table["rows"].as_array().unwrap_or_else(|| panic!("no table in {section}"))
}

fn ask(words: &[&str]) -> Value {
    let run = program().args(words).arg("--json").assert();
    let out = &run.get_output().stdout;
    serde_json::from_slice(out).unwrap_or_else(|error| panic!("{words:?}: {error}"))
}

/// Every number that JSON holds under a name of its own says what kind it is, or stands in a column or
/// list that does.
#[test]
fn numbers_in_json_have_their_kind_and_unit() {
    fn numbers(value: &Value, path: &str, bare: &mut Vec<String>) {
        match value {
            Value::Object(map) => {
                let told = map.contains_key("kind") && map.contains_key("unit");
                for (name, inside) in map {
                    let path = format!("{path}/{name}");
                    match inside {
                        Value::Number(_) if !told => bare.push(path),
                        _ => numbers(inside, &path, bare),
                    }
                }
            }
            Value::Array(list) => list.iter().for_each(|inside| numbers(inside, path, bare)),
            _ => {}
        }
    }
    for words in [&["check", LOOP][..], &["point", LOOP], &["compare", LOOP], &["cycle", LOOP]] {
        let answer = ask(words);
        let mut bare = Vec::new();
        for section in answer["sections"].as_array().expect("sections") {
            for table in section["tables"].as_array().into_iter().flatten() {
                let columns = table["columns"].as_array().expect("columns");
                let kind = |name: &str| columns.iter().find(|c| c["name"] == name)?.get("kind");
                for row in table["rows"].as_array().expect("rows") {
                    for (name, cell) in row.as_object().expect("cells") {
                        if kind(name).is_none() || !(cell.is_number() || cell.is_null()) {
                            assert!(!cell.is_number(), "{words:?}: {} {name}", section["name"]);
                            numbers(cell, name, &mut bare);
                        }
                    }
                }
            }
            numbers(&section["says"], "says", &mut bare);
            numbers(&section["title"], "title", &mut bare);
        }
        numbers(&answer["results"], "results", &mut bare);
        // What is counted needs no unit.
        let counts = [
            "limits",
            "broken",
            "places",
            "runs",
            "parts",
            "count",
            "results",
            "rests",
            "at",
            "crossings",
            "passes",
            "things",
            "more",
            "rounds",
        ];
        bare.retain(|path| !counts.contains(&path.rsplit('/').next().unwrap_or_default()));
        assert!(bare.is_empty(), "{words:?}: {bare:?}");
    }
}

/// What people read about the state is in JSON too, as numbers.
#[test]
fn json_holds_what_people_read() {
    let answer = ask(&["point", LOOP]);
    let survey = rows(&answer, "survey");
    let pump = survey.iter().find(|row| row["before"] == "pump").expect("the pump's inlet");
    assert!(pump["mark"].as_str().expect("a mark").contains("pump inlet"));
    // static = total − ½ρv², margin = static + air − vapour, as in the text.
    let number = |row: &Value, name: &str| row[name].as_f64().unwrap_or_else(|| panic!("{name}"));
    let sections = answer["sections"].as_array().expect("sections");
    let title = &sections.iter().find(|s| s["name"] == "survey").expect("a survey")["title"];
    let air = number(&title["slots"]["air"], "value");
    for row in survey {
        let margin = number(row, "static") + air - number(row, "vapour");
        assert!((number(row, "margin") - margin).abs() < 1e-6, "{row}");
    }
    let budget = rows(&answer, "budget");
    let parts: f64 = budget[1..].iter().map(|row| number(row, "fall")).sum();
    assert!((number(&budget[0], "fall") - parts).abs() < 1e-6, "the line of a run is its parts");
    let conditions = sections.iter().find(|s| s["name"] == "conditions").expect("conditions");
    let slots = &conditions["says"][0]["slots"];
    // 30 °C and 300 m.
    assert_eq!(slots["air"]["value"], 303.15);
    assert_eq!(slots["altitude"]["value"], 300.0);
    let phase = ask(&["point", LOOP, "--phase", "pull 1"]);
    assert_eq!(phase["phase"], "pull 1");
    let variant = ask(&["point", LOOP, "--variant", "two_in_series"]);
    assert_eq!(variant["variant"], "two_in_series");
}

#[test]
fn errors_are_json_where_json_is_asked_for() {
    let folder = scratch();
    let bad = write(folder.path(), "bad.ron", loop_with("\"8 L\"", "\"8 K\""));
    for command in ["check", "point", "cycle", "compare"] {
        let run = program().arg(command).arg(&bad).arg("--json").assert().code(2);
        let value: Value = serde_json::from_slice(&run.get_output().stdout).expect(command);
        assert_eq!(value["format"], "coolwright-error");
        assert_eq!(value["version"], 5);
        let error = &value["errors"][0];
        assert_eq!(error["severity"], "error");
        let place = &error["places"][0];
        assert!(place["file"].as_str().expect("a file").ends_with("bad.ron"), "{error}");
        let text = std::fs::read_to_string(&bad).expect("a text");
        let line = text.lines().position(|line| line.contains("\"8 K\"")).expect("the fault") + 1;
        assert_eq!(place["line"], line, "{error}");
        assert_eq!(error["message"], "expected a volume, found a temperature (`K`)");
        assert!(!run.get_output().stderr.is_empty(), "people are told too");
    }
    let value = ask(&["point", LOOP, "--variant", "none_such"]);
    assert_eq!(value["errors"][0]["places"], serde_json::json!([]));
    let value = ask(&["point", "cases/none.ron"]);
    assert_eq!(value["errors"][0]["message"], "cases/none.ron: there is no such file");
}

/// Histories hold the columns that are asked for, at the times that are asked for.
#[test]
fn histories_are_of_what_and_when_is_asked() {
    let all = ask(&["cycle", LOOP, "--columns", "*"]);
    let some = ask(&["cycle", LOOP, "--columns", "charge:*,coolers/*:metal", "--every", "5 s"]);
    let usual = ask(&["cycle", LOOP]);
    let names = |answer: &Value| -> Vec<String> {
        let columns = answer["histories"]["columns"].as_array().expect("columns");
        columns.iter().map(|c| c["address"].as_str().expect("an address").to_owned()).collect()
    };
    assert!(names(&all).len() > 100 && names(&usual).len() < 12);
    assert!(names(&usual).contains(&"coolers/charge_cooler:rise".to_owned()), "it has a limit");
    let metal = |answer: &Value| {
        let column = names(answer).iter().position(|name| name == "coolers/charge_cooler:metal");
        let column = column.expect("the metal");
        let list = |name: &str| answer["histories"][name].as_array().expect("a list").clone();
        let at = |row: &Value| row[column].as_f64().expect("a number");
        let times = list("times_s").iter().map(|t| t.as_f64().expect("a time")).collect::<Vec<_>>();
        (times, list("rows").iter().map(at).collect::<Vec<f64>>())
    };
    assert!(
        names(&some).iter().all(|name| name.starts_with("charge:") || name.ends_with(":metal"))
    );
    let (times, values) = metal(&some);
    // Phases of 20, 300, 20 and 300 s: 4, 60, 4 and 60 steps of 5 s, each phase with both its ends.
    let wanted = (0..=4).chain(4..=64).chain(64..=68).chain(68..=128).map(|k| 5.0 * f64::from(k));
    assert_eq!(times, wanted.collect::<Vec<f64>>());
    // Between the times that were worked out values go straight.
    let (fine, known) = metal(&all);
    for (time, value) in times.iter().zip(&values) {
        let after = fine.partition_point(|t| t < time);
        let straight = if after == 0 {
            known[0]
        } else {
            let (t, u) = (fine[after - 1], fine[after]);
            known[after - 1] + (known[after] - known[after - 1]) * (time - t) / (u - t)
        };
        assert!((value - straight).abs() < 1e-9, "at {time} s: {value}, not {straight}");
    }
    let lacks = predicate::str::contains("no result fits `coolers/x:metal`");
    program().args(["cycle", LOOP, "--columns", "coolers/x:metal"]).assert().code(2).stderr(lacks);
    let lacks = predicate::str::contains("--every");
    program().args(["cycle", LOOP, "--every", "5 K"]).assert().code(2).stderr(lacks);
}

/// Whoever asks for US units reads no metric ones.
#[test]
fn us_answers_hold_no_metric_unit() {
    const METRIC: [&str; 23] = [
        "kPa", "Pa", "MPa", "bar", "°C", "K", "L", "L/min", "L/s", "mm", "cm", "m", "m/s", "m³/h",
        "kg", "kg/s", "kg/m³", "kW", "kJ", "MJ", "W/K", "kW/K", "mPa·s",
    ];
    for (name, answer) in answered::ANSWERS.iter() {
        let out = answered::printed(answer, UnitSystem::Us, &Extent::Short);
        // What an assumption is of stands in the words of its table, with the flow it was rated at.
        let out = out.split("\nAssumed").next().unwrap_or_default();
        // The title is in the words of the case.
        for line in out.lines().filter(|line| !line.ends_with("(invented numbers)")) {
            for word in line.split_whitespace() {
                let word = word.trim_end_matches([',', '.', ';', ':', ')']);
                assert!(!METRIC.contains(&word), "{name}: {word} in {line:?}");
            }
        }
    }
}

/// A cycle's answer must stay small enough to be sent and read.
#[test]
fn a_cycle_is_under_two_megabytes() {
    let cycles = answered::solved().filter(|(_, answer)| answer.topic == Topic::Cycle);
    for (name, answer) in cycles {
        let size = json::json(answer).len();
        assert!(size < 2_000_000, "{name}: {size} bytes");
    }
}

/// A comparison as CSV: a row for each result, a value and a moment for each variant.
#[test]
fn a_comparison_may_be_csv() {
    let run = program().args(["compare", FIRST, "--csv", "-"]).assert();
    let out = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    let mut lines = out.lines();
    let head: Vec<&str> = lines.next().expect("a head").split(',').collect();
    let wanted = "section,result,address,unit,as it stands,as it stands at [s],behind,behind at [s],beside,beside at [s]";
    assert_eq!(head.join(","), wanted);
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    let row = rows.iter().find(|row| row[2] == "coolers/left_inverter:flow").expect("the limit");
    assert_eq!((row[0], row[3]), ("limits", "L/min"), "{row:?}");
    let json = ask(&["compare", FIRST]);
    assert_eq!(json["title"], "First case: electric pulling sledge (invented numbers)");
    for (k, variant) in json["variants"].as_array().expect("variants").iter().enumerate() {
        let limit = &variant["limits"]["tables"][0]["rows"][0];
        let number =
            |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{text} in {row:?}"));
        let worst = limit["worst"]["value"].as_f64().expect("a value");
        // 1 L/min is 1/60000 m³/s.
        let got = number(row[4 + 2 * k]) / 60000.0;
        assert!((got - worst).abs() < 1e-5 * worst, "{row:?} {limit}");
        let at = limit["at"].as_f64().expect("a moment");
        assert!((number(row[5 + 2 * k]) - at).abs() <= 1e-5 * at, "{row:?} {limit}");
    }
    assert!(rows.iter().any(|row| row[0] == "pumps") && rows.iter().any(|row| row[0] == "totals"));
}

#[test]
fn check_lists_what_is_assumed() {
    let answer = ask(&["check", FIRST]);
    let assumed = rows(&answer, "assumptions");
    assert!(assumed.len() > 10);
    let find = |address: &str| assumed.iter().find(|row| row["address"] == address).expect("it");
    let voltage = find("drive/loop/pump:rated_voltage");
    for (end, volts) in [("least", 12.0), ("value", 13.5), ("most", 14.4)] {
        assert_eq!(voltage[end]["value"], volts, "{voltage}");
    }
    assert!(voltage["why"].as_str().is_some_and(|why| why.contains("12 V supply")));
}

#[test]
fn what_is_piped_has_no_colour() {
    for command in ["check", "point", "cycle", "compare"] {
        for no_color in [None, Some("1")] {
            let mut run = program();
            run.args([command, LOOP]).env_remove("NO_COLOR");
            no_color.map(|value| run.env("NO_COLOR", value));
            let run = run.assert();
            assert!(!run.get_output().stdout.contains(&0x1b), "{command}");
        }
    }
}

#[test]
fn csv_is_written_whole_or_not_at_all() {
    let folder = scratch();
    let path = folder.path().join("out.csv");
    program().args(["point", LOOP, "--csv"]).arg(&path).assert().code(predicate::ne(2));
    let text = std::fs::read_to_string(&path).expect("it is there");
    assert!(
        text.starts_with("address,value,uncertainty,least,most,unit,meaning\n")
            && text.ends_with('\n')
    );
    let names: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(names.len(), 1, "nothing is left beside it");

    let nowhere = folder.path().join("none").join("out.csv");
    let lacks = predicate::str::contains("cannot write").and(predicate::str::contains("out.csv"));
    program().args(["point", LOOP, "--csv"]).arg(nowhere).assert().code(2).stdout("").stderr(lacks);
    let is_folder = predicate::str::contains("this is a folder");
    program().args(["cycle", LOOP, "--csv"]).arg(folder.path()).assert().code(2).stderr(is_folder);
}

#[test]
fn new_writes_a_case_that_runs_and_spares_what_is_there() {
    let folder = scratch();
    let path = folder.path().join("mine.ron");
    program().arg("new").arg(&path).assert().code(0);
    program().arg("check").arg(&path).assert().code(0);
    let before = std::fs::read(&path).expect("it is there");
    let there = predicate::str::contains("this file exists already");
    program().arg("new").arg(&path).assert().code(2).stdout("").stderr(there);
    assert_eq!(std::fs::read(&path).expect("it is there"), before);
    let nowhere = folder.path().join("none").join("mine.ron");
    program()
        .arg("new")
        .arg(nowhere)
        .assert()
        .code(2)
        .stderr(predicate::str::contains("cannot write"));
}

/// Streams as only Unix has them.
#[cfg(target_os = "linux")]
mod streams {
    use super::*;

    /// An include is a file in the case's folder or below it, links included: what lies elsewhere is not
    /// read, so not a word of it is shown.
    #[test]
    fn an_include_leads_nowhere_else() {
        let folder = scratch();
        let secret = write(folder.path(), "secret.txt", "the words of somebody else");
        let inside = folder.path().join("inside");
        std::fs::create_dir_all(inside.join("below")).expect("folders");
        let parts = "Parts(pump_curves: {\"label\": PumpCurve(points: [(\"0 L/min\", \"75 kPa\"), \
                     (\"50 L/min\", \"50 kPa\"), (\"95 L/min\", \"0 kPa\")])})";
        write(&inside, "real.ron", parts);
        std::os::unix::fs::symlink(&secret, inside.join("out.ron")).expect("a link");
        std::os::unix::fs::symlink(folder.path(), inside.join("up")).expect("a link");
        std::os::unix::fs::symlink("../real.ron", inside.join("below/in.ron")).expect("a link");
        std::os::unix::fs::symlink("/dev/zero", inside.join("zero.ron")).expect("a link");
        let with = |name: &str| {
            let text = loop_with("site:", &format!("include: [\"{name}\"], site:"));
            write(&inside, "case.ron", text)
        };
        for name in ["out.ron", "up/secret.txt", "zero.ron"] {
            let run = program().arg("point").arg(with(name)).assert().code(2).stdout("");
            let err = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
            assert!(err.contains("leads out of the folder of the case"), "{name}: {err}");
            assert!(!err.contains("somebody else"), "{name}: {err}");
        }
        program().arg("check").arg(with("below/in.ron")).assert().code(0);
        let pipe = inside.join("pipe.ron");
        let made = Process::new("mkfifo").arg(&pipe).status().expect("mkfifo runs");
        assert!(made.success());
        let device = predicate::str::contains("this is a device or a pipe");
        program().arg("point").arg(with("pipe.ron")).assert().code(2).stderr(device);
    }

    /// Whoever is interrupted leaves nothing behind, and what stood there before stays.
    #[test]
    fn an_interrupt_leaves_what_was_there() {
        let folder = scratch();
        let path = write(folder.path(), "out.csv", "as it was");
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        let mut child = Process::new(binary)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["cycle", "cases/desert_racer.ron", "--columns", "*", "--csv"])
            .arg(&path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("it runs");
        let id = child.id().to_string();
        let told = Process::new("kill").args(["-INT", &id]).status().expect("kill runs");
        assert!(told.success());
        let status = child.wait().expect("it ends");
        assert!(!status.success(), "{status}");
        assert_eq!(std::fs::read_to_string(&path).expect("it is there"), "as it was");
        assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 1);
    }

    /// Where nothing can be written, that is said, and what somebody else has there is spared.
    #[test]
    fn nothing_is_written_where_it_must_not_be() {
        let lacks = predicate::str::contains("cannot write /proc/");
        program()
            .args(["point", LOOP, "--csv", "/proc/out.csv"])
            .assert()
            .code(2)
            .stdout("")
            .stderr(lacks.clone());
        program().args(["new", "/proc/mine.ron"]).assert().code(2).stdout("").stderr(lacks);
        let folder = scratch();
        let other = write(folder.path(), "out.csv.part", "somebody else's");
        let path = folder.path().join("out.csv");
        program().args(["point", LOOP, "--csv"]).arg(&path).assert().code(predicate::ne(2));
        assert_eq!(std::fs::read_to_string(other).expect("a text"), "somebody else's");
        assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 2);
        // A link to nothing is something that is there.
        let link = folder.path().join("link.ron");
        std::os::unix::fs::symlink(folder.path().join("none.ron"), &link).expect("a link");
        let there = predicate::str::contains("this file exists already");
        program().arg("new").arg(&link).assert().code(2).stderr(there);
        assert!(!folder.path().join("none.ron").exists());
    }

    /// A file that grows for as long as it is read is no case.
    #[test]
    fn a_file_that_changes_is_not_read_half() {
        let folder = scratch();
        let path = write(folder.path(), "grows.ron", loop_with("count: 2,", "count: 2,"));
        let mut file =
            std::fs::OpenOptions::new().append(true).open(&path).expect("it can be opened");
        let done = std::sync::atomic::AtomicBool::new(false);
        std::thread::scope(|scope| {
            let grows = scope.spawn(|| {
                use std::io::Write;
                let line = format!("// {}\n", "x".repeat(4000));
                let mut bytes = 0;
                while !done.load(std::sync::atomic::Ordering::Relaxed) && bytes < (12 << 20) {
                    file.write_all(line.as_bytes()).expect("it can be written");
                    bytes += line.len();
                    std::thread::sleep(std::time::Duration::from_micros(20));
                }
            });
            for _ in 0..3 {
                let run = program().arg("check").arg(&path).assert();
                let code = run.get_output().status.code();
                let err = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
                // Comments at its end harm nobody, so whatever was read whole is a case.
                let said = err.contains("this file changes while it is read");
                assert!(code == Some(0) || (code == Some(2) && said), "{code:?}: {err}");
            }
            done.store(true, std::sync::atomic::Ordering::Relaxed);
            grows.join().expect("it ends");
        });
    }

    #[test]
    fn a_full_disk_is_said() {
        let full = predicate::str::contains("the disk is full");
        program().args(["point", LOOP, "--csv", "/dev/full"]).assert().code(2).stderr(full.clone());
        assert!(Path::new("/dev/full").exists());
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        for args in
            [&["point", LOOP][..], &["point", LOOP, "--json"], &["point", LOOP, "--csv", "-"]]
        {
            let sink = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("a sink");
            let run = Process::new(&binary)
                .current_dir(env!("CARGO_MANIFEST_DIR"))
                .args(args)
                .stdout(sink)
                .stderr(Stdio::piped())
                .output()
                .expect("it runs");
            assert_eq!(run.status.code(), Some(2), "{args:?}");
            assert!(full.eval(&String::from_utf8_lossy(&run.stderr)), "{args:?}");
        }
    }

    #[test]
    fn a_pipe_takes_csv_and_may_be_closed() {
        let run = program().args(["point", LOOP, "--csv", "/dev/stdout"]).assert();
        let out = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
        assert!(out.starts_with("address,value,uncertainty,least,most,unit,meaning\n"), "{out}");
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        let mut child = Process::new(binary)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["cycle", LOOP, "--json"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        drop(child.stdout.take());
        let run = child.wait_with_output().expect("it ends");
        assert!(run.stderr.is_empty(), "{}", String::from_utf8_lossy(&run.stderr));
        assert_ne!(run.status.code(), Some(101));
    }

    /// A message that nobody reads any more changes no exit status.
    #[test]
    fn a_closed_standard_error_is_no_fault() {
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        let mut child = Process::new(binary)
            .args(["check", "there_is_no_such_case.ron"])
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        drop(child.stderr.take());
        assert_eq!(child.wait().expect("it ends").code(), Some(2));
    }

    #[test]
    fn a_link_stays_a_link() {
        let folder = scratch();
        let real = write(folder.path(), "real.csv", "old");
        let link = folder.path().join("link.csv");
        std::os::unix::fs::symlink(&real, &link).expect("a link");
        program().args(["point", LOOP, "--csv"]).arg(&link).assert().code(predicate::ne(2));
        assert!(link.is_symlink());
        assert!(std::fs::read_to_string(real).expect("a text").starts_with("address"));
    }
}

/// The text of each command on the first case.
#[test]
fn answers_look_as_they_should() {
    for (command, units) in [
        ("check", "metric"),
        ("point", "metric"),
        ("point", "us"),
        ("cycle", "metric"),
        ("compare", "us"),
    ] {
        let run = program().args([command, FIRST, "--units", units]).assert();
        let out = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
        insta::assert_snapshot!(format!("{command}_{units}"), out);
    }
}

/// A folder that is not there is what is missing, not the file that is to be made.
#[test]
fn a_missing_folder_is_named() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["report", "cases/first.ron", "-o", "/no_such_folder/page.html"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("there is no folder /no_such_folder"), "{said}");
}
