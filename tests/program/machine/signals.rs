//! Ctrl-C ends any command at once with 130, says what was kept, and leaves nothing half written.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use super::{BEFORE, folder, names, program, run, said};

/// No test waits longer than this for what has to come.
const PATIENCE: Duration = Duration::from_mins(2);

/// The bit of SIGINT, the second signal (POSIX), in the masks of `/proc`.
const INTERRUPT: u64 = 1 << 1;

/// Starts the program as a shell in front would, which lets it be interrupted.
fn started(folder: &Path, words: &[&str]) -> Child {
    let mut env = Command::new("env");
    env.current_dir(folder).args(["--default-signal=INT", env!("CARGO_BIN_EXE_coolwright")]);
    env.args(words).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it runs")
}

/// Waits until something is so; fails where the program ends before.
fn wait_for(child: &mut Child, what: &str, mut is_so: impl FnMut(u32) -> bool) {
    let began = Instant::now();
    while !is_so(child.id()) {
        assert!(child.try_wait().expect("it can be asked").is_none(), "it ended before {what}");
        assert!(began.elapsed() < PATIENCE, "no {what}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Whether a process heeds interrupts by itself.
fn heeds(id: u32) -> bool {
    let status = fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
    let mask = mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    mask.is_some_and(|mask| mask & INTERRUPT != 0)
}

fn interrupted(child: Child) -> Output {
    let told = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(told.expect("kill runs").success());
    child.wait_with_output().expect("it ends")
}

#[test]
fn an_interrupt_ends_every_long_command() {
    let folder = folder();
    fs::write(folder.path().join("racer.ron"), include_str!("../../../cases/desert_racer.ron"))
        .expect("it can be written");
    fs::write(folder.path().join("parts.ron"), include_str!("../../../cases/parts.ron"))
        .expect("it can be written");
    for (name, text) in [
        ("tender.ron", include_str!("../../../cases/learn/tender.ron")),
        ("stand.ron", include_str!("../../../cases/learn/stand.ron")),
        ("stand.csv", include_str!("../../../cases/learn/stand.csv")),
    ] {
        fs::write(folder.path().join(name), text).expect("it can be written");
    }
    let before = names(folder.path());
    for words in [
        &["cycle", "racer.ron", "--csv", "out"][..],
        &["cycle", "racer.ron", "--longest", "--rest", "--xlsx", "out"],
        &["levers", "racer.ron", "--csv", "out"],
        &["size", "racer.ron", "drive/loop:bore", "--csv", "out"],
        &["failures", "racer.ron", "--pairs", "--csv", "out"],
        &["chance", "racer.ron", "--csv", "out"],
        &["day", "racer.ron", "--csv", "out"],
        &["report", "racer.ron", "-o", "out", "--with", "levers,failures,chance,day"],
        &["sheets", "racer.ron", "-o", "out"],
        &["learn", "tender.ron", "stand.ron", "-o", "out"],
    ] {
        fs::write(folder.path().join("out"), BEFORE).expect("it can be written");
        let mut child = started(folder.path(), words);
        wait_for(&mut child, "the program heeds interrupts", heeds);
        let output = interrupted(child);
        assert_eq!(output.status.code(), Some(130), "{words:?}: {}", said(&output));
        assert_eq!(said(&output), "interrupted: nothing was written\n", "{words:?}");
        let path = folder.path().join("out");
        assert_eq!(fs::read_to_string(&path).expect("a text"), BEFORE, "{words:?}");
        fs::remove_file(path).expect("it is there");
        assert_eq!(names(folder.path()), before, "{words:?}");
    }
}

/// Rows that are whole stay, that is said, and the same command comes to the same bytes.
#[test]
fn an_interrupted_grid_keeps_its_rows() {
    let folder = folder();
    let words = [
        "grid",
        "duty.ron",
        "--over",
        "charge/far:bore=12 mm..30 mm by 0.25 mm",
        "--piece",
        "1/4",
        "-o",
        "rows.csv",
    ];
    let path = folder.path().join("rows.csv");
    let lines = |path: &Path| fs::read_to_string(path).map_or(0, |text| text.lines().count());
    let mut child = started(folder.path(), &words);
    wait_for(&mut child, "rows", |_| lines(&path) > 4);
    let output = interrupted(child);
    assert_eq!(output.status.code(), Some(130), "{}", said(&output));
    let kept = lines(&path) - 1;
    let told = said(&output);
    let number = told.strip_prefix("interrupted: ").and_then(|rest| rest.split_once(' '));
    let number: usize =
        number.and_then(|(n, _)| n.parse().ok()).unwrap_or_else(|| panic!("{told}"));
    // It may have been told between a lot and the line that counts it.
    assert!(number <= kept && number > 0, "{told} of {kept}");
    // A quarter of 73 values.
    assert!(
        told.ends_with("of 18 rows are whole; the same command goes on with rows.csv\n"),
        "{told}"
    );
    let output = run(folder.path(), &words);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{}", said(&output));
    let went_on = fs::read(&path).expect("it is there");
    fs::remove_file(&path).expect("it is there");
    run(folder.path(), &words);
    assert!(went_on == fs::read(&path).expect("it is there"));
    let mut child = started(folder.path(), &words[..6]);
    wait_for(&mut child, "the program heeds interrupts", heeds);
    let told = said(&interrupted(child));
    assert!(told.starts_with("interrupted: "), "{told}");
}

/// Who starts it so that interrupts are ignored is not overruled.
#[test]
fn an_interrupt_that_is_ignored_stays_so() {
    let folder = folder();
    let mut env = Command::new("env");
    env.current_dir(folder.path());
    env.args(["--ignore-signal=INT", env!("CARGO_BIN_EXE_coolwright"), "cycle", "duty.ron"]);
    let mut child = env.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it runs");
    for _ in 0..20 {
        if child.try_wait().expect("it can be asked").is_some() {
            break;
        }
        let id = child.id().to_string();
        Command::new("kill").args(["-INT", &id]).stderr(Stdio::null()).status().expect("kill runs");
        std::thread::sleep(Duration::from_millis(10));
    }
    let output = child.wait_with_output().expect("it ends");
    let plain = program(folder.path()).args(["cycle", "duty.ron"]).output().expect("it runs");
    assert_eq!(said(&output), said(&plain));
    assert_eq!(output.status.code(), plain.status.code());
}
