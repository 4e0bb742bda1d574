//! The duty cycle: a model followed in time through its phases.

use std::sync::Arc;

use coolwright_solver::integrate::{Absolute, Integrator, Outcome, Settings, Statistics};

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
    let total: f64 = phases.iter().map(|phase| phase.time_s).sum();
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
    for phase in phases {
        run.phase(values, phase, from_s, watch)?;
        if run.history.boiled.is_some() {
            break;
        }
        from_s += phase.time_s;
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
        values: &Values,
        phase: &Phase,
        from_s: f64,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), SolveError> {
        let mut now = values.clone();
        let model = self.simulator.setup.model;
        model.write_running(&mut now, &phase.sets);
        self.simulator.set_values(now).map_err(|error| SolveError::prepare(model, error))?;
        let to_s = from_s + phase.time_s;
        let first_row = self.history.rows.len();
        let states = std::mem::take(&mut self.history.states);
        let stored = self.simulator.stored_j(&states);
        let crossed = self.integrator.audits().to_vec();
        self.integrator.restart(from_s, &states);
        self.row(from_s, &states)?;
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
        let states = self.integrator.state().to_vec();
        let since: Vec<f64> =
            self.integrator.audits().iter().zip(&crossed).map(|(now, then)| now - then).collect();
        let ended = self.history.boiled.map_or(to_s, |boiled| boiled.at_s);
        self.history.phases.push(PhaseHistory {
            name: phase.name.clone(),
            from_s,
            to_s: ended,
            rows: first_row..self.history.rows.len(),
            border: self.simulator.rates.border.filled(&since),
            stored_j: self.simulator.stored_j(&states) - stored,
        });
        self.history.states = states;
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
