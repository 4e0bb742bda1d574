//! Pumps beyond their curve: viscosity, the speed that a limit of power leaves, net positive
//! suction head.

use coolwright_solver::roots::bracketed;
use coolwright_solver::scalar::{Dual, Scalar};

use super::GRAVITY;

/// Least parameter B at which viscosity counts (ANSI/HI 9.6.7).
pub const LEAST_B: f64 = 1.0;
/// Largest parameter B for which the factors were fitted (ANSI/HI 9.6.7). Beyond it they are held at
/// those of this B, and the caller says so.
pub const MOST_B: f64 = 40.0;
/// Least flow at the best point of the pumps behind the fit, m³/s: 13 US gpm (ANSI/HI 9.6.7).
pub const LEAST_BEST_FLOW_M3_S: f64 = 13.0 * 231.0 * 0.0254 * 0.0254 * 0.0254 / 60.0;
/// Least head of a stage at the best point of the pumps behind the fit, m: 20 ft (ANSI/HI 9.6.7).
pub const LEAST_BEST_HEAD_M: f64 = 20.0 * 0.3048;

/// Parameter B, −: how viscous a pump finds its liquid.
///
/// B = 16.5 ν^0.5 H^0.0625/(Q^0.375 n^0.25), ν in cSt, H in m, Q in m³/h, n in 1/min
///
/// `viscosity_m2_s` ν is that of the liquid; `flow_m3_s` Q and `head_m` H (one stage) stand at the
/// best point in water; `speed_rad_s` n is the speed there. By the affinity laws B ∝ s^−0.5 for the
/// same pump at another speed. All above zero. Fitted on 1 to 3000 cSt, 13 to 1140 US gpm, 20 to
/// 430 ft.
///
/// Source: ANSI/HI 9.6.7 (2004 and later; from memory).
pub fn viscosity_parameter<S: Scalar>(
    viscosity_m2_s: S,
    head_m: S,
    flow_m3_s: S,
    speed_rad_s: S,
) -> S {
    let centistokes = viscosity_m2_s * 1e6;
    let per_hour = flow_m3_s * 3600.0;
    let per_minute = speed_rad_s * (60.0 / std::f64::consts::TAU);
    centistokes.sqrt() * head_m.powf(0.0625) * 16.5 / (per_hour.powf(0.375) * per_minute.powf(0.25))
}

/// Factor on the flow, −: C_Q = 2.71^(−0.165 (log₁₀ B)^3.15); at the best point also that on the
/// head.
///
/// 1 up to B = 1, held beyond B = 40. Source: ANSI/HI 9.6.7.
pub fn viscous_flow_factor<S: Scalar>(parameter: S) -> S {
    if parameter.value() <= LEAST_B {
        return S::from(1.0);
    }
    let decades = parameter.min(S::from(MOST_B)).ln() * std::f64::consts::LOG10_E;
    (decades.powf(3.15) * (-0.165 * 2.71_f64.ln())).exp()
}

/// Factor on the efficiency, −: C_η = B^(−0.0547 B^0.69).
///
/// 1 up to B = 1, held beyond B = 40. Source: ANSI/HI 9.6.7.
pub fn viscous_efficiency_factor<S: Scalar>(parameter: S) -> S {
    if parameter.value() <= LEAST_B {
        return S::from(1.0);
    }
    let b = parameter.min(S::from(MOST_B));
    (b.ln() * b.powf(0.69) * -0.0547).exp()
}

/// Factor on the head away from the best point, −: C_H = 1 − (1 − C_Q) (Q/Q_best)^0.75.
///
/// `flow_factor` is C_Q; `share` Q/Q_best, the same in water and in the viscous liquid. Near zero
/// flow, below a tenth of the best, the power is replaced by a cubic of the same value and slope
/// there that leaves zero flat: the power itself has an infinite slope at zero. With reversed flow
/// the factor is 1. Source: ANSI/HI 9.6.7 (its data lie between 0.6 and 1.2); the cubic is ours.
pub fn viscous_head_factor<S: Scalar>(flow_factor: S, share: S) -> S {
    S::from(1.0) - (S::from(1.0) - flow_factor) * three_quarters(share)
}

/// x^0.75, smooth through zero.
fn three_quarters<S: Scalar>(share: S) -> S {
    const JOIN: f64 = 0.1;
    if share.value() <= 0.0 {
        return S::from(0.0);
    }
    if share.value() >= JOIN {
        return share.powf(0.75);
    }
    let t = share / JOIN;
    t * t * (t * -1.25 + 2.25) * JOIN.powf(0.75)
}

/// A power that grows with speed, as [`speed_at_power`] asks for it.
pub trait PowerLaw<S: Scalar> {
    /// Power in W at a speed, with everything that it depends on.
    fn power_w(&self, speed: S) -> S;
    /// The same with the speed alone varied.
    fn power_by_speed_w(&self, speed: Dual<1>) -> Dual<1>;
}

/// The speed below `most` at which a pump takes a given power: P(s, …) = `power_w`.
///
/// For a pump that takes more than that at `most`. Its power goes to zero with its speed, so there
/// is such a speed. Where there are several, it is one of them. The derivatives are those of the
/// implicit function: ds = (dP_allowed − ∂P/∂x dx)/(∂P/∂s).
pub fn speed_at_power<S: Scalar>(law: &impl PowerLaw<S>, most: f64, power_w: S) -> S {
    let allowed = power_w.value();
    if allowed <= 0.0 {
        return S::from(0.0);
    }
    let excess = |speed: f64| law.power_by_speed_w(Dual::variable(speed)).value - allowed;
    let mut speed = bracketed(excess, 0.0, most, 1e-12 * most).map_or(most, |root| root.x);
    let mut slope = law.power_by_speed_w(Dual::variable(speed)).slope();
    // Two steps of Newton bring the last digits, so that a difference of two speeds is smooth too.
    for _ in 0..2 {
        if slope > 0.0 {
            speed -= excess(speed) / slope;
        }
        slope = law.power_by_speed_w(Dual::variable(speed)).slope();
    }
    let at = S::from(speed);
    if slope > 0.0 { at + (power_w - law.power_w(at)) / slope } else { at }
}

/// Net positive suction head available, m: (p_total − p_vapour)/(ρ g).
///
/// `total_pa` is the absolute total pressure at the pump's inlet, static pressure and ½ρv², at the
/// height of the inlet; `vapour_pa` the absolute vapour pressure of the liquid there; `density`
/// kg/m³. Negative where the liquid boils. Source: definition of ISO 17769-1 and ISO 9906 (NPSH),
/// with the inlet as its datum.
pub fn suction_head_m<S: Scalar>(total_pa: S, vapour_pa: S, density: S) -> S {
    (total_pa - vapour_pa) / (density * GRAVITY)
}
