//! The duty cycle: a model followed in time through its phases.

use std::sync::Arc;

use coolwright_solver::integrate::{Absolute, Integrator, Outcome, Settings, Statistics};

use crate::inputs::{Ramp, Track};
use crate::model::Model;
use crate::point::{check_pumps, settle};
use crate::results::{Catalogue, Results, record};
use crate::simulate::{Border, Simulator};
use crate::slots::{Slot, Values};
use crate::solve::SolveError;

/// A stretch of time in which what the vehicle does stays the same.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// How long, s.
    pub time_s: f64,
    /// Numbers that it writes.
    pub sets: Vec<(Slot, f64)>,
}

/// What a cycle follows: phases by name, and numbers that go over time.
#[derive(Clone, Debug, Default)]
pub struct Program {
    /// Phases one after the other: name, and how long, s. They divide what is told of the cycle.
    pub phases: Vec<(String, f64)>,
    /// Numbers over the time since the start. Where two write one number the later counts.
    pub tracks: Vec<(Slot, Track)>,
}

impl Program {
    /// Phases as steps of tracks: what a phase does not set has in it the value of `values`.
    pub fn of_phases(values: &Values, phases: &[Phase]) -> Self {
        let mut slots: Vec<Slot> = phases.iter().flat_map(|p| &p.sets).map(|set| set.0).collect();
        slots.sort_unstable();
        slots.dedup();
        let step = |slot: Slot| {
            let mut from_s = 0.0;
            let mut steps = Vec::with_capacity(phases.len());
            for phase in phases {
                let set = phase.sets.iter().rev().find(|set| set.0 == slot);
                steps.push([from_s, set.map_or_else(|| values.get(slot), |set| set.1)]);
                from_s += phase.time_s;
            }
            (slot, Track::steps(&steps))
        };
        let names = phases.iter().map(|phase| (phase.name.clone(), phase.time_s));
        Self { phases: names.collect(), tracks: slots.into_iter().map(step).collect() }
    }

    /// Times between `from` and `to` at which a track jumps or bends, and `to`, s.
    fn ends(&self, from: f64, to: f64) -> Vec<f64> {
        let corners = self.tracks.iter().flat_map(|(_, track)| track.corners());
        let mut ends: Vec<f64> = corners.filter(|at| *at > from && *at < to).collect();
        ends.sort_by(f64::total_cmp);
        ends.dedup();
        ends.push(to);
        ends
    }

    /// The numbers at the start of a stretch, and those that go along a ramp in it.
    fn stretch(&self, values: &Values, [from, to]: [f64; 2]) -> (Values, Vec<Ramp>) {
        let mut now = values.clone();
        let mut ramps = Vec::new();
        for (slot, track) in &self.tracks {
            let (start, end) = (track.around(from)[1], track.around(to)[0]);
            now.set(*slot, start);
            ramps.retain(|ramp: &Ramp| ramp.slot != *slot);
            if start.total_cmp(&end).is_ne() {
                ramps.push(Ramp { slot: *slot, from: [from, start], to: [to, end] });
            }
        }
        (now, ramps)
    }

    /// Whether a number jumps at a time, s.
    fn jumps(&self, time: f64) -> bool {
        self.tracks
            .iter()
            .map(|(_, track)| track.around(time))
            .any(|[a, b]| a.total_cmp(&b).is_ne())
    }
}

/// A phase that has been followed.
#[derive(Clone, Debug)]
pub struct PhaseHistory {
    /// Its name.
    pub name: String,
    /// When it began and ended, s.
    pub from_s: f64,
    /// See `from_s`.
    pub to_s: f64,
    /// Its first row, and the one after its last.
    pub rows: std::ops::Range<usize>,
    /// Heat that crossed the border of the model in it, J.
    pub border: Border,
    /// Heat that the model held more at its end than at its start, J.
    pub stored_j: f64,
}

impl PhaseHistory {
    /// What the audit leaves open, J: heat in less heat out less heat stored.
    pub fn open_j(&self) -> f64 {
        let Border { bodies, pumps, cores, outside } = &self.border;
        let sum = |x: &[f64]| x.iter().sum::<f64>();
        sum(bodies) + sum(pumps) + sum(outside) - sum(cores) - self.stored_j
    }
}

/// Where the coolant began to boil in bulk, beyond which the model no longer holds.
#[derive(Clone, Copy, Debug)]
pub struct Boiled {
    /// The circuit.
    pub circuit: usize,
    /// When, s.
    pub at_s: f64,
}

/// A switch that went on or off.
#[derive(Clone, Copy, Debug)]
pub struct Switched {
    /// Which of the model's switches.
    pub switch: usize,
    /// When, s.
    pub at_s: f64,
    /// Whether it went on.
    pub on: bool,
}

/// A duty cycle that has been followed.
#[derive(Clone, Debug)]
pub struct History {
    /// What the columns are.
    pub catalogue: Arc<Catalogue>,
    /// When, s. At the end of a phase there are two rows of the same time: the phase's last instant
    /// and the next one's first.
    pub times_s: Vec<f64>,
    /// All results, one row a time.
    pub rows: Vec<Vec<f64>>,
    /// The phases.
    pub phases: Vec<PhaseHistory>,
    /// Whether and where the coolant boiled.
    pub boiled: Option<Boiled>,
    /// What switched, and when.
    pub switched: Vec<Switched>,
    /// All states at the end.
    pub states: Vec<f64>,
    /// What the integration cost.
    pub statistics: Statistics,
}

/// Most rows between steps: a step longer than the whole cycle over this is sampled within.
const SAMPLES: f64 = 1200.0;

/// Error tolerated per step: relative, and in K (kg for ice).
const RELATIVE: f64 = 2e-6;
/// See [`RELATIVE`].
const ABSOLUTE: f64 = 5e-4;

/// Follows a model through phases, from its start temperatures. `watch` is told the time after each
/// step and may end it by returning `false`.
///
/// # Errors
/// When the numbers are out of range, flows do not come to rest, a running pump is driven backwards,
/// the integration fails, or `watch` ends it.
pub fn duty_cycle(
    model: &Model,
    values: &Values,
    phases: &[Phase],
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    follow(model, values, &Program::of_phases(values, phases), watch)
}

/// Follows a model through a program, from its start temperatures, as [`duty_cycle`] does. Steps end
/// where a track jumps or bends.
///
/// # Errors
/// See [`duty_cycle`].
pub fn follow(
    model: &Model,
    values: &Values,
    program: &Program,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    let mut simulator =
        Simulator::new(model, values.clone()).map_err(|e| SolveError::prepare(model, e))?;
    let states = simulator.start();
    simulator.start_switches(&states);
    settle(&mut simulator, &states)?;
    let settings =
        Settings { relative: RELATIVE, absolute: Absolute::Same(ABSOLUTE), ..Settings::default() };
    let integrator = Integrator::new(&simulator, settings)
        .map_err(|failure| SolveError::Cycle { at_s: 0.0, failure })?;
    let results = Results::of(&simulator, &states);
    let total: f64 = program.phases.iter().map(|phase| phase.1).sum();
    let boil =
        model.circuits.iter().map(|c| results.catalogue.find(&format!("{}:boil_margin", c.name)));
    let mut run = Following {
        boil: boil.collect(),
        simulator,
        integrator,
        sample_s: total / SAMPLES,
        scratch: states.clone(),
        history: History {
            catalogue: results.catalogue,
            times_s: Vec::new(),
            rows: Vec::new(),
            phases: Vec::new(),
            boiled: None,
            switched: Vec::new(),
            states,
            statistics: Statistics::default(),
        },
    };
    let mut from_s = 0.0;
    for phase in &program.phases {
        run.phase((values, program), phase, from_s, watch)?;
        if run.history.boiled.is_some() {
            break;
        }
        from_s += phase.1;
    }
    run.history.statistics = run.integrator.statistics();
    Ok(run.history)
}

/// A duty cycle underway.
struct Following<'m> {
    simulator: Simulator<'m>,
    integrator: Integrator,
    history: History,
    sample_s: f64,
    scratch: Vec<f64>,
    /// Column of each circuit's margin against boiling.
    boil: Vec<Option<usize>>,
}

impl Following<'_> {
    fn phase(
        &mut self,
        (values, program): (&Values, &Program),
        (name, time_s): &(String, f64),
        from_s: f64,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), SolveError> {
        let to_s = from_s + time_s;
        let ends = program.ends(from_s, to_s);
        self.conditions(program.stretch(values, [from_s, ends[0]]))?;
        let first_row = self.history.rows.len();
        let states = std::mem::take(&mut self.history.states);
        let stored = self.simulator.stored_j(&states);
        let crossed = self.integrator.audits().to_vec();
        self.integrator.restart(from_s, &states);
        self.row(from_s, &states)?;
        self.stretch(ends[0], watch)?;
        for ends in ends.windows(2) {
            if self.history.boiled.is_some() {
                break;
            }
            self.conditions(program.stretch(values, [ends[0], ends[1]]))?;
            if program.jumps(ends[0]) {
                let states = self.integrator.state().to_vec();
                self.row(ends[0], &states)?;
            }
            self.stretch(ends[1], watch)?;
        }
        let states = self.integrator.state().to_vec();
        let since: Vec<f64> =
            self.integrator.audits().iter().zip(&crossed).map(|(now, then)| now - then).collect();
        let ended = self.history.boiled.map_or(to_s, |boiled| boiled.at_s);
        self.history.phases.push(PhaseHistory {
            name: name.clone(),
            from_s,
            to_s: ended,
            rows: first_row..self.history.rows.len(),
            border: self.simulator.rates.border.filled(&since),
            stored_j: self.simulator.stored_j(&states) - stored,
        });
        self.history.states = states;
        Ok(())
    }

    /// Other numbers hold from now on, some of them on their way.
    fn conditions(&mut self, (now, ramps): (Values, Vec<Ramp>)) -> Result<(), SolveError> {
        let model = self.simulator.setup.model;
        let set = self.simulator.set_ramped(now, &ramps);
        set.map_err(|error| SolveError::prepare(model, error))
    }

    /// Goes on to a time within a phase; not where coolant has boiled.
    fn stretch(&mut self, to_s: f64, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), SolveError> {
        while self.history.boiled.is_none() {
            let outcome = self.integrator.step_towards(&mut self.simulator, to_s);
            let outcome = outcome.map_err(|failure| self.failed(failure))?;
            self.sample()?;
            if !watch(self.integrator.time()) {
                return Err(SolveError::Interrupted);
            }
            match outcome {
                Some(Outcome::Reached) => break,
                Some(Outcome::Crossed { switch, rising }) => self.switch(switch, rising)?,
                None => {}
            }
        }
        Ok(())
    }

    /// A switch changes; a second row of the same time shows what it did.
    fn switch(&mut self, switch: usize, on: bool) -> Result<(), SolveError> {
        self.simulator.switch(switch, on);
        self.history.switched.push(Switched { switch, at_s: self.integrator.time(), on });
        let states = self.integrator.state().to_vec();
        self.row(self.integrator.time(), &states)
    }

    fn failed(&mut self, failure: coolwright_solver::integrate::Failure) -> SolveError {
        match self.simulator.failure.take() {
            Some(unsettled) => SolveError::unsettled(&self.simulator.setup, unsettled),
            None => SolveError::Cycle { at_s: self.integrator.time(), failure },
        }
    }

    /// Rows for the last step: its end, and times within it where it is long.
    fn sample(&mut self) -> Result<(), SolveError> {
        let (begin, end) = self.integrator.last_step();
        let mut y = std::mem::take(&mut self.scratch);
        let pieces = ((end - begin) / self.sample_s).ceil().max(1.0);
        let mut k = 1.0;
        while k <= pieces && self.history.boiled.is_none() {
            let at = if k < pieces { begin + (end - begin) * k / pieces } else { end };
            self.integrator.interpolate(at, &mut y);
            self.row(at, &y)?;
            k += 1.0;
        }
        self.scratch = y;
        Ok(())
    }

    /// Adds a row of all results; sees whether coolant boils.
    fn row(&mut self, at_s: f64, y: &[f64]) -> Result<(), SolveError> {
        let model = self.simulator.setup.model;
        self.simulator.set_time(at_s).map_err(|error| SolveError::prepare(model, error))?;
        settle(&mut self.simulator, y)?;
        check_pumps(&self.simulator).map_err(|error| error.at(at_s))?;
        let mut row = Vec::with_capacity(self.history.catalogue.entries().len());
        record(&self.simulator, y, &mut row);
        for (circuit, column) in self.boil.iter().enumerate() {
            if column.is_some_and(|column| row[column] < 0.0) && self.history.boiled.is_none() {
                self.history.boiled = Some(Boiled { circuit, at_s });
            }
        }
        self.history.times_s.push(at_s);
        self.history.rows.push(row);
        Ok(())
    }
}
