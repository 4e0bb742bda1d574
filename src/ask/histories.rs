//! Which results are handed out over time, and at which times.

use coolwright_cases::text::nearest;
use coolwright_models::cycle::History;
use coolwright_models::results::Catalogue;

use super::case::did_you_mean;
use crate::answer::{Histories, HistoryColumn};
use crate::refusal::Refusal;
use crate::say;

/// Where no interval is asked for, this many of them make up the whole cycle.
const INTERVALS: f64 = 600.0;

/// Which results are wanted over time.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// Addresses, in which `*` stands for anything and `?` for one sign; what limits, readiness and the
    /// plots need where empty.
    pub columns: Vec<String>,
    /// Interval of the times, s; where left out, every time that was worked out where columns are asked for,
    /// and some six hundred times otherwise.
    pub every_s: Option<f64>,
}

/// Wanted columns, found.
pub(super) struct Resolved {
    /// Their addresses; `None` where none are asked for.
    columns: Option<Vec<String>>,
    every_s: Option<f64>,
}

impl Resolved {
    /// Where the columns that are asked for stand in a catalogue.
    pub(super) fn places(&self, catalogue: &Catalogue) -> Vec<usize> {
        self.columns.iter().flatten().filter_map(|address| catalogue.find(address)).collect()
    }
}

impl Wanted {
    /// Finds what is wanted.
    ///
    /// # Errors
    /// When a pattern fits no result, or the interval is no time.
    pub(super) fn resolved(&self, catalogue: &Catalogue) -> Result<Resolved, Refusal> {
        if self.every_s.is_some_and(|every| !(every > 0.0 && every.is_finite())) {
            return Err(Refusal::said("the interval of histories must be longer than nothing"));
        }
        if self.columns.is_empty() {
            return Ok(Resolved { columns: None, every_s: self.every_s });
        }
        let entries = catalogue.entries();
        let mut columns = Vec::new();
        for pattern in &self.columns {
            let fits = |k: &usize| fits(pattern, &entries[*k].address);
            let found: Vec<usize> = (0..entries.len()).filter(fits).collect();
            if found.is_empty() {
                let addresses = entries.iter().map(|entry| entry.address.as_str());
                let hint = did_you_mean(nearest(pattern, addresses));
                let message =
                    say!("no result fits `{pattern}`.{hint}", pattern = pattern, hint = hint);
                return Err(Refusal::said(message).help(
                    "an address is a path and a result, as in `main/loop:flow`; `*` stands for anything: `main/*:flow`; \
                     `point --json` lists all of them",
                ));
            }
            columns.extend(found);
        }
        let addresses = without_repeats(columns).into_iter().map(|k| entries[k].address.clone());
        Ok(Resolved { columns: Some(addresses.collect()), every_s: self.every_s })
    }
}

fn without_repeats(mut columns: Vec<usize>) -> Vec<usize> {
    columns.sort_unstable();
    columns.dedup();
    columns
}

/// Whether a text fits a pattern in which `*` stands for anything and `?` for one sign.
fn fits(pattern: &str, text: &str) -> bool {
    let (pattern, text): (Vec<char>, Vec<char>) =
        (pattern.chars().collect(), text.chars().collect());
    let (mut p, mut t) = (0, 0);
    // The last star, and where what it stands for ends.
    let mut star: Option<(usize, usize)> = None;
    while t < text.len() {
        if p < pattern.len() && pattern[p] == '*' {
            star = Some((p, t));
            p += 1;
        } else if p < pattern.len() && (pattern[p] == '?' || pattern[p] == text[t]) {
            p += 1;
            t += 1;
        } else if let Some((at, end)) = star {
            star = Some((at, end + 1));
            p = at + 1;
            t = end + 1;
        } else {
            return false;
        }
    }
    pattern[p..].iter().all(|&sign| sign == '*')
}

/// The histories that are wanted; `usual` are the columns where none are asked for.
pub(super) fn histories(history: &History, wanted: &Resolved, usual: Vec<usize>) -> Histories {
    let columns = match &wanted.columns {
        Some(_) => wanted.places(&history.catalogue),
        None => without_repeats(usual),
    };
    let end = history.times_s.last().copied().unwrap_or(0.0);
    let every_s = wanted.every_s.or_else(|| wanted.columns.is_none().then_some(end / INTERVALS));
    let mut out = Histories {
        columns: columns.iter().map(|&index| column(history, index)).collect(),
        times_s: Vec::new(),
        phases: Vec::new(),
        rows: Vec::new(),
    };
    for phase in &history.phases {
        let first = out.rows.len();
        match every_s {
            Some(every) if every > 0.0 => sampled(history, &phase.rows, &columns, every, &mut out),
            _ => {
                for row in phase.rows.clone() {
                    out.times_s.push(history.times_s[row]);
                    out.rows.push(columns.iter().map(|&k| history.rows[row][k]).collect());
                }
            }
        }
        out.phases.push((phase.name.clone(), first..out.rows.len()));
    }
    out
}

fn column(history: &History, index: usize) -> HistoryColumn {
    let entry = &history.catalogue.entries()[index];
    HistoryColumn {
        address: entry.address.clone(),
        kind: entry.quantity.kind,
        label: entry.quantity.label,
        formula: entry.quantity.formula,
    }
}

/// Rows of a phase at its beginning, at whole multiples of an interval, and at its end. Between the times
/// that were worked out values go straight.
fn sampled(
    history: &History,
    rows: &std::ops::Range<usize>,
    columns: &[usize],
    every_s: f64,
    out: &mut Histories,
) {
    let times = &history.times_s[rows.clone()];
    let (Some(&begin), Some(&end)) = (times.first(), times.last()) else { return };
    let mut wanted = vec![begin];
    let mut step = (begin / every_s).floor() + 1.0;
    // Too near to an end of the phase it would be the same time twice.
    let apart = 1e-9 * every_s;
    while step * every_s < end - apart {
        if step * every_s > begin + apart {
            wanted.push(step * every_s);
        }
        step += 1.0;
    }
    wanted.push(end);
    let mut before = 0;
    for (k, &time) in wanted.iter().enumerate() {
        while before + 2 < times.len() && times[before + 1] < time {
            before += 1;
        }
        let after = (before + 1).min(times.len() - 1);
        let (t, u) = (times[before], times[after]);
        let last = k + 1 == wanted.len();
        // At the end of a phase what has just switched counts.
        let share = if last {
            1.0
        } else if u > t {
            (time - t) / (u - t)
        } else {
            0.0
        };
        let (a, b) = if last {
            (rows.end - 1, rows.end - 1)
        } else {
            (rows.start + before, rows.start + after)
        };
        let straight = |&column: &usize| {
            let (from, to) = (history.rows[a][column], history.rows[b][column]);
            if share <= 0.0 { from } else { from + share * (to - from) }
        };
        out.times_s.push(time);
        out.rows.push(columns.iter().map(straight).collect());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_star_stands_for_anything_and_a_question_mark_for_one_sign() {
        for (pattern, text, wanted) in [
            ("main/loop:flow", "main/loop:flow", true),
            ("main/loop:flow", "main/loop:flows", false),
            ("*", "main/loop:flow", true),
            ("main/*:flow", "main/loop/pump:flow", true),
            ("main/*:flow", "main/loop/pump:head", false),
            ("*:metal", "coolers/pack:metal", true),
            ("*a*b", "xaxbxb", true),
            ("plate_?", "plate_1", true),
            ("plate_?", "plate_10", false),
            ("", "", true),
            ("", "x", false),
        ] {
            assert_eq!(fits(pattern, text), wanted, "{pattern} {text}");
        }
    }
}
