//! A compressor known by its pressure ratio and its isentropic efficiency.

use coolwright_solver::scalar::Scalar;

/// Temperature behind a compressor, K, for one in front of it, K.
///
/// T₂ = T₁·(1 + (Π^(R/c) − 1)/η)
///
/// `exponent` gives R/c at a temperature; it is taken at the mean of both ends. `ratio` at least 1,
/// `efficiency` above zero.
///
/// Source: isentropic compression of an ideal gas, and the definition of the efficiency (Saravanamuttoo et
/// al., Gas Turbine Theory, ch. 2).
pub fn compressed_k<S: Scalar>(
    entering_k: S,
    ratio: f64,
    efficiency: f64,
    exponent: impl Fn(S) -> S,
) -> S {
    let mut leaving_k = entering_k;
    for _ in 0..MEANS {
        let mean = (entering_k + leaving_k) * 0.5;
        let ideal = (exponent(mean) * ratio.ln()).exp_m1();
        leaving_k = entering_k * (ideal / efficiency + 1.0);
    }
    leaving_k
}

/// How often the mean is taken anew: the heat capacity of air changes by a few percent over a stage, each round
/// mends all but about a hundredth of what is left.
const MEANS: usize = 7;
