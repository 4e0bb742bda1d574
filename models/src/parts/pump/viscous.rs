//! Correction of a pump's curve for viscosity, relative to the fluid in which it was measured.

use coolwright_solver::scalar::Scalar;

use crate::laws::pump::{
    viscosity_parameter, viscous_efficiency_factor, viscous_flow_factor, viscous_head_factor,
};
use crate::slots::{Reader, Slot};

/// What the correction for viscosity needs to know.
#[derive(Clone, Copy, Debug)]
pub struct Viscous {
    /// Kinematic viscosity of the fluid of the curve, m²/s.
    pub curve_viscosity: Slot,
    /// Flow at the best point of the curve, m³/s.
    pub best_flow: Slot,
    /// Head at the best point of the curve, m of its fluid.
    pub best_head: Slot,
    /// Flow of the curve without rise, m³/s: beyond it the factor on the head stays what it is there.
    pub free_flow: Slot,
    /// Speed of the curve, rad/s.
    pub curve_speed: Slot,
}

/// Factors on flow, head and efficiency against the fluid of the curve.
#[derive(Clone, Copy, Debug)]
pub struct ViscousFactors<S> {
    /// On the flow.
    pub flow: S,
    /// On the head at the flow; 1 until it is asked for with [`Viscous::head_factor`].
    pub head: S,
    /// On the efficiency.
    pub efficiency: S,
    /// Parameter B in the coolant at this speed.
    pub parameter: S,
    /// Flow factor against no viscosity, in the coolant and in the fluid of the curve.
    against_none: [S; 2],
}

impl<S: Scalar> ViscousFactors<S> {
    /// No correction.
    pub(super) fn none() -> Self {
        let one = S::from(1.0);
        Self {
            flow: one,
            head: one,
            efficiency: one,
            parameter: S::from(0.0),
            against_none: [one; 2],
        }
    }
}

impl Viscous {
    /// The factors at a kinematic viscosity (m²/s) and a speed over that of the curve.
    ///
    /// c = C(B)/C(B₁): ANSI/HI 9.6.7 counts from a liquid without viscosity worth the name, B ≤ 1, the
    /// curve from its own fluid. B at another speed follows from the affinity laws, B ∝ s^−0.5.
    pub fn factors<S: Scalar>(
        &self,
        values: &Reader<'_, S>,
        viscosity_m2_s: S,
        speed: S,
    ) -> ViscousFactors<S> {
        let [head, flow, turn] =
            [self.best_head, self.best_flow, self.curve_speed].map(|slot| values.get(slot));
        let at = viscosity_parameter(viscosity_m2_s / speed, head, flow, turn);
        let own = values.get(self.curve_viscosity);
        let of_curve = viscosity_parameter(own, head, flow, turn);
        let against_none = [at, of_curve].map(viscous_flow_factor);
        ViscousFactors {
            flow: against_none[0] / against_none[1],
            head: S::from(1.0),
            efficiency: viscous_efficiency_factor(at) / viscous_efficiency_factor(of_curve),
            parameter: at,
            against_none,
        }
    }

    /// The factor on the head at the flow of the curve, Q/(s c_Q) in m³/s.
    pub fn head_factor<S: Scalar>(
        &self,
        values: &Reader<'_, S>,
        factors: &ViscousFactors<S>,
        curve_flow_m3_s: S,
    ) -> S {
        let share = curve_flow_m3_s.min(values.get(self.free_flow));
        let share = share / values.get(self.best_flow);
        let [at, of_curve] = factors.against_none;
        viscous_head_factor(at, share) / viscous_head_factor(of_curve, share)
    }
}
