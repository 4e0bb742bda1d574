//! When the vehicle is ready again after a pull.

use std::collections::BTreeSet;
use std::ops::Range;

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::lower::{LoweredPhase, ReadySpec};
use coolwright_cases::quantity::{Kind, parse};
use coolwright_models::cycle::History;
use coolwright_models::results::Catalogue;
use coolwright_models::watch::{Watch, Watched};

use super::limits::{Bound, find, read};

/// A bound that a result must have come within before the next pull.
#[derive(Clone, Debug)]
pub struct ReadyTarget {
    /// Its address.
    pub of: String,
    /// Its place in the catalogue; `None` where a variant took away what it is about.
    pub index: Option<usize>,
    /// Its kind.
    pub kind: Kind,
    /// Which side is bounded.
    pub bound: Bound,
    /// The bound, SI.
    pub value: f64,
    /// Whether the case left it out, so that it was assumed.
    pub assumed: bool,
}

impl ReadyTarget {
    /// It as a bound that a cycle watches.
    pub fn watch(&self) -> Option<Watch> {
        let Self { bound: side, value: bound, .. } = *self;
        self.index.map(|place| Watch { place, side, bound, phases: None })
    }
}

/// How what lies ahead of a pull made the vehicle ready for it.
#[derive(Clone, Debug)]
pub struct Readiness {
    /// The phase in which it begins: the first that is no pull, or the next pull itself where none lies between.
    pub phase: usize,
    /// The pull that it has to be ready for, by its first phase; `None` at the end of the cycle, as if one followed.
    pub pull: Option<usize>,
    /// How long after its start everything was ready for good, s; `None` where it was not when the pull began.
    pub after_s: Option<f64>,
    /// The target that took longest, or is still open.
    pub last: usize,
}

/// Finds what must have come about.
pub fn ready_targets(
    specs: &[ReadySpec],
    catalogue: &Catalogue,
    plain: Option<&Catalogue>,
    problems: &mut Problems,
) -> Vec<ReadyTarget> {
    let mut targets = Vec::new();
    for spec in specs {
        let Some((index, kind)) = find(&spec.of, catalogue, plain, problems) else { continue };
        if let [Some(below), Some(above)] = [&spec.below, &spec.above]
            && let [Ok(most), Ok(least)] = [below, above].map(|text| parse(kind, &text.value))
            && least > most
        {
            let message = "nothing is both below the one and above the other";
            problems.push(Problem::error(above.span, message).label("more than `below`"));
        }
        for (text, bound) in [(&spec.below, Bound::AtMost), (&spec.above, Bound::AtLeast)] {
            let Some(text) = text else { continue };
            if let Some(value) = read(kind, text, problems) {
                let of = spec.of.value.clone();
                targets.push(ReadyTarget { of, index, kind, bound, value, assumed: false });
            }
        }
    }
    targets
}

/// Targets for a case that gives none: the metal of every body back within a fifth of its rise. Their
/// places are those in the history.
pub fn assumed_targets(history: &History) -> Vec<ReadyTarget> {
    let bodies = ["engines/", "coolers/"];
    let entries = history.catalogue.entries().iter().enumerate();
    entries
        .filter(|(_, e)| bodies.iter().any(|b| e.address.starts_with(b)))
        .filter(|(_, e)| e.address.ends_with(":metal"))
        .map(|(index, entry)| {
            let start = history.rows[0][index];
            let peak = history.rows.iter().map(|row| row[index]).fold(start, f64::max);
            let (of, value) = (entry.address.clone(), start + 0.2 * (peak - start));
            let (index, kind) = (Some(index), Kind::Temperature);
            ReadyTarget { of, index, kind, bound: Bound::AtMost, value, assumed: true }
        })
        .collect()
}

/// A phase that takes more than this share of the most power of a duty cycle belongs to a pull.
const PULLS: f64 = 0.5;

/// For so long in a round a power must be asked for to count as the most, s (common practice, no source: what is
/// shorter heats nothing).
const COUNTS_S: f64 = 1.0;

/// A phase that takes more than this share of the most power is no rest as a driver means it. Common practice, no
/// source.
const RESTS: f64 = 0.3;

/// The most power of a cycle, as a share: that of which at least so much is asked for [`COUNTS_S`] in all.
fn most(phases: &[LoweredPhase]) -> f64 {
    let mut seen = BTreeSet::new();
    let mut once: Vec<&LoweredPhase> =
        phases.iter().filter(|phase| seen.insert(&phase.plain)).collect();
    once.sort_by(|a, b| b.power_share.total_cmp(&a.power_share));
    let mut time_s = 0.0;
    let long = once.iter().find(|phase| {
        time_s += phase.time_s;
        time_s >= COUNTS_S
    });
    let most = once.first().map_or(0.0, |phase| phase.power_share);
    // Where nothing else comes near, what is short is what there is.
    long.map(|phase| phase.power_share).filter(|long| *long > NEAR * most).unwrap_or(most)
}

/// What asks for this share of a short power, or less, does not stand for it. Common practice, no source.
const NEAR: f64 = 0.4;

/// Which phases belong to a pull. Common practice, no source: staging, towing, warming up do not.
pub fn pulling(phases: &[LoweredPhase]) -> Vec<bool> {
    let most = most(phases);
    phases.iter().map(|phase| phase.power_share > PULLS * most).collect()
}

/// Pulls that are shorter than what heats anything, and what is taken of full power where no phase takes half of it.
pub fn hardly(phases: &[LoweredPhase]) -> (Vec<&str>, Option<f64>) {
    let pulling = pulling(phases);
    let short = |&k: &usize| {
        let alone = (k == 0 || !pulling[k - 1]) && pulling.get(k + 1) != Some(&true);
        pulling[k] && alone && phases[k].time_s < COUNTS_S
    };
    let mut names: Vec<&str> =
        (0..phases.len()).filter(short).map(|k| phases[k].plain.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let most = phases.iter().map(|phase| phase.power_share).reduce(f64::max);
    (names, most.filter(|most| *most > 0.0 && *most < PULLS))
}

/// The phases that take too little for a pull and too much for a rest, and begin one of them: before these nothing
/// asks whether the vehicle is ready. By their names in the file.
pub fn passed_over(phases: &[LoweredPhase]) -> Vec<&str> {
    let (most, pulling) = (most(phases), pulling(phases));
    let begins = |&k: &usize| {
        let share = phases[k].power_share;
        let harder = k > 0 && phases[k - 1].power_share < share;
        !pulling[k] && share > RESTS * most && harder
    };
    let mut names: Vec<&str> =
        (0..phases.len()).filter(begins).map(|k| phases[k].plain.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The pulls: the phases of each. What comes again by its name is another pull, without anything between.
pub fn pulls(phases: &[LoweredPhase]) -> Vec<Range<usize>> {
    let pulling = pulling(phases);
    let mut pulls: Vec<Range<usize>> = Vec::new();
    for k in (0..phases.len()).filter(|&k| pulling[k]) {
        let again =
            |pull: &Range<usize>| phases[pull.clone()].iter().any(|p| p.plain == phases[k].plain);
        match pulls.last_mut().filter(|pull| pull.end == k && !again(pull)) {
            Some(pull) => pull.end = k + 1,
            None => pulls.push(k..k + 1),
        }
    }
    pulls
}

/// For every pull, and for the end of the cycle where it does not end with one: when all targets were met for good.
/// Times are counted from the end of the pull before.
///
/// `watched` holds what became of each target where it was watched; else it is read off the rows, between
/// which values go straight. What a variant took away is never met.
pub fn readiness(
    history: &History,
    phases: &[LoweredPhase],
    targets: &[ReadyTarget],
    watched: &[Option<&Watched>],
) -> Vec<Readiness> {
    let count = history.phases.len();
    let pulls = pulls(&phases[..count]);
    let starts = pulls.iter().map(|pull| Some(pull.start)).chain([None]);
    let begins = std::iter::once(0).chain(pulls.iter().map(|pull| pull.end));
    // Ahead of the first pull, and behind the last, something has to lie.
    let between = begins.zip(starts).filter(|(phase, pull)| match pull {
        Some(0) => false,
        None => *phase < count && !pulls.is_empty(),
        Some(_) => true,
    });
    between.filter_map(|(phase, pull)| one(history, (phase, pull), (targets, watched))).collect()
}

/// When all targets were met for good between two pulls.
fn one(
    history: &History,
    (phase, pull): (usize, Option<usize>),
    (targets, watched): (&[ReadyTarget], &[Option<&Watched>]),
) -> Option<Readiness> {
    let from = &history.phases[phase];
    let last = pull.unwrap_or(history.phases.len()).max(1) - 1;
    let ends_s = history.phases[last].to_s;
    let rows = from.rows.start..history.phases[last].rows.end.max(from.rows.start + 1);
    let open = |(target, watched): (&ReadyTarget, Option<&Watched>)| match (target.index, watched) {
        (None, _) => None,
        (Some(_), Some(watched)) => last_beyond(watched, from.from_s, ends_s),
        (Some(index), None) => last_above(history, rows.clone(), target, index),
    };
    let times: Vec<Option<f64>> = targets.iter().zip(watched.iter().copied()).map(open).collect();
    let met = times.iter().enumerate().filter_map(|(i, time)| time.map(|time| (i, time)));
    let latest = met.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
    let (last, after_s) = match (times.iter().position(Option::is_none), latest) {
        (Some(unmet), _) => (unmet, None),
        (None, latest) => latest.map(|(last, at)| (last, Some(at - from.from_s)))?,
    };
    Some(Readiness { phase, pull, after_s, last })
}

/// When a target was last missed between two times, s; the first of them where it never was, `None` where
/// it still is at the second, or is no number.
fn last_beyond(watched: &Watched, from_s: f64, to_s: f64) -> Option<f64> {
    if watched.unknown_s.is_some() {
        return None;
    }
    let mut missed = watched.beyond.iter().filter(|[from, to]| *to > from_s && *from < to_s);
    match missed.next_back() {
        None => Some(from_s),
        Some([_, to]) if *to < to_s => Some(*to),
        Some(_) => None,
    }
}

/// When a target was missed for the last time; the phase's start where it never was, `None` where it
/// still is at the end.
fn last_above(
    history: &History,
    rows: Range<usize>,
    target: &ReadyTarget,
    index: usize,
) -> Option<f64> {
    let missed = |row: usize| -target.bound.margin(history.rows[row][index], target.value);
    let first = rows.start;
    let Some(above) = rows.clone().rev().find(|&row| missed(row) > 0.0) else {
        return Some(history.times_s[first]);
    };
    if above + 1 >= rows.end {
        return None;
    }
    let (a, b) = (missed(above), missed(above + 1));
    let (t, u) = (history.times_s[above], history.times_s[above + 1]);
    Some(t + (u - t) * a / (a - b))
}
