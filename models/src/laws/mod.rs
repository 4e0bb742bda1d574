//! Laws: the pure functions that parts are made of, in SI units.
//!
//! Every law is generic over [`Scalar`], so that it gives its value with `f64` and its value and
//! exact derivatives with `coolwright_solver::scalar::Dual`. A law knows nothing of circuits.
//!
//! What each law is stands in a [`card`] of its own, as data: formula, symbols with units, range, source,
//! spread. [`cards::ALL`] has them all.
//!
//! ```
//! use coolwright_models::laws::friction::pipe_fall;
//! use coolwright_solver::scalar::{Dual, Scalar};
//!
//! // Water at 10 °C, 6 L/s through 60 m of smooth 50 mm pipe.
//! let k = Dual::<1>::from;
//! let fall = pipe_fall(Dual::variable(5.994), k(999.0), k(1.138e-3), k(0.05), k(60.0), k(2e-6), k(0.0));
//! assert!((fall.value() / 96.2e3 - 1.0).abs() < 0.01);
//! assert!(fall.slope() > 0.0);
//! ```

// Printed equations stand in the docs as plain text, with subscripts like U_d.
#![allow(clippy::doc_markdown)]

use coolwright_solver::scalar::Scalar;

pub mod boiling;
pub mod card;
pub mod cards;
pub mod compressor;
pub mod curve;
pub mod cushion;
mod elementary;
pub mod exchanger;
pub mod film;
pub mod fins;
pub mod fittings;
pub mod formula;
pub mod friction;
pub mod monotone;
pub mod pipes;
pub mod pump;
pub mod quadrants;
pub mod restriction;
pub mod sheath;
pub mod skin;
pub mod tee;
pub mod two_liquids;
pub mod uncertainty;

/// Standard acceleration of gravity, m/s² (ISO 80000-3).
pub const GRAVITY: f64 = 9.80665;

/// A function of several inputs from its value and its slope with respect to each of them.
#[inline]
fn compose<S: Scalar, const N: usize>(value: f64, inputs: [(S, f64); N]) -> S {
    let mut result = S::from(value);
    for (input, slope) in inputs {
        result += input.chain(0.0, slope);
    }
    result
}

/// Angle of the point `(x, y)` seen from the origin, rad; derivatives hold away from the origin.
fn atan2<S: Scalar>(y: S, x: S) -> S {
    let (y_value, x_value) = (y.value(), x.value());
    let square = x_value * x_value + y_value * y_value;
    compose(y_value.atan2(x_value), [(y, x_value / square), (x, -y_value / square)])
}

/// Smooth step from 0 at `x ≤ 0` to 1 at `x ≥ 1`: 3x² − 2x³, continuous in its first derivative.
fn smooth_step<S: Scalar>(x: S) -> S {
    let at = x.value();
    if at <= 0.0 {
        S::from(0.0)
    } else if at >= 1.0 {
        S::from(1.0)
    } else {
        x.chain(at * at * (3.0 - 2.0 * at), 6.0 * at * (1.0 - at))
    }
}
