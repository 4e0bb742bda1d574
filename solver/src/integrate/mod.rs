//! Stiff systems of states over time.
//!
//! y' = f(t, y) is followed by a singly diagonally implicit Runge–Kutta method of order 4 that is
//! L-stable (see the source of the coefficients in `tableau`), with a step that follows the
//! embedded error estimate. Stages are solved by Newton's method with a sparse Jacobian that is
//! kept while it serves. Switch functions are watched, and their crossings located on an
//! interpolant of the same order as the step. Audits are quadratures on the weights of the
//! stages: what they integrate closes against the states to the accuracy of the stages.

mod advance;
mod events;
mod report;
mod stages;
mod steady;
mod tableau;

use crate::sparse::{Sparse, SparseError};
pub use report::{Absolute, Failure, Interrupt, Outcome, Settings, Statistics};
pub use steady::{
    NoSteadyReason, NoSteadyState, SteadyReport, SteadySearch, SteadySettings, steady,
};
use tableau::STAGES;

/// A system of ordinary differential equations.
pub trait System {
    /// Number of states.
    fn states(&self) -> usize;

    /// The entries of the Jacobian that can differ from zero, as (row, column); the same at every
    /// call.
    fn pattern(&self) -> &[(usize, usize)];

    /// A matrix of that pattern, without numbers. Whoever has one already clones it: the ordering is dear.
    ///
    /// # Errors
    /// When the pattern is unusable.
    fn matrix(&self) -> Result<Sparse, SparseError> {
        Sparse::new(self.states(), self.pattern())
    }

    /// The rate of every state, per second. Between jumps it must be a function of its arguments
    /// only.
    ///
    /// # Errors
    /// When there is no rate at this state.
    fn rhs(&mut self, t: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt>;

    /// d rate of the row / d state of the column, in the order of the pattern. It may be
    /// approximate: that costs iterations, not accuracy.
    ///
    /// # Errors
    /// When there is none at this state.
    fn jacobian(&mut self, t: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt>;

    /// Number of audits.
    fn audits(&self) -> usize {
        0
    }

    /// The rates of the audits at states one correction beside those of the last call of [`System::rhs`],
    /// consistent to first order with the rates that its Jacobian gives there.
    fn audit_rates(&mut self, y: &[f64], out: &mut [f64]) {
        let _ = y;
        out.fill(0.0);
    }

    /// Number of switch functions.
    fn switches(&self) -> usize {
        0
    }

    /// Signed functions whose crossings of zero are to be located.
    fn switch_values(&mut self, t: f64, y: &[f64], out: &mut [f64]) {
        let _ = (t, y);
        out.fill(0.0);
    }
}

/// Follows a system over time. Nothing is allocated after it is made.
#[derive(Clone, Debug)]
pub struct Integrator {
    settings: Settings,
    absolute: Vec<f64>,
    predictors: [[f64; STAGES]; STAGES],
    time: f64,
    state: Vec<f64>,
    audits: Vec<f64>,
    statistics: Statistics,
    /// Next step, or zero when it has to be found.
    step: f64,
    /// Error of the last step, for the control of the next.
    last_error: f64,
    /// Whether the last step leads smoothly to here.
    smooth: bool,
    /// Between two steps of one way to an end.
    underway: bool,
    last: LastStep,
    stages: Stages,
    newton: Newton,
    events: events::Events,
}

/// The last step, as far as it was taken.
#[derive(Clone, Debug, Default)]
struct LastStep {
    begin: f64,
    length: f64,
    state: Vec<f64>,
    audits: Vec<f64>,
}

/// Stages of the step in progress, and afterwards of the last one.
#[derive(Clone, Debug, Default)]
struct Stages {
    rates: [Vec<f64>; STAGES],
    audit_rates: [Vec<f64>; STAGES],
    /// Rates of the step before at its begin and at its fourth stage.
    before: [Vec<f64>; 2],
    base: Vec<f64>,
    value: Vec<f64>,
    /// One over what is tolerated of each state.
    scale: Vec<f64>,
}

/// The Jacobian, its factors, and how well they serve.
#[derive(Clone, Debug)]
struct Newton {
    matrix: Sparse,
    jacobian: Vec<f64>,
    residual: Vec<f64>,
    factored_step: f64,
    /// The Jacobian belongs to the present state.
    fresh: bool,
    /// There is none, or it converges too slowly.
    stale: bool,
    /// The system was asked last for a state on no way that was taken.
    astray: bool,
    age: usize,
    /// Estimate of error left over correction, from the last stage.
    left_over: f64,
    slowest: f64,
    /// Jacobians made within the attempt in progress.
    renewals: usize,
}

impl Integrator {
    /// An integrator for a system; it stands at time zero with all states zero until
    /// [`Integrator::restart`].
    ///
    /// # Errors
    /// When a setting or the pattern is unusable.
    pub fn new(system: &impl System, settings: Settings) -> Result<Self, Failure> {
        let n = system.states();
        if let Some(fault) = settings.fault(n) {
            return Err(Failure::Settings(fault));
        }
        let matrix = system.matrix().map_err(Failure::Pattern)?;
        let states = || vec![0.0; n];
        let audits = || vec![0.0; system.audits()];
        Ok(Self {
            absolute: match &settings.absolute {
                Absolute::Same(tolerance) => vec![*tolerance; n],
                Absolute::Each(each) => each.clone(),
            },
            settings,
            predictors: tableau::predictors(),
            time: 0.0,
            state: states(),
            audits: audits(),
            statistics: Statistics::default(),
            step: 0.0,
            last_error: 1.0,
            smooth: false,
            underway: false,
            last: LastStep { state: states(), audits: audits(), ..LastStep::default() },
            stages: Stages {
                rates: std::array::from_fn(|_| states()),
                audit_rates: std::array::from_fn(|_| audits()),
                before: [states(), states()],
                base: states(),
                value: states(),
                scale: states(),
            },
            newton: Newton::new(matrix, system.pattern().len(), n),
            events: events::Events::new(system.switches(), n),
        })
    }

    /// Begins anew at a time and state. Audits and statistics go on; switches take the signs that
    /// they have there.
    ///
    /// # Panics
    /// When the number of states is wrong.
    pub fn restart(&mut self, t: f64, y: &[f64]) {
        self.time = t;
        self.state.copy_from_slice(y);
        self.last.state.copy_from_slice(y);
        self.last.audits.copy_from_slice(&self.audits);
        self.last.begin = t;
        self.last.length = 0.0;
        self.smooth = false;
        self.underway = false;
        self.step = 0.0;
        self.events.forget();
    }

    /// Sets audits and statistics to zero, as in an integrator that has just been made.
    pub fn forget(&mut self) {
        self.audits.fill(0.0);
        self.statistics = Statistics::default();
    }

    /// The present time, s.
    pub fn time(&self) -> f64 {
        self.time
    }

    /// The present state.
    pub fn state(&self) -> &[f64] {
        &self.state
    }

    /// Integrals of the audits since the integrator was made.
    pub fn audits(&self) -> &[f64] {
        &self.audits
    }

    /// What it has cost so far.
    pub fn statistics(&self) -> Statistics {
        self.statistics
    }

    /// Begin and end of the last step, s: between them [`Integrator::interpolate`] holds.
    pub fn last_step(&self) -> (f64, f64) {
        (self.last.begin, self.time)
    }

    /// The state at a time within the last step, of order 4 like the step itself. Times outside
    /// are taken at the nearer end.
    ///
    /// # Panics
    /// When the number of states is wrong.
    pub fn interpolate(&self, t: f64, y: &mut [f64]) {
        assert_eq!(y.len(), self.state.len(), "one number for each state");
        if t >= self.time {
            y.copy_from_slice(&self.state);
        } else if t <= self.last.begin || self.last.length == 0.0 {
            y.copy_from_slice(&self.last.state);
        } else {
            self.interpolate_within((t - self.last.begin) / self.last.length, y);
        }
    }

    /// Goes back to a time within the last step, as to the crossing of a switch. Times outside are taken
    /// at the nearer end.
    pub fn go_back(&mut self, t: f64) {
        if t < self.time && self.last.length > 0.0 {
            self.cut(((t - self.last.begin) / self.last.length).max(0.0));
            self.underway = false;
        }
    }

    fn interpolate_within(&self, theta: f64, y: &mut [f64]) {
        let weights = tableau::dense_weights(theta).map(|weight| weight * self.last.length);
        combine(&self.last.state, &self.stages.rates, weights, y);
    }
}

impl Newton {
    fn new(matrix: Sparse, entries: usize, states: usize) -> Self {
        Self {
            matrix,
            jacobian: vec![0.0; entries],
            residual: vec![0.0; states],
            factored_step: 0.0,
            fresh: false,
            stale: true,
            astray: false,
            age: 0,
            left_over: 1.0,
            slowest: 0.0,
            renewals: 0,
        }
    }
}

/// out = start + Σ weights · rates
fn combine<const N: usize>(start: &[f64], rates: &[Vec<f64>], weights: [f64; N], out: &mut [f64]) {
    out.copy_from_slice(start);
    for (rate, weight) in rates.iter().zip(weights).filter(|(_, weight)| *weight != 0.0) {
        for (value, rate) in out.iter_mut().zip(rate) {
            *value += weight * rate;
        }
    }
}

/// The largest of |vector| · scale; not finite when one of them is not.
fn largest_scaled(vector: &[f64], scale: &[f64]) -> f64 {
    // Eight at a time, so that no comparison waits for the one before.
    let (mut most, mut trace) = ([0.0_f64; 8], [0.0; 8]);
    let (values, scales) = (vector.chunks_exact(8), scale.chunks_exact(8));
    let rest = values.remainder().iter().zip(scales.remainder());
    for (values, scales) in values.zip(scales) {
        for lane in 0..8 {
            let size = (values[lane] * scales[lane]).abs();
            most[lane] = if size > most[lane] { size } else { most[lane] };
            trace[lane] += size * 0.0;
        }
    }
    for (lane, (value, scale)) in rest.enumerate() {
        let size = (value * scale).abs();
        most[lane] = if size > most[lane] { size } else { most[lane] };
        trace[lane] += size * 0.0;
    }
    // The trace is zero where all are finite.
    most.into_iter().fold(0.0, f64::max) + trace.into_iter().sum::<f64>()
}

/// Where |vector| · scale is largest, or no number.
fn worst_state(vector: &[f64], scale: &[f64]) -> usize {
    let mut worst = (0.0, 0);
    for (index, (value, scale)) in vector.iter().zip(scale).enumerate() {
        let size = (value * scale).abs();
        if size.is_nan() {
            return index;
        }
        if size > worst.0 {
            worst = (size, index);
        }
    }
    worst.1
}
