//! Texts as large as a case may be are answered or refused within seconds.

use std::fs;
use std::time::{Duration, Instant};

use super::{folder, run, said};

/// As large as a case may be.
const MOST: usize = 16 << 20;
/// On a machine that others use too, and without what makes a released program quick.
const PATIENCE: Duration = Duration::from_mins(1);

const LOOP: &str = include_str!("../../../cases/guide/1_one_loop.ron");

/// Fills a text up with something that is repeated.
fn filled(before: &str, one: impl Fn(usize) -> String, behind: &str) -> String {
    let mut text = before.to_owned();
    for k in 0.. {
        let next = one(k);
        if text.len() + next.len() + behind.len() > MOST {
            break;
        }
        text.push_str(&next);
    }
    text + behind
}

/// Runs a command on a large case: its exit status, and what it says. Neither takes long.
fn asked(what: &str, command: &[&str], text: &str) -> (Option<i32>, String) {
    assert!(text.len() <= MOST && text.len() > MOST - (4 << 20), "{what}: {} bytes", text.len());
    let folder = folder();
    fs::write(folder.path().join("large.ron"), text).expect("it can be written");
    let words: Vec<&str> = [&command[..1], &["large.ron"], &command[1..]].concat();
    let began = Instant::now();
    let output = run(folder.path(), &words);
    let took = began.elapsed();
    let said = said(&output);
    println!("{what}: {took:.1?}, {:?}, {} bytes said", output.status.code(), said.len());
    assert!(took < PATIENCE, "{what} took {took:?}");
    // A title and a name are told whole, however long; nothing else is.
    let most = if ["a title", "a name"].contains(&what) { 2 * text.len() } else { 200_000 };
    assert!(said.len() < most, "{what}: {} bytes", said.len());
    assert!(!said.contains("panicked"), "{what}");
    (output.status.code(), said)
}

#[test]
fn comments_of_sixteen_megabytes_change_nothing() {
    let text = filled(&format!("{LOOP}\n"), |k| format!("// line {k} says nothing at all\n"), "");
    let (code, said) = asked("comments", &["point"], &text);
    assert_eq!(code, Some(0), "{said}");
    let one = format!("/*{}*/\n{LOOP}", "x".repeat(MOST - LOOP.len() - 5));
    assert_eq!(asked("one comment", &["check"], &one).0, Some(0));
}

#[test]
fn names_and_titles_of_megabytes_are_answered_or_refused() {
    let title = |long: &str| LOOP.replacen("Fire tender", long, 1);
    let (code, said) = asked("a title", &["check"], &title(&"long ".repeat((MOST - 8000) / 5)));
    assert!(matches!(code, Some(0 | 2)), "{said}");
    let name = "n".repeat((MOST - 8000) / 2);
    let (code, said) = asked("a name", &["check"], &LOOP.replace("charge_cooler", &name));
    assert!(matches!(code, Some(0..=2)), "{said}");
    let (code, said) =
        asked("a number", &["check"], &LOOP.replacen("110", &"1".repeat(MOST - 8000), 1));
    assert_eq!(code, Some(2), "{said}");
}

#[test]
fn variants_of_sixteen_megabytes_are_answered_or_refused() {
    let (head, tail) = LOOP.rsplit_once(')').expect("it ends");
    let one = |k: usize| {
        format!(
            "        \"v{k}\": Variant(change: [(\"charge/loop:bore\", \"{} mm\")]),\n",
            10 + k % 30
        )
    };
    let text = filled(&format!("{head}    variants: {{\n"), one, &format!("    }},\n){tail}"));
    let (code, said) = asked("variants", &["point"], &text);
    assert!(matches!(code, Some(0..=2)), "{said}");
}

#[test]
fn brackets_of_sixteen_megabytes_are_refused() {
    for (what, sign) in [("round", "("), ("square", "["), ("curly", "{"), ("words", "Some(")] {
        let text = format!("Case(title: {}", sign.repeat((MOST - 100) / sign.len()));
        let (code, said) = asked(what, &["check"], &text);
        assert_eq!(code, Some(2), "{said}");
    }
    let (code, said) = asked("quotes", &["check"], &"\"".repeat(MOST));
    assert_eq!(code, Some(2), "{said}");
    let (code, said) = asked("commas", &["check"], &format!("Case({}", ",".repeat(MOST - 100)));
    assert_eq!(code, Some(2), "{said}");
    let faults = filled("Case(\n", |k| format!("f{k}: 1,\n"), ")");
    let (code, said) = asked("faults", &["check"], &faults);
    assert_eq!(code, Some(2), "{said}");
}

/// One byte more is refused before it is read.
#[test]
fn a_larger_file_is_none() {
    let folder = folder();
    fs::write(folder.path().join("large.ron"), vec![b' '; MOST + 1]).expect("it can be written");
    let output = run(folder.path(), &["check", "large.ron"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("larger than 16 MB"), "{}", said(&output));
}
