//! The papers for shop and stand, a sheet each.

mod coolant;
mod filling;
mod order;
mod ports;
mod pressing;
mod stand;
mod wiring;

pub use coolant::coolant;
pub use filling::filling;
pub use order::order;
pub use ports::ports;
pub use pressing::pressing;
pub use stand::stand;
pub use wiring::wiring;

use coolwright_cases::quantity::Kind;

use crate::answer::{Lay, Section, Sentence, Value, Verdict};
use crate::say;

/// How the case stands that the papers are of, and which variant it is.
pub fn standing(
    (verdict, over_cycle): (Verdict, bool),
    failing: &[&str],
    variant: Option<&str>,
) -> Section {
    let by = if over_cycle { "over its duty cycle" } else { "at its operating point" };
    let names = Value::list(failing.iter().copied(), ", ");
    let words = match verdict {
        Verdict::Holds => say!("By the model all its limits hold {by}.", by = by),
        Verdict::Broken if failing.is_empty() => {
            say!(
                "BROKEN {by}, see `check`. These papers are of a layout that does not hold.",
                by = by
            )
        }
        Verdict::Broken => {
            say!(
                "BROKEN {by}: {names}. These papers are of a layout that does not hold.",
                by = by,
                names = names
            )
        }
        Verdict::NotJudged | Verdict::Unsolved => {
            say!("NOT JUDGED {by}: see `check` and `cycle` before anything is made.", by = by)
        }
    };
    let section = Section::plain("standing").say(words, Lay::Lines);
    match variant {
        None => section,
        Some(variant) => {
            section.say(say!("Variant `{variant}` of the case.", variant = variant), Lay::Lines)
        }
    }
}

/// What is filled in by hand.
const BLANK: &str = "________";

/// A width as it is shown.
fn bore(si: f64) -> Value {
    Value::of(Kind::Length, si)
}

/// Several widths, the widest first.
fn bores(all: &[f64]) -> Value {
    let mut alike: Vec<(f64, usize)> = Vec::new();
    for &si in all {
        match alike.iter_mut().find(|(known, _)| (known - si).abs() < 1e-6) {
            Some((_, count)) => *count += 1,
            None => alike.push((si, 1)),
        }
    }
    let one = |(si, count): (f64, usize)| match count {
        1 => bore(si),
        _ => say!("{count} \u{d7} {bore}", count = count, bore = bore(si)).into(),
    };
    match &alike[..] {
        [] => Value::Nothing,
        _ => Value::list(alike.into_iter().map(one), ", "),
    }
}

/// How many, with a word.
fn several(count: usize, one: &'static str, many: &'static str) -> Sentence {
    say!("{count} {word}", count = count, word = if count == 1 { one } else { many })
}
