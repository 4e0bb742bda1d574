//! The verdict, and the limits behind it.

use crate::answer::{Cell, Lay, Section, Sentence, Table, Value, kinds};
use crate::say;
use crate::study::{Bound, Judged};

/// The first line of an answer.
pub fn line(judged: &[Judged]) -> Section {
    let broken: Vec<&Judged> = judged.iter().filter(|j| !j.holds()).collect();
    let own = judged.iter().filter(|j| !j.limit.built_in).count();
    let holds = Value::judged(true, "HOLDS");
    let sentence = match (judged.len(), broken.len()) {
        (_, 0) if own == 0 => say!(
            "VERDICT  {verdict} as far as it goes: nothing boils, and the case sets no limits",
            verdict = holds
        ),
        (1, 0) => say!("VERDICT  {verdict}: the only limit is kept", verdict = holds),
        (n, 0) => {
            say!("VERDICT  {verdict}: all {limits} limits are kept", verdict = holds, limits = n)
        }
        (n, b) => {
            let all = match (n, b) {
                (1, _) => Sentence::from("the only limit is broken"),
                (_, 1) => say!("{broken} of {limits} limits is broken", broken = b, limits = n),
                _ => say!("{broken} of {limits} limits are broken", broken = b, limits = n),
            };
            say!(
                "VERDICT  {verdict}: {all}\n         {which}",
                verdict = Value::judged(false, "BROKEN"),
                all = all,
                which = Value::list(broken.into_iter().map(in_words), "\n         "),
            )
        }
    };
    Section::plain("verdict").say(sentence, Lay::Lines)
}

/// Whether a circuit boils before anything is steady, so that its limit has no value.
fn boils(judged: &Judged) -> bool {
    judged.value == f64::NEG_INFINITY && judged.limit.built_in
}

/// A broken limit in words.
pub fn in_words(judged: &Judged) -> Sentence {
    let limit = &judged.limit.name;
    if boils(judged) {
        return say!("{limit}: it boils before anything is steady", limit = limit);
    }
    say!("{limit} is {value}, {bound}", limit = limit, value = value(judged), bound = bound(judged))
}

/// A bound in words.
pub fn bound(judged: &Judged) -> Sentence {
    let limit = Value::of(judged.limit.kind, judged.limit.value);
    match judged.limit.bound {
        Bound::AtLeast => say!("at least {limit}", limit = limit),
        Bound::AtMost => say!("at most {limit}", limit = limit),
    }
}

/// The value that a limit was held against; in words where it has no end.
pub fn value(judged: &Judged) -> Value {
    if boils(judged) { "boils".into() } else { Value::of(judged.limit.kind, judged.value) }
}

/// Whether a limit holds, and by how much.
pub fn margin(judged: &Judged) -> Value {
    let holds = judged.holds();
    if judged.value.is_nan() {
        return Value::judged(false, "NOT KNOWN");
    }
    if judged.value.is_infinite() {
        return Value::judged(holds, if holds { "holds" } else { "BROKEN" });
    }
    let by = Value::of(kinds::difference(judged.limit.kind), judged.margin.abs());
    let words =
        if holds { say!("holds by {by}", by = by) } else { say!("BROKEN by {by}", by = by) };
    Value::judged(holds, words)
}

/// What programs are told of a limit beside what people read.
pub fn for_programs(table: Table) -> Table {
    table
        .for_programs("bound_side", None)
        .for_programs("bound_value", None)
        .for_programs("margin_value", None)
}

/// The cells of [`for_programs`].
pub fn numbers(judged: &Judged) -> [Cell; 3] {
    let side = match judged.limit.bound {
        Bound::AtLeast => "min",
        Bound::AtMost => "max",
    };
    let kind = judged.limit.kind;
    [
        side.into(),
        Value::of(kind, judged.limit.value).into(),
        Value::of(kinds::difference(kind), judged.margin).into(),
    ]
}

/// The limits.
pub fn limits(judged: &[Judged]) -> Section {
    let mut table = for_programs(
        Table::new()
            .words("limit", "limit")
            .words("of", "of")
            .values("value", "value")
            .words("bound", "bound")
            .words("margin", "margin"),
    );
    for judged in judged {
        let cells = [
            (&judged.limit.name).into(),
            (&judged.limit.of).into(),
            Cell::from(value(judged)).judged(judged.holds()),
            bound(judged).into(),
            margin(judged).into(),
        ];
        table.row(&judged.limit.of, cells.into_iter().chain(numbers(judged)));
    }
    Section::new("limits", "Limits").table(table)
}
