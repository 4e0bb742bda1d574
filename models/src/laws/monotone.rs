//! Cubics that rise and fall between points as the points do.

use coolwright_solver::scalar::Scalar;

/// The slope at a point of a curve that rises or falls between points as they do, and never in between: of the chords before and
/// after it, each with its width, the weighted harmonic mean, and none at a turning point.
///
/// With chords p and q of widths h and k: `s = 3 (h + k)/((2k + h)/p + (k + 2h)/q)`.
///
/// Source: Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300.
pub fn slope_between<S: Scalar>((p, h): (S, f64), (q, k): (S, f64)) -> S {
    if p.value() * q.value() <= 0.0 {
        return S::from(0.0);
    }
    let (first, second) = (2.0 * k + h, k + 2.0 * h);
    S::from(first + second) / (S::from(first) / p + S::from(second) / q)
}
