//! Effectiveness of heat exchangers from the number of transfer units, and back.
//!
//! N = UA/C_min, C = C_min/C_max, ε = heat over the heat of an endless counterflow exchanger.

use std::error::Error;
use std::fmt;

use coolwright_solver::scalar::{Dual, Scalar};

use super::compose;

/// How the two streams of an exchanger pass each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrangement {
    /// In opposite directions.
    Counterflow,
    /// In the same direction.
    Parallel,
    /// Across each other, neither mixed across its own flow.
    CrossUnmixed,
    /// Across each other, the stream with the smaller capacity rate mixed across its flow.
    CrossSmallerMixed,
    /// Across each other, the stream with the larger capacity rate mixed across its flow.
    CrossLargerMixed,
}

/// Why an effectiveness has no number of transfer units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ExchangerError {
    /// Not between 0 and 1, or not a number.
    NotAShare {
        /// The effectiveness or ratio of capacity rates that was given.
        value: f64,
    },
    /// More than the arrangement can reach.
    OutOfReach {
        /// The effectiveness that was given.
        effectiveness: f64,
        /// What the arrangement reaches with [`NTU_MAX`] transfer units.
        limit: f64,
    },
}

impl fmt::Display for ExchangerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAShare { value } => write!(f, "{value} is not between 0 and 1"),
            Self::OutOfReach { effectiveness, limit } => write!(
                f,
                "an effectiveness of {effectiveness} is out of reach: this arrangement ends at {limit}"
            ),
        }
    }
}

impl Error for ExchangerError {}

/// Most transfer units that [`transfer_units`] looks for, −.
pub const NTU_MAX: f64 = 1000.0;

/// Effectiveness of an arrangement, −; formulas at the functions of the arrangements.
///
/// `ntu` N from 0, `ratio` C from 0 to 1.
pub fn effectiveness<S: Scalar>(arrangement: Arrangement, ntu: S, ratio: S) -> S {
    match arrangement {
        Arrangement::Counterflow => counterflow(ntu, ratio),
        Arrangement::Parallel => parallel(ntu, ratio),
        Arrangement::CrossUnmixed => cross_unmixed(ntu, ratio),
        Arrangement::CrossSmallerMixed => cross_smaller_mixed(ntu, ratio),
        Arrangement::CrossLargerMixed => cross_larger_mixed(ntu, ratio),
    }
}

/// Effectiveness in counterflow, −.
///
/// ε = (1 − e^−x)/(1 − C·e^−x), x = N·(1 − C); N/(1 + N) for C = 1
///
/// `ntu` N from 0, `ratio` C from 0 to 1; smooth at C = 1.
///
/// Source: Kays & London, Compact Heat Exchangers, ch. 2.
pub fn counterflow<S: Scalar>(ntu: S, ratio: S) -> S {
    // 1 − C·e^−x = (1 − e^−x) + (1 − C)·e^−x; both parts over 1 − C.
    let x = ntu * (-ratio + 1.0);
    let gain = ntu * decay_mean(x);
    gain / (gain + (-x).exp())
}

/// Effectiveness in parallel flow, −: ε = (1 − e^(−N·(1 + C)))/(1 + C).
///
/// `ntu` N from 0, `ratio` C from 0 to 1. Source: Kays & London, ch. 2.
pub fn parallel<S: Scalar>(ntu: S, ratio: S) -> S {
    let sum = ratio + 1.0;
    -(-(ntu * sum)).exp_m1() / sum
}

/// Effectiveness in cross-flow with the smaller capacity rate mixed, −.
///
/// ε = 1 − exp(−(1 − e^(−C·N))/C)
///
/// `ntu` N from 0, `ratio` C from 0. With N and C counted on the mixed stream whether or not it is
/// the smaller one, it is that stream's temperature effectiveness for any C.
///
/// Source: Kays & London, ch. 2.
pub fn cross_smaller_mixed<S: Scalar>(ntu: S, ratio: S) -> S {
    -(-(ntu * decay_mean(ratio * ntu))).exp_m1()
}

/// Effectiveness in cross-flow with the larger capacity rate mixed, −.
///
/// ε = (1 − exp(−C·(1 − e^−N)))/C
///
/// `ntu` N from 0, `ratio` C from 0. A single row of flat tubes in air of the smaller capacity rate
/// is this case. With N and C counted on the unmixed stream it is that stream's temperature
/// effectiveness for any C.
///
/// Source: Kays & London, ch. 2.
pub fn cross_larger_mixed<S: Scalar>(ntu: S, ratio: S) -> S {
    let reach = -(-ntu).exp_m1();
    reach * decay_mean(ratio * reach)
}

/// (1 − e^−x)/x, 1 at x = 0: the mean of e^−t over t from 0 to x.
fn decay_mean<S: Scalar>(x: S) -> S {
    let at = x.value();
    if at.abs() < 0.01 {
        let value = 1.0 - at * (0.5 - at * (1.0 / 6.0 - at * (1.0 / 24.0 - at / 120.0)));
        let slope = -0.5 + at * (1.0 / 3.0 - at * (0.125 - at * (1.0 / 30.0 - at / 144.0)));
        return x.chain(value, slope);
    }
    let value = -(-at).exp_m1() / at;
    x.chain(value, ((-at).exp() - value) / at)
}

/// Effectiveness in cross-flow with both streams unmixed, −; the exact series.
///
/// ε = 1/(C·N)·Σ_{n≥0} q_n(N)·q_n(C·N), q_n(x) = 1 − e^−x·Σ_{m≤n} x^m/m!
///
/// `ntu` N from 0 to [`NTU_MAX`], `ratio` C from 0 to 1. The closed form in handbooks,
/// 1 − exp(N^0.22/C·(e^(−C·N^0.78) − 1)), is off by up to 4 %.
///
/// Source: Mason 1955, Proc. 2nd US Natl. Congr. Appl. Mech. 801; Kays & London.
pub fn cross_unmixed<S: Scalar>(ntu: S, ratio: S) -> S {
    let (n, c) = (ntu.value(), ratio.value());
    if n <= 0.0 {
        return ntu;
    }
    let own = c * n;
    let (value, by_ntu, by_product) =
        if own < 1e-3 { short_series(n, own) } else { full_series(n, own) };
    compose(value, [(ntu, by_ntu + by_product * c), (ratio, by_product * n)])
}

/// The series for a = N and b = C·N, and its derivatives by a and b, from
/// dq_n/dx = e^−x·x^n/n!.
fn full_series(a: f64, b: f64) -> (f64, f64, f64) {
    let (ln_a, ln_b) = (a.ln(), b.ln());
    // Logarithms of e^−x·x^n/n!, so that e^−x never underflows.
    let (mut ln_pa, mut ln_pb) = (-a, -b);
    let (mut qa, mut qb) = (-(-a).exp_m1(), -(-b).exp_m1());
    let (mut sum, mut by_a, mut by_b) = (0.0, 0.0, 0.0);
    let mut n = 0.0;
    loop {
        let (pa, pb) = (ln_pa.exp(), ln_pb.exp());
        sum += qa * qb;
        by_a += pa * qb;
        by_b += qa * pb;
        // Past n = x the rest q_n is of the size of its term. Testing q_n itself would not end: it
        // comes by subtraction, and rounding keeps it above any such bound.
        if (n > b && ln_pb < -40.0) || (n > a && ln_pa < -40.0) {
            break;
        }
        n += 1.0;
        let ln_n = f64::ln(n);
        ln_pa += ln_a - ln_n;
        ln_pb += ln_b - ln_n;
        qa -= ln_pa.exp();
        qb -= ln_pb.exp();
    }
    (sum / b, by_a / b, (by_b - sum / b) / b)
}

/// [`full_series`] to the third power of a small b.
fn short_series(a: f64, b: f64) -> (f64, f64, f64) {
    let mut weight = (-a).exp();
    let mut rest = -(-a).exp_m1();
    let weights = [
        [1.0, -0.5, 1.0 / 6.0, -1.0 / 24.0],
        [0.0, 0.5, -1.0 / 3.0, 0.125],
        [0.0, 0.0, 1.0 / 6.0, -0.125],
        [0.0, 0.0, 0.0, 1.0 / 24.0],
    ];
    let (mut value, mut by_a, mut by_b) = (0.0, 0.0, 0.0);
    for (n, [w0, w1, w2, w3]) in (1_u8..).zip(weights) {
        let factor = w0 + b * (w1 + b * (w2 + b * w3));
        value += rest * factor;
        by_a += weight * factor;
        by_b += rest * (w1 + b * (2.0 * w2 + 3.0 * b * w3));
        weight *= a / f64::from(n);
        rest -= weight;
    }
    (value, by_a, by_b)
}

/// Transfer units that give an effectiveness, −.
///
/// Newton's method on [`effectiveness`], kept inside a bracket that shrinks at every step.
/// `effectiveness` from 0 to below 1, `ratio` C from 0 to 1.
///
/// # Errors
/// [`ExchangerError::NotAShare`] for arguments outside 0 to 1, [`ExchangerError::OutOfReach`] where
/// the arrangement would need more than [`NTU_MAX`].
pub fn transfer_units(
    arrangement: Arrangement,
    effectiveness: f64,
    ratio: f64,
) -> Result<f64, ExchangerError> {
    for value in [effectiveness, ratio] {
        if !(0.0..=1.0).contains(&value) {
            return Err(ExchangerError::NotAShare { value });
        }
    }
    let limit = self::effectiveness(arrangement, NTU_MAX, ratio);
    if effectiveness >= limit {
        return Err(ExchangerError::OutOfReach { effectiveness, limit });
    }
    let (mut low, mut high) = (0.0, NTU_MAX);
    let mut ntu = effectiveness / (1.0 - effectiveness);
    for _ in 0..200 {
        if !(ntu >= low && ntu <= high) {
            ntu = 0.5 * (low + high);
        }
        let at = self::effectiveness(arrangement, Dual::variable(ntu), Dual::from(ratio));
        let excess = at.value - effectiveness;
        if excess > 0.0 {
            high = ntu;
        } else {
            low = ntu;
        }
        let step = excess / at.slope();
        if step.abs() <= 1e-14 * ntu.abs() || high - low <= 1e-14 * high {
            break;
        }
        ntu -= step;
    }
    Ok(ntu)
}
