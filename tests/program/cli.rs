//! The program as it is used: files that are none, streams that fail, exit statuses, JSON, colour.

use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};

use assert_cmd::Command;
use predicates::prelude::*;
use serde_json::Value;

const FIRST: &str = "cases/first.ron";

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

fn first_with(from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(FIRST));
    let text = text.expect("the first case");
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
    let holds = write(folder.path(), "holds.ron", first_with("max: \"12 °F\"", "max: \"30 °F\""));
    let broken = write(folder.path(), "broken.ron", first_with("max: \"12 °F\"", "max: \"1 °F\""));
    let boils =
        write(folder.path(), "boils.ron", first_with("count: 2,", "count: 2, speed: \"0 %\","));
    let failed = write(folder.path(), "failed.ron", first_with("\"8 L\"", "\"8 K\""));
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
        (["cycle", "--variant", "none_such"], "It has: two_in_series"),
        (["point", "--phase", "pul 1"], "Did you mean `pull 1`?"),
        (["compare", "--only", "two_in_serie"], "Did you mean `two_in_series`?"),
    ] {
        let [command, option, name] = args;
        let run = program().args([command, FIRST, option, name]).assert().code(2).stdout("");
        run.stderr(predicate::str::contains(wanted));
    }
}

#[test]
fn json_has_the_documented_head() {
    for command in ["check", "point", "cycle", "compare"] {
        let run = program().args([command, FIRST, "--json"]).assert();
        let value: Value = serde_json::from_slice(&run.get_output().stdout).expect(command);
        assert_eq!(value["format"], format!("coolwright-{command}"));
        assert_eq!(value["version"], 1);
        assert_eq!(value["program"], env!("CARGO_PKG_VERSION"));
        assert_eq!(value["units"], "SI");
        assert!(value["title"].is_string(), "{command}");
        if ["point", "cycle"].contains(&command) {
            assert!(["holds", "broken"].contains(&value["verdict"].as_str().expect("a verdict")));
            let limit = &value["limits"][0];
            assert_eq!(limit["of"], "coolers/charge_cooler:rise");
            assert!(limit["value"].is_f64() && limit["holds"].is_boolean(), "{limit}");
        }
    }
}

#[test]
fn what_is_piped_has_no_colour() {
    for command in ["check", "point", "cycle", "compare"] {
        for no_color in [None, Some("1")] {
            let mut run = program();
            run.args([command, FIRST]).env_remove("NO_COLOR");
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
    program().args(["point", FIRST, "--csv"]).arg(&path).assert().code(predicate::ne(2));
    let text = std::fs::read_to_string(&path).expect("it is there");
    assert!(text.starts_with("address,value,unit,meaning\n") && text.ends_with('\n'));
    let names: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(names.len(), 1, "nothing is left beside it");

    let nowhere = folder.path().join("none").join("out.csv");
    let lacks = predicate::str::contains("cannot write").and(predicate::str::contains("out.csv"));
    program()
        .args(["point", FIRST, "--csv"])
        .arg(nowhere)
        .assert()
        .code(2)
        .stdout("")
        .stderr(lacks);
    let is_folder = predicate::str::contains("this is a folder");
    program().args(["cycle", FIRST, "--csv"]).arg(folder.path()).assert().code(2).stderr(is_folder);
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

    #[test]
    fn a_full_disk_is_said() {
        let full = predicate::str::contains("the disk is full");
        program()
            .args(["point", FIRST, "--csv", "/dev/full"])
            .assert()
            .code(2)
            .stderr(full.clone());
        assert!(Path::new("/dev/full").exists());
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        for args in
            [&["point", FIRST][..], &["point", FIRST, "--json"], &["point", FIRST, "--csv", "-"]]
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
        let run = program().args(["point", FIRST, "--csv", "/dev/stdout"]).assert();
        let out = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
        assert!(out.starts_with("address,value,unit,meaning\n"), "{out}");
        let binary = assert_cmd::cargo::cargo_bin("coolwright");
        let mut child = Process::new(binary)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["cycle", FIRST, "--json"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        drop(child.stdout.take());
        let run = child.wait_with_output().expect("it ends");
        assert!(run.stderr.is_empty(), "{}", String::from_utf8_lossy(&run.stderr));
        assert_ne!(run.status.code(), Some(101));
    }

    #[test]
    fn a_link_stays_a_link() {
        let folder = scratch();
        let real = write(folder.path(), "real.csv", "old");
        let link = folder.path().join("link.csv");
        std::os::unix::fs::symlink(&real, &link).expect("a link");
        program().args(["point", FIRST, "--csv"]).arg(&link).assert().code(predicate::ne(2));
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
