//! How much of an answer is printed: what matters on two screens, all of it, or one section.

use std::collections::BTreeSet;
use std::process::Command;

use coolwright::answer::{Answer, Block, Row, Section, Topic};
use coolwright::render::{Extent, Style};
use coolwright::sections::names;
use coolwright_cases::quantity::UnitSystem;

use crate::answered::{self, solved};

fn printed(answer: &Answer, extent: &Extent) -> String {
    answered::printed(answer, UnitSystem::Metric, extent)
}

fn alone(answer: &Answer, name: &str) -> String {
    printed(answer, &Extent::Only(name.to_owned()))
}

/// The sections of an answer that say something to people when all is asked for.
fn whole(answer: &Answer) -> impl Iterator<Item = &Section> {
    let says = |block: &Block| match block {
        Block::Table(table) => table.rows_of_people() > 0,
        Block::Say(..) => true,
    };
    let seen = move |s: &&Section| s.seen.by_people() && !s.brief && s.blocks.iter().any(says);
    answer.sections.iter().filter(seen)
}

#[test]
fn what_matters_fits_on_two_screens() {
    for (name, answer) in solved() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let text = answered::printed(answer, units, &Extent::Short);
            let lines = text.lines().count();
            let most = if name.ends_with("first") { 82 } else { 100 };
            assert!(lines <= most, "{name} in {units:?}: {lines} lines");
            for line in text.lines() {
                let wide = line.chars().count();
                assert!(wide <= 100, "{name} in {units:?}: {wide} signs: {line}");
            }
        }
    }
}

/// Every section can be asked for alone, is whole then, and stands in the full answer as it stands alone.
#[test]
fn every_section_can_be_asked_for_alone() {
    let plain = |text: &str| {
        let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
        lines.map(|line| format!("{line}\n")).collect::<String>()
    };
    for (name, answer) in solved() {
        let full = plain(&printed(answer, &Extent::Full));
        let mut told = 0;
        for section in whole(answer) {
            assert!(names(answer.topic).contains(&section.name), "{name}: `{}`", section.name);
            let mut only = answer.clone();
            only.sections = vec![section.clone()];
            only.cautions.clear();
            let text = alone(&only, section.name);
            assert!(!text.contains("There is nothing under"), "{name} {}", section.name);
            assert!(full.contains(&plain(&text)), "{name} {}:\n{text}", section.name);
            told += plain(&text).len();
        }
        // Nothing else is in the full answer but the cautions.
        assert_eq!(told + plain(&alone(answer, "cautions")).len(), full.len(), "{name}");
    }
}

/// How many rows people see of a section in a text: of those that hold one line each.
fn rows(section: &Section) -> usize {
    let tables = section.blocks.iter().map(|block| match block {
        Block::Table(table) => table.rows_of_people(),
        Block::Say(..) => 0,
    });
    tables.sum()
}

/// What is left out whole is named, and nothing else is left out whole; the rows that are left out of the
/// others are counted.
#[test]
fn what_is_left_out_is_named_and_counted() {
    for (name, answer) in solved() {
        let short = printed(answer, &Extent::Short);
        let (_, left) = short.split_once("\nLeft out: ").expect("something is left out");
        let left = left.split("\n\n").next().unwrap_or_default().replace('\n', " ");
        let named: BTreeSet<&str> = left
            .split_once("sections ")
            .and_then(|(_, names)| names.split_once(". `--full`"))
            .map_or_else(BTreeSet::new, |(names, _)| names.split(", ").collect());
        let counted: usize = left
            .split_once(" more row")
            .map_or(0, |(count, _)| count.parse().expect("a count of rows"));
        let lines: BTreeSet<&str> = short.lines().map(str::trim).collect();
        let mut missing = 0;
        for section in whole(answer) {
            let title = alone(answer, section.name);
            let first = title.lines().next().expect("a line").trim();
            let there = lines.contains(first)
                || answer.sections.iter().any(|s| s.brief && s.name == section.name);
            assert_ne!(there, named.contains(section.name), "{name} {}: {left}", section.name);
            if there {
                missing += rows(section) - rows_there(answer, section, &short);
            }
        }
        assert_eq!(counted, missing, "{name}: {left}");
    }
}

/// How many rows of a section stand in a short text, by the words that they begin with.
fn rows_there(answer: &Answer, section: &Section, short: &str) -> usize {
    let brief = answer.sections.iter().find(|s| s.brief && s.name == section.name);
    let section = brief.unwrap_or(section);
    let mut only = answer.clone();
    only.sections = vec![section.clone()];
    only.sections[0].brief = false;
    let alone = alone(&only, section.name);
    let title = alone.lines().next().expect("a title").trim();
    let from = short.lines().skip_while(|line| line.trim() != title);
    let here: Vec<&str> = from.skip(1).take_while(|line| !line.is_empty()).collect();
    let begins = |row: &Row| match row {
        Row::Cells { cells, seen, .. } if seen.by_people() => {
            let style = Style { units: UnitSystem::Metric, color: false };
            let words = style.value(&cells[0].value);
            // Words may be broken into lines.
            let words: String = words.chars().take(30).filter(|sign| *sign != ' ').collect();
            // Rows of these are told apart by another cell than their first.
            let told_by = match section.name {
                "survey" | "assumptions" | "ran_on" | "refills" => cells.get(1),
                "switches" => cells.last(),
                _ => None,
            };
            let told_by = told_by.map(|cell| style.value(&cell.value)).unwrap_or_default();
            let fits = |k: &usize| {
                let lines = here[*k..].iter().take(2);
                let cells = lines.map(|line| line.trim().split("  ").next().unwrap_or_default());
                let first: String = cells.collect::<String>().replace(' ', "");
                first.starts_with(&words) && here[*k].contains(&told_by)
            };
            (0..here.len()).any(|k| fits(&k))
        }
        _ => false,
    };
    let tables = section.blocks.iter().map(|block| match block {
        Block::Table(table) => table.rows.iter().filter(|row| begins(row)).count(),
        Block::Say(..) => 0,
    });
    tables.sum()
}

#[test]
fn results_can_be_printed_by_their_addresses() {
    let answer = answered::answer("point first");
    let text = alone(answer, "results");
    assert!(answer.results.len() > 50);
    for result in &answer.results {
        let there = |line: &str| line.split_whitespace().next() == Some(result.address.as_str());
        assert!(text.lines().any(there), "{}", result.address);
    }
}

#[test]
fn an_unknown_section_is_refused_with_the_nearest_name() {
    for (topic, name, near) in [
        (Topic::Point, "passses", "passes"),
        (Topic::Cycle, "peak", "peaks"),
        (Topic::Compare, "limit", "limits"),
        (Topic::Levers, "lever", "levers"),
        (Topic::Failures, "effect", "effects"),
        (Topic::Chance, "driver", "drivers"),
        (Topic::Grid, "limit", "limits"),
        (Topic::Day, "bound", "bounds"),
    ] {
        let ask = |more: &[&str]| {
            let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
                .current_dir(env!("CARGO_MANIFEST_DIR"))
                .args([topic.word()])
                .args(more)
                .output()
                .expect("the program runs");
            let said = [output.stdout, output.stderr].concat();
            (output.status.code(), String::from_utf8(said).expect("text"))
        };
        let (code, said) = ask(&["cases/first.ron", "--only", name]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains(&format!("Did you mean `{near}`?")), "{said}");
        let (_, help) = ask(&["--help"]);
        for name in names(topic) {
            assert!(said.contains(name) && help.contains(name), "{name}: {said} {help}");
        }
    }
}

/// Rows of a comparison that say the same of every variant are not there in short.
#[test]
fn what_is_equal_in_all_variants_is_left_out() {
    let answer = answered::answer("compare desert_racer");
    let count = |extent: &Extent, name: &str| {
        printed(answer, extent).lines().filter(|line| line.trim().starts_with(name)).count()
    };
    // The variants change the drive loop and the air, not the pump of the pack.
    // Where they do not fit a line they stand in blocks, each with the four rows of that pump.
    let full = count(&Extent::Full, "pack/feed/pump");
    assert!(full >= 4 && full % 4 == 0, "{full}");
    assert_eq!(count(&Extent::Short, "pack/feed/pump"), 0);
    assert!(count(&Extent::Short, "drive/loop/pump_1") > 0);
}
