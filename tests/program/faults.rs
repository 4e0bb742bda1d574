//! Faulty cases and the messages that they must produce.
//!
//! Each file in `tests/faults` opens with what the program must say about it: `//! line:column:
//! message` for every complaint (with the file's name before it where it is another file), no more
//! and no fewer; `//! error: message` for one without a place; `//! help: words` for anything else
//! that must stand in the output; `//! run: command …` where it is not `check`; `//! answered` where the rest of
//! the case is answered, with a finding.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use assert_cmd::Command;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults")
}

/// Runs the program on a faulty case; gives the exit status and what it says.
fn run(name: &str, command: &str) -> (Option<i32>, String, String) {
    let mut words = command.split_whitespace();
    let mut program = Command::cargo_bin("coolwright").expect("the program");
    program.current_dir(folder()).args(words.next()).arg(name).args(words);
    let output = program.output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

/// The complaints in an output: `file:line:column: message`, or `error: message`.
fn complaints(output: &str, name: &str) -> Vec<String> {
    let lines: Vec<&str> = output.lines().collect();
    let mut found = Vec::new();
    for (k, line) in lines.iter().enumerate() {
        let Some(message) = line.strip_prefix("error: ") else { continue };
        let place = lines.get(k + 1).and_then(|next| next.trim_start().strip_prefix("--> "));
        found.push(match place {
            Some(place) => {
                let own = place.strip_prefix(name).and_then(|rest| rest.strip_prefix(':'));
                format!("{}: {message}", own.unwrap_or(place))
            }
            None => line.to_string(),
        });
    }
    found.sort_unstable();
    found
}

fn check(name: &str, content: &str) -> String {
    let header: Vec<&str> = content.lines().map_while(|line| line.strip_prefix("//! ")).collect();
    let (mut command, mut help, mut wanted) = ("check", Vec::new(), Vec::new());
    let mut answered = false;
    for line in header {
        if let Some(words) = line.strip_prefix("run: ") {
            command = words;
        } else if line == "answered" {
            answered = true;
        } else if let Some(words) = line.strip_prefix("help: ") {
            help.push(words);
        } else {
            wanted.push(line.to_owned());
        }
    }
    wanted.sort_unstable();
    let (status, out, err) = run(name, command);
    let found = complaints(&err, name);
    let mut complaint = String::new();
    if status != Some(if answered { 1 } else { 2 }) || out.is_empty() == answered {
        let _ = writeln!(complaint, "{name}: status {status:?}, standard output {out:?}");
    }
    if wanted != found || wanted.is_empty() {
        let _ = writeln!(complaint, "{name}: wanted {wanted:#?}, found {found:#?} in\n{err}");
    }
    for words in help {
        if !err.contains(words) {
            let _ = writeln!(complaint, "{name}: {words:?} is not in\n{err}");
        }
    }
    if err.contains('\u{1b}') || err.contains("panicked") {
        let _ = writeln!(complaint, "{name}: colour or panic in\n{err}");
    }
    complaint
}

#[test]
fn each_faulty_case_says_what_it_must_and_no_more() {
    let entries = std::fs::read_dir(folder()).expect("the folder is there");
    let mut paths: Vec<_> = entries.map(|entry| entry.expect("an entry").path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "ron"));
    paths.sort();
    assert!(paths.len() > 100, "{} files", paths.len());
    let mut complaint = String::new();
    for path in paths {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        complaint.push_str(&check(&name, &std::fs::read_to_string(&path).expect("a text")));
    }
    assert!(complaint.is_empty(), "{complaint}");
}

/// What stands around the messages: the line with its mark, the labels, the advice.
#[test]
fn messages_look_as_they_should() {
    for name in [
        "six_faults",
        "junction_once",
        "too_much_heat",
        "set_absurd",
        "variant_unknown_address",
        "include_duplicate",
        "frozen_start",
    ] {
        let (_, _, err) = run(&format!("{name}.ron"), "check");
        insta::assert_snapshot!(name, err);
    }
}
