//! A program that is killed leaves what was there, or the whole of what is new.

use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use super::{BEFORE, WRITERS, Writer, folder, names, program, run, said};
use crate::common::Random;

/// How often each command is killed; `MACHINE_KILLS` says another number.
const KILLS: usize = 2;

fn kills() -> usize {
    std::env::var("MACHINE_KILLS").ok().and_then(|count| count.parse().ok()).unwrap_or(KILLS)
}

/// Starts the program, kills it after a while, and tells whether it was still at work.
fn killed(folder: &Path, words: &[&str], after: Duration) -> bool {
    let mut child = program(folder)
        .args(words)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("it runs");
    std::thread::sleep(after);
    let was_at_work = child.try_wait().expect("it can be asked").is_none();
    // Where it has ended meanwhile there is nothing to kill.
    let _ = child.kill();
    child.wait().expect("it ends");
    was_at_work
}

/// A tenth longer than the whole takes, at most: some kills come while the file is written, some behind its end.
fn moment(random: &mut Random, whole: Duration) -> Duration {
    whole.mul_f64(1.1 * random.next())
}

#[test]
fn a_kill_leaves_the_old_file_or_the_whole_new_one() {
    let mut random = Random(7);
    let (mut at_work, mut old) = (0, 0);
    // All write by the same way: of those that work long one is enough, but where more are asked for.
    let is_long = |writer: &&Writer| {
        ["levers", "size", "chance", "day", "failures"].contains(&writer.words[0])
    };
    for writer in WRITERS.iter().filter(|writer| kills() > KILLS || !is_long(writer)) {
        let folder = folder();
        let began = Instant::now();
        let whole = writer.whole(folder.path());
        let took = began.elapsed();
        for _ in 0..kills() {
            fs::write(writer.path(folder.path()), BEFORE).expect("it can be written");
            let after = moment(&mut random, took);
            at_work += usize::from(killed(folder.path(), &writer.words(), after));
            let there = fs::read(writer.path(folder.path())).expect("it is there");
            old += usize::from(there == BEFORE.as_bytes());
            assert!(there == BEFORE.as_bytes() || there == whole, "{:?}", writer.words);
        }
        // What a kill left beside the file is hidden, and in nobody's way.
        let beside = |name: &String| name.starts_with('.') && name.strip_suffix(".part").is_some();
        let known = super::folder();
        let strange: Vec<String> = names(folder.path())
            .into_iter()
            .filter(|name| !beside(name) && name != writer.name)
            .collect();
        assert_eq!(strange, names(known.path()), "{:?}", writer.words);
        assert!(writer.whole(folder.path()) == whole, "{:?}", writer.words);
    }
    assert!(at_work > 0 && old > 0, "{at_work} were at work, {old} left the old file");
}

const GRID: [&str; 6] = [
    "grid",
    "variants.ron",
    "--over",
    "charge/far:bore=16 mm..25 mm by 1 mm",
    "--over",
    "charge/feed/pump:count=1,Series(2)",
];

/// Rows that are killed are taken up again, and come to the same bytes, as CSV and as Parquet.
#[test]
fn a_killed_grid_goes_on_to_the_same_bytes() {
    let mut random = Random(11);
    for name in ["rows.csv", "rows.parquet"] {
        let words = [&GRID[..], &["-o", name]].concat();
        let folder = folder();
        let path = folder.path().join(name);
        let began = Instant::now();
        let output = run(folder.path(), &words);
        assert_eq!(output.status.code(), Some(1), "{}", said(&output));
        let took = began.elapsed();
        let whole = fs::read(&path).expect("it is there");
        for _ in 0..kills() {
            fs::remove_file(&path).expect("it is there");
            killed(folder.path(), &words, moment(&mut random, took));
            if name == "rows.parquet" && path.exists() {
                assert!(fs::read(&path).expect("it is there") == whole, "a half of {name}");
            }
            let output = run(folder.path(), &words);
            assert_eq!(output.status.code(), Some(1), "{}", said(&output));
            assert!(fs::read(&path).expect("it is there") == whole, "{name}");
            assert!(!folder.path().join("rows.parquet.part").exists());
        }
    }
}

/// A join that is killed leaves nothing under the name of what is whole.
#[test]
fn a_killed_join_leaves_no_half() {
    let folder = folder();
    let one = [&GRID[..], &["--piece", "1/2", "-o", "1.csv"]].concat();
    let two = [&GRID[..], &["--piece", "2/2", "-o", "2.csv"]].concat();
    for words in [&one, &two] {
        run(folder.path(), words);
    }
    let join = [&GRID[..], &["--join", "1.csv", "2.csv", "-o", "all.csv"]].concat();
    let path = folder.path().join("all.csv");
    let began = Instant::now();
    let output = run(folder.path(), &join);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    let (took, whole) = (began.elapsed(), fs::read(&path).expect("it is there"));
    let mut random = Random(13);
    for _ in 0..3 * kills() {
        fs::remove_file(&path).expect("it is there");
        killed(folder.path(), &join, moment(&mut random, took));
        if !path.exists() {
            run(folder.path(), &join);
        }
        assert!(fs::read(&path).expect("it is there") == whole);
    }
}

/// A new case is there whole or not at all.
#[test]
fn a_killed_new_leaves_no_half() {
    let folder = folder();
    let path = folder.path().join("new.ron");
    let began = Instant::now();
    run(folder.path(), &["new", "new.ron"]);
    let (took, whole) = (began.elapsed(), fs::read(&path).expect("it is there"));
    let mut random = Random(17);
    for _ in 0..5 * kills() {
        fs::remove_file(&path).expect("it is there");
        killed(folder.path(), &["new", "new.ron"], moment(&mut random, took));
        if !path.exists() {
            assert_eq!(run(folder.path(), &["new", "new.ron"]).status.code(), Some(0));
        }
        assert!(fs::read(&path).expect("it is there") == whole);
    }
}
