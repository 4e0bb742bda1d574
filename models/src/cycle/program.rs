//! What a cycle follows: phases, numbers over time, bounds that are watched.

use crate::inputs::Track;
use crate::slots::Slot;
use crate::watch::Watch;

/// A stretch of time in which what the vehicle does stays the same.
#[derive(Clone, Debug, Default)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// How long, s.
    pub time_s: f64,
    /// Numbers that it writes.
    pub sets: Vec<(Slot, f64)>,
    /// Tanks that get ice as it begins, so that they hold as much as at the start: circuit, run, part.
    pub refills: Vec<(usize, usize, usize)>,
}

/// What a cycle follows: phases one after the other, and numbers that go over time.
#[derive(Clone, Debug, Default)]
pub struct Program {
    /// Phases one after the other. They divide what is told of the cycle.
    pub phases: Vec<Phase>,
    /// Numbers over the time since the start; they count before what the phases set. Where two write
    /// one number the later counts.
    pub tracks: Vec<(Slot, Track)>,
    /// Bounds on results whose crossings are located on the way ([`super::History::watched`]).
    pub watches: Vec<Watch>,
}

impl Program {
    /// Phases alone: in each hold the numbers that it sets, and nothing goes over time.
    pub fn of_phases(phases: &[Phase]) -> Self {
        Self { phases: phases.to_vec(), ..Self::default() }
    }
}

/// Phases and tracks of a program.
#[derive(Clone, Copy)]
pub(super) struct Course<'a> {
    pub(super) phases: &'a [Phase],
    pub(super) tracks: &'a [(Slot, Track)],
    pub(super) watches: &'a [Watch],
}

impl Course<'_> {
    /// Writes the times between `from` and `to` at which a track jumps or bends, and `to`, s.
    pub(super) fn ends_into(&self, from: f64, to: f64, ends: &mut Vec<f64>) {
        let corners = self.tracks.iter().flat_map(|(_, track)| track.corners());
        ends.clear();
        ends.extend(corners.filter(|at| *at > from && *at < to));
        ends.sort_unstable_by(f64::total_cmp);
        ends.dedup();
        ends.push(to);
    }

    /// Whether a number jumps at a time, s.
    pub(super) fn jumps(&self, time: f64) -> bool {
        self.tracks
            .iter()
            .map(|(_, track)| track.around(time))
            .any(|[a, b]| a.total_cmp(&b).is_ne())
    }
}
