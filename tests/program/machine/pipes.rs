//! Pipes whose reader goes away: no word, no panic, and no work that nobody will read.

use std::io::{BufRead, BufReader, Read};
use std::process::Stdio;

use super::{folder, program};

/// Reads the first line of what a command prints, then goes away.
fn first_line(words: &[&str]) -> (String, Option<i32>, String) {
    let folder = folder();
    let mut child = program(folder.path())
        .args(words)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut line = String::new();
    let mut out = BufReader::with_capacity(16, child.stdout.take().expect("a pipe"));
    out.read_line(&mut line).expect("a line");
    drop(out);
    let mut err = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut err).expect("text");
    let code = child.wait().expect("it ends").code();
    (line, code, err)
}

/// An answer that was worked out keeps its exit status, whoever reads how much of it.
#[test]
fn who_reads_one_line_hears_no_more() {
    let folder = folder();
    for words in [
        &["point", "loop.ron"][..],
        &["point", "loop.ron", "--full"],
        &["point", "loop.ron", "--json"],
        &["point", "loop.ron", "--csv", "-"],
        &["cycle", "duty.ron", "--csv", "/dev/stdout"],
        &["cycle", "duty.ron", "--json"],
        &["compare", "variants.ron", "--json"],
        &["report", "loop.ron", "-o", "-"],
        &["sheets", "loop.ron", "-o", "-"],
        &["completions", "bash"],
        &["--help"],
        &["point", "--help"],
    ] {
        let whole = program(folder.path()).args(words).output().expect("it runs");
        let (line, code, err) = first_line(words);
        assert!(!line.is_empty() && err.is_empty(), "{words:?}: {line:?} {err}");
        assert_eq!(code, whole.status.code(), "{words:?}");
    }
}

/// Rows that nobody reads any more are not worked out: of thousands it ends at once, as what writes to such a pipe does.
#[test]
fn rows_that_nobody_reads_are_not_worked_out() {
    let over = "charge/far:bore=12 mm..30 mm by 0.001 mm";
    let (line, code, err) = first_line(&["grid", "variants.ron", "--over", over, "-o", "-"]);
    assert!(line.starts_with("case,") && err.is_empty(), "{line:?} {err}");
    assert_eq!(code, Some(141));
}
