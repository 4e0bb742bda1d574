//! The conductance of a core from one rated point.
//!
//! A single row of flat tubes is cross-flow with the air unmixed and the coolant mixed across the depth.
//!
//! Q = C_c·ΔT·(1 − e^(−Γ·C_a/C_c)), Γ = 1 − e^(−UA/C_a)
//!
//! Source: Kays & London, Compact Heat Exchangers, ch. 2: cross-flow, one fluid mixed. With C_c the
//! smaller capacity flow it is their formula for the smaller one mixed, otherwise that for the larger one.

/// The most heat that a core of any size passes on with the air unmixed and the coolant mixed, W.
///
/// `coolant_w_k` and `air_w_k` are the capacity flows, W/K; `difference_k` is the coolant's inlet less the
/// air's inlet temperature, K.
pub fn most_heat_w(coolant_w_k: f64, air_w_k: f64, difference_k: f64) -> f64 {
    coolant_w_k * difference_k * -(-air_w_k / coolant_w_k).exp_m1()
}

/// The most heat that any core at all passes on, W: Q = min(C_c; C_a)·ΔT.
///
/// An endless core reaches it in counterflow, and in cross-flow with both fluids unmixed. Inputs as those
/// of [`most_heat_w`].
///
/// Source: Kays & London, Compact Heat Exchangers, ch. 2: effectiveness 1.
pub fn most_heat_of_any_w(coolant_w_k: f64, air_w_k: f64, difference_k: f64) -> f64 {
    coolant_w_k.min(air_w_k) * difference_k
}

/// Heat for each kelvin between entering coolant and entering air, W/K, that a conductance UA (W/K) passes on:
/// Q/ΔT of the formula above. Capacity flows as for [`most_heat_w`].
pub fn heat_for_each_kelvin_w_k(conductance_w_k: f64, coolant_w_k: f64, air_w_k: f64) -> f64 {
    let gamma = -(-conductance_w_k / air_w_k).exp_m1();
    most_heat_w(coolant_w_k, gamma * air_w_k, 1.0)
}

/// The conductance UA that passes on a heat, W/K; infinite or no number from [`most_heat_w`] on.
///
/// `heat_w` in W above zero, the rest as for [`most_heat_w`].
pub fn rated_conductance_w_k(
    heat_w: f64,
    coolant_w_k: f64,
    air_w_k: f64,
    difference_k: f64,
) -> f64 {
    let gamma = -(coolant_w_k / air_w_k) * (-heat_w / (coolant_w_k * difference_k)).ln_1p();
    -air_w_k * (-gamma).ln_1p()
}
