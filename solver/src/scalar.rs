//! The number that laws are written over: a plain `f64`, or a [`Dual`] that carries derivatives.
//!
//! A law is written once, generic over [`Scalar`]. Evaluated with `f64` it gives the value;
//! evaluated with [`Dual`] it gives the value and its exact derivatives, by the chain rule.
//!
//! ```
//! use coolwright_solver::scalar::{Dual, Scalar};
//!
//! fn loss<S: Scalar>(flow: S) -> S {
//!     flow * flow.abs() * 3.0
//! }
//! let at = loss(Dual::variable(-2.0));
//! assert_eq!(at.value, -12.0);
//! assert_eq!(at.slope(), 12.0);
//! ```

use std::fmt::Debug;
use std::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

/// A real number that a law can be evaluated with.
///
/// Comparisons are made on [`Scalar::value`], so a law takes the same branch with and without
/// derivatives.
pub trait Scalar:
    Copy
    + Debug
    + PartialEq
    + PartialOrd
    + From<f64>
    + Neg<Output = Self>
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
    + AddAssign
    + SubAssign
    + MulAssign
    + DivAssign
{
    /// The value without its derivatives.
    fn value(self) -> f64;

    /// A function of one variable applied to `self`: the result has value `value`, and its
    /// derivative with respect to `self` is `slope`.
    #[must_use]
    fn chain(self, value: f64, slope: f64) -> Self;

    /// Absolute value; the derivative at zero is that of the positive side.
    #[must_use]
    fn abs(self) -> Self {
        if self.value() < 0.0 { -self } else { self }
    }

    /// Square root; the derivative at zero is infinite.
    #[must_use]
    fn sqrt(self) -> Self {
        let root = self.value().sqrt();
        self.chain(root, 0.5 / root)
    }

    /// Natural exponential.
    #[must_use]
    fn exp(self) -> Self {
        let power = self.value().exp();
        self.chain(power, power)
    }

    /// `exp(self) − 1`, accurate near zero.
    #[must_use]
    fn exp_m1(self) -> Self {
        let power = self.value().exp_m1();
        self.chain(power, power + 1.0)
    }

    /// Natural logarithm.
    #[must_use]
    fn ln(self) -> Self {
        self.chain(self.value().ln(), 1.0 / self.value())
    }

    /// A whole power.
    #[must_use]
    fn powi(self, exponent: i32) -> Self {
        let x = self.value();
        self.chain(x.powi(exponent), f64::from(exponent) * x.powi(exponent - 1))
    }

    /// A constant power of a positive number.
    #[must_use]
    fn powf(self, exponent: f64) -> Self {
        let x = self.value();
        let power = x.powf(exponent);
        // A power is dear: of most numbers that of the slope follows from it.
        let below = if x > 1e-100 { power / x } else { x.powf(exponent - 1.0) };
        self.chain(power, exponent * below)
    }

    /// Sine.
    #[must_use]
    fn sin(self) -> Self {
        let (sin, cos) = self.value().sin_cos();
        self.chain(sin, cos)
    }

    /// Cosine.
    #[must_use]
    fn cos(self) -> Self {
        let (sin, cos) = self.value().sin_cos();
        self.chain(cos, -sin)
    }

    /// Hyperbolic tangent.
    #[must_use]
    fn tanh(self) -> Self {
        let tanh = self.value().tanh();
        self.chain(tanh, 1.0 - tanh * tanh)
    }

    /// The larger of two numbers; `self` where they are equal.
    #[must_use]
    fn max(self, other: Self) -> Self {
        if self.value() >= other.value() { self } else { other }
    }

    /// The smaller of two numbers; `self` where they are equal.
    #[must_use]
    fn min(self, other: Self) -> Self {
        if self.value() <= other.value() { self } else { other }
    }
}

impl Scalar for f64 {
    fn value(self) -> f64 {
        self
    }

    fn chain(self, value: f64, _slope: f64) -> f64 {
        value
    }
}

/// A value with its derivatives with respect to `N` chosen variables.
#[derive(Clone, Copy, Debug)]
pub struct Dual<const N: usize> {
    /// The value.
    pub value: f64,
    /// The derivative with respect to each variable.
    pub slopes: [f64; N],
}

impl<const N: usize> Dual<N> {
    /// The variable number `index`, at `value`.
    ///
    /// # Panics
    /// When `index` is not below `N`.
    #[must_use]
    pub fn seeded(value: f64, index: usize) -> Self {
        let mut slopes = [0.0; N];
        slopes[index] = 1.0;
        Self { value, slopes }
    }
}

impl Dual<1> {
    /// The only variable, at `value`.
    #[must_use]
    pub fn variable(value: f64) -> Self {
        Self { value, slopes: [1.0] }
    }

    /// The derivative with respect to the only variable.
    #[must_use]
    pub fn slope(self) -> f64 {
        self.slopes[0]
    }
}

impl<const N: usize> Scalar for Dual<N> {
    fn value(self) -> f64 {
        self.value
    }

    fn chain(self, value: f64, slope: f64) -> Self {
        // A slope of infinity times a derivative of zero would give NaN where nothing varies.
        let slopes = self.slopes.map(|d| if d == 0.0 { 0.0 } else { d * slope });
        Self { value, slopes }
    }
}

impl<const N: usize> From<f64> for Dual<N> {
    fn from(value: f64) -> Self {
        Self { value, slopes: [0.0; N] }
    }
}

impl<const N: usize> PartialEq for Dual<N> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<const N: usize> PartialOrd for Dual<N> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.value.partial_cmp(&other.value)
    }
}

impl<const N: usize> Neg for Dual<N> {
    type Output = Self;
    fn neg(self) -> Self {
        Self { value: -self.value, slopes: self.slopes.map(|d| -d) }
    }
}

/// Derivatives of two numbers combined variable by variable.
fn both<const N: usize>(a: [f64; N], b: [f64; N], f: impl Fn(f64, f64) -> f64) -> [f64; N] {
    std::array::from_fn(|i| f(a[i], b[i]))
}

impl<const N: usize> Add for Dual<N> {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self { value: self.value + o.value, slopes: both(self.slopes, o.slopes, |a, b| a + b) }
    }
}

impl<const N: usize> Sub for Dual<N> {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self { value: self.value - o.value, slopes: both(self.slopes, o.slopes, |a, b| a - b) }
    }
}

// The product rule adds inside a multiplication, which clippy takes for a slip.
#[allow(clippy::suspicious_arithmetic_impl)]
impl<const N: usize> Mul for Dual<N> {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        let slopes = both(self.slopes, o.slopes, |a, b| a * o.value + b * self.value);
        Self { value: self.value * o.value, slopes }
    }
}

// The quotient rule multiplies inside a division, which clippy takes for a slip.
#[allow(clippy::suspicious_arithmetic_impl)]
impl<const N: usize> Div for Dual<N> {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        let value = self.value / o.value;
        let slopes = both(self.slopes, o.slopes, |a, b| (a - value * b) / o.value);
        Self { value, slopes }
    }
}

impl<const N: usize> Add<f64> for Dual<N> {
    type Output = Self;
    fn add(self, o: f64) -> Self {
        Self { value: self.value + o, slopes: self.slopes }
    }
}

impl<const N: usize> Sub<f64> for Dual<N> {
    type Output = Self;
    fn sub(self, o: f64) -> Self {
        Self { value: self.value - o, slopes: self.slopes }
    }
}

impl<const N: usize> Mul<f64> for Dual<N> {
    type Output = Self;
    fn mul(self, o: f64) -> Self {
        Self { value: self.value * o, slopes: self.slopes.map(|d| d * o) }
    }
}

impl<const N: usize> Div<f64> for Dual<N> {
    type Output = Self;
    fn div(self, o: f64) -> Self {
        Self { value: self.value / o, slopes: self.slopes.map(|d| d / o) }
    }
}

macro_rules! assign {
    ($($trait:ident, $method:ident, $op:tt);*) => {$(
        impl<const N: usize> $trait for Dual<N> {
            fn $method(&mut self, other: Self) {
                *self = *self $op other;
            }
        }
    )*};
}
assign!(AddAssign, add_assign, +; SubAssign, sub_assign, -; MulAssign, mul_assign, *; DivAssign, div_assign, /);

#[cfg(test)]
mod tests {
    use super::*;

    /// Every elementary function, against a central difference.
    #[test]
    fn derivatives_agree_with_central_differences() {
        type Case = (&'static str, fn(Dual<1>) -> Dual<1>, fn(f64) -> f64);
        let cases: [Case; 10] = [
            ("abs", Scalar::abs, f64::abs),
            ("sqrt", Scalar::sqrt, f64::sqrt),
            ("exp", Scalar::exp, f64::exp),
            ("exp_m1", Scalar::exp_m1, f64::exp_m1),
            ("ln", Scalar::ln, f64::ln),
            ("powi", |x| Scalar::powi(x, 3), |x| f64::powi(x, 3)),
            ("powf", |x| Scalar::powf(x, 1.75), |x| f64::powf(x, 1.75)),
            ("tanh", Scalar::tanh, f64::tanh),
            ("quotient", |x| (x * x + 1.0) / (x + 2.0), |x| (x * x + 1.0) / (x + 2.0)),
            ("sin cos", |x| x.sin() * x.cos(), |x| x.sin() * x.cos()),
        ];
        for (name, dual, plain) in cases {
            for x in [0.3, 1.0, 2.7] {
                let h = 1e-5;
                let want = (plain(x + h) - plain(x - h)) / (2.0 * h);
                let got = dual(Dual::variable(x));
                assert!((got.value - plain(x)).abs() < 1e-14, "{name}({x}): {got:?}");
                assert!(
                    (got.slope() - want).abs() < 1e-8,
                    "{name}'({x}): got {got:?}, want {want}"
                );
            }
        }
    }

    #[test]
    #[allow(clippy::float_cmp)] // The numbers and their products are exact in binary.
    fn several_variables_keep_their_derivatives_apart() {
        let x = Dual::<2>::seeded(3.0, 0);
        let y = Dual::<2>::seeded(2.0, 1);
        let z = x * y + x / y;
        assert_eq!(z.value, 7.5);
        assert_eq!(z.slopes, [2.5, 2.25]);
    }
}
