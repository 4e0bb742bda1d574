//! Roots of one equation in one unknown, between two points where it has opposite signs.
//!
//! Brent's method (R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 4):
//! inverse quadratic interpolation or the secant where they converge, halving where they do not.

use std::fmt;

/// Why there is no root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RootError {
    /// The function has the same sign at both ends.
    NoSignChange {
        /// Its value at the lower end.
        at_lower: f64,
        /// Its value at the upper end.
        at_upper: f64,
    },
    /// The function, or an end of the bracket, is not a finite number.
    NotFinite {
        /// Where.
        x: f64,
        /// The value there.
        value: f64,
    },
    /// The tolerance was not reached.
    Iterations {
        /// Best point so far.
        x: f64,
        /// The value there.
        value: f64,
    },
}

impl fmt::Display for RootError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSignChange { at_lower, at_upper } => {
                write!(f, "no sign change between the ends: {at_lower} and {at_upper}")
            }
            Self::NotFinite { x, value } => write!(f, "the function is {value} at {x}"),
            Self::Iterations { x, value } => {
                write!(f, "no root within the tolerance; the function is {value} at {x}")
            }
        }
    }
}

impl std::error::Error for RootError {}

/// A root, and the end of its bracket on the other side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Root {
    /// The root.
    pub x: f64,
    /// The function there.
    pub value: f64,
    /// A point within the tolerance at which the function has the other sign, or `x` itself where
    /// the function is zero.
    pub opposite: f64,
    /// Function values asked for.
    pub evaluations: usize,
}

/// The most function values one search asks for; halving alone needs 1100 from end to end of
/// the number range, a smooth function about ten.
const MOST: usize = 2000;

/// Root of `f` between `lower` and `upper`, to within `tolerance` (absolute, at least the
/// spacing of numbers there).
///
/// # Errors
/// When `f` has the same sign at both ends, or anything is not finite.
pub fn bracketed(
    f: impl FnMut(f64) -> f64,
    lower: f64,
    upper: f64,
    tolerance: f64,
) -> Result<Root, RootError> {
    let mut asked = Asked { f, count: 0 };
    let (mut a, mut b) = (lower, upper);
    let (mut fa, mut fb) = (asked.at(a)?, asked.at(b)?);
    if fa == 0.0 {
        return Ok(Root { x: a, value: fa, opposite: a, evaluations: asked.count });
    }
    if fb != 0.0 && (fa > 0.0) == (fb > 0.0) {
        return Err(RootError::NoSignChange { at_lower: fa, at_upper: fb });
    }
    // b is the best point, c the other end of the bracket, a the previous best.
    let (mut c, mut fc) = (a, fa);
    let (mut step, mut last) = (b - a, b - a);
    while asked.count < MOST {
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let near = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance.max(0.0);
        let half = 0.5 * (c - b);
        if fb == 0.0 || half.abs() <= near {
            let opposite = if fb == 0.0 { b } else { c };
            return Ok(Root { x: b, value: fb, opposite, evaluations: asked.count });
        }
        (step, last) = match interpolate((a, fa), (b, fb), (c, fc)) {
            Some(next)
                if last.abs() >= near
                    && fa.abs() > fb.abs()
                    && next / half > 0.0
                    && next.abs() < (1.5 * half).abs().min(0.5 * last.abs()) =>
            {
                (next, step)
            }
            _ => (half, half),
        };
        (a, fa) = (b, fb);
        b += if step.abs() > near { step } else { near.copysign(half) };
        fb = asked.at(b)?;
        if (fb > 0.0) == (fc > 0.0) && fb != 0.0 {
            (c, fc) = (a, fa);
            (step, last) = (b - a, b - a);
        }
    }
    Err(RootError::Iterations { x: b, value: fb })
}

/// Step from b by the inverse quadratic through three points, or the secant through two.
fn interpolate(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> Option<f64> {
    let s = b.1 / a.1;
    let two_points = a.0.total_cmp(&c.0).is_eq();
    let (p, q) = if two_points {
        ((c.0 - b.0) * s, 1.0 - s)
    } else {
        let (q, r) = (a.1 / c.1, b.1 / c.1);
        let p = s * ((c.0 - b.0) * q * (q - r) - (b.0 - a.0) * (r - 1.0));
        (p, (q - 1.0) * (r - 1.0) * (s - 1.0))
    };
    let step = -p / q;
    step.is_finite().then_some(step)
}

struct Asked<F> {
    f: F,
    count: usize,
}

impl<F: FnMut(f64) -> f64> Asked<F> {
    fn at(&mut self, x: f64) -> Result<f64, RootError> {
        self.count += 1;
        let value = if x.is_finite() { (self.f)(x) } else { f64::NAN };
        if value.is_finite() { Ok(value) } else { Err(RootError::NotFinite { x, value }) }
    }
}
