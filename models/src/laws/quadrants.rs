//! Pumps and fans beyond their curve: past its end, driven backwards, slow, and at rest.
//!
//! A curve tells what a machine does in the one quadrant in which it was measured. What it does beyond
//! follows here from the curve and from what the machine resists at rest, so that every flow and every
//! speed from zero on has one answer, and all of them join smoothly.

use coolwright_solver::scalar::Scalar;

use super::curve::Curve;
use super::fittings::odd_power;

/// What a radial pump whose rotor is held resists at rest: its fall in the direction of delivery at its
/// free flow, over its pressure at shut-off. −0.556·1.86²/1.288: see [`RADIAL`].
pub const RADIAL_HELD: f64 = 1.49;
/// The same where it spins freely: at 71.2° its torque is zero, and its head −0.204·(1 + 0.340²).
pub const RADIAL_FREE: f64 = 0.61;
/// The same for flow against the direction of delivery, the rotor held: 0.692·1.86²/1.288.
pub const RADIAL_BACKWARDS: f64 = 1.86;

/// Complete characteristics of a radial pump of specific speed 25 (1/min, m³/s, m) in the form of Suter:
/// F(θ) = h/(α² + v²) at θ = atan2(v, α), from −90° (flow against the direction of delivery, no speed)
/// to +90° (flow along it, no speed) in steps of 360°/88; h, v and α are head, flow and speed over those
/// of the best point.
///
/// Source: measured by Donsky 1961 (J. Basic Eng. 83, 685), the table as reprinted from Wylie and
/// Streeter, Fluid Transients, in open-source models of thermal power plants.
pub const RADIAL: [f64; 45] = [
    0.692, 0.722, 0.753, 0.782, 0.808, 0.832, 0.857, 0.879, 0.904, 0.930, 0.959, 0.996, 1.027,
    1.060, 1.090, 1.124, 1.165, 1.204, 1.238, 1.258, 1.271, 1.282, 1.288, 1.281, 1.260, 1.225,
    1.172, 1.107, 1.031, 0.942, 0.842, 0.733, 0.617, 0.500, 0.368, 0.240, 0.125, 0.011, -0.102,
    -0.168, -0.255, -0.342, -0.423, -0.494, -0.556,
];

/// What a machine resists at rest.
#[derive(Clone, Copy, Debug)]
pub struct AtRest<S> {
    /// Fall at `flow` along the direction of delivery, Pa, in the fluid of the curve.
    pub fall: S,
    /// Volume flow of that fall, m³/s.
    pub flow: S,
    /// How many times as much it falls for as much flow against the direction of delivery.
    pub backwards: S,
}

impl<S: Scalar> AtRest<S> {
    /// Fall at a signed volume flow in m³/s, Pa: Δ (Q/Q₀)², and f times that for Q < 0.
    ///
    /// Below a thousandth of Q₀ in proportion to the flow, as [`super::fittings::rated_fall`].
    pub fn fall(&self, flow_m3_s: S) -> S {
        let x = flow_m3_s / self.flow;
        let (value, slope) = odd_power(x.value(), 2.0);
        let fall = self.fall * x.chain(value, slope);
        if x.value() >= 0.0 {
            return fall;
        }
        // Its slope at no flow is the same both ways.
        fall - self.fall * (self.backwards - 1.0) * x * x
    }
}

impl<S: Scalar> AtRest<S> {
    /// The same in parts of a size of head.
    #[must_use]
    pub fn over(self, size: S) -> Self {
        Self { fall: self.fall / size, ..self }
    }
}

impl AtRest<f64> {
    /// What the second part of [`machine_rise`] goes with, by its size: flow beyond the end of the curve
    /// over Q₀; backwards all of it, times √f. None of it where the curve holds.
    pub fn share(&self, curve: &Curve, scale: f64, flow_m3_s: f64) -> f64 {
        let ([end, _], _) = curve.last();
        if flow_m3_s < 0.0 {
            return self.backwards.sqrt() * flow_m3_s / self.flow;
        }
        (flow_m3_s - scale * end).max(0.0) / self.flow
    }
}

/// Rise of total pressure over a pump or fan at any speed from zero on and any flow, in two parts: what
/// its blades give, and, below zero, what it resists besides. Their sum is, in the fluid of the curve:
///
/// - between no flow and the last point (x₁, y₁) of the curve, slope k: Δp = s² H₁(Q/s);
/// - beyond it, d = Q/s − x₁: Δp = s² (y₁ + k d − a d²). K = Δ/Q₀² of the machine at rest is a where the
///   curve then stays above −K (Q/s)². Where it would cross that, it touches it,
///   a = K − (k + 2 K x₁)²/(4 (y₁ + K x₁²)), and from there on Δp = −K Q²: the flow turns the rotor;
/// - driven backwards: Δp = s² H₁(Q/s) + f K Q², H₁ straight below its first point.
///
/// As s → 0 all of them go over into −K Q² and f K Q²; at a given flow a machine never gives less for
/// turning faster.
///
/// `scale` s is the speed over that of the curve, not negative; `flow_m3_s` Q is signed. Source: affinity
/// laws; of the form beyond the curve, complete characteristics as in [`RADIAL`]: where α² + v² = 1 it stays
/// within a tenth of the pressure at shut-off from them.
pub fn machine_rise<S: Scalar>(
    curve: &Curve,
    at_rest: &AtRest<S>,
    scale: S,
    flow_m3_s: S,
) -> [S; 2] {
    let zero = S::from(0.0);
    if scale.value() <= 0.0 {
        return [zero, -at_rest.fall(flow_m3_s)];
    }
    let still = at_rest.fall / (at_rest.flow * at_rest.flow);
    let ([end, y], slope) = curve.last();
    let past = flow_m3_s - scale * end;
    if past.value() <= 0.0 {
        let own = curve.rise(scale, flow_m3_s);
        let against = flow_m3_s.value() < 0.0;
        let square = still * flow_m3_s * flow_m3_s;
        return [own, if against { square * at_rest.backwards } else { zero }];
    }
    let rest = -(still * past * past);
    let line = scale * scale * y + scale * past * slope;
    let approach = still * (2.0 * end) + slope;
    let above = still * (end * end) + y;
    if approach.value() >= 0.0 || above.value() <= 0.0 {
        return [line, rest];
    }
    // Δp/s² + K (Q/s)² = (y₁ + K x₁²) + (k + 2 K x₁) d + (K − a) d² touches zero where it has a double
    // root.
    let touch = above * -2.0 / approach;
    if past.value() < touch.value() * scale.value() {
        return [line + approach * approach / (above * 4.0) * past * past, rest];
    }
    let own = still * scale * (scale * (end * end) - flow_m3_s * (2.0 * end));
    [own, rest]
}
