//! What kept limits would do if the cycle went on.

use crate::answer::{Sentence, Value, kinds};
use crate::say;
use crate::study::{Going, Judged};

/// What kept limits would do if the cycle went on; what too few rounds leave open is told once.
pub fn outlook(judged: &[Judged]) -> Vec<Sentence> {
    let open =
        |going: Option<Going>| matches!(going, Some(Going::Second { .. } | Going::Once { .. }));
    let (open, told): (Vec<&Judged>, Vec<&Judged>) =
        judged.iter().filter(|j| j.going.is_some()).partition(|j| open(j.going));
    let gone = |judged: &&Judged| match (judged.going, judged.margin()) {
        (Some(Going::Second { by }), Some(left)) => by > left,
        _ => false,
    };
    let (gone, open): (Vec<&Judged>, Vec<&Judged>) = open.into_iter().partition(gone);
    let told = told.into_iter().filter_map(going_on);
    too_few(&gone, true).into_iter().chain(told).chain(too_few(&open, false)).collect()
}

/// What only more rounds would tell.
fn too_few(judged: &[&Judged], gone: bool) -> Option<Sentence> {
    let first = judged.first()?;
    let each = judged.iter().map(|judged| {
        let of = |si: f64| Value::of(kinds::difference(judged.limit.kind), si);
        let (Some(Going::Second { by } | Going::Once { by }), Some(margin)) =
            (judged.going, judged.margin())
        else {
            return Sentence::from("");
        };
        let limit = &judged.limit.name;
        say!("{limit} ({by} less, {margin} left)", limit = limit, margin = of(margin), by = of(by))
    });
    let limits = Value::list(each, ", ");
    Some(match first.going {
        Some(Going::Second { .. }) if gone => say!(
            "the second round took more of the margin than is left, so one more like it breaks {limits}; `repeat: 5` \
             tells whether it comes to that",
            limits = limits
        ),
        Some(Going::Once { .. }) => say!(
            "one round only, which ends nearer to its limits than it began, by more than is left: {limits}; \
             another one, by `repeat: 3` of phases, tells whether it holds",
            limits = limits
        ),
        _ => say!(
            "kept by less in the second round than in the first: {limits}; `repeat: 5` tells whether that goes on",
            limits = limits
        ),
    })
}

/// What a kept limit would do if the cycle went on.
pub(super) fn going_on(judged: &Judged) -> Option<Sentence> {
    let of = |si: f64| Value::of(kinds::difference(judged.limit.kind), si);
    let limit = &judged.limit.name;
    Some(match judged.going? {
        Going::Second { .. } | Going::Once { .. } => return too_few(&[judged], false),
        Going::Rounds { by, left, dies_out: true } => say!(
            "{limit} is kept by {by} less in the last round than in the one before: {left} more rounds like that \
             would break it, though each loses less than the one before",
            limit = limit,
            by = of(by),
            left = Value::decimals(left.floor() + 1.0, 0)
        ),
        Going::Rounds { by, left, .. } if left < 1.0 => say!(
            "{limit} is kept by {by} less in the last round than in the one before: one more round like that \
             breaks it",
            limit = limit,
            by = of(by)
        ),
        Going::Rounds { by, left, .. } => say!(
            "{limit} is kept by {by} less in the last round than in the one before: at that pace it breaks after \
             {left} more",
            limit = limit,
            by = of(by),
            left = Value::decimals(left.floor(), 0)
        ),
        Going::AtEnd { left_s, slows: true } => say!(
            "{limit} is at its worst when the cycle ends, and goes on, ever more slowly: a longer last phase tells \
             whether it breaks; at the pace of the end it would {left} later",
            limit = limit,
            left = Value::clock(left_s)
        ),
        Going::AtEnd { left_s, .. } => say!(
            "{limit} is at its worst when the cycle ends, and goes on: at that pace it breaks {left} later",
            limit = limit,
            left = Value::clock(left_s)
        ),
    })
}
