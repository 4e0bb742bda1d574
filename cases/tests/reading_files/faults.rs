//! Faulty texts and the messages they must produce.
//!
//! Each file in `tests/faults` opens with what it must say: `//! line:column: message` for every
//! problem of the file, no more and no fewer, and `//! help: words` for anything else that must
//! stand in the output.

use std::fmt::Write as _;

use crate::sample::Case;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::text::{self, Sources};

fn read(name: &str, content: &str) -> (Sources, Problems) {
    let mut sources = Sources::new();
    let file = sources.add(name, content);
    let mut problems = Problems::new();
    let case: Option<Case> = text::read(&sources, file, &mut problems);
    assert!(problems.has_errors(), "{name} must be refused, gave {case:?}");
    (sources, problems)
}

#[test]
fn each_faulty_file_says_what_it_must_and_no_more() {
    let folder = format!("{}/tests/faults", env!("CARGO_MANIFEST_DIR"));
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let mut paths: Vec<_> = entries.map(|entry| entry.expect("an entry").path()).collect();
    paths.sort();
    let mut complaints = String::new();
    for path in paths {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let content = std::fs::read_to_string(&path).expect("a text");
        complaints.push_str(&check(&name, &content));
    }
    assert!(complaints.is_empty(), "{complaints}");
}

fn check(name: &str, content: &str) -> String {
    let (sources, problems) = read(name, content);
    let output = problems.render(&sources, false);
    insta::assert_snapshot!(name.trim_end_matches(".ron"), output);
    let header = content.lines().map_while(|line| line.strip_prefix("//! "));
    let (help, mut wanted): (Vec<&str>, Vec<&str>) =
        header.partition(|line| line.starts_with("help: "));
    let mut found: Vec<String> = problems
        .iter()
        .map(|problem| {
            let place = sources.place(problem.primary.0.file, problem.primary.0.start);
            format!("{}:{}: {}", place.line, place.column, problem.message)
        })
        .collect();
    wanted.sort_unstable();
    found.sort_unstable();
    let mut complaint = String::new();
    if wanted != found {
        let _ = writeln!(complaint, "{name}: wanted {wanted:#?}, found {found:#?}");
    }
    for words in help.iter().map(|line| line.trim_start_matches("help: ")) {
        if !output.contains(words) {
            let _ = writeln!(complaint, "{name}: {words:?} is not in\n{output}");
        }
    }
    complaint
}

#[test]
fn texts_that_are_no_texts_are_refused() {
    let deep_list = "[".repeat(1000);
    let deep_call = "A(".repeat(100_000);
    let cases: &[(&str, &str, &str)] = &[
        ("empty.ron", "", "this text is empty"),
        ("blank.ron", " \n\t\r\n", "nothing but blanks and comments"),
        ("comment.ron", "// to do\n/* all of it */", "nothing but blanks and comments"),
        ("mark.ron", "\u{FEFF}", "this text is empty"),
        ("zero.ron", "Case(title: \"a\0\")", "not a text file"),
        ("binary.ron", "\u{7f}ELF\u{2}\u{1}\u{1}", "expected a value"),
        ("brackets.ron", &deep_list, "more than 50 blocks lie in one another"),
        ("calls.ron", &deep_call, "more than 50 blocks lie in one another"),
        ("word.ron", "hello world", "expected `(` after `hello`"),
    ];
    for &(name, content, wanted) in cases {
        let (sources, problems) = read(name, content);
        let output = problems.render(&sources, false);
        assert!(output.contains(wanted), "{name}: {wanted:?} is not in\n{output}");
        assert!(output.len() < 2000, "{name}: {} bytes of output", output.len());
    }
}

#[test]
fn a_byte_order_mark_is_let_pass() {
    let mut sources = Sources::new();
    let file = sources.add("mark.ron", "\u{FEFF}Case(title: \"a\", runs: {})");
    let mut problems = Problems::new();
    let case: Option<Case> = text::read(&sources, file, &mut problems);
    assert!(problems.is_empty() && case.is_some(), "{}", problems.render(&sources, false));
}

#[test]
fn long_lines_and_many_problems_do_not_flood_the_reader() {
    let padding = "x".repeat(1_000_000);
    let mut content = format!("Case(title: \"{padding}\", wrong: 1, runs: {{");
    for run in 0..2000 {
        let _ = write!(content, "\"r{run}\": Run(from: \"a\", to: \"b\", bore: \"1 parsec\"), ");
    }
    content.push_str("})");
    let (sources, problems) = read("long.ron", &content);
    assert_eq!(problems.len(), 2001);
    let output = problems.render(&sources, false);
    assert!(output.len() < 30_000, "{} bytes of output", output.len());
    assert!(output.contains("… and 1981 more"), "{output}");
    assert!(output.contains("long.ron:1:1000017"), "{output}");
}

#[test]
fn colour_only_adds_escapes() {
    let (sources, problems) = read("a.ron", "Case(title: 3, runs: {})");
    let plain = problems.render(&sources, false);
    let mut stripped = String::new();
    let mut rest = problems.render(&sources, true);
    assert!(rest.contains('\u{1b}'), "{rest:?}");
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        stripped.push_str(before);
        rest = after.split_once('m').expect("an escape ends").1.to_owned();
    }
    stripped.push_str(&rest);
    assert_eq!(stripped, plain);
}
