//! How long the phases of a duty cycle may last, or must.

use coolwright_models::cycle::{Columns, Phase};
use coolwright_models::instance::Instance;

use super::case::Built;
use super::cycle::{Course, phases};
use crate::answer::Verdict;
use crate::refusal::Refusal;
use crate::study::{Judged, Lasting, Trial, WORKS, lasts, stands};
use crate::workers::{self, Workers};

/// Which lengths are sought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lengths {
    /// How long each phase under load may last at most.
    pub longest: bool,
    /// How long each rest must last at least.
    pub rest: bool,
}

/// Longest length that is tried of a phase under load, s.
const MOST_LOAD_S: f64 = 3600.0;
/// Longest length that is tried of a rest, s.
const MOST_REST_S: f64 = 6.0 * 3600.0;

/// The lengths that are asked for: of each phase by its name in the file, all its rounds alike, the others as
/// they are written. `works` says that nothing grave stands beside the verdict: else no length holds.
pub(super) fn lasting(
    built: &Built<'_>,
    (lengths, works): (Lengths, bool),
    workers: &dyn Workers,
) -> Result<Vec<Lasting>, Refusal> {
    if (lengths.longest || lengths.rest) && !built.ready.duty.tracks.is_empty() {
        return Err(Refusal::said("a drive that was logged lasts as long as it did")
            .help("`day`, `--longest` and `--rest` ask for other lengths, so they want phases"));
    }
    let duty = &built.ready.duty.phases;
    let mut sought: Vec<(&str, f64, bool)> = Vec::new();
    for phase in duty {
        let is_rest = phase.power_share <= WORKS;
        let wanted = if is_rest { lengths.rest } else { lengths.longest };
        // A rest that no work follows may be as short as it likes: nothing tells.
        let first = duty.iter().position(|of| of.plain == phase.plain).unwrap_or(0);
        let is_followed = duty[first..].iter().any(|of| of.power_share > WORKS);
        let wanted = wanted && (!is_rest || is_followed);
        if wanted && !sought.iter().any(|(name, ..)| *name == phase.plain) {
            sought.push((&phase.plain, phase.time_s, is_rest));
        }
    }
    let found = workers::map(workers, sought.len(), |k| {
        let (name, written_s, is_rest) = sought[k];
        let mut instance = Instance::new(&built.ready.model);
        let most_s = if is_rest { MOST_REST_S } else { MOST_LOAD_S };
        let mut trial = |s: f64| {
            if works {
                tried(built, &mut instance, (name, s))
            } else {
                Ok(Trial::Fails("what stands beside the verdict".to_owned()))
            }
        };
        let lasts = lasts(is_rest, [written_s, most_s.max(written_s)], &mut trial);
        lasts.map(|lasts| Lasting { phase: name.to_owned(), written_s, is_rest, lasts })
    });
    found.into_iter().collect()
}

/// How the cycle stands with one phase of another length.
fn tried(
    built: &Built<'_>,
    instance: &mut Instance<'_>,
    (name, s): (&str, f64),
) -> Result<Trial, Refusal> {
    let duty = &built.ready.duty.phases;
    let mut phases: Vec<Phase> = phases(built);
    for (phase, written) in phases.iter_mut().zip(duty) {
        if written.plain == name {
            phase.time_s = s;
        }
    }
    let course = Course::of(built, phases);
    let columns = Columns::Only(&course.columns);
    let model = &built.ready.model;
    let history = instance.follow(&model.values, &course.program, columns, &mut |_| true);
    let history = history.map_err(|error| built.unsolved(&error))?;
    let judged = course.judged(built, history);
    if stands(&judged, history.boiled.is_none()) != Verdict::Holds {
        return Ok(Trial::Fails(worst(&judged)));
    }
    let late = course.rests(built, history).into_iter().find(|rest| rest.after_s.is_none());
    Ok(late.map_or(Trial::Holds, |rest| {
        Trial::Fails(format!("not ready: {}", course.targets[rest.last].of))
    }))
}

/// The limit that breaks first, or else one that was not judged.
pub(super) fn worst(judged: &[Judged]) -> String {
    let time = |judged: &&Judged| judged.first_s.or(judged.at_s).unwrap_or(f64::INFINITY);
    let broken = judged.iter().filter(|judged| judged.is_broken());
    let first = broken.min_by(|a, b| time(a).total_cmp(&time(b)));
    let open = || judged.iter().find(|judged| !judged.holds());
    first.or_else(open).map_or_else(String::new, |judged| judged.limit.name.clone())
}
