//! What a machine does to a program: kills, full disks, folders that take nothing, pipes that close, Ctrl-C, threads,
//! places, names. Nothing is half written, the exit status is right, the bytes are the same.

mod disks;
mod kills;
mod large;
mod pipes;
mod same;
mod signals;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

use tempfile::TempDir;

use crate::learn::{draws, started};

/// A command that writes a file.
pub(super) struct Writer {
    /// Its words; `OUT` stands for the file.
    words: &'static [&'static str],
    /// The name of the file that it writes.
    name: &'static str,
}

/// Every command that writes a file, and every kind of file.
pub(super) const WRITERS: [Writer; 17] = [
    of(&["point", "loop.ron", "--csv", "OUT"], "out.csv"),
    of(&["point", "loop.ron", "--xlsx", "OUT"], "out.xlsx"),
    of(&["check", "loop.ron", "--xlsx", "OUT"], "out.xlsx"),
    of(&["cycle", "duty.ron", "--csv", "OUT"], "out.csv"),
    of(&["compare", "variants.ron", "--csv", "OUT"], "out.csv"),
    of(&["levers", "variants.ron", "--limit", "port_split", "--csv", "OUT"], "out.csv"),
    of(&["size", "variants.ron", "charge/far:bore", "--csv", "OUT"], "out.csv"),
    of(&["failures", "loop.ron", "--csv", "OUT"], "out.csv"),
    of(&["chance", "loop.ron", "--samples", "8", "--csv", "OUT"], "out.csv"),
    of(&["day", "loop.ron", "--csv", "OUT"], "out.csv"),
    of(&["why", "loop.ron", "charge/loop:flow", "--csv", "OUT"], "out.csv"),
    of(&["report", "loop.ron", "-o", "OUT"], "out.html"),
    of(&["chart", "loop.ron", "circuit/charge", "-o", "OUT"], "out.svg"),
    of(&["sheets", "loop.ron", "-o", "OUT"], "out.html"),
    of(&["sheets", "loop.ron", "--csv", "OUT"], "out.csv"),
    of(&["learn", "small.ron", "stand.ron", "-o", "OUT"], "out.ron"),
    of(&["learn", "small.ron", "stand.ron", "--csv", "OUT"], "out.csv"),
];

const fn of(words: &'static [&'static str], name: &'static str) -> Writer {
    Writer { words, name }
}

/// What stood in a file before.
pub(super) const BEFORE: &str = "as it was";

/// A folder with the cases that the commands are asked about.
pub(super) fn folder() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fill(folder.path());
    folder
}

/// Puts the cases into a folder, and a log that is quickly learnt from.
pub(super) fn fill(folder: &Path) {
    static LOG: LazyLock<String> = LazyLock::new(|| started::log(0.2));
    for (name, text) in [
        ("loop.ron", include_str!("../../../cases/guide/1_one_loop.ron")),
        ("variants.ron", include_str!("../../../cases/guide/5_variants.ron")),
        ("duty.ron", include_str!("../../../cases/guide/6_duty_cycle.ron")),
        ("small.ron", draws::CASE),
        ("stand.ron", started::STAND),
        ("stand.csv", LOG.as_str()),
    ] {
        fs::write(folder.join(name), text).expect("it can be written");
    }
}

impl Writer {
    /// The words with the file in its place.
    pub(super) fn words(&self) -> Vec<&'static str> {
        self.words.iter().map(|word| if *word == "OUT" { self.name } else { word }).collect()
    }

    /// The file that it writes.
    pub(super) fn path(&self, folder: &Path) -> PathBuf {
        folder.join(self.name)
    }

    /// Runs it to its end in a folder; gives what it wrote.
    pub(super) fn whole(&self, folder: &Path) -> Vec<u8> {
        let output = run(folder, &self.words());
        assert!(matches!(output.status.code(), Some(0 | 1)), "{:?}: {}", self.words, said(&output));
        fs::read(self.path(folder)).unwrap_or_else(|error| panic!("{:?}: {error}", self.words))
    }
}

/// The program in a folder.
pub(super) fn program(folder: &Path) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_coolwright"));
    program.current_dir(folder);
    program
}

/// Runs the program in a folder.
pub(super) fn run(folder: &Path, words: &[&str]) -> Output {
    program(folder).args(words).output().expect("the program runs")
}

/// What it says, on both streams.
pub(super) fn said(output: &Output) -> String {
    let all = [output.stdout.clone(), output.stderr.clone()].concat();
    String::from_utf8_lossy(&all).into_owned()
}

/// The names of what lies in a folder.
pub(super) fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let name = |entry: std::io::Result<fs::DirEntry>| entry.expect("an entry").file_name();
    let mut names: Vec<String> =
        entries.map(|entry| name(entry).to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Every command that writes a file stands in the list above, by the help of the program itself.
#[test]
fn every_option_that_writes_a_file_is_tried() {
    let folder = folder();
    let help = said(&run(folder.path(), &["--help"]));
    let (_, rest) = help.split_once("Commands:\n").expect("a list of commands");
    let commands = rest.lines().take_while(|line| !line.trim().is_empty());
    let commands = commands.filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    let mut seen = 0;
    for command in commands.filter(|c| !c.is_empty() && *c != "help") {
        let help = said(&run(folder.path(), &[command, "--help"]));
        let writes = help.contains("--csv <FILE>") || help.contains("--output <FILE>");
        // `grid` has tests of its own, as its rows are kept as they come; so has `new`, which writes to no file that is there.
        let is_tried = WRITERS.iter().any(|writer| writer.words[0] == command);
        assert!(is_tried || !writes || command == "grid", "{command}");
        seen += usize::from(writes);
    }
    assert!(seen >= 12, "{seen} commands write");
}
