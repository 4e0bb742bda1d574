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
    efficiency: S,
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

/// The flow that a compressor's map counts in, kg/s, for a mass flow w in kg/s at the temperature T (K) and the pressure p (Pa)
/// in front of it: w·√(T/T₀)·p₀/p, T₀ and p₀ those of the map.
///
/// Source: flow function of an ideal gas at equal Mach number (Saravanamuttoo et al., Gas Turbine Theory, ch. 4).
pub fn corrected_flow<S: Scalar>(
    flow_kg_s: f64,
    (entering_k, pressure_pa): (S, S),
    (map_k, map_pa): (f64, f64),
) -> S {
    (entering_k / map_k).sqrt() / pressure_pa * (map_pa * flow_kg_s)
}
