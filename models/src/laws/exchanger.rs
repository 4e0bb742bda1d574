//! What a core passes on by its conductance, and its conductance from one rated point.
//!
//! A single row of flat tubes is cross-flow with the air unmixed and the coolant mixed across the depth.
//!
//! Q = C_c·ΔT·(1 − e^(−Γ·C_a/C_c)), Γ = 1 − e^(−UA/C_a)
//!
//! Source: Kays & London, Compact Heat Exchangers, ch. 2: cross-flow, one fluid mixed. With C_c the
//! smaller capacity flow it is their formula for the smaller one mixed, otherwise that for the larger one.

use coolwright_solver::scalar::Scalar;

/// How the coolant goes through a core.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrangement {
    /// Rows of tubes that the air meets one behind the other; the coolant goes through all of them side by side.
    pub rows: f64,
    /// Passes side by side in the face, which the coolant goes through one after the other.
    pub passes: f64,
}

impl Arrangement {
    /// A single row that the coolant goes through at once.
    pub const ONE_ROW: Self = Self { rows: 1.0, passes: 1.0 };

    /// Most rows for which the formulas are printed.
    pub const MOST_ROWS: f64 = 4.0;
}

/// What a core does, as a conductance G between coolant and entering air, W/K: then Q = C_c·ΔT·(1 − e^(−G/C_c)).
///
/// G = r·K·C_a − p·C_c·ln(1 + a₁·c + a₂·c² + a₃·c³), K = 1 − e^(−UA/(r·C_a)), c = C_a/(p·C_c); for the rows r
/// 1: a₁ = a₂ = a₃ = 0; 2: a₁ = K²; 3: a₁ = K²·(3 − K), a₂ = 3/2·K⁴;
/// 4: a₁ = K²·(6 − 4·K + K²), a₂ = 4·K⁴·(2 − K), a₃ = 8/3·K⁶
///
/// `conductance` UA, capacity flows `air` and `coolant` of the whole core in W/K, above zero. The air is unmixed; the coolant is
/// mixed across the depth of each tube, shared equally by `rows` of tubes (1 to 4, whole), and mixed between passes (`passes`
/// p from 1). Each pass meets air that is as cold as in front, so passes of a single row change nothing but the flow in each
/// tube. Never more than UA.
///
/// Source: ESDU 86018, effectiveness of cross-flow with one to four rows (from memory); passes in turn follow from it.
pub fn arranged_conductance<S: Scalar>(conductance: S, air: S, coolant: S, of: Arrangement) -> S {
    let Arrangement { rows, passes } = of;
    if rows <= 1.0 {
        return -((-(conductance / air)).exp_m1()) * air;
    }
    let k = -((-(conductance / (air * rows))).exp_m1());
    let c = air / (coolant * passes);
    let square = k * k;
    let more = if rows <= 2.0 {
        square * c
    } else if rows <= 3.0 {
        (square * c * 1.5 + (-k + 3.0)) * square * c
    } else {
        let second = (square * c * (8.0 / 3.0) + (-k + 2.0) * 4.0) * square * c;
        (second + (square - k * 4.0 + 6.0)) * square * c
    };
    k * air * rows - coolant * passes * (more + 1.0).ln()
}

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
/// Q/ΔT of the formula of [`arranged_conductance`]. Capacity flows as for [`most_heat_w`].
pub fn heat_for_each_kelvin_w_k(
    conductance_w_k: f64,
    [coolant_w_k, air_w_k]: [f64; 2],
    of: Arrangement,
) -> f64 {
    let whole = arranged_conductance(conductance_w_k, air_w_k, coolant_w_k, of);
    most_heat_w(coolant_w_k, whole, 1.0)
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
