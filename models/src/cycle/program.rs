//! What a cycle follows: phases, numbers over time, bounds that are watched.

use crate::inputs::{Ramp, Track};
use crate::model::Model;
use crate::slots::{Slot, Values};
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
    /// How long what changes from the phase before takes to go there, along straight lines, s; at once where zero. No longer
    /// than the phase; the first phase has none before it.
    pub ramp_s: f64,
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

/// Room for the ramps at the start of a phase.
#[derive(Debug, Default)]
pub(crate) struct Ramps {
    /// Numbers that are on their way.
    pub(crate) underway: Vec<Ramp>,
    /// All numbers before, and at the end of the ramps.
    before: Values,
    after: Values,
}

impl Ramps {
    /// Finds what is on its way where a phase begins, at `from_s`: every number that it or the phase before sets.
    pub(crate) fn find(
        &mut self,
        (model, values): (&Model, &Values),
        (phases, index): (&[Phase], usize),
        from_s: f64,
    ) {
        let Self { underway, before, after } = self;
        underway.clear();
        let phase = &phases[index];
        let Some(last) = index.checked_sub(1).filter(|_| phase.ramp_s > 0.0) else { return };
        let last = &phases[last];
        for (numbers, of) in [(&mut *before, last), (&mut *after, phase)] {
            numbers.copy_from(values);
            model.write_running(numbers, &of.sets);
        }
        let to_s = from_s + phase.ramp_s.min(phase.time_s);
        for (slot, _) in last.sets.iter().chain(&phase.sets) {
            let [start, end] = [&*before, &*after].map(|numbers| told(model, numbers, *slot));
            let known = underway.iter().any(|ramp| ramp.slot == *slot);
            if !known && start.total_cmp(&end).is_ne() {
                underway.push(Ramp { slot: *slot, from: [from_s, start], to: [to_s, end] });
            }
        }
    }
}

/// The number in a slot; what a phase would set a machine to where it does not is what the machine is set to.
fn told(model: &Model, numbers: &Values, slot: Slot) -> f64 {
    let number = numbers.get(slot);
    let machine = model.machines.iter().find(|machine| machine.command.instead == slot);
    match machine {
        Some(machine) if number < 0.0 => numbers.get(machine.command.own),
        _ => number,
    }
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
    /// Writes the times between `from` and `to` at which a track jumps or bends or a ramp ends, and `to`, s.
    pub(super) fn ends_into(&self, [from, to]: [f64; 2], ramps: &Ramps, ends: &mut Vec<f64>) {
        let corners = self.tracks.iter().flat_map(|(_, track)| track.corners());
        let corners = corners.chain(ramps.underway.iter().map(|ramp| ramp.to[0]));
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
