//! Answers for people.

use super::grid::{broken, grid};
use super::numbers::Style;
use super::plan::{Extent, LINE, planned};
use crate::answer::{Answer, Block, Lay, Section};

/// An answer as text, or as much of it as is wanted.
pub fn text(style: &Style, answer: &Answer, extent: &Extent) -> String {
    let mut out = String::new();
    for section in &planned(style, answer, extent) {
        put(style, section, &mut out);
    }
    // What stands apart needs nothing before it where it is the first.
    if out.starts_with('\n') { out.split_off(1) } else { out }
}

/// Puts a section down; nothing where people see nothing of it.
pub(super) fn put(style: &Style, section: &Section, out: &mut String) {
    if section.is_empty() || !section.seen.by_people() {
        return;
    }
    if section.apart {
        out.push('\n');
    }
    if let Some(title) = &section.title {
        if section.below {
            out.push_str("  ");
        }
        out.push_str(&style.sentence(title));
        out.push('\n');
    }
    for block in &section.blocks {
        match block {
            Block::Table(table) if table.rows_of_people() == 0 => {}
            Block::Table(table) => out.push_str(&grid(style, table)),
            Block::Say(sentence, lay, _) => out.push_str(&laid(&style.sentence(sentence), *lay)),
        }
    }
}

/// A sentence as its lay asks for.
fn laid(text: &str, lay: Lay) -> String {
    match lay {
        Lay::Lines => text.lines().map(long_line).collect(),
        Lay::Inset => format!("  {text}").lines().map(long_line).collect(),
        Lay::Flush => wrapped(text, 0),
        Lay::Paragraph => wrapped(text, 2),
        Lay::Numbered(number) => numbered(text, number),
        Lay::Point => format!("  - {}\n", broken(text, LINE - 4).replace('\n', "\n    ")),
    }
}

/// A line as it stands, set in; what does not fit goes on below, set in two further.
fn long_line(line: &str) -> String {
    let indent = line.len() - line.trim_start().len();
    let (indent, more) = if indent == 0 { (0, HANGING) } else { (indent, indent + 2) };
    if line.chars().count() <= LINE {
        return format!("{line}\n");
    }
    let pieces = broken(line, LINE - more).replace('\n', &format!("\n{}", " ".repeat(more)));
    format!("{}{pieces}\n", " ".repeat(indent))
}

/// How far a line that begins at the left goes on below.
const HANGING: usize = 9;

/// A numbered point: what is behind the number is set in as far as its first line.
fn numbered(text: &str, number: usize) -> String {
    let set_in = |line: &str| broken(line, LINE - 5).replace('\n', "\n     ");
    let lines: Vec<String> = text.lines().map(set_in).collect();
    format!("{number:>3}. {}\n", lines.join("\n     "))
}

/// A paragraph wrapped at the end of a line, set in from the left.
fn wrapped(text: &str, indent: usize) -> String {
    let mut lines = String::new();
    let mut line = " ".repeat(indent);
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > LINE && line.trim() != "" {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = " ".repeat(indent);
        }
        line.push_str(word);
        line.push(' ');
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines
}

#[cfg(test)]
mod tests {
    use coolwright_cases::quantity::UnitSystem;

    use super::*;
    use crate::answer::{Table, Topic, Value};
    use crate::say;

    #[test]
    fn sections_follow_each_other_and_empty_ones_are_left_out() {
        let mut table = Table::new().words("name", "name");
        let empty = table.clone();
        table.row("x", ["x".into()]);
        let mut answer = Answer::new(Topic::Point, "");
        answer.sections = vec![
            Section::plain("verdict").say("VERDICT  HOLDS", Lay::Lines),
            Section::new("none", "None").table(empty),
            Section::new("names", say!("Names of {n}", n = 1))
                .table(table)
                .say("That is all.", Lay::Inset),
            Section::new("notes", "Notes")
                .points([Value::from("x")].map(|x| say!("one: {x}", x = x))),
        ];
        let style = Style { units: UnitSystem::Metric, color: false };
        assert_eq!(
            text(&style, &answer, &Extent::Full),
            "VERDICT  HOLDS\n\nNames of 1\n  name\n  x\n  That is all.\n\nNotes\n  - one: x\n"
        );
    }
}
