//! What could turn a limit that is kept, or leave it without a value.

use super::{MOST_TURNS, bound};
use crate::answer::{Sentence, Value, kinds};
use crate::say;
use crate::study::{Judged, Turn};

/// What could turn a limit that has a value then.
pub(super) fn turning(judged: &Judged) -> Option<Sentence> {
    let margin = judged.margin().unwrap_or(0.0);
    let counts = |turn: &&Turn| turn.moves > margin && !turn.no_value;
    let mut by: Vec<&Turn> = judged.turns.iter().filter(counts).collect();
    by.sort_by(|a, b| b.moves.total_cmp(&a.moves));
    let more = match by.len().saturating_sub(MOST_TURNS) {
        0 => Sentence::from(""),
        more => say!("; and {more} more", more = more),
    };
    if by.is_empty() {
        return None;
    }
    let by = Value::list(by.iter().take(MOST_TURNS).map(|turn| turn.by.clone()), "; ");
    let limit = &judged.limit.name;
    // A bound that nothing can be better than, such as no coolant lost, is met and not near.
    if margin == 0.0 {
        let words = "{limit} is kept, but could turn by {by}{more}";
        return Some(Sentence::new(
            words,
            vec![("limit", limit.into()), ("by", by), ("more", more.into())],
        ));
    }
    Some(say!(
        "{limit} is kept by {margin} only; it could turn by {by}{more}",
        limit = limit,
        margin = Value::of(kinds::difference(judged.limit.kind), margin),
        by = by,
        more = more
    ))
}

/// That a limit is kept in its phases only.
pub(super) fn beyond_phases(judged: &Judged) -> Option<Sentence> {
    let (value, at_s) = judged.outside?;
    let phases = judged.limit.during.iter().flatten().map(|phase| say!("`{phase}`", phase = phase));
    Some(say!(
        "{limit} is kept in {phases} only: it is {value} at {at}, {bound}",
        limit = &judged.limit.name,
        phases = Value::list(phases, ", "),
        value = Value::of(judged.limit.kind, value),
        at = Value::clock(at_s),
        bound = bound(judged)
    ))
}

/// What would leave kept limits without a value: whatever leaves the same ones is told together.
pub(super) fn without_value(judged: &[Judged]) -> Vec<Sentence> {
    let mut found: Vec<(&Sentence, Vec<&str>)> = Vec::new();
    for judged in judged.iter().filter(|j| j.holds()) {
        for turn in judged.turns.iter().filter(|turn| turn.no_value) {
            match found.iter_mut().find(|(by, _)| **by == turn.by) {
                Some((_, names)) => names.push(&judged.limit.name),
                None => found.push((&turn.by, vec![&judged.limit.name])),
            }
        }
    }
    let mut together: Vec<(Vec<&Sentence>, Vec<&str>)> = Vec::new();
    for (by, names) in found {
        match together.iter_mut().find(|(_, known)| *known == names) {
            Some((all, _)) => all.push(by),
            None => together.push((vec![by], names)),
        }
    }
    together.into_iter().map(|(by, names)| lost_by(&by, &names)).collect()
}

/// That limits have no value at an end of what is assumed.
fn lost_by(by: &[&Sentence], names: &[&str]) -> Sentence {
    let more = match names.len().saturating_sub(MOST_TURNS) {
        0 => Sentence::from(""),
        more => say!(" and {more} more", more = more),
    };
    let limits = Value::list(names.iter().take(MOST_TURNS).copied(), ", ");
    if let [by] = by {
        return say!(
            "{by}: at an end of that something boils or is never steady, and {limits}{more} cannot be judged",
            by = (*by).clone(),
            limits = limits,
            more = more
        );
    }
    // What is assumed in several places is named once; the table of assumptions says where.
    let mut what: Vec<&Value> = Vec::new();
    for of in by.iter().filter_map(|by| named(by)) {
        if !what.contains(&of) {
            what.push(of);
        }
    }
    say!(
        "at an end of what each of {count} assumptions could be something boils or is never steady, and \
         {limits}{more} cannot be judged: {by}",
        count = by.len(),
        limits = limits,
        more = more,
        by = Value::list(what.into_iter().cloned(), "; ")
    )
}

/// What is assumed, of an assumption in words.
fn named(assumed: &Sentence) -> Option<&Value> {
    let (_, what) = assumed.slots.iter().find(|(name, _)| *name == "what")?;
    match what {
        Value::Sentence(of) => named(of).or(Some(what)),
        _ => Some(what),
    }
}
