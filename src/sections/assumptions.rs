//! What was assumed, the most influential first, with what it could change.

use coolwright_cases::lower::{Assumption, Ready};

use crate::answer::{Cell, Form, Lay, Section, Seen, Table, Value, Weight, kinds};
use crate::say;
use crate::study::Influence;

/// How many assumptions people see one by one.
const MOST: usize = 12;
/// An assumption that moves nothing by more than this share of what matters is summed up.
const LEAST_WEIGHT: f64 = 0.02;
/// So many are told of in any answer, if they could use up that much of a margin.
const FIRST: usize = 5;
/// See [`FIRST`].
const FIRST_WEIGHT: f64 = 0.1;
/// A change smaller than this share of that at the other end of the range counts as none.
const NO_CHANGE: f64 = 1e-4;

/// What was assumed.
pub fn assumptions(ready: &Ready, influences: &[Influence]) -> Section {
    let shown = influences.iter().take_while(|i| i.weight >= LEAST_WEIGHT).count().min(MOST);
    let mut table = Table::new()
        .broken_words("assumed", "assumed", 40)
        .values("value", "value")
        .broken_words("range", "could be", 26)
        .words("moves", "then this moves")
        .may_go()
        .words("by", "by")
        .may_go()
        .values("of_margin", "of the\nmargin")
        .for_programs("least", None)
        .for_programs("most", None)
        .for_programs("why", None)
        .for_programs("addresses", None)
        .for_programs("by_least", None)
        .for_programs("by_most", None);
    for (k, influence) in influences.iter().enumerate() {
        let seen = if k < shown { Seen::All } else { Seen::Programs };
        table.add(None, row(ready, influence), seen);
        let first = k < FIRST && influence.weight >= FIRST_WEIGHT;
        table.weigh(if first { Weight::Headline } else { Weight::Detail });
    }
    let title = if shown == 0 {
        "Assumed, because the case does not say"
    } else {
        "Assumed where the case does not say, by the share of a margin it could use up (`check` says why)"
    };
    let section = Section::new("assumptions", title).table(table);
    let mut rest: Vec<(&str, usize)> = Vec::new();
    for influence in &influences[shown..] {
        let Assumption { what, addresses, .. } = &ready.assumptions[influence.assumption];
        match rest.iter_mut().find(|(known, _)| known == what) {
            Some((_, places)) => *places += addresses.len(),
            None => rest.push((what, addresses.len())),
        }
    }
    if rest.is_empty() {
        return section;
    }
    let rest = rest.into_iter().map(|(what, places)| in_places(what, places));
    let rest = say!("Of little influence here: {rest}.", rest = Value::list(rest, "; "));
    section.aside(rest, Lay::Paragraph)
}

fn row(ready: &Ready, influence: &Influence) -> [Cell; 12] {
    let assumption = &ready.assumptions[influence.assumption];
    let quantity = |si| Value::of(assumption.kind, si);
    let (low, high) = assumption.range;
    let kind = kinds::difference(influence.kind);
    let largest = influence.change.iter().flatten().fold(0.0_f64, |most, c| most.max(c.abs()));
    let by = |change: Option<f64>| match change {
        // What is lost in the rounding of the search is no change.
        Some(c) if c.abs() < NO_CHANGE * largest => Value::formed(kind, 0.0, Form::Change),
        Some(c) => Value::formed(kind, c, Form::Change),
        None => "no answer".into(),
    };
    let exact = |change: Option<f64>| Cell::from(change.map(|c| Value::of(kind, c)));
    let [less, more] = influence.change;
    [
        in_places(assumption.what, assumption.addresses.len()).into(),
        quantity(assumption.value).into(),
        say!("{low} to {high}", low = quantity(low), high = quantity(high)).into(),
        (&influence.address).into(),
        say!("{less} to {more}", less = by(less), more = by(more)).into(),
        of_margin(influence).into(),
        quantity(low).into(),
        quantity(high).into(),
        Value::spoken(assumption.why).into(),
        Value::list(&assumption.addresses, ", ").into(),
        exact(less),
        exact(more),
    ]
}

/// What is assumed, and in how many places.
fn in_places(what: &str, places: usize) -> Value {
    match places {
        0 | 1 => Value::spoken(what),
        n => say!("{what} ({places} places)", what = Value::spoken(what), places = n).into(),
    }
}

/// The share of the margin that an assumption could use up, in words where it is all of it.
fn of_margin(influence: &Influence) -> Value {
    match influence.of_margin {
        None => Value::Nothing,
        Some(share) if share >= 1.0 => "all of it".into(),
        Some(share) => Value::percent(share, 0),
    }
}
