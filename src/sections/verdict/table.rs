//! Limits as a table: values, bounds, margins.

use coolwright_cases::lower::BuiltInKind;
use coolwright_cases::quantity::Kind;
use coolwright_models::model::Model;

use super::outlook::going_on;
use super::{bound, unjudged, value};
use crate::answer::{Cell, Lay, Section, Seen, Sentence, Table, Value, kinds};
use crate::say;
use crate::study::{Bound, Judged, Standing};

/// Whether a limit holds, and by how much.
pub fn margin(judged: &Judged) -> Value {
    let by = judged.margin().map(|by| Value::of(kinds::difference(judged.limit.kind), by.abs()));
    match (&judged.standing, by) {
        (Standing::Kept, Some(by)) => Value::judged(true, say!("holds by {by}", by = by)),
        (Standing::Kept, None) => Value::judged(true, "holds"),
        (Standing::Broken, Some(by)) if judged.margin() < Some(0.0) => {
            Value::judged(false, say!("BROKEN by {by}", by = by))
        }
        (Standing::Broken, _) => Value::judged(false, "BROKEN"),
        (Standing::NotJudged(_), _) => Value::judged(false, "NOT JUDGED"),
    }
}

/// What programs are told of a limit beside what people read.
pub fn for_programs(table: Table) -> Table {
    table
        .for_programs("bound_side", None)
        .for_programs("bound_value", None)
        .for_programs("margin_value", None)
        .for_programs("standing", None)
        .for_programs("built_in", None)
        .for_programs("first_broken", Some(Kind::Time))
        .for_programs("beyond_for", Some(Kind::Time))
        .for_programs("why_not", None)
        .for_programs("could_turn", None)
        .for_programs("goes_on", None)
}

/// The cells of [`for_programs`].
pub fn numbers(model: &Model, judged: &Judged) -> [Cell; 10] {
    let side = match judged.limit.bound {
        Bound::AtLeast => "min",
        Bound::AtMost => "max",
    };
    let kind = judged.limit.kind;
    let (standing, why) = match &judged.standing {
        Standing::Kept => ("kept", Value::Nothing),
        Standing::Broken => ("broken", Value::Nothing),
        Standing::NotJudged(why) => {
            ("not_judged", unjudged(model, (judged.limit.kind, why)).into())
        }
    };
    let time = |s: Option<f64>| Cell::from(s.map(|s| Value::of(Kind::Time, s)));
    let turns = judged.turns.iter().map(|turn| turn.by.clone());
    [
        side.into(),
        Value::of(kind, judged.limit.value).into(),
        judged.margin().map(|margin| Value::of(kinds::difference(kind), margin)).into(),
        standing.into(),
        judged.limit.built_in.map(BuiltInKind::word).into(),
        time(judged.first_s),
        time(judged.beyond_s),
        why.into(),
        (!judged.turns.is_empty()).then(|| Value::list(turns, "; ")).into(),
        going_on(judged).map(Value::from).into(),
    ]
}

/// Who sees the row of a limit: of the built-in ones that are kept people see those against boiling and those of hot
/// walls.
pub fn seen(judged: &Judged) -> Seen {
    use BuiltInKind as K;
    let loud = [K::Boiling, K::WallAluminium, K::WallIron, K::WallCopper];
    let quiet = judged.limit.built_in.is_some_and(|kind| !loud.contains(&kind));
    if quiet && judged.holds() { Seen::Programs } else { Seen::All }
}

/// The built-in limits that are kept and have no row for people: of each kind the tightest.
pub fn kept_besides(judged: &[Judged]) -> Option<Sentence> {
    let mut tightest: Vec<(&Judged, usize)> = Vec::new();
    for judged in judged.iter().filter(|judged| seen(judged) == Seen::Programs) {
        match tightest.iter_mut().find(|(known, _)| known.limit.built_in == judged.limit.built_in) {
            None => tightest.push((judged, 1)),
            Some((known, count)) => {
                *count += 1;
                if judged.margin() < known.margin() {
                    *known = judged;
                }
            }
        }
    }
    if tightest.is_empty() {
        return None;
    }
    let each = tightest.into_iter().map(|(judged, count)| {
        let margin = judged.margin().filter(|margin| *margin > 0.0);
        let by = margin.map_or_else(
            || Sentence::from(""),
            |by| say!(" by {by}", by = Value::of(kinds::difference(judged.limit.kind), by)),
        );
        let of = match (count, margin) {
            (1, _) => Sentence::from(""),
            (n, Some(_)) => say!(", the tightest of {count}", count = n),
            (n, None) => say!(" and {more} more like it", more = n - 1),
        };
        say!("{limit}{by}{of}", limit = &judged.limit.name, by = by, of = of)
    });
    Some(say!("Built in and kept besides: {limits}.", limits = Value::list(each, "; ")))
}

/// The limits at one moment.
pub fn limits(model: &Model, judged: &[Judged]) -> Section {
    let mut table = for_programs(
        Table::new()
            .words("limit", "limit")
            .words("of", "of")
            .may_go()
            .values("value", "value")
            .words("bound", "bound")
            .words("margin", "margin"),
    );
    for judged in judged {
        let cells = [
            (&judged.limit.name).into(),
            (&judged.limit.of).into(),
            Cell::from(value(judged)).judged(judged.holds()).within(judged.off),
            bound(judged).into(),
            margin(judged).into(),
        ];
        let cells = cells.into_iter().chain(numbers(model, judged));
        table.add(Some(judged.limit.of.clone()), cells, seen(judged));
    }
    let section = Section::new("limits", "Limits").table(table);
    match kept_besides(judged) {
        Some(kept) => section.aside(kept, Lay::Paragraph),
        None => section,
    }
}
