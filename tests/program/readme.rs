//! What the README shows is what the program prints.
//!
//! A block that begins with `$ coolwright …` holds a command and its answer. A line `[...]` stands
//! for any number of lines that are left out.

use std::process::Command;

/// A command of the README with the lines that follow it.
struct Shown<'a> {
    arguments: Vec<&'a str>,
    lines: Vec<&'a str>,
}

fn shown(readme: &str) -> Vec<Shown<'_>> {
    let mut found = Vec::new();
    for block in readme.split("```").skip(1).step_by(2) {
        let mut lines = block.lines().skip(1);
        let Some(command) = lines.next().and_then(|l| l.strip_prefix("$ coolwright ")) else {
            continue;
        };
        found.push(Shown { arguments: command.split(' ').collect(), lines: lines.collect() });
    }
    found
}

/// Whether lines match a pattern in which `[...]` stands for any number of them.
fn matches(pattern: &[&str], lines: &[&str]) -> bool {
    match pattern.split_first() {
        None => lines.is_empty(),
        Some((&"[...]", rest)) => (0..=lines.len()).any(|skip| matches(rest, &lines[skip..])),
        Some((first, rest)) => {
            lines.split_first().is_some_and(|(line, others)| line == first && matches(rest, others))
        }
    }
}

#[test]
fn every_answer_in_the_readme_is_what_the_program_prints() {
    let readme = include_str!("../../README.md");
    let shown = shown(readme);
    assert!(
        shown.len() >= 3,
        "the README shows {} commands, the three uses need three",
        shown.len()
    );
    // Every second one in a thread of its own: some take a while.
    std::thread::scope(|scope| {
        for first in 0..2 {
            let own = shown.iter().skip(first).step_by(2);
            scope.spawn(move || own.for_each(assert_shown));
        }
    });
}

fn assert_shown(Shown { arguments, lines }: &Shown<'_>) {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("answers are text");
    let printed: Vec<&str> = text.lines().collect();
    assert!(
        matches(lines, &printed),
        "`coolwright {}` prints something else than the README shows:\n{text}",
        arguments.join(" ")
    );
}
