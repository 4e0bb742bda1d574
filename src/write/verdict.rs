//! The verdict, and the limits behind it.

use std::fmt::Write;

use super::Style;
use super::table::Table;
use crate::study::{Bound, Judged};

/// The first line of an answer.
pub fn line(style: &Style, judged: &[Judged]) -> String {
    let broken = judged.iter().filter(|j| !j.holds()).count();
    let own = judged.iter().filter(|j| !j.limit.built_in).count();
    match (judged.len(), broken) {
        (_, 0) if own == 0 => {
            let word = style.judged(true, "HOLDS");
            format!(
                "VERDICT  {word} as far as it goes: nothing boils, and the case sets no limits\n"
            )
        }
        (n, 0) => format!("VERDICT  {}: {}\n", style.judged(true, "HOLDS"), kept(n)),
        (n, b) => {
            let all =
                if n == 1 { "the only limit".to_owned() } else { format!("{b} of {n} limits") };
            let are = if b == 1 { "is" } else { "are" };
            let broken: Vec<String> =
                judged.iter().filter(|j| !j.holds()).map(|j| in_words(style, j)).collect();
            format!(
                "VERDICT  {}: {all} {are} broken\n         {}\n",
                style.judged(false, "BROKEN"),
                broken.join("\n         ")
            )
        }
    }
}

/// A broken limit in words.
pub fn in_words(style: &Style, judged: &Judged) -> String {
    let name = &judged.limit.name;
    if judged.value == f64::NEG_INFINITY && judged.limit.built_in {
        return format!("{name}: it boils before anything is steady");
    }
    format!("{name} is {}, {}", value(style, judged), bound(style, judged))
}

fn kept(count: usize) -> String {
    match count {
        1 => "the only limit is kept".to_owned(),
        n => format!("all {n} limits are kept"),
    }
}

/// A bound in words.
pub fn bound(style: &Style, judged: &Judged) -> String {
    let limit = &judged.limit;
    let word = match limit.bound {
        Bound::AtLeast => "at least",
        Bound::AtMost => "at most",
    };
    format!("{word} {}", style.quantity(limit.kind, limit.value))
}

/// The value that a limit was held against; in words where it has no end.
pub fn value(style: &Style, judged: &Judged) -> String {
    if judged.value == f64::NEG_INFINITY && judged.limit.built_in {
        return "boils".to_owned();
    }
    style.quantity(judged.limit.kind, judged.value)
}

/// Whether a limit holds, and by how much.
pub fn margin(style: &Style, judged: &Judged) -> String {
    let kind = super::difference(judged.limit.kind);
    if judged.value.is_nan() {
        return style.judged(false, "NOT KNOWN");
    }
    if judged.value.is_infinite() {
        return style.judged(judged.holds(), if judged.holds() { "holds" } else { "BROKEN" });
    }
    let by = style.quantity(kind, judged.margin.abs());
    let word = if judged.holds() { "holds by" } else { "BROKEN by" };
    style.judged(judged.holds(), &format!("{word} {by}"))
}

/// The table of limits.
pub fn table(style: &Style, judged: &[Judged]) -> String {
    if judged.is_empty() {
        return String::new();
    }
    let mut table = Table::new(&["<limit", "<of", "value", "<bound", "<margin"]);
    for judged in judged {
        table.row([
            judged.limit.name.clone(),
            judged.limit.of.clone(),
            value(style, judged),
            bound(style, judged),
            margin(style, judged),
        ]);
    }
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write!(out, "\nLimits\n{}", table.render());
    out
}
