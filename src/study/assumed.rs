//! What the assumptions of a case could change: each is moved to both ends of its range, and the answer
//! is worked out again. They are ranked by the share of a limit's margin that they could use up.

use coolwright_cases::lower::{Assumption, Ready};
use coolwright_cases::quantity::Kind;
use coolwright_models::model::Model;
use coolwright_models::results::Results;
use coolwright_models::uncertainty::Term;

use super::frost::cannot_freeze;
use super::{Bound, Judged, Limit, Turn};
use crate::answer::{Sentence, Value, kinds};
use crate::say;

/// What an assumption could change.
#[derive(Clone, Debug)]
pub struct Influence {
    /// The assumption's place among those of the case.
    pub assumption: usize,
    /// The result of which it could use up most, by address.
    pub address: String,
    /// The kind of that result.
    pub kind: Kind,
    /// How far the result moves with the assumption at its least and at its most, SI; `None` where
    /// there is no answer then.
    pub change: [Option<f64>; 2],
    /// The share of the limit's margin that it could use up, or of what is missing that it could make
    /// good; `None` where no limit is on the result.
    pub of_margin: Option<f64>,
    /// The size of the change, for sorting: the share of the margin, or that of what such a result
    /// usually allows.
    pub weight: f64,
}

/// A result that a builder looks at first, with what a change of it is measured by.
#[derive(Clone, Debug)]
pub(super) struct Headline {
    /// Its address.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// Its value, SI.
    pub value: f64,
    /// The limit on it, by its place among those judged.
    pub limit: Option<usize>,
    /// What a change counts against where no limit is on it, SI.
    scale: f64,
}

/// What a change of one result is measured by, where no limit says more.
fn scale_of(kind: Kind, value: f64) -> f64 {
    match kind {
        Kind::Temperature => 5.0,
        Kind::TemperatureDifference => 2.0,
        Kind::GaugePressure | Kind::PressureDifference => 20e3,
        _ => 0.2 * value.abs().max(1e-9),
    }
}

impl Headline {
    fn of(address: &str, kind: Kind, value: f64, limit: Option<usize>) -> Self {
        Self { address: address.to_owned(), kind, value, limit, scale: scale_of(kind, value) }
    }
}

/// The results by which assumptions are ranked: those that a limit was held against. Where the case sets
/// none itself, also the metal, the rise and the flow of each body, and the flow of each run where there
/// is no body.
pub(super) fn headlines(judged: &[Judged], results: Option<&Results>) -> Vec<Headline> {
    let mut found: Vec<Headline> = judged
        .iter()
        .enumerate()
        .filter_map(|(k, judged)| {
            let limit = &judged.limit;
            let value = judged.value.filter(|value| value.is_finite())?;
            Some(Headline::of(&limit.of, limit.kind, value, Some(k)))
        })
        .collect();
    let own = judged.iter().any(|judged| judged.limit.built_in.is_none());
    if let Some(results) = results.filter(|_| !own) {
        let bodies = looked_at(results, &["engines/", "coolers/"], &[":metal", ":rise", ":flow"]);
        let runs = || looked_at(results, &[""], &[":flow"]);
        found.extend(if bodies.is_empty() { runs() } else { bodies });
    }
    found
}

/// The results whose addresses begin and end so.
fn looked_at(results: &Results, begin: &[&str], end: &[&str]) -> Vec<Headline> {
    let entries = results.catalogue.entries().iter().zip(&results.values);
    entries
        .filter(|(entry, value)| {
            let address = &entry.address;
            value.is_finite()
                && begin.iter().any(|b| address.starts_with(b))
                && end.iter().any(|e| address.ends_with(e))
        })
        .map(|(entry, value)| Headline::of(&entry.address, entry.quantity.kind, *value, None))
        .collect()
}

/// What moves with an assumption at the two ends of its range: the value of each headline; `None` where
/// there is no answer then.
pub(super) type Ends = [Option<Vec<f64>>; 2];

/// The influence of every assumption, the largest first. `ends` belong to the assumptions of the case, in
/// their order; `None` where one was not tried.
pub(super) fn ranked(headlines: &[Headline], judged: &[Judged], ends: &[Ends]) -> Vec<Influence> {
    let of = |(k, ends): (usize, &Ends)| influence(k, headlines, judged, ends);
    let mut found: Vec<Influence> = ends.iter().enumerate().filter_map(of).collect();
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.assumption.cmp(&b.assumption)));
    found
}

fn influence(
    assumption: usize,
    headlines: &[Headline],
    judged: &[Judged],
    ends: &Ends,
) -> Option<Influence> {
    let of = |(k, headline): (usize, &Headline)| {
        let change = |end: &Option<Vec<f64>>| {
            let change = end.as_ref().map(|values| values[k] - headline.value);
            change.filter(|change| change.is_finite())
        };
        let change = [change(&ends[0]), change(&ends[1])];
        let of_margin = headline.limit.map(|limit| used(&judged[limit], change));
        let size = |c: Option<f64>| c.map_or(f64::INFINITY, |c| (c / headline.scale).abs());
        let weight = of_margin.unwrap_or_else(|| size(change[0]).max(size(change[1])));
        let (address, kind) = (headline.address.clone(), headline.kind);
        Influence { assumption, address, kind, change, of_margin, weight }
    };
    headlines.iter().enumerate().map(of).max_by(|a, b| a.weight.total_cmp(&b.weight))
}

/// The share of a limit's margin that a change of its value could use up; of a broken limit, the share of
/// what is missing that it could make good.
fn used(judged: &Judged, change: [Option<f64>; 2]) -> f64 {
    let margin = judged.margin().unwrap_or(0.0);
    let toward = |change: Option<f64>| change.map_or(f64::INFINITY, |c| towards(judged, c));
    let moves = if margin >= 0.0 {
        toward(change[0]).max(toward(change[1]))
    } else {
        toward(change[0].map(|c| -c)).max(toward(change[1].map(|c| -c)))
    };
    if moves <= 0.0 { 0.0 } else { moves / margin.abs() }
}

/// How far a change of a limit's value goes towards its bound, SI; below zero where it goes away from it.
fn towards(judged: &Judged, change: f64) -> f64 {
    match judged.limit.bound {
        Bound::AtLeast => -change,
        Bound::AtMost => change,
    }
}

/// Adds to each limit that is kept the assumptions that could break it.
pub(super) fn add_turns(
    ready: &Ready,
    judged: &mut [Judged],
    headlines: &[Headline],
    ends: &[Ends],
) {
    for (k, headline) in headlines.iter().enumerate() {
        let Some(limit) = headline.limit else { continue };
        let judged = &mut judged[limit];
        let open = judged.holds() && !cannot_freeze(ready, &judged.limit);
        let Some(margin) = judged.margin().filter(|_| open) else { continue };
        let mut all: Vec<(&Assumption, f64)> = Vec::new();
        for (assumption, ends) in ready.assumptions.iter().zip(ends) {
            let moves = |end: &Option<Vec<f64>>| {
                // What boils then, or has no steady state, has no number: that turns a limit too.
                let value = end.as_ref().map(|values| values[k]).filter(|value| value.is_finite());
                value.map_or(f64::INFINITY, |value| towards(judged, value - headline.value))
            };
            all.push((assumption, moves(&ends[0]).max(moves(&ends[1])).max(0.0)));
        }
        let alone = all.iter().filter(|(_, moves)| *moves > margin);
        let of_limit = &judged.limit;
        let turn = |(of, moves): &(&Assumption, f64)| Turn {
            no_value: moves.is_infinite(),
            ..Turn::of(assumed(of, of_limit), *moves)
        };
        let alone: Vec<Turn> = alone.map(turn).collect();
        // None alone, but together, as independent errors add up: the root of the sum of squares, the ± too.
        let off = judged.off.unwrap_or(0.0);
        let moves = all.iter().fold(off * off, |sum, (_, moves)| sum + moves * moves).sqrt();
        if alone.is_empty() && off <= margin && moves > margin {
            all.sort_by(|a, b| b.1.total_cmp(&a.1));
            judged.turns.push(Turn::of(together(&all, moves, judged), moves));
        }
        judged.turns.extend(alone);
    }
}

/// How many of the assumptions that turn a limit together are named.
const NAMED: usize = 3;

/// Assumptions that turn a limit together, in words.
fn together(all: &[(&Assumption, f64)], moves: f64, judged: &Judged) -> Sentence {
    let names = all
        .iter()
        .filter(|(_, moves)| *moves > 0.0)
        .take(NAMED)
        .map(|(of, _)| place(of, &judged.limit));
    say!(
        "all that is assumed and its \u{b1} together ({moves} as the root of the sum of squares), most of all \
         {names}",
        moves = Value::of(kinds::difference(judged.limit.kind), moves),
        names = Value::list(names, ", ")
    )
}

/// An assumption by what it is and where: of several places the one that a limit is on.
fn place(assumption: &Assumption, limit: &Limit) -> Sentence {
    let own = limit.of.split(':').next();
    match &assumption.addresses[..] {
        [] => assumption.what.into(),
        [one] => say!("{what} (`{address}`)", what = Value::spoken(assumption.what), address = one),
        all @ [first, ..] => say!(
            "{what} (`{address}` and {more} more)",
            what = Value::spoken(assumption.what),
            // That of the limit's own part says more than any other.
            address =
                all.iter().find(|of| own.is_some() && of.split(':').next() == own).unwrap_or(first),
            more = all.len() - 1
        ),
    }
}

/// What a limit's value may be off by because published laws disagree, and gauges do not tell all.
#[derive(Clone, Copy, Debug)]
pub struct Off {
    /// Half width, SI.
    pub half_width: f64,
    /// The law that contributes most, where it is.
    pub most_from: Option<Term>,
    /// What the gauge under the limit is off by of itself, SI, which is part of it.
    pub own: f64,
}

/// Adds to each limit that is kept what published laws disagree by, where that could break it. `off` belongs to the
/// limits, in their order.
pub(super) fn add_spread(ready: &Ready, judged: &mut [Judged], off: &[Option<Off>]) {
    for (judged, off) in judged.iter_mut().zip(off) {
        judged.off = off.map(|off| off.half_width);
        if let Some((off, margin)) = off.zip(judged.margin())
            && judged.holds()
            && off.half_width > margin
            && !cannot_freeze(ready, &judged.limit)
        {
            judged.turns.push(spread(&ready.model, &judged.limit, &off));
        }
    }
}

/// That a limit may turn because published laws disagree.
fn spread(model: &Model, limit: &Limit, off: &Off) -> Turn {
    let most = match &off.most_from {
        _ if 2.0 * off.own * off.own > off.half_width * off.half_width => {
            ", most of it what the gauge is off by of itself".into()
        }
        None => Sentence::from(""),
        Some(term) => say!(
            ", most of it from `{from}` ({law})",
            from = model.address(term.from),
            law = term.law.words()
        ),
    };
    let off_by = Value::of(kinds::difference(limit.kind), off.half_width);
    Turn::of(say!("its \u{b1} of {off}{most}", off = off_by, most = most), off.half_width)
}

/// An assumption in words.
fn assumed(assumption: &Assumption, limit: &Limit) -> Sentence {
    let quantity = |si| Value::of(assumption.kind, si);
    let (low, high) = assumption.range;
    say!(
        "{what}, assumed {value}, which could be {low} to {high}",
        what = place(assumption, limit),
        value = quantity(assumption.value),
        low = quantity(low),
        high = quantity(high)
    )
}
