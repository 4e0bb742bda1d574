//! Fits that a few wild measurements do not pull away, and intervals that follow the bends of a model.
//!
//! [`Huber`] stands around a fit. Its sum of squares is twice Huber's loss (P. J. Huber, Annals of Mathematical
//! Statistics 35 (1964) 73),
//!
//! ```text
//! ρ(r) = r²/2 for |r| ≤ k,  k|r| − k²/2 beyond
//! ```
//!
//! so what is least squares for [`crate::least_squares::fit`] is the M-estimate of the measurements, with bounds and all.
//! Residuals have to be in standard uncertainties.
//!
//! [`profile`] finds how far a parameter may go until the best fit of all others is worse by so much (D. M. Bates &
//! D. G. Watts, Nonlinear Regression Analysis and Its Applications, 1988, chapter 6). Of a model that is linear in its
//! parameters that is the interval of its standard deviation.

use crate::least_squares::{Fit, NoFit, NoValue, Settings, fit};

/// Where Huber's loss goes over from squares to sizes, in standard deviations: 95 % as good as least squares where
/// nothing is wild.
pub const K: f64 = 1.345;

/// A fit whose large residuals count by their size, not by its square.
#[derive(Debug)]
pub struct Huber<'a, F> {
    inner: &'a mut F,
    k: f64,
    residuals: Vec<f64>,
}

impl<'a, F: Fit> Huber<'a, F> {
    /// Around a fit; `k` is where sizes begin to count, see [`K`].
    pub fn new(inner: &'a mut F, k: f64) -> Self {
        Self { inner, k, residuals: Vec::new() }
    }
}

/// The share of a residual that still counts: ψ(r)/r, 1 for what is not wild.
pub fn weight(residual: f64, k: f64) -> f64 {
    if residual.abs() <= k { 1.0 } else { k / residual.abs() }
}

/// √(2ρ) with the sign of the residual, and its slope.
fn tamed(residual: f64, k: f64) -> [f64; 2] {
    if residual.abs() <= k {
        return [residual, 1.0];
    }
    let root = (2.0 * k * residual.abs() - k * k).sqrt();
    [root.copysign(residual), k / root]
}

impl<F: Fit> Fit for Huber<'_, F> {
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        self.inner.residuals(parameters, out)?;
        for r in out.iter_mut() {
            *r = tamed(*r, self.k)[0];
        }
        Ok(())
    }

    fn jacobian(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<bool, NoValue> {
        if parameters.is_empty() {
            return Ok(true);
        }
        let rows = out.len() / parameters.len();
        if !self.inner.jacobian(parameters, out)? {
            return Ok(false);
        }
        self.residuals.resize(rows, 0.0);
        self.inner.residuals(parameters, &mut self.residuals)?;
        for column in out.chunks_exact_mut(rows) {
            for (entry, r) in column.iter_mut().zip(&self.residuals) {
                *entry *= tamed(*r, self.k)[1];
            }
        }
        Ok(true)
    }
}

/// A side of an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// The value of the parameter there.
    pub at: f64,
    /// Whether it is the bound of the parameter: the sum of squares does not rise so far up to it.
    pub is_bound: bool,
}

/// A fit of which a profile is asked.
#[derive(Clone, Copy, Debug)]
pub struct Fitted<'a> {
    /// The best parameters.
    pub best: &'a [f64],
    /// Their bounds.
    pub bounds: &'a [(f64, f64)],
    /// The sum of squares there.
    pub sum_of_squares: f64,
    /// How many residuals there are.
    pub residuals: usize,
    /// How the other parameters go with the one that is profiled, where the model is straight: by each the change over
    /// that of the one. Empty where that is not known.
    pub along: &'a [f64],
}

/// So closely the way to an edge is met, as a share of it.
const CLOSE: f64 = 0.02;
/// So near it is a straight line from what is known.
const NEARLY: f64 = 0.12;
/// Trials of one edge.
const TRIALS: usize = 12;

/// How far a parameter goes to one side until the least sum of squares over all others has risen by `rise`.
/// `step` is where it is expected, as a change of the parameter; its sign says which side.
///
/// # Errors
/// When the others could not be fitted.
///
/// # Panics
/// When there is no such parameter.
pub fn profile(
    problem: &mut impl Fit,
    fitted: &Fitted<'_>,
    (parameter, step, rise): (usize, f64, f64),
    settings: &Settings,
) -> Result<Edge, NoFit> {
    let (lower, upper) = fitted.bounds[parameter];
    let best = fitted.best[parameter];
    let mut parameters = fitted.best.to_vec();
    let mut bounds = fitted.bounds.to_vec();
    // √(rise) over the way is straight where the model is: so its inverse is followed.
    let mut risen = |at: f64| -> Result<f64, NoFit> {
        bounds[parameter] = (at, at);
        for (k, along) in fitted.along.iter().enumerate() {
            parameters[k] = fitted.best[k] + along * (at - best);
        }
        parameters[parameter] = at;
        let found = fit(problem, fitted.residuals, &mut parameters, &bounds, settings)?;
        Ok((found.sum_of_squares - fitted.sum_of_squares).max(0.0).sqrt())
    };
    let wanted = rise.sqrt();
    let (mut near, mut far): ([f64; 2], Option<[f64; 2]>) = ([0.0, 0.0], None);
    let mut way = step;
    for _ in 0..TRIALS {
        let at = (best + way).clamp(lower, upper);
        way = at - best;
        let is_end = at <= lower || at >= upper;
        if way == 0.0 {
            return Ok(Edge { at, is_bound: true });
        }
        let got = risen(at)?;
        if (got - wanted).abs() <= CLOSE * wanted {
            return Ok(Edge { at, is_bound: false });
        }
        if (got - wanted).abs() <= NEARLY * wanted && !is_end {
            // So near the way is straight: what its bend could still make is of the second order.
            let [from, below] = if got < wanted { [0.0, 0.0] } else { near };
            let at = best + from + (way - from) * (wanted - below) / (got - below);
            let inside = at.clamp(lower, upper);
            return Ok(Edge { at: inside, is_bound: inside.total_cmp(&at).is_ne() });
        }
        if got < wanted {
            if is_end {
                return Ok(Edge { at, is_bound: true });
            }
            near = [way, got];
        } else {
            far = Some([way, got]);
        }
        way = match far {
            // Between both, by a straight line, and never closer to one than a tenth of the way.
            Some([outer, above]) => {
                let share = ((wanted - near[1]) / (above - near[1])).clamp(0.1, 0.9);
                near[0] + share * (outer - near[0])
            }
            None if got > 0.0 => near[0] * (wanted / got).clamp(1.1, 3.0),
            None => 3.0 * near[0],
        };
    }
    Ok(Edge { at: (best + way).clamp(lower, upper), is_bound: false })
}
