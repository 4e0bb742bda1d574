//! The duty cycle: a model followed in time through its phases.

mod following;
mod history;
mod program;
mod room;

use coolwright_solver::integrate::{Absolute, Integrator, Settings};

use crate::instance::{Instance, Made};
use crate::model::Model;
use crate::point::settle;
use crate::slots::Values;
use crate::solve::SolveError;

use following::Following;
use program::Course;

pub use history::{Boiled, CapOpening, History, PhaseHistory, RanOn, Refilled, Rows, Switched};
pub(crate) use program::Ramps;
pub use program::{Phase, Program};
pub(crate) use room::CycleRoom;

/// Most rows between steps: a step longer than the whole cycle over this is sampled within.
const SAMPLES: f64 = 1200.0;

/// Error tolerated per step: relative, and in K (for states of other kinds times their scale).
const RELATIVE: f64 = 2e-6;
/// See [`RELATIVE`].
const ABSOLUTE: f64 = 5e-4;

/// A search for flows ends with a step of Newton's method below this share of the largest flow: what it then
/// leaves is about the square of that.
const LAST_STEP: f64 = 1e-5;

/// How many times as much error is tolerated where a cycle is followed for a fit.
const COARSE: f64 = 8.0;
/// How many times as far apart its rows are then.
const SPARSE: f64 = 3.0;

/// Which results a cycle records.
#[derive(Clone, Copy, Debug)]
pub enum Columns<'a> {
    /// All of them.
    All,
    /// Those at these places of the instance's catalogue ([`Instance::catalogue`]); the history has
    /// a catalogue of its own with these only.
    Only(&'a [usize]),
}

/// Follows a model through phases, from its start temperatures, and records all results. `watch` is
/// told the time after each step and may end it by returning `false`.
///
/// Whoever follows a model many times keeps an [`Instance`] and asks that.
///
/// # Errors
/// As [`Instance::cycle`].
pub fn duty_cycle(
    model: &Model,
    values: &Values,
    phases: &[Phase],
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    let mut instance = Instance::new(model);
    instance.cycle(values, phases, Columns::All, watch)?;
    Ok(std::mem::take(&mut instance.room.cycle.history))
}

/// Follows a model through a program, from its start temperatures, as [`duty_cycle`] does. Steps end
/// where a track jumps or bends.
///
/// # Errors
/// As [`Instance::cycle`].
pub fn follow(
    model: &Model,
    values: &Values,
    program: &Program,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    let mut instance = Instance::new(model);
    instance.follow(values, program, Columns::All, watch)?;
    Ok(std::mem::take(&mut instance.room.cycle.history))
}

impl Instance<'_> {
    /// Follows the model through phases, from its start temperatures. `watch` is told the time after
    /// each step and may end it by returning `false`.
    ///
    /// # Errors
    /// When the numbers are out of range, flows do not come to rest,
    /// the integration fails, or `watch` ends it.
    ///
    /// # Panics
    /// When a column is not in the catalogue.
    pub fn cycle(
        &mut self,
        values: &Values,
        phases: &[Phase],
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        self.run(values, Course { phases, tracks: &[], watches: &[] }, columns, watch)
    }

    /// Follows the model through a program, as [`Instance::cycle`] does. Steps end where a track jumps
    /// or bends.
    ///
    /// # Errors
    /// As [`Instance::cycle`].
    ///
    /// # Panics
    /// When a column is not in the catalogue.
    pub fn follow(
        &mut self,
        values: &Values,
        program: &Program,
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        let Program { phases, tracks, watches } = program;
        self.run(values, Course { phases, tracks, watches }, columns, watch)
    }

    fn run(
        &mut self,
        values: &Values,
        course: Course<'_>,
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        let coarse = self.is_coarse;
        let more = if coarse { COARSE } else { 1.0 };
        // Asked of this cycle, whatever becomes of it.
        let (taken_up, keep_at) = self.room.cycle.asked();
        let (made, room) = self.begin(values)?;
        made.simulator.start_into(&mut room.start);
        made.simulator.start_switches(&room.start);
        settle(&mut made.simulator, &room.start)?;
        if made.integrator.is_none() {
            let scales = made.simulator.scales();
            let absolute = scales.iter().map(|scale| more * ABSOLUTE * scale).collect();
            let settings = Settings {
                relative: more * RELATIVE,
                absolute: Absolute::Each(absolute),
                ..Settings::default()
            };
            let integrator = Integrator::new(&made.simulator, settings);
            let failed = |failure| SolveError::Cycle { at_s: 0.0, failure };
            made.integrator = Some(integrator.map_err(failed)?);
        }
        let cycle = &mut room.cycle;
        cycle.begin(made, columns, course.watches, &room.start);
        made.simulator.settled.settle_by_steps_below(LAST_STEP);
        let Made { integrator, .. } = made;
        let mut integrator = integrator.take().expect("made above");
        integrator.forget();
        let total: f64 = course.phases.iter().map(|phase| phase.time_s).sum();
        let sample_s = total / SAMPLES * if coarse { SPARSE } else { 1.0 };
        let first = match taken_up {
            Some(waypoint) => {
                let first = (waypoint.phase, waypoint.at_s);
                waypoint.restore((&mut made.simulator, &mut integrator), cycle);
                first
            }
            None => (0, 0.0),
        };
        let at_once = 0;
        let mut following = Following { made, integrator, sample_s, coarse, at_once, room: cycle };
        let followed = following.phases((values, course), (first, keep_at), watch);
        let Following { made, integrator, room: cycle, .. } = following;
        cycle.history.statistics = integrator.statistics();
        cycle.history.watched.clone_from(&cycle.watching.watched);
        made.integrator = Some(integrator);
        followed.map(|()| &cycle.history)
    }
}
