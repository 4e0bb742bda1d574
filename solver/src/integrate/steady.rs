//! The state at which all rates vanish.
//!
//! Pseudo-transient continuation: implicit Euler steps, (I/τ − J) dy = f, whose length grows as
//! the rates fall (switched evolution relaxation; C. T. Kelley & D. E. Keyes, SIAM J. Numer. Anal.
//! 35 (1998) 508), until they are Newton steps. Like the system itself it ends at a state that
//! the states return to.

use super::{Interrupt, System};
use crate::sparse::{Sparse, SparseError};
use std::fmt;

/// When the states count as steady.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadySettings {
    /// The states are steady when an implicit step as long as `time_scale_s` moves none of them
    /// by more than `absolute` + `relative` · |state|. Defaults 1e-9 and 1e-9.
    ///
    /// Rates alone would not do: a slow state can be far from its end at a small rate.
    pub relative: f64,
    /// See `relative`; in the units of the states.
    pub absolute: f64,
    /// The time over which nothing may move any more, s. Default 1e6, eleven days. Much more
    /// than that turns the rounding of the rates into motion where a sum is conserved.
    pub time_scale_s: f64,
    /// First step, s. Default 1. Of several steady states a short first step finds the one that
    /// the system goes to by itself.
    pub first_step_s: f64,
    /// Most steps. Default 300.
    pub max_steps: usize,
}

impl SteadySettings {
    fn tolerated(&self, y: f64) -> f64 {
        self.absolute + self.relative * y.abs()
    }
}

impl Default for SteadySettings {
    fn default() -> Self {
        Self {
            relative: 1e-9,
            absolute: 1e-9,
            time_scale_s: 1e6,
            first_step_s: 1.0,
            max_steps: 300,
        }
    }
}

/// A steady state was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyReport {
    /// Steps taken.
    pub steps: usize,
    /// Evaluations of the rates.
    pub rhs_calls: usize,
    /// Largest change over the time scale in units of what is tolerated.
    pub residual: f64,
}

/// Why no steady state was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoSteadyReason {
    /// The pattern or the matrix is unusable.
    Matrix(SparseError),
    /// The system ended it.
    Stopped,
    /// The rates do not vanish: a state keeps moving.
    KeepsMoving,
    /// A rate is not a finite number.
    NotFinite,
}

/// No steady state was found: which state moves, and how fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoSteadyState {
    /// Why.
    pub reason: NoSteadyReason,
    /// The state whose rate is largest in units of what is tolerated.
    pub state: usize,
    /// Its value.
    pub value: f64,
    /// Its rate, per second.
    pub rate_per_s: f64,
    /// Steps taken.
    pub steps: usize,
}

impl fmt::Display for NoSteadyState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { state, value, rate_per_s, steps, .. } = self;
        match self.reason {
            NoSteadyReason::Matrix(error) => return write!(f, "no steady state: {error}"),
            NoSteadyReason::Stopped => {
                f.write_str("the system stopped on the way to a steady state")?;
            }
            NoSteadyReason::KeepsMoving => write!(f, "no steady state after {steps} steps")?,
            NoSteadyReason::NotFinite => write!(f, "a rate is not a finite number")?,
        }
        write!(f, ": state {state} is at {value} and moves by {rate_per_s} per second")
    }
}

impl std::error::Error for NoSteadyState {}

/// Moves `y` to the state at which all rates vanish, at time zero.
///
/// # Errors
/// See [`NoSteadyReason`]; `y` is then the last state reached.
///
/// # Panics
/// When the number of states is wrong.
pub fn steady(
    system: &mut impl System,
    y: &mut [f64],
    settings: &SteadySettings,
) -> Result<SteadyReport, NoSteadyState> {
    SteadySearch::new(system)?.run(system, y, settings)
}

/// What has not settled after this many time scales will not.
const LONG: f64 = 30.0;

/// The room for a search, for systems of one pattern: kept, nothing is allocated by a search.
#[derive(Clone, Debug)]
pub struct SteadySearch {
    settings: SteadySettings,
    matrix: Sparse,
    jacobian: Vec<f64>,
    rate: Vec<f64>,
    trial: Vec<f64>,
    trial_rate: Vec<f64>,
    steps: usize,
    calls: usize,
    worst: (usize, f64, f64),
}

impl SteadySearch {
    /// Room for the states of a system.
    ///
    /// # Errors
    /// When the pattern is unusable.
    pub fn new(system: &impl System) -> Result<Self, NoSteadyState> {
        let n = system.states();
        let matrix = system.matrix().map_err(|error| NoSteadyState {
            reason: NoSteadyReason::Matrix(error),
            state: 0,
            value: 0.0,
            rate_per_s: 0.0,
            steps: 0,
        })?;
        Ok(Self {
            settings: SteadySettings::default(),
            matrix,
            jacobian: vec![0.0; system.pattern().len()],
            rate: vec![0.0; n],
            trial: vec![0.0; n],
            trial_rate: vec![0.0; n],
            steps: 0,
            calls: 0,
            worst: (0, 0.0, 0.0),
        })
    }

    /// Moves `y` to the state at which all rates vanish, as [`steady`].
    ///
    /// # Errors
    /// See [`NoSteadyReason`]; `y` is then the last state reached.
    ///
    /// # Panics
    /// When the number of states is wrong.
    pub fn run(
        &mut self,
        system: &mut impl System,
        y: &mut [f64],
        settings: &SteadySettings,
    ) -> Result<SteadyReport, NoSteadyState> {
        assert_eq!(y.len(), self.rate.len(), "one number for each state");
        self.settings = *settings;
        (self.steps, self.calls, self.worst) = (0, 0, (0, 0.0, 0.0));
        let longest = settings.time_scale_s;
        let mut step = settings.first_step_s.min(longest);
        let mut elapsed = 0.0;
        self.ask(system, y).map_err(|reason| self.fail(reason))?;
        let mut before = self.size(y);
        while self.steps < settings.max_steps && elapsed < LONG * longest {
            let taken = self.step(system, y, step).map_err(|reason| self.fail(reason))?;
            let Some(change) = taken else {
                step *= 0.2;
                continue;
            };
            if step >= longest && change <= 1.0 {
                let (steps, rhs_calls) = (self.steps, self.calls);
                return Ok(SteadyReport { steps, rhs_calls, residual: change });
            }
            elapsed += step;
            let after = self.size(y);
            // Growing steps are what turns implicit Euler into Newton; rates that stay as they are
            // get longer steps too, so that what never rests is found out.
            let growth = if after > 0.0 { (before / after).clamp(1.5, 30.0) } else { 30.0 };
            step = (step * growth).min(longest);
            before = after;
        }
        Err(self.fail(NoSteadyReason::KeepsMoving))
    }

    fn ask(&mut self, system: &mut impl System, y: &[f64]) -> Result<(), NoSteadyReason> {
        self.calls += 1;
        system.rhs(0.0, y, &mut self.rate).map_err(|_| NoSteadyReason::Stopped)?;
        match self.rate.iter().position(|rate| !rate.is_finite()) {
            Some(state) => {
                self.worst = (state, y[state], self.rate[state]);
                Err(NoSteadyReason::NotFinite)
            }
            None => Ok(()),
        }
    }

    /// The largest rate in units of what a state may change by.
    fn size(&mut self, y: &[f64]) -> f64 {
        let mut largest = 0.0;
        for (state, (rate, y)) in self.rate.iter().zip(y).enumerate() {
            let size = rate.abs() / self.settings.tolerated(*y);
            if size >= largest {
                largest = size;
                self.worst = (state, *y, *rate);
            }
        }
        largest
    }

    /// One implicit step: the largest change in units of what is tolerated, or `None` when a
    /// shorter step is needed.
    fn step(
        &mut self,
        system: &mut impl System,
        y: &mut [f64],
        length: f64,
    ) -> Result<Option<f64>, NoSteadyReason> {
        self.steps += 1;
        match system.jacobian(0.0, y, &mut self.jacobian) {
            Ok(()) => {}
            Err(_) => return Err(NoSteadyReason::Stopped),
        }
        match self.matrix.factor(-1.0, &self.jacobian, 1.0 / length) {
            Ok(()) => {}
            Err(SparseError::Singular { .. }) if length > 1e-9 => return Ok(None),
            Err(error) => return Err(NoSteadyReason::Matrix(error)),
        }
        self.trial.copy_from_slice(&self.rate);
        self.matrix.solve(&mut self.trial);
        let mut change = 0.0_f64;
        let settings = self.settings;
        for (trial, y) in self.trial.iter_mut().zip(&*y) {
            change = change.max(trial.abs() / settings.tolerated(*y));
            *trial += y;
        }
        self.calls += 1;
        match system.rhs(0.0, &self.trial, &mut self.trial_rate) {
            Ok(()) => {}
            Err(Interrupt::Shorten) if length > 1e-9 => return Ok(None),
            Err(_) => return Err(NoSteadyReason::Stopped),
        }
        // Where the linear step leads to much faster rates, it went beyond what it knows; below
        // what is tolerated they are rounding.
        let most = |rates: &[f64]| rates.iter().fold(0.0_f64, |most, rate| most.max(rate.abs()));
        let (before, after) = (most(&self.rate), most(&self.trial_rate));
        let finite = self.trial_rate.iter().all(|rate| rate.is_finite());
        if (!finite || (after > 4.0 * before && change > 1.0)) && length > 1e-9 {
            return Ok(None);
        }
        y.copy_from_slice(&self.trial);
        std::mem::swap(&mut self.rate, &mut self.trial_rate);
        Ok(Some(change))
    }

    fn fail(&self, reason: NoSteadyReason) -> NoSteadyState {
        let (state, value, rate_per_s) = self.worst;
        NoSteadyState { reason, state, value, rate_per_s, steps: self.steps }
    }
}
