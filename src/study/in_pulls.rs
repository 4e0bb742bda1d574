//! How a limit stands in each pull of a cycle, with the rest behind it: what is hot may peak after shutdown.

use coolwright_cases::lower::LoweredPhase;
use coolwright_models::cycle::PhaseHistory;
use coolwright_models::watch::Watched;

use super::limits::Limit;
use super::ready::pulls;

/// A limit in one pull and the rest behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct InPull {
    /// When the pull begins, s.
    pub from_s: f64,
    /// The value with the least margin, SI.
    pub worst: f64,
    /// When that was, s.
    pub at_s: f64,
    /// When it was broken first, s; `None` where it was not.
    pub first_s: Option<f64>,
    /// For how long it was broken, s.
    pub beyond_s: f64,
}

/// How a limit stood in every pull that was begun; none where the cycle has a single pull.
pub(super) fn in_pulls(
    limit: &Limit,
    watched: &Watched,
    (phases, history): (&[LoweredPhase], &[PhaseHistory]),
) -> Vec<InPull> {
    let count = phases.len().min(history.len());
    let starts: Vec<usize> = pulls(&phases[..count]).iter().map(|pull| pull.start).collect();
    if starts.len() < 2 {
        return Vec::new();
    }
    let ends = starts.iter().skip(1).copied().chain([count]);
    starts
        .iter()
        .zip(ends)
        .filter_map(|(&start, end)| one(limit, watched, &history[start..end], start))
        .collect()
}

/// The same in one of them; `None` where the limit was not watched there.
fn one(limit: &Limit, watched: &Watched, phases: &[PhaseHistory], start: usize) -> Option<InPull> {
    let worst = watched.worst_of_phases.get(start..start + phases.len())?;
    let margin = |(value, _): &(f64, f64)| limit.margin(*value);
    let worst = worst.iter().flatten().min_by(|a, b| margin(a).total_cmp(&margin(b)))?;
    let (from_s, to_s) = (phases.first()?.from_s, phases.last()?.to_s);
    let within = watched.beyond.iter().map(|[from, to]| [from.max(from_s), to.min(to_s)]);
    let broken: Vec<[f64; 2]> = within.filter(|[from, to]| to > from).collect();
    Some(InPull {
        from_s,
        worst: worst.0,
        at_s: worst.1,
        first_s: broken.first().map(|[from, _]| *from),
        beyond_s: broken.iter().map(|[from, to]| to - from).sum(),
    })
}
