//! When the vehicle is ready again after a pull.

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::lower::ReadySpec;
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

/// How a phase of rest brought the vehicle back.
#[derive(Clone, Debug)]
pub struct Readiness {
    /// The phase of rest.
    pub phase: usize,
    /// How long after its start everything was ready, s; `None` where it was not by its end.
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

/// For every phase of rest: when all targets were met for good.
///
/// A rest begins with a phase that is driven less hard than the one before, and lasts until one is
/// driven harder again; the times are counted from its start.
///
/// `watched` holds what became of each target where it was watched; else it is read off the rows, between
/// which values go straight. What a variant took away is never met.
pub fn readiness(
    history: &History,
    shares: &[f64],
    targets: &[ReadyTarget],
    watched: &[Option<&Watched>],
) -> Vec<Readiness> {
    let mut found = Vec::new();
    let harder = |k: usize, than: usize| {
        shares.get(k).zip(shares.get(than)).is_some_and(|(now, before)| now > before)
    };
    let mut resting = false;
    for (k, phase) in history.phases.iter().enumerate().skip(1) {
        let begins = harder(k - 1, k) && !resting;
        resting = (resting && !harder(k, k - 1)) || begins;
        if !begins || targets.is_empty() {
            continue;
        }
        let count = history.phases.len();
        let last = (k..count).find(|&n| n + 1 >= count || harder(n + 1, n)).unwrap_or(k);
        let rows = phase.rows.start..history.phases[last].rows.end;
        let ends_s = history.phases[last].to_s;
        let open =
            |(target, watched): (&ReadyTarget, Option<&Watched>)| match (target.index, watched) {
                (None, _) => None,
                (Some(_), Some(watched)) => last_beyond(watched, phase.from_s, ends_s),
                (Some(index), None) => last_above(history, rows.clone(), target, index),
            };
        let times: Vec<Option<f64>> =
            targets.iter().zip(watched.iter().copied()).map(open).collect();
        let unmet = times.iter().position(Option::is_none);
        let latest = times
            .iter()
            .enumerate()
            .filter_map(|(i, t)| t.map(|t| (i, t)))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let (last, after_s) = match (unmet, latest) {
            (Some(unmet), _) => (unmet, None),
            (None, Some((last, at))) => (last, Some(at - phase.from_s)),
            (None, None) => continue,
        };
        found.push(Readiness { phase: k, after_s, last });
    }
    found
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
    rows: std::ops::Range<usize>,
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
