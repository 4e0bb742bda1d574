//! Parameters that fit a model to measurements: bounded nonlinear least squares.
//!
//! ```text
//! min Σ r(p)²,   lower ≤ p ≤ upper
//! ```
//!
//! The method of Levenberg and Marquardt (J. J. Moré, The Levenberg–Marquardt algorithm, Lecture Notes in
//! Mathematics 630 (1978) 105). Each step solves, by a QR factorisation,
//!
//! ```text
//! min |[J; √λ D] δ + [r; 0]|
//! ```
//!
//! with J the Jacobian of the residuals and D the largest norms that its columns have had, so that the
//! units of the parameters do not matter. The damping λ follows how well the linear model foretold the
//! last step (H. B. Nielsen, report IMM-REP-1999-05). A parameter that stands at a bound and is pushed
//! against it is left out; a step is cut at the bounds.
//!
//! It ends when the residuals stand at right angles to all that parameters can change in them: when their
//! part along the columns of J is less than a share of them (D. M. Bates & D. G. Watts, Technometrics 23
//! (1981) 179). That share does not depend on any unit.
//!
//! ```
//! use coolwright_solver::least_squares::{Fit, NoValue, Settings, fit};
//!
//! /// y = a·x², measured as 1.1, 3.9 and 9.2 at 1, 2 and 3.
//! struct Parabola;
//! impl Fit for Parabola {
//!     fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
//!         for (out, (x, y)) in out.iter_mut().zip([(1.0, 1.1), (2.0, 3.9), (3.0, 9.2)]) {
//!             *out = p[0] * x * x - y;
//!         }
//!         Ok(())
//!     }
//! }
//!
//! let mut a = [0.0];
//! let fitted = fit(&mut Parabola, 3, &mut a, &[(0.0, f64::INFINITY)], &Settings::default())?;
//! // By hand: Σ x²y / Σ x⁴.
//! assert!((a[0] - 99.5 / 98.0).abs() < 1e-9);
//! assert_eq!((fitted.degrees_of_freedom, fitted.at_bound[0]), (2, false));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use std::fmt;

use nalgebra::{DMatrix, DVector};

/// What is to be fitted.
pub trait Fit {
    /// The residuals at parameters: what is calculated less what was measured, each over its standard
    /// uncertainty where those differ.
    ///
    /// # Errors
    /// When there are none at these parameters: a shorter step is tried.
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<(), NoValue>;

    /// d residual / d parameter, all residuals of the first parameter first. `false` when it is not
    /// known, and central differences are to be taken, which cost two evaluations for each parameter
    /// and leave about nine digits.
    ///
    /// # Errors
    /// As for the residuals.
    fn jacobian(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<bool, NoValue> {
        let _ = (parameters, out);
        Ok(false)
    }
}

/// There are no residuals at these parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoValue;

/// How far to go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Part of the residuals that parameters could still change, over the residuals. Default 1e-9;
    /// parameters are then about that share of their own standard deviation from the best ones.
    pub offset: f64,
    /// Most linearisations. Default 500.
    pub max_iterations: usize,
    /// A change of the sum of squares below this share of it is noise: the rounding of a formula, or what an
    /// integration in time leaves. Default 1e-12.
    pub noise: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self { offset: 1e-9, max_iterations: 500, noise: 1e-12 }
    }
}

/// A fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Σ r².
    pub sum_of_squares: f64,
    /// Residuals less the parameters that are free at the end; none when there are too few residuals.
    pub degrees_of_freedom: usize,
    /// Which parameters are held by a bound at the end.
    pub at_bound: Vec<bool>,
    /// Covariance of the parameters, row by row, (JᵀJ)⁻¹ Σ r² / degrees of freedom; zero for those held
    /// by a bound. `None` where the residuals do not determine all free parameters or leave no degree of
    /// freedom.
    pub covariance: Option<Vec<f64>>,
    /// Linearisations.
    pub iterations: usize,
    /// Evaluations of the residuals, those for differences included.
    pub evaluations: usize,
}

impl Fitted {
    /// Standard deviation of the residuals; zero when there is no degree of freedom.
    pub fn residual_deviation(&self) -> f64 {
        match self.degrees_of_freedom {
            0 => 0.0,
            degrees => (self.sum_of_squares / degrees as f64).sqrt(),
        }
    }

    /// Standard deviation of a parameter; `None` where it is not determined.
    ///
    /// # Panics
    /// When there is no such parameter.
    pub fn deviation(&self, parameter: usize) -> Option<f64> {
        let count = self.at_bound.len();
        self.covariance.as_ref().map(|covariance| covariance[parameter * (count + 1)].sqrt())
    }
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoFit {
    /// A setting is outside its range: the offset from 1e-14 to 1e-1, at least one iteration, noise from 0 to 1e-2.
    Settings,
    /// The bounds of this parameter leave no value, or its start is no number.
    Bounds {
        /// Which.
        parameter: usize,
    },
    /// There are no finite residuals at the start.
    Start,
    /// There is no finite Jacobian at these parameters.
    Jacobian,
    /// It took too many iterations.
    Iterations {
        /// The part of the residuals that parameters could still change, over the residuals.
        offset: f64,
    },
}

impl fmt::Display for NoFit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Settings => f.write_str("a setting of the fit is outside its range"),
            Self::Bounds { parameter } => {
                write!(f, "the bounds of parameter {parameter} leave no value, or it has no start")
            }
            Self::Start => f.write_str("there are no finite residuals at the start"),
            Self::Jacobian => f.write_str("the residuals have no finite derivatives"),
            Self::Iterations { offset } => {
                write!(f, "no fit yet: parameters still change {offset:.1e} of the residuals")
            }
        }
    }
}

impl std::error::Error for NoFit {}

/// First damping, in squares of the columns' norms.
const FIRST_DAMPING: f64 = 1e-3;
const LEAST_DAMPING: f64 = 1e-16;
/// Share of the foretold improvement that makes a step worth taking.
const WORTH: f64 = 1e-4;
/// After so many linearisations the largest norms that columns had fade by this much with each: one exponential on the
/// way would hold a parameter for good, as of NIST's `mgh10`.
const FADES: f64 = 0.97;
/// See [`FADES`].
const LONG: usize = 200;
/// A step that gains less than this share of what was foretold is bent.
const POOR: f64 = 0.25;
/// The bend is looked at so far along the step, as a share of it.
const BEND: f64 = 0.1;
/// A correction for the bend is taken up to this share of the step.
const MOST_BEND: f64 = 0.75;
/// A change of a parameter below this share of it is rounding: nothing better can be had.
const ROUNDING: f64 = 4.0 * f64::EPSILON;
/// Pivots below this share of the first are no information about a parameter.
const UNDETERMINED: f64 = 1e-12;
/// The same where the Jacobian comes from differences, which leave about ten digits.
const UNDETERMINED_BY_DIFFERENCES: f64 = 1e-10;

/// Moves `parameters` to where the sum of the squares of so many residuals is least.
///
/// `bounds` holds the least and the greatest value of each parameter, which may be infinite; a parameter
/// whose bounds are equal stays there. Of several minima it finds one near the start.
///
/// # Errors
/// See [`NoFit`]; the parameters are then the best that were found.
///
/// # Panics
/// When there is not one pair of bounds for each parameter.
pub fn fit(
    problem: &mut impl Fit,
    residuals: usize,
    parameters: &mut [f64],
    bounds: &[(f64, f64)],
    settings: &Settings,
) -> Result<Fitted, NoFit> {
    assert_eq!(parameters.len(), bounds.len(), "bounds for each parameter");
    let sound = (1e-14..=1e-1).contains(&settings.offset) && (0.0..=1e-2).contains(&settings.noise);
    if !sound || settings.max_iterations == 0 {
        return Err(NoFit::Settings);
    }
    for (parameter, (value, (lower, upper))) in parameters.iter_mut().zip(bounds).enumerate() {
        // False where one is no number.
        let sound = lower <= upper && value.is_finite();
        if !sound {
            return Err(NoFit::Bounds { parameter });
        }
        *value = value.clamp(*lower, *upper);
    }
    let mut search = Search::new(problem, residuals, parameters, (bounds, settings.noise));
    if !search.evaluate_start() {
        return Err(NoFit::Start);
    }
    let (mut offset, mut before) = (1.0, f64::INFINITY);
    for _ in 0..settings.max_iterations {
        if !search.linearise() {
            return Err(NoFit::Jacobian);
        }
        offset = search.offset();
        // Where sums of squares no longer tell one step from another, the offset does, until it is
        // rounding as well.
        let done = offset <= settings.offset || (search.blind && offset >= before);
        if done || !search.step() {
            return Ok(search.fitted());
        }
        before = offset;
    }
    Err(NoFit::Iterations { offset })
}

struct Search<'a, F: Fit> {
    problem: &'a mut F,
    parameters: &'a mut [f64],
    bounds: &'a [(f64, f64)],
    residuals: DVector<f64>,
    sum_of_squares: f64,
    jacobian: DMatrix<f64>,
    /// D.
    norms: Vec<f64>,
    /// Parameters that no bound holds, and their columns, each over its norm.
    free: Vec<usize>,
    columns: DMatrix<f64>,
    damping: f64,
    growth: f64,
    noise: f64,
    /// The Jacobian is known by differences only.
    by_differences: bool,
    /// The last step changed the sum of squares by no more than its rounding.
    blind: bool,
    trial: Vec<f64>,
    trial_residuals: DVector<f64>,
    iterations: usize,
    evaluations: usize,
}

impl<'a, F: Fit> Search<'a, F> {
    fn new(
        problem: &'a mut F,
        residuals: usize,
        parameters: &'a mut [f64],
        (bounds, noise): (&'a [(f64, f64)], f64),
    ) -> Self {
        let count = parameters.len();
        Self {
            problem,
            residuals: DVector::zeros(residuals),
            sum_of_squares: 0.0,
            jacobian: DMatrix::zeros(residuals, count),
            norms: vec![0.0; count],
            free: Vec::with_capacity(count),
            columns: DMatrix::zeros(residuals, 0),
            damping: FIRST_DAMPING,
            growth: 2.0,
            noise,
            by_differences: false,
            blind: false,
            trial: parameters.to_vec(),
            trial_residuals: DVector::zeros(residuals),
            iterations: 0,
            evaluations: 0,
            parameters,
            bounds,
        }
    }

    fn evaluate_start(&mut self) -> bool {
        let Some(sum) = self.evaluate_trial() else { return false };
        self.residuals.copy_from(&self.trial_residuals);
        self.sum_of_squares = sum;
        true
    }

    /// Σ r² at the trial parameters, where it exists.
    fn evaluate_trial(&mut self) -> Option<f64> {
        self.evaluations += 1;
        let out = self.trial_residuals.as_mut_slice();
        self.problem.residuals(&self.trial, out).ok()?;
        Some(self.trial_residuals.norm_squared()).filter(|sum| sum.is_finite())
    }

    /// Takes the Jacobian at the present parameters, and which of them are free.
    fn linearise(&mut self) -> bool {
        self.iterations += 1;
        let known = self.problem.jacobian(self.parameters, self.jacobian.as_mut_slice());
        self.by_differences = known == Ok(false);
        let there = match known {
            Ok(true) => true,
            Ok(false) => self.take_differences(),
            Err(NoValue) => false,
        };
        if !there || !self.jacobian.iter().all(|entry| entry.is_finite()) {
            return false;
        }
        self.free.clear();
        let kept = if self.iterations > LONG { FADES } else { 1.0 };
        for (parameter, column) in self.jacobian.column_iter().enumerate() {
            let norm = column.norm();
            self.norms[parameter] = norm.max(kept * self.norms[parameter]);
            let push = -column.dot(&self.residuals);
            let (value, (lower, upper)) = (self.parameters[parameter], self.bounds[parameter]);
            let held = (value <= lower && push <= 0.0) || (value >= upper && push >= 0.0);
            if norm > 0.0 && !held {
                self.free.push(parameter);
            }
        }
        let columns = self
            .free
            .iter()
            .map(|parameter| self.jacobian.column(*parameter) / self.norms[*parameter]);
        let columns: Vec<_> = columns.collect();
        self.columns = if columns.is_empty() {
            DMatrix::zeros(self.residuals.len(), 0)
        } else {
            DMatrix::from_columns(&columns)
        };
        true
    }

    /// Central differences within the bounds, one-sided at them.
    fn take_differences(&mut self) -> bool {
        for parameter in 0..self.parameters.len() {
            let value = self.parameters[parameter];
            let (lower, upper) = self.bounds[parameter];
            let size = if value == 0.0 { 1.0 } else { value.abs() };
            let step = f64::EPSILON.cbrt() * size;
            let (below, above) = ((value - step).max(lower), (value + step).min(upper));
            let mut column = self.jacobian.column_mut(parameter);
            column.fill(0.0);
            if above <= below {
                continue;
            }
            for (at, sign) in [(above, 1.0), (below, -1.0)] {
                self.evaluations += 1;
                self.trial.copy_from_slice(self.parameters);
                self.trial[parameter] = at;
                let out = self.trial_residuals.as_mut_slice();
                if self.problem.residuals(&self.trial, out).is_err() {
                    return false;
                }
                column.axpy(sign / (above - below), &self.trial_residuals, 1.0);
            }
        }
        true
    }

    /// The part of the residuals along the columns, over the residuals.
    fn offset(&self) -> f64 {
        let size = self.sum_of_squares.sqrt();
        if self.free.is_empty() || size == 0.0 {
            return 0.0;
        }
        let along = self.columns.clone().col_piv_qr().q().tr_mul(&self.residuals);
        along.norm() / size
    }

    /// Takes a step that improves the fit. False when nothing but rounding is left to gain.
    fn step(&mut self) -> bool {
        loop {
            let Some(change) = self.try_damped() else { return false };
            if self.iterations == 1 && self.is_wild(&change) {
                self.damping *= 4.0;
                continue;
            }
            let along = &self.jacobian * &change;
            let foretold = -(2.0 * along.dot(&self.residuals) + along.norm_squared());
            let noise = self.noise * self.sum_of_squares;
            self.blind = foretold <= noise;
            let gained = match self.evaluate_trial() {
                Some(sum) if self.blind && sum <= self.sum_of_squares + noise => Some((1.0, sum)),
                Some(sum) if !self.blind => Some(((self.sum_of_squares - sum) / foretold, sum)),
                _ => None,
            };
            let poor = !self.blind && gained.is_none_or(|(gained, _)| gained < POOR);
            let bent = if poor { self.bent(&change, &along) } else { None };
            let gained = match bent {
                // Where the bend is followed the straight line foretells little: what counts is that it goes down.
                Some(sum) if gained.is_none_or(|(_, plain)| sum < plain) => {
                    Some(((self.sum_of_squares - sum) / foretold, sum))
                }
                Some(_) => {
                    self.put_in_trial(&change);
                    self.evaluate_trial().map(|sum| ((self.sum_of_squares - sum) / foretold, sum))
                }
                None => gained,
            };
            if let Some((gained, sum)) = gained.filter(|(gained, _)| *gained > WORTH) {
                let factor = 1.0 - (2.0 * gained - 1.0).powi(3);
                // Blind steps are those of Gauss and Newton: damping would only slow them.
                let factor = if self.blind { 0.0 } else { factor.max(1.0 / 3.0) };
                self.damping = (self.damping * factor).max(LEAST_DAMPING);
                self.growth = 2.0;
                self.parameters.copy_from_slice(&self.trial);
                self.residuals.copy_from(&self.trial_residuals);
                self.sum_of_squares = sum;
                return true;
            }
            self.damping *= self.growth;
            self.growth *= 2.0;
        }
    }

    /// Whether a first step is longer than all that the parameters are, both in what they do to the residuals: from far
    /// away it would lead to where nothing they do matters any more, as of NIST's `boxbod` and `eckerle4`.
    fn is_wild(&self, change: &DVector<f64>) -> bool {
        let size = |of: &[f64]| {
            let sizes = of.iter().zip(&self.norms).map(|(x, norm)| (x * norm).powi(2));
            sizes.sum::<f64>().sqrt()
        };
        let all = size(self.parameters);
        all > 0.0 && size(change.as_slice()) > 4.0 * all
    }

    /// The sum of squares a little off a step that gained little, where the residuals bend along it (M. K. Transtrum &
    /// J. P. Sethna, arXiv:1201.5885): half of what answers their second derivative is added. `None` where that is no
    /// small correction or there is no value, and the step stands.
    fn bent(&mut self, change: &DVector<f64>, along: &DVector<f64>) -> Option<f64> {
        let plain = self.trial_residuals.clone();
        let step = change * BEND;
        self.put_in_trial(&step);
        let found = self.evaluate_trial().and_then(|_| {
            let curve = ((&self.trial_residuals - &self.residuals) / BEND - along) * (2.0 / BEND);
            let answer = self.damped(&curve)?;
            let size = |of: &DVector<f64>| {
                let scaled = of.iter().zip(&self.norms).map(|(x, norm)| (x * norm).powi(2));
                scaled.sum::<f64>().sqrt()
            };
            (size(&answer) <= MOST_BEND * size(change)).then_some(answer)
        });
        if let Some(answer) = found {
            self.put_in_trial(&(change + answer * 0.5));
            if let Some(sum) = self.evaluate_trial() {
                return Some(sum);
            }
        }
        self.put_in_trial(change);
        self.trial_residuals.copy_from(&plain);
        None
    }

    /// Puts changed parameters into the trial, cut at their bounds.
    fn put_in_trial(&mut self, change: &DVector<f64>) {
        for (k, change) in change.iter().enumerate() {
            let (lower, upper) = self.bounds[k];
            self.trial[k] = (self.parameters[k] + change).clamp(lower, upper);
        }
    }

    /// The damped change of the free parameters that answers residuals.
    fn damped(&self, residuals: &DVector<f64>) -> Option<DVector<f64>> {
        let (rows, count) = self.columns.shape();
        let mut matrix = DMatrix::zeros(rows + count, count);
        matrix.rows_mut(0, rows).copy_from(&self.columns);
        let mut right = DVector::zeros(rows + count);
        right.rows_mut(0, rows).copy_from(&-residuals);
        for column in 0..count {
            matrix[(rows + column, column)] = self.damping.sqrt();
        }
        let (q, r) = matrix.qr().unpack();
        let step = r.solve_upper_triangular(&q.tr_mul(&right))?;
        let mut change = DVector::zeros(self.parameters.len());
        for (&parameter, step) in self.free.iter().zip(step.iter()) {
            change[parameter] = step / self.norms[parameter];
        }
        Some(change)
    }

    /// Puts the parameters of a damped step, cut at the bounds, into the trial: the change that it
    /// makes, or `None` when that is rounding.
    fn try_damped(&mut self) -> Option<DVector<f64>> {
        let mut change = self.damped(&self.residuals)?;
        self.put_in_trial(&change);
        let mut moves = false;
        for &parameter in &self.free {
            let value = self.parameters[parameter];
            change[parameter] = self.trial[parameter] - value;
            moves |= change[parameter].abs() > ROUNDING * value.abs();
        }
        moves.then_some(change)
    }

    fn fitted(&self) -> Fitted {
        let count = self.parameters.len();
        let mut at_bound = vec![false; count];
        for (held, (value, (lower, upper))) in
            at_bound.iter_mut().zip(self.parameters.iter().zip(self.bounds))
        {
            *held = value <= lower || value >= upper;
        }
        let free = (0..count).filter(|parameter| !at_bound[*parameter]).collect::<Vec<_>>();
        let degrees_of_freedom = self.residuals.len().saturating_sub(free.len());
        let covariance = self.covariance(&free, degrees_of_freedom);
        Fitted {
            sum_of_squares: self.sum_of_squares,
            degrees_of_freedom,
            at_bound,
            covariance,
            iterations: self.iterations,
            evaluations: self.evaluations,
        }
    }

    /// (JᵀJ)⁻¹ s² by R⁻¹ R⁻ᵀ of columns that have the norm of one.
    fn covariance(&self, free: &[usize], degrees: usize) -> Option<Vec<f64>> {
        let count = self.parameters.len();
        let mut covariance = vec![0.0; count * count];
        if degrees == 0 {
            return None;
        }
        if free.is_empty() {
            return Some(covariance);
        }
        let norms: Vec<f64> = free.iter().map(|p| self.jacobian.column(*p).norm()).collect();
        if norms.contains(&0.0) {
            return None;
        }
        let columns = free.iter().zip(&norms).map(|(p, norm)| self.jacobian.column(*p) / *norm);
        let matrix = DMatrix::from_columns(&columns.collect::<Vec<_>>());
        let pivoted = matrix.clone().col_piv_qr().unpack_r();
        let last = pivoted[(free.len() - 1, free.len() - 1)].abs();
        let least = if self.by_differences { UNDETERMINED_BY_DIFFERENCES } else { UNDETERMINED };
        if last <= least * pivoted[(0, 0)].abs() {
            return None;
        }
        let inverse = matrix
            .qr()
            .unpack_r()
            .solve_upper_triangular(&DMatrix::identity(free.len(), free.len()))?;
        let product = &inverse * inverse.transpose();
        let variance = self.sum_of_squares / degrees as f64;
        for (i, a) in free.iter().enumerate() {
            for (j, b) in free.iter().enumerate() {
                covariance[a * count + b] = variance * product[(i, j)] / (norms[i] * norms[j]);
            }
        }
        Some(covariance)
    }
}
