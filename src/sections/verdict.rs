//! The verdict, and the limits behind it.

use coolwright_cases::lower::BuiltInKind;
use coolwright_cases::quantity::Kind;
use coolwright_models::model::Model;
use coolwright_models::point::{Held, Why};

mod outlook;
mod table;
mod turning;

pub use outlook::outlook;
pub use table::{for_programs, kept_besides, limits, margin, numbers, seen};

use super::beside::Beside;
use crate::answer::{Form, Lay, Section, Sentence, Value, Verdict, kinds};
use crate::say;
use crate::study::{Bound, Judged, Standing, Unjudged};
use turning::{beyond_phases, turning, without_value};

/// How many things that could turn a limit people are told of.
const MOST_TURNS: usize = 3;

/// A smaller bound than this, K, is none.
const ROUNDING_K: f64 = 0.05;

/// Between the lines of a verdict.
const NEXT: &str = "\n         ";

/// The word of a verdict for people.
pub fn word(verdict: Verdict) -> Value {
    match verdict {
        Verdict::Holds => Value::judged(true, "HOLDS"),
        Verdict::Broken => Value::judged(false, "BROKEN"),
        Verdict::NotJudged => Value::judged(false, "NOT JUDGED"),
        Verdict::Unsolved => Value::judged(false, "NOT SOLVED"),
    }
}

/// The first lines of an answer.
pub fn line(model: &Model, judged: &[Judged], verdict: Verdict, beside: &Beside) -> Section {
    of_moment(model, judged, (verdict, ""), beside)
}

/// The same of one moment only, in words that stand behind the verdict.
pub fn of_moment(
    model: &Model,
    judged: &[Judged],
    (verdict, moment): (Verdict, &'static str),
    beside: &Beside,
) -> Section {
    let mut lines = vec![summary(judged, (verdict, moment), beside.told().count())];
    lines.extend(told(model, judged, beside));
    let sentence = say!("VERDICT  {lines}", lines = Value::list(lines, NEXT));
    Section::plain("verdict").say(sentence, Lay::Lines)
}

/// What a verdict says beside its word.
pub fn told(model: &Model, judged: &[Judged], beside: &Beside) -> Vec<Sentence> {
    let mut lines: Vec<Sentence> = beside.told().cloned().collect();
    lines.extend(details(model, judged));
    lines.extend(outlook(judged));
    lines.extend(beside.variant_bars.iter().chain(&beside.case_bars).cloned());
    lines
}

/// How many of the limits are kept, broken, not judged.
fn summary(
    judged: &[Judged],
    (verdict, moment): (Verdict, &'static str),
    against: usize,
) -> Sentence {
    let n = judged.len();
    let own = judged.iter().filter(|j| j.limit.built_in.is_none()).count();
    let broken = judged.iter().filter(|j| j.is_broken()).count();
    let open = judged.iter().filter(|j| !j.is_broken() && !j.holds()).count();
    let word = match moment {
        "" => word(verdict),
        moment => say!("{verdict} {moment}", verdict = word(verdict), moment = moment).into(),
    };
    let turns = judged.iter().filter(|j| j.may_turn()).count();
    match verdict {
        Verdict::Holds => {
            let turns = match (turns, against) {
                (0, 0) => Sentence::from(""),
                (0, _) => ", but something speaks against it".into(),
                (n, 0) => say!(", but {count} of them by less than what could turn it", count = n),
                (n, _) => say!(
                    ", but {count} of them by less than what could turn it, and something speaks against it",
                    count = n
                ),
            };
            match own {
                0 => say!(
                    "{verdict} as far as it goes: the {limits} built-in limits are kept, and the case sets \
                     none{turns}",
                    verdict = word,
                    limits = n,
                    turns = turns
                ),
                own => say!(
                    "{verdict}: {kept}, {own} of the case and {rest} built in{turns}",
                    verdict = word,
                    kept = all_kept(n),
                    own = own,
                    rest = n - own,
                    turns = turns
                ),
            }
        }
        Verdict::Broken if broken == 0 => say!(
            "{verdict}: not ready for the next pull; {kept}",
            verdict = word,
            kept = all_kept(n)
        ),
        Verdict::Broken => {
            let open = match open {
                0 => Sentence::from(""),
                n => say!(", {open} not judged", open = n),
            };
            say!(
                "{verdict}: {broken} of {limits} limits {are} broken{open}",
                verdict = word,
                broken = broken,
                limits = n,
                are = if broken == 1 { "is" } else { "are" },
                open = open
            )
        }
        Verdict::NotJudged if n == 0 => {
            say!("{verdict}: there is no limit left to judge", verdict = word)
        }
        Verdict::NotJudged if open == 0 => say!(
            "{verdict}: {kept}, but what no limit speaks of stands against it",
            verdict = word,
            kept = all_kept(n)
        ),
        Verdict::NotJudged => say!(
            "{verdict}: none of {limits} limits is known to be broken, but {open} could not be judged",
            verdict = word,
            limits = n,
            open = open
        ),
        Verdict::Unsolved => say!("{verdict}", verdict = word),
    }
}

/// What is broken, what was not judged and why, what could turn.
pub fn details(model: &Model, judged: &[Judged]) -> Vec<Sentence> {
    details_with(model, judged, not_judged)
}

/// Which limits were not judged, and why.
fn not_judged((why, names): (Sentence, Vec<&str>)) -> Sentence {
    let names = Value::list(names, ", ");
    say!("not judged: {names}; {why}", names = names, why = why)
}

/// The same with limits counted where many are not judged for one reason: their names stand with their values.
pub fn counted_details(model: &Model, judged: &[Judged]) -> Vec<Sentence> {
    let together = |(why, names): (Sentence, Vec<&str>)| {
        if names.len() <= MOST_TURNS {
            return not_judged((why, names));
        }
        say!("{count} limits not judged: {why}", count = names.len(), why = why)
    };
    details_with(model, judged, together)
}

fn details_with(
    model: &Model,
    judged: &[Judged],
    together: impl Fn((Sentence, Vec<&str>)) -> Sentence,
) -> Vec<Sentence> {
    let mut lines: Vec<Sentence> = judged.iter().filter(|j| j.is_broken()).map(in_words).collect();
    // Limits that were not judged for the same reason stand together.
    let mut reasons: Vec<(Sentence, Vec<&str>)> = Vec::new();
    for one in judged {
        let Standing::NotJudged(why) = &one.standing else { continue };
        let why = match why {
            Unjudged::NotSteady { held, kept_s } => unsteady(model, judged, (held, *kept_s)),
            why => unjudged(model, (one.limit.kind, why)),
        };
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, names)) => names.push(&one.limit.name),
            None => reasons.push((why, vec![&one.limit.name])),
        }
    }
    lines.extend(reasons.into_iter().map(together));
    lines.extend(judged.iter().filter(|j| j.may_turn()).filter_map(turning));
    lines.extend(without_value(judged));
    lines.extend(judged.iter().filter_map(beyond_phases));
    lines
}

/// Why what has no steady state was not judged: by the circuit with which that began, and until when it is kept.
fn unsteady(model: &Model, judged: &[Judged], (held, kept_s): (&Held, Option<f64>)) -> Sentence {
    let all: Vec<Held> = judged.iter().filter_map(not_steady).collect();
    let first = began_with(*held, &all);
    let follows = |other: &Held| *other != first && began_with(*other, &all) == first;
    let circuit = &model.circuits[first.circuit].name;
    let cause: Sentence = match first.why {
        Why::Boils => say!("`{circuit}` boils with this heat kept up", circuit = circuit),
        Why::NoWayOut => say!("heat has no way out of `{circuit}`", circuit = circuit),
        Why::NotAtRest => {
            say!(
                "heat comes into a part of `{circuit}` that no coolant cools, or what follows a temperature hunts",
                circuit = circuit
            )
        }
        Why::Follows { circuit } => {
            say!("`{circuit}` has no steady state", circuit = &model.circuits[circuit].name)
        }
    };
    let kept = kept_s.map_or_else(
        || Sentence::from(""),
        |s| say!("; kept at least for the first {time}", time = Value::clock(s)),
    );
    say!(
        "{cause}, so nothing is ever steady there{others}{kept}",
        cause = cause,
        others =
            if all.iter().any(follows) { " and in what shares air or metal with it" } else { "" },
        kept = kept
    )
}

/// The circuit without a steady state for which a limit was not judged.
fn not_steady(judged: &Judged) -> Option<Held> {
    match &judged.standing {
        Standing::NotJudged(Unjudged::NotSteady { held, .. }) => Some(*held),
        _ => None,
    }
}

/// The circuit from which another that has no steady state has that, as far as it is known.
fn began_with(held: Held, all: &[Held]) -> Held {
    let mut first = held;
    for _ in all {
        let Why::Follows { circuit } = first.why else { break };
        let Some(next) = all.iter().find(|other| other.circuit == circuit) else { break };
        first = *next;
    }
    first
}

/// Why a limit was not judged.
pub fn unjudged(model: &Model, (kind, why): (Kind, &Unjudged)) -> Sentence {
    let time = |s: f64| Value::formed(Kind::Time, s, Form::Clock);
    match why {
        Unjudged::NotSteady { held, kept_s } => {
            let circuit = &model.circuits[held.circuit].name;
            let kept = match kept_s {
                None => Sentence::from(""),
                Some(s) => say!("; kept at least for the first {time}", time = time(*s)),
            };
            say!("`{circuit}` has no steady state{kept}", circuit = circuit, kept = kept)
        }
        Unjudged::NoTank => {
            "closed and without a tank, so nothing says where coolant goes that warms: give it a \
             `Tank`, or `pressure` where something else takes it up"
                .into()
        }
        Unjudged::Gone => "this variant has no such result".into(),
        Unjudged::NoVapour => {
            "no vapour pressure of its liquid is told, so nothing is known of its boiling: give the liquid `vapour` or \
             `boils`"
                .into()
        }
        Unjudged::NoNumber { at_s: None } => "the result is no finite number here".into(),
        Unjudged::NoNumber { at_s: Some(s) } => {
            say!("the result is no finite number, first at {time}", time = time(*s))
        }
        Unjudged::Hidden { worst } => say!(
            "kept by the mean or sum of its passes only: if all were like the worst, it would be {worst}",
            worst = Value::of(kind, *worst)
        ),
        Unjudged::Backwards { value } => say!(
            "it runs against the direction that is written, {value}: an upper bound says nothing of it",
            value = Value::of(kind, *value)
        ),
        Unjudged::Cold { below_k } => say!(
            "the air is colder by {below} than the coolant freezes at: what stands in it long enough freezes, and \
             still air takes no heat here",
            below = Value::of(Kind::TemperatureDifference, *below_k)
        ),
        Unjudged::OtherPhase => "tied to phases that this is none of; the duty cycle judges".into(),
        Unjudged::NotReached { at_s } => {
            say!("the cycle ends at {time}, before its phase", time = time(*at_s))
        }
        Unjudged::CutShort { at_s } => {
            say!("kept until {time}, where the cycle ends early", time = time(*at_s))
        }
    }
}

/// A broken limit in words, with its ± where that could mend it.
pub fn in_words(judged: &Judged) -> Sentence {
    let broken = broken(judged);
    let within = judged.margin().zip(judged.off).filter(|(margin, off)| margin.abs() < *off);
    match within {
        None => broken,
        Some((_, off)) => say!(
            "{broken} (less than its \u{b1} of {off})",
            broken = broken,
            off = Value::of(kinds::difference(judged.limit.kind), off)
        ),
    }
}

fn broken(judged: &Judged) -> Sentence {
    let limit = &judged.limit.name;
    let bound = bound(judged);
    let time = |s: f64| Value::clock(s);
    let boils = judged.limit.built_in == Some(BuiltInKind::Boiling);
    match (judged.value, judged.at_s, judged.first_s, judged.beyond_s) {
        (_, _, Some(first), None) if boils => say!(
            "{limit}: it boils {first} after the start",
            limit = limit,
            first = Value::formed(Kind::Time, first, Form::Decimals(1))
        ),
        (Some(value), Some(at), Some(first), Some(beyond)) => say!(
            "{limit} is {value} at {at}, {bound}: broken from {first} on, for {beyond} in all",
            limit = limit,
            value = beside_bound(judged, value),
            at = time(at),
            bound = bound,
            first = time(first),
            beyond = stretch(beyond)
        ),
        (None, _, Some(first), _) => say!(
            "{limit}, {bound}: broken {first} after the start",
            limit = limit,
            bound = bound,
            first = Value::formed(Kind::Time, first, Form::Decimals(1))
        ),
        _ => {
            say!("{limit} is {value}, {bound}", limit = limit, value = value(judged), bound = bound)
        }
    }
}

/// A bound as it is told, SI, by the word of the kind of a built-in one: that against freezing leaves a little for
/// rounding, which is no bound that anyone set.
pub fn told_bound(built_in: Option<&str>, si: f64) -> f64 {
    let freezes = built_in == Some(BuiltInKind::Freezing.word());
    if freezes && si.abs() < ROUNDING_K { 0.0 } else { si }
}

/// A bound in words.
pub fn bound(judged: &Judged) -> Sentence {
    let value = told_bound(judged.limit.built_in.map(BuiltInKind::word), judged.limit.value);
    let form = judged.value.map_or(Form::Usual, Form::Beside);
    let limit = Value::formed(judged.limit.kind, value, form);
    match judged.limit.bound {
        Bound::AtLeast => say!("at least {limit}", limit = limit),
        Bound::AtMost => say!("at most {limit}", limit = limit),
    }
}

/// The value that a limit was held against; in words where there is none.
pub fn value(judged: &Judged) -> Value {
    match (judged.value, &judged.standing) {
        (Some(value), _) => beside_bound(judged, value),
        (None, Standing::Broken) if judged.limit.built_in == Some(BuiltInKind::Boiling) => {
            "boils".into()
        }
        (None, Standing::Broken) if judged.first_s.is_some() => "breaks".into(),
        (None, Standing::Broken) => "beyond what can be".into(),
        (None, _) => "not judged".into(),
    }
}

/// All of so many limits are kept.
fn all_kept(limits: usize) -> Sentence {
    match limits {
        1 => "the only limit is kept".into(),
        n => say!("all {limits} limits are kept", limits = n),
    }
}

/// How long something lasts.
fn stretch(s: f64) -> Value {
    let shortest = 0.1;
    if s < shortest / 2.0 {
        return say!("less than {shortest}", shortest = Value::of(Kind::Time, shortest)).into();
    }
    Value::clock(s)
}

/// The value of a limit, in so many digits as show on which side of its bound it is.
fn beside_bound(judged: &Judged, value: f64) -> Value {
    Value::formed(judged.limit.kind, value, Form::Beside(judged.limit.value))
}
