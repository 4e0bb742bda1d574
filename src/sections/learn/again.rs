//! The verdict, the limits and the hottest day again, with what was learnt.

use coolwright_cases::quantity::Kind;

use super::numbers::gauge;
use super::{Hottest, Told, as_long, end, number};
use crate::answer::{Cell, Form, Lay, Section, Seen, Table, Value, kinds};
use crate::say;
use crate::sections::verdict;
use crate::study::Judged;

/// Before each line of a verdict.
const NEXT: &str = "\n         ";
/// How many numbers are named beside the verdict.
const MOST: usize = 4;

/// How it stands with what was learnt, and what that is.
pub(super) fn summary(told: &Told<'_>) -> Section {
    let mut lines = vec![say!(
        "{with} with what was learnt; as the case stands: {plain}",
        with = verdict::word(told.with.1),
        plain = verdict::word(told.plain.1)
    )];
    lines.extend(told.beside.iter().take(MOST).cloned());
    let sure = told.numbers.iter().filter(|number| number.is_told);
    for of in sure.clone().take(MOST) {
        let end_of = match of.sure {
            [(low, true), _] if low >= of.to => " or less",
            [_, (high, true)] if high <= of.to => " or more",
            _ => "",
        };
        lines.push(say!(
            "`{address}` is {to}{more} ({low} to {high} with 95 %), {so} {is}{long}",
            address = &of.address,
            to = number(of.kind, of.to),
            more = end_of,
            low = end(of, 0),
            high = end(of, 1),
            so = if of.is >= of.sure[0].0 && of.is <= of.sure[1].0 {
                "which agrees with"
            } else {
                "and not"
            },
            is = number(of.kind, of.is),
            long = as_long(of)
        ));
    }
    if sure.clone().count() == 0 {
        lines.push("the log tells none of the numbers that were looked at".into());
    }
    let open = told.numbers.iter().filter(|number| !number.is_told).count() + told.left.len();
    if open > 0 {
        let more = told.next.first().map_or_else(
            || Value::from(""),
            |next| say!("; what would tell most next: {gauge}", gauge = gauge(told, next)).into(),
        );
        lines.push(say!(
            "{count} cannot be told from this log{more}",
            count = if open == 1 {
                Value::from("1 number")
            } else {
                say!("{open} numbers", open = open).into()
            },
            more = more
        ));
    }
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// The limits again.
pub(super) fn limits(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("limit", "limit")
        .words("plain", "as the case stands")
        .words("with", "with what was learnt")
        .values("sure", "± by what\nis not sure")
        .for_programs("plain_margin", None)
        .for_programs("with_margin", None)
        .for_programs("u", None)
        .mixed();
    for (k, of) in told.with.0.iter().enumerate() {
        let plain = told.plain.0.iter().find(|known| known.limit.name == of.limit.name);
        let kind = kinds::difference(of.limit.kind);
        let u = told.margins.get(k).copied().filter(|u| u.is_finite());
        let margin = |of: &Judged| of.margin().map(|si| Value::of(kind, si));
        let cells: [Cell; 7] = [
            (&of.limit.name).into(),
            plain.map(verdict::margin).into(),
            Cell::from(verdict::margin(of)).judged(of.holds()),
            u.map(|u| Value::formed(kind, 2.0 * u, Form::Off)).into(),
            plain.and_then(margin).into(),
            margin(of).into(),
            u.map(|u| Value::of(kind, u)).into(),
        ];
        let built_in = of.limit.built_in.is_some() && of.holds();
        let seen = if built_in { Seen::Programs } else { Seen::All };
        table.add(Some(of.limit.of.clone()), cells, seen);
    }
    Section::new("limits", "The limits again").table(table)
}

/// The hottest day, before and after.
pub(super) fn day(told: &Told<'_>) -> Section {
    let word = |(bound, fails): &Hottest| {
        let by = fails.clone().map_or_else(|| Value::from("nothing that was tried"), Value::from);
        match bound {
            Some(k) => say!(
                "up to {air}, beyond that {by}",
                air = Value::of(Kind::Temperature, *k),
                by = by
            ),
            None => say!("at no air that was tried: {by}", by = by),
        }
    };
    let [plain, with] = &told.hottest[..] else { return Section::plain("day") };
    let judged = if told.over_cycle { "the duty cycle" } else { "one operating point" };
    Section::new("day", "The hottest day again").points([
        say!("as the case stands it holds {so}", so = word(plain)),
        say!("with what was learnt it holds {so}", so = word(with)),
        say!("judged by {what}", what = judged),
    ])
}
