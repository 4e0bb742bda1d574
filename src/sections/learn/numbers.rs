//! What was learnt, what the log cannot tell, and what would tell more.

use coolwright_cases::quantity::Kind;
use coolwright_models::gauge::Reads;

use super::{Like, Told, as_long, end, number};
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value, kinds};
use crate::ask::{Next, SURER};
use crate::say;

/// What was learnt.
pub(super) fn learnt(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("number", "number")
        .values("is", "in the\ncase")
        .values("to", "as\nlearnt")
        .values("low", "with 95 %\nfrom")
        .values("high", "to")
        .words("so", "")
        .for_programs("u", None)
        .for_programs("least", None)
        .for_programs("most", None)
        .for_programs("told", None)
        .mixed();
    for of in &told.numbers {
        let inside = of.is >= of.sure[0].0 && of.is <= of.sure[1].0;
        let at_end = of.sure.iter().any(|(_, is_bound)| *is_bound);
        let so = match (of.is_told, inside) {
            (false, _) => "NOT TOLD by this log",
            (true, _) if at_end => "at the end of its range",
            (true, true) => "agrees with the case",
            (true, false) => "differs from the case",
        };
        let plain = |si: f64| Cell::from(Value::of(of.kind, si));
        let cells: [Cell; 10] = [
            say!("`{address}`", address = &of.address).into(),
            number(of.kind, of.is).into(),
            number(of.kind, of.to).into(),
            end(of, 0).into(),
            end(of, 1).into(),
            so.into(),
            Value::of(kinds::difference(of.kind), of.u).into(),
            plain(of.range.0),
            plain(of.range.1),
            if of.is_told { "true" } else { "false" }.into(),
        ];
        table.row(&of.address, cells);
    }
    let mut section = Section::new("learnt", "What was learnt").table(table);
    for of in told.numbers.iter().filter(|of| of.is_told && !of.as_long.is_empty()) {
        section = section.say(
            say!(
                "`{address}` is {to}{long}; its interval counts with all that may be.",
                address = &of.address,
                to = number(of.kind, of.to),
                long = as_long(of)
            ),
            Lay::Paragraph,
        );
    }
    section
}

/// What is alike, in words.
fn names(like: &[Like]) -> Value {
    let name = |like: &Like| {
        if like.is_gauge {
            say!("the offset of `{name}`", name = &like.name)
        } else {
            say!("`{name}`", name = &like.name)
        }
    };
    Value::list(like.iter().take(3).map(name), ", ")
}

/// What the log cannot tell, and why.
pub(super) fn apart(told: &Told<'_>) -> Section {
    let mut points: Vec<Sentence> = Vec::new();
    let mut say = |address: &str, (is_unfelt, like): (bool, &[Like]), kept: bool| {
        let kept = if kept { "; left as the case has it" } else { "" };
        points.push(if is_unfelt || like.is_empty() {
            say!(
                "`{address}` hardly shows in this log{kept}",
                address = address.to_owned(),
                kept = kept
            )
        } else {
            say!(
                "`{address}` and {like} cannot be told apart from this log{kept}",
                address = address.to_owned(),
                like = names(like),
                kept = kept
            )
        });
    };
    for of in told.numbers.iter().filter(|of| !of.is_told) {
        say(&of.address, (of.is_unfelt, &of.like), false);
    }
    for of in &told.left {
        say(&of.address, (of.is_unfelt, &of.like), true);
    }
    for of in told.numbers.iter().filter(|of| of.is_told && !of.like.is_empty()) {
        points.push(say!(
            "`{address}` is told, but hangs together with {like}: what is wrong with one is wrong with the other",
            address = &of.address,
            like = names(&of.like)
        ));
    }
    Section::new("apart", "What this log cannot tell apart").points(points)
}

/// A gauge that is not there, in words.
pub(super) fn gauge(told: &Told<'_>, next: &Next) -> Sentence {
    let _ = told;
    match (next.reads, next.outlet) {
        (Reads::Flow, _) => say!("a flow meter in `{at}`", at = &next.at),
        (Reads::Temperature, Some(true)) => {
            say!("a thermometer at the outlet of `{at}`", at = &next.at)
        }
        (Reads::Temperature, _) => say!("a thermometer at the inlet of `{at}`", at = &next.at),
        (Reads::Pressure, Some(true)) => say!("a pressure gauge behind `{at}`", at = &next.at),
        (Reads::Pressure, _) => say!("a pressure gauge ahead of `{at}`", at = &next.at),
    }
}

/// The numbers that get surer, by uncertainty with something more over that without, and how many times.
fn gains(told: &Told<'_>, ratios: &[f64]) -> Value {
    let mut gains: Vec<(f64, &str)> = told
        .numbers
        .iter()
        .zip(ratios)
        .filter(|(_, ratio)| **ratio < SURER)
        .map(|(number, ratio)| (*ratio, number.address.as_str()))
        .collect();
    gains.sort_by(|a, b| a.0.total_cmp(&b.0));
    let gain = |(ratio, address): &(f64, &str)| {
        say!(
            "`{address}` {times} times",
            address = (*address).to_owned(),
            times = Value::decimals(1.0 / ratio, 1)
        )
    };
    Value::list(gains.iter().take(3).map(gain), ", ")
}

fn ratios(of: &[f64]) -> Value {
    Value::list(of.iter().map(|ratio| Value::decimals(*ratio, 3)), " ")
}

/// Which gauge would tell most.
pub(super) fn next(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .broken_words("gauge", "gauge", 40)
        .values("tolerance", "off by\nat most")
        .broken_words("gains", "what it would make surer", 44)
        .for_programs("ratios", None)
        .mixed();
    for of in &told.next {
        let kind = match of.reads {
            Reads::Flow => Kind::VolumeFlow,
            Reads::Temperature => Kind::TemperatureDifference,
            Reads::Pressure => Kind::PressureDifference,
        };
        let cells: [Cell; 4] = [
            gauge(told, of).into(),
            Value::of(kind, of.tolerance).into(),
            gains(told, &of.ratios).into(),
            ratios(&of.ratios).into(),
        ];
        table.row(&of.at, cells);
    }
    Section::new("next", "Which gauge would tell most next").table(table)
}

/// Which step on the stand would tell most, with the gauges that are there.
pub(super) fn steps(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .broken_words("step", "step", 40)
        .values("hold", "held for")
        .broken_words("gains", "what it would make surer", 44)
        .for_programs("ratios", None)
        .mixed();
    for of in &told.steps {
        let name = of.name.as_deref().unwrap_or("the duty cycle of the case");
        let cells: [Cell; 4] = [
            name.into(),
            Value::clock(of.hold_s).into(),
            gains(told, &of.ratios).into(),
            ratios(&of.ratios).into(),
        ];
        table.row(name, cells);
    }
    Section::new("steps", "Which step on the stand would tell most next").support().table(table)
}
