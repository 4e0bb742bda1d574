//! A duty cycle in a few lines, as one would read it to the crew: what came close in each pull and when, how long it takes to be
//! ready again, what becomes of ice, and how long the next pull may be.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::results::quantities as q;

use super::pulls::of_pull;
use super::verdict::{margin, seen, value};
use crate::answer::{Lay, Section, Sentence, Value};
use crate::say;
use crate::study::{Judged, Lasting, Lasts, Readiness, ReadyTarget, Standing, pulls};

/// Of more pulls than this the first, the closest and the last are told.
const PULLS: usize = 3;
/// So many limits that break are told of a pull, and so many tanks and lengths.
const FEW: usize = 2;
/// Less ice than this share of what there was is none.
const GONE: f64 = 1e-3;

/// A pull, and what lies behind it up to the next.
struct Pull {
    /// Its place among the pulls, where there are several.
    place: Option<usize>,
    name: String,
    from_s: f64,
    to_s: f64,
    /// The phase behind it.
    behind: usize,
}

/// The story of a cycle.
pub fn story(
    ready: &Ready,
    history: &History,
    judged: &[Judged],
    (targets, rests): (&[ReadyTarget], &[Readiness]),
    lasts: &[Lasting],
) -> Section {
    let pulls = told(ready, history);
    let mut section = Section::new("story", "In short");
    let all: Vec<Vec<Judged>> = pulls.iter().map(|pull| standing(judged, pull)).collect();
    for k in chosen(&all) {
        let rest = rests.iter().find(|rest| rest.phase == pulls[k].behind);
        let then = rest.map(|rest| then(history, targets, rest));
        section = section.say(line(&pulls[k], &all[k], then), Lay::Point);
    }
    for ice in ice(ready, history) {
        section = section.say(ice, Lay::Point);
    }
    for length in lengths(lasts) {
        section = section.say(length, Lay::Point);
    }
    section
}

/// The pulls that were begun; the whole cycle where there is none.
fn told(ready: &Ready, history: &History) -> Vec<Pull> {
    let count = history.phases.len().min(ready.duty.phases.len());
    let ranges = pulls(&ready.duty.phases[..count]);
    let several = ranges.len() > 1;
    let pull = |(place, range): (usize, std::ops::Range<usize>)| Pull {
        place: several.then_some(place),
        name: history.phases[range.start].name.clone(),
        from_s: history.phases[range.start].from_s,
        to_s: history.phases[range.end - 1].to_s,
        behind: range.end,
    };
    let found: Vec<Pull> = ranges.into_iter().enumerate().map(pull).collect();
    match (found.is_empty(), history.phases.first(), history.phases.last()) {
        (true, Some(first), Some(last)) => vec![Pull {
            place: None,
            name: first.name.clone(),
            from_s: first.from_s,
            to_s: last.to_s,
            behind: count,
        }],
        _ => found,
    }
}

/// The limits that people see as they stand in a pull with the rest behind it: the closest first.
fn standing(judged: &[Judged], pull: &Pull) -> Vec<Judged> {
    let of = |limit: &Judged| {
        if pull.place.is_none() {
            Some(limit.clone())
        } else {
            let own = limit.pulls.iter().find(|of| (of.from_s - pull.from_s).abs() < 1e-9)?;
            Some(of_pull(limit, own))
        }
    };
    let mut all: Vec<Judged> =
        judged.iter().filter(|judged| seen(judged).by_people()).filter_map(of).collect();
    all.sort_by(|a, b| room(a).total_cmp(&room(b)));
    all
}

/// How near a limit comes: its margin in what it may be off by, and where that is not known in a tenth of its bound.
fn room(judged: &Judged) -> f64 {
    let scale = judged.off.filter(|off| *off > 0.0).unwrap_or(0.1 * judged.limit.value.abs());
    match (judged.margin(), scale > 0.0) {
        (Some(margin), true) => margin / scale,
        (Some(margin), false) => margin,
        (None, _) => f64::INFINITY,
    }
}

/// Which pulls are told: all of a few, else the first, the last, and the one that comes closest.
fn chosen(all: &[Vec<Judged>]) -> Vec<usize> {
    if all.len() <= PULLS {
        return (0..all.len()).collect();
    }
    let least = |k: &usize| all[*k].first().map_or(f64::INFINITY, room);
    let closest = (0..all.len()).min_by(|a, b| least(a).total_cmp(&least(b)));
    let mut chosen: Vec<usize> = [0, all.len() - 1].into_iter().chain(closest).collect();
    chosen.sort_unstable();
    chosen.dedup();
    chosen
}

/// What a pull brings.
fn line(pull: &Pull, limits: &[Judged], then: Option<Sentence>) -> Sentence {
    let breaks = |judged: &&Judged| judged.standing == Standing::Broken;
    let broken: Vec<Value> = limits.iter().filter(breaks).take(FEW).map(breaking).collect();
    let unjudged =
        limits.iter().filter(|judged| matches!(judged.standing, Standing::NotJudged(_))).count();
    let what: Value = if !broken.is_empty() {
        Value::list(broken, "; ")
    } else if let Some(closest) = limits.iter().find(|judged| judged.margin().is_some()) {
        kept(closest, unjudged).into()
    } else {
        "no limit of the case can be judged".into()
    };
    let head = say!(
        "`{name}`, {from} to {to}: {what}",
        name = &pull.name,
        from = Value::clock(pull.from_s),
        to = Value::clock(pull.to_s),
        what = what
    );
    match then {
        Some(then) => say!("{head}; {then}", head = head, then = then),
        None => head,
    }
}

/// That a limit breaks, when, and how far it goes.
fn breaking(judged: &Judged) -> Value {
    let name = judged.limit.name.as_str();
    let from: Value = match judged.first_s {
        Some(s) => say!(" at {at}", at = Value::clock(s)).into(),
        None => "".into(),
    };
    match judged.at_s.filter(|_| judged.value.is_some()) {
        Some(at) => say!(
            "{limit} breaks{from}: {worst} at {at}, {margin}",
            limit = name,
            from = from,
            worst = value(judged),
            at = Value::clock(at),
            margin = margin(judged)
        ),
        None => say!("{limit} breaks{from}", limit = name, from = from),
    }
    .into()
}

/// That all is kept, and what comes closest.
fn kept(closest: &Judged, unjudged: usize) -> Sentence {
    let at: Value = match closest.at_s {
        Some(s) => say!(" at {at}", at = Value::clock(s)).into(),
        None => "".into(),
    };
    let all: Value = match unjudged {
        0 => "all holds".into(),
        1 => "all that can be judged holds, 1 limit cannot".into(),
        many => say!("all that can be judged holds, {many} limits cannot", many = many).into(),
    };
    say!(
        "{all}; closest comes {limit}, {worst}{at}, which {margin}",
        all = all,
        limit = &closest.limit.name,
        worst = value(closest),
        at = at,
        margin = margin(closest)
    )
}

/// When it is ready for the next one.
fn then(history: &History, targets: &[ReadyTarget], rest: &Readiness) -> Sentence {
    let before: Value = match rest.pull {
        Some(pull) => say!("`{next}`", next = &history.phases[pull].name).into(),
        None => "another".into(),
    };
    match rest.after_s {
        Some(s) => {
            say!("ready for {before} {after} later", before = before, after = Value::clock(s))
        }
        None => say!(
            "not ready for {before}, as `{of}` is not",
            before = before,
            of = &targets[rest.last].of
        ),
    }
}

/// What becomes of ice.
fn ice(ready: &Ready, history: &History) -> Vec<Sentence> {
    let entries = history.catalogue.entries().iter().enumerate();
    let ice = entries.filter(|(_, entry)| entry.quantity == &q::ICE);
    let told = ice.filter_map(|(column, entry)| {
        let at = |row: usize| history.rows[row][column];
        let (start, last) = (at(0), history.rows.len().checked_sub(1)?);
        if start <= 0.0 {
            return None;
        }
        let tank = ready.model.address(entry.id);
        let mass = |kg: f64| Value::of(Kind::Mass, kg);
        let gone = (0..=last).find(|&row| at(row) <= GONE * start);
        Some(match gone {
            Some(row) => say!(
                "the {start} of ice in `{tank}` are gone at {at}",
                start = mass(start),
                tank = tank,
                at = Value::clock(history.times_s[row])
            ),
            None => say!(
                "of {start} of ice in `{tank}` {end} are left at the end",
                start = mass(start),
                tank = tank,
                end = mass(at(last))
            ),
        })
    });
    told.take(FEW).collect()
}

/// How long phases may last, and must, where that was asked.
fn lengths(lasts: &[Lasting]) -> Vec<Sentence> {
    let told = lasts.iter().filter_map(|one| {
        let (phase, written) = (&one.phase, Value::clock(one.written_s));
        match (&one.lasts, one.is_rest) {
            (Lasts::To { s, by }, false) => Some(say!(
                "`{phase}` may last {s} ({written} as written); beyond that: {by}",
                phase = phase,
                s = Value::clock(*s),
                written = written,
                by = by
            )),
            (Lasts::To { s, by }, true) => Some(say!(
                "`{phase}` must last {s} ({written} as written); below that: {by}",
                phase = phase,
                s = Value::clock(*s),
                written = written,
                by = by
            )),
            (Lasts::None(by), _) => {
                Some(say!("no length of `{phase}` holds: {by}", phase = phase, by = by))
            }
            (Lasts::All(_), _) => None,
        }
    });
    told.take(2 * FEW).collect()
}
