//! When the vehicle is ready again after a pull.

use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::ReadySpec;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::results::Catalogue;

use super::limits::{find, read};

/// A result that must have fallen below a value.
#[derive(Clone, Debug)]
pub struct ReadyTarget {
    /// Its address.
    pub of: String,
    /// Its place in the catalogue.
    pub index: usize,
    /// Its kind.
    pub kind: Kind,
    /// The value, SI.
    pub below: f64,
    /// Whether the case left it out, so that it was assumed.
    pub assumed: bool,
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

/// Finds what must have fallen, and below what.
pub fn ready_targets(
    specs: &[ReadySpec],
    catalogue: &Catalogue,
    problems: &mut Problems,
) -> Vec<ReadyTarget> {
    let mut targets = Vec::new();
    for spec in specs {
        let Some((index, kind)) = find(&spec.of, catalogue, problems) else { continue };
        if let Some(below) = read(kind, &spec.below, problems) {
            let of = spec.of.value.clone();
            targets.push(ReadyTarget { of, index, kind, below, assumed: false });
        }
    }
    targets
}

/// Targets for a case that gives none: the metal of every body back within a fifth of its rise.
pub fn assumed_targets(history: &History) -> Vec<ReadyTarget> {
    let bodies = ["engines/", "coolers/"];
    let entries = history.catalogue.entries().iter().enumerate();
    entries
        .filter(|(_, e)| bodies.iter().any(|b| e.address.starts_with(b)))
        .filter(|(_, e)| e.address.ends_with(":metal"))
        .map(|(index, entry)| {
            let start = history.rows[0][index];
            let peak = history.rows.iter().map(|row| row[index]).fold(start, f64::max);
            let below = start + 0.2 * (peak - start);
            let of = entry.address.clone();
            ReadyTarget { of, index, kind: Kind::Temperature, below, assumed: true }
        })
        .collect()
}

/// For every phase of rest: when all targets were met for good.
///
/// A rest begins with a phase that is driven less hard than the one before, and lasts until one is
/// driven harder again; the times are counted from its start.
pub fn readiness(history: &History, shares: &[f64], targets: &[ReadyTarget]) -> Vec<Readiness> {
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
        let open = |target: &ReadyTarget| last_above(history, rows.clone(), target);
        let times: Vec<Option<f64>> = targets.iter().map(open).collect();
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

/// When a target was above its value for the last time; the phase's start where it never was,
/// `None` where it still is at the end.
fn last_above(
    history: &History,
    rows: std::ops::Range<usize>,
    target: &ReadyTarget,
) -> Option<f64> {
    let value = |row: usize| history.rows[row][target.index] - target.below;
    let first = rows.start;
    let Some(above) = rows.clone().rev().find(|&row| value(row) > 0.0) else {
        return Some(history.times_s[first]);
    };
    if above + 1 >= rows.end {
        return None;
    }
    let (a, b) = (value(above), value(above + 1));
    let (t, u) = (history.times_s[above], history.times_s[above + 1]);
    Some(t + (u - t) * a / (a - b))
}
