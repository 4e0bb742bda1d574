//! Losses of bore changes, entries, exits, cones and bends, and of parts known by a rated point.

use std::f64::consts::{FRAC_PI_2, PI};

use coolwright_solver::scalar::Scalar;

use super::compose;
use super::friction::darcy_factor;

/// Loss of a pipe's end in a vessel or an open space, on the velocity head in the pipe, −.
///
/// All the velocity head is lost in turbulent flow (Borda–Carnot into an infinite bore).
pub const EXIT_LOSS: f64 = 1.0;

/// Loss of the entry from a vessel into a flush pipe with a sharp edge, on the velocity head in the
/// pipe, −.
///
/// Source: Idelchik, Handbook of Hydraulic Resistance, entrance with a sharp edge; handbooks spread from
/// 0.50 to 0.57. Turbulent flow.
pub const ENTRY_LOSS: f64 = 0.5;

/// Velocity head of a signed mass flow in a round bore, with the sign of the flow, Pa.
///
/// h = 8·m·|m|/(π²·ρ·D⁴); `flow_kg_s` signed, `density` kg/m³, `bore_m` m.
pub fn signed_head<S: Scalar>(flow_kg_s: S, density: S, bore_m: S) -> S {
    let square = bore_m * bore_m;
    flow_kg_s * flow_kg_s.abs() * (8.0 / (PI * PI)) / (density * square * square)
}

/// Loss of a sudden expansion on the head of the smaller bore, −.
///
/// K = (1 − A₁/A₂)²; `area_ratio` smaller over larger area, 0 to 1.
///
/// Source: Borda–Carnot, momentum balance; uniform profiles, turbulent flow.
pub fn expansion_loss<S: Scalar>(area_ratio: S) -> S {
    let rest = -area_ratio + 1.0;
    rest * rest
}

/// Loss of a sudden sharp-edged contraction on the head of the smaller bore, −.
///
/// K = 0.5·(1 − A₂/A₁); `area_ratio` smaller over larger area, 0 to 1. Turbulent flow; handbooks
/// spread from 0.25 to 0.34 at half the area.
///
/// Source: Flow of Fluids, TP 410, contraction of 180°; Idelchik has the same with the power 0.75.
pub fn contraction_loss<S: Scalar>(area_ratio: S) -> S {
    (-area_ratio + 1.0) * 0.5
}

/// Fall of total pressure at a sudden change of bore, Pa.
///
/// Δp = K·8·m·|m|/(π²·ρ·d⁴), d the smaller bore; K is [`expansion_loss`] for flow towards the
/// larger bore and [`contraction_loss`] for flow towards the smaller one.
///
/// `flow_kg_s` is positive from `from_bore_m` to `to_bore_m`; the roles change when it reverses.
/// Zero when the bores are equal. Value and slope are continuous through zero flow.
pub fn bore_change_fall<S: Scalar>(flow_kg_s: S, density: S, from_bore_m: S, to_bore_m: S) -> S {
    let (small, ratio, widens) = bores(flow_kg_s, from_bore_m, to_bore_m);
    let loss = if widens { expansion_loss(ratio) } else { contraction_loss(ratio) };
    loss * signed_head(flow_kg_s, density, small)
}

/// The smaller bore, the area ratio, and whether the flow goes towards the larger bore.
fn bores<S: Scalar>(flow: S, from: S, to: S) -> (S, S, bool) {
    let (small, large) = if from.value() <= to.value() { (from, to) } else { (to, from) };
    let ratio = small / large;
    let widens = (flow.value() >= 0.0) == (from.value() <= to.value());
    (small, ratio * ratio, widens)
}

/// Fall of total pressure along a cone between two bores, Pa, for both directions.
///
/// Towards the larger bore K = 2.6·sin(α/2)·(1 − β²)², at most (1 − β²)²; towards the smaller bore
/// K = 0.8·sin(α/2)·(1 − β²), at most 0.5·√sin(α/2)·(1 − β²); both on the head of the smaller
/// bore, β the bore ratio.
///
/// `flow_kg_s` is positive from `from_bore_m` to `to_bore_m`; `angle_rad` is the whole cone angle
/// α, 0 to π. The source switches formulas at 45°, where its two lines differ by under 1 %; here
/// the lower line counts, so that there is no step. Wall friction of the cone is not contained.
///
/// Source: Flow of Fluids, TP 410, reducers and enlargements.
pub fn cone_fall<S: Scalar>(
    flow_kg_s: S,
    density: S,
    from_bore_m: S,
    to_bore_m: S,
    angle_rad: S,
) -> S {
    let (small, ratio, widens) = bores(flow_kg_s, from_bore_m, to_bore_m);
    let loss = cone_loss(ratio, angle_rad, widens);
    loss * signed_head(flow_kg_s, density, small)
}

/// Loss of a cone on the head of the smaller bore, −; formulas and source at [`cone_fall`].
///
/// `area_ratio` smaller over larger area; `angle_rad` the whole cone angle; `widens` for flow
/// towards the larger bore.
pub fn cone_loss<S: Scalar>(area_ratio: S, angle_rad: S, widens: bool) -> S {
    let sine = (angle_rad * 0.5).sin();
    if widens {
        expansion_loss(area_ratio) * (sine * 2.6).min(S::from(1.0))
    } else if sine.value() * 0.8 <= 0.5 * sine.value().sqrt() {
        (-area_ratio + 1.0) * sine * 0.8
    } else {
        (-area_ratio + 1.0) * sine.sqrt() * 0.5
    }
}

/// Reynolds number towards which that of a bend's friction factor is held, so that it stays turbulent.
pub(super) const BEND_REYNOLDS: f64 = 4000.0;

/// The turbulent part of the loss coefficient K of [`bend_fall`].
fn turbulent_bend<S: Scalar>(radius: S, angle: S, reynolds: S, roughness: S) -> S {
    let turbulent = (reynolds * reynolds + BEND_REYNOLDS * BEND_REYNOLDS).sqrt();
    let f = darcy_factor(turbulent, roughness);
    let [by_factor, constant] = bend_coefficients(radius, angle);
    f * by_factor + constant
}

/// What [`turbulent_bend`] has for each unit of the friction factor, and without it.
fn bend_coefficients<S: Scalar>(radius: S, angle: S) -> [S; 2] {
    let sine = (angle * 0.5).sin();
    let spread = (radius.ln() * angle * (-4.0 / PI)).exp();
    [sine * 2.4 + (sine.sqrt() + sine) * 6.6 * spread, sine * 0.10]
}

/// K₁ of [`bend_fall`].
fn slow_bend<S: Scalar>(angle: S) -> S {
    -(angle / (-0.75 * FRAC_PI_2)).exp_m1() * 1050.0
}

/// A bend of a round bore.
#[derive(Clone, Copy, Debug)]
pub struct Bend<S> {
    /// Bore, m.
    pub bore_m: S,
    /// Radius of the centre line over the bore, −.
    pub radius_over_bore: S,
    /// Angle through which the flow turns, rad, above 0.
    pub angle_rad: S,
    /// Roughness height of the wall, m.
    pub roughness_m: S,
}

/// Fall of total pressure of a bend over and above straight friction, Pa.
///
/// Δp = K·8·m·|m|/(π²·ρ·D⁴) + 2·K₁·μ·m/(π·ρ·D³),
/// K = (0.10 + 2.4·f)·sin(α/2) + 6.6·f·(√sin(α/2) + sin(α/2))/(r/D)^(4α/π)
///
/// f is the Darcy factor at √(Re² + 4000²), so that it stays turbulent; slow flow is carried by K₁, of
/// which the term is K₁/Re velocity heads, K₁ = 1050·(1 − exp(−α/(0.75·π/2))), which passes within 4 % of
/// Hooper's 500, 800 and 1000 for 45°, 90° and 180°. Odd in the signed `flow_kg_s`; value and slope are
/// finite at rest.
///
/// `density` kg/m³, `viscosity` Pa·s; r/D of the centre line 0.5 to 20, α > 0 up to π. Published bend losses
/// at r/D = 1 spread from 0.3 to over 1.
///
/// Sources: Rennels & Hudson 2012, Pipe Flow, ch. 15 (bend, less its term f·α·r/D); Hooper 1981,
/// Chem. Eng. 88(17), 96 (two-K).
pub fn bend_fall<S: Scalar>(flow_kg_s: S, density: S, viscosity: S, bend: &Bend<S>) -> S {
    let [fast, slow] = bend_parts(flow_kg_s, density, viscosity, bend);
    fast + slow
}

/// The turbulent part of [`bend_fall`] and the part that goes with K₁, Pa.
pub fn bend_parts<S: Scalar>(flow_kg_s: S, density: S, viscosity: S, bend: &Bend<S>) -> [S; 2] {
    let d = bend.bore_m;
    let reynolds = flow_kg_s.abs() * (4.0 / PI) / (d * viscosity);
    let fast =
        turbulent_bend(bend.radius_over_bore, bend.angle_rad, reynolds, bend.roughness_m / d);
    let slow = slow_bend(bend.angle_rad) * viscosity * flow_kg_s * (2.0 / PI);
    [fast * signed_head(flow_kg_s, density, d), slow / (density * d * d * d)]
}

/// The bends of one hose with everything folded in that does not vary with the flow.
///
/// Δp = (slow + (constant + by_factor·f)·|m|)·m, f the friction factor at √((reynolds·m)² + 4000²)
#[derive(Clone, Copy, Debug)]
pub struct Bends {
    /// Re/|m|, s/kg.
    pub(super) reynolds: f64,
    /// ε/D, −.
    pub(super) roughness: f64,
    /// Pa·s/kg.
    pub(super) slow: f64,
    /// Pa·s²/kg².
    pub(super) constant: f64,
    /// Pa·s²/kg².
    pub(super) by_factor: f64,
}

impl Bends {
    /// No bends yet in a hose of the given bore and roughness, m; `viscosity` Pa·s.
    pub fn none(viscosity: f64, bore_m: f64, roughness_m: f64) -> Self {
        Self {
            reynolds: 4.0 / (PI * bore_m * viscosity),
            roughness: roughness_m / bore_m,
            slow: 0.0,
            constant: 0.0,
            by_factor: 0.0,
        }
    }

    /// Adds `count` equal bends with the law of [`bend_fall`]. Bore and roughness must be those of the
    /// hose.
    pub fn add(&mut self, density: f64, viscosity: f64, bend: &Bend<f64>, count: f64) {
        let d = bend.bore_m;
        let head = count * signed_head(1.0, density, d);
        let [by_factor, constant] = bend_coefficients(bend.radius_over_bore, bend.angle_rad);
        self.by_factor += by_factor * head;
        self.constant += constant * head;
        let slow = slow_bend(bend.angle_rad) * viscosity * (2.0 / PI);
        self.slow += count * slow / (density * d * d * d);
    }
}

/// Below this share of the rated flow [`rated_fall`] leaves its power law, −.
pub const RATED_LINEAR_SHARE: f64 = 1e-3;

/// Fall of total pressure of a part known by one rated point and an exponent, Pa.
///
/// Δp = sign(m)·Δ·x^n, x = |m|/(ρ·Q)
///
/// Below x = ε = [`RATED_LINEAR_SHARE`] the power law, whose slope at rest would be zero for n > 1
/// and infinite for n < 1, is replaced by Δ·x·ε^(n−1)·(1 + (n − 1)·(x/ε)^n)/n: linear at rest, as
/// slow flow is, and joined to the power law with equal value and slope.
///
/// `flow_kg_s` signed, `density` kg/m³, `rated_fall_pa` Δ at the volume flow `rated_flow_m3_s` Q,
/// `exponent` n above 0: 2 for sharp-edged parts, about 1.75 for turbulent channels, 1 for laminar
/// ones. Common practice, no source.
pub fn rated_fall<S: Scalar>(
    flow_kg_s: S,
    density: S,
    rated_fall_pa: S,
    rated_flow_m3_s: S,
    exponent: f64,
) -> S {
    let x = flow_kg_s / (density * rated_flow_m3_s);
    let (value, slope) = odd_power(x.value(), exponent);
    rated_fall_pa * x.chain(value, slope)
}

/// Factor on a fall known in one liquid for another one at the same volume flow, −.
///
/// (ρ/ρ₀)^(e − 1)·(μ/μ₀)^(2 − e), e = n held between 1 and 2
///
/// A fall through a rigid way that goes with Qⁿ goes so with density and viscosity, or its friction factor
/// would not be a function of the Reynolds number alone: all ρ·Q² for n = 2, all μ·Q for n = 1.
/// `density_ratio` ρ/ρ₀ and `viscosity_ratio` μ/μ₀ above 0, `exponent` n. One regime: a liquid so thick that
/// its flow is laminar where the rated one was turbulent falls by more.
///
/// Source: dimensional analysis (Buckingham 1914); with n = 1.75 it is Blasius' law of smooth tubes, in which
/// Δp ∝ ρ^0.75·μ^0.25·Q^1.75 (White, Fluid Mechanics, sec. 6.6).
pub fn liquid_factor<S: Scalar>(density_ratio: S, viscosity_ratio: S, exponent: f64) -> S {
    let e = exponent.clamp(1.0, 2.0);
    density_ratio.powf(e - 1.0) * viscosity_ratio.powf(2.0 - e)
}

/// sign(x)·|x|^n with the linear end of [`rated_fall`], and its slope.
pub(crate) fn odd_power(x: f64, n: f64) -> (f64, f64) {
    let size = x.abs();
    if size >= RATED_LINEAR_SHARE {
        // Most parts have 2 to the last bit, for which there is no need of a logarithm.
        #[allow(clippy::float_cmp)]
        let per_x = if n == 2.0 { size } else { size.powf(n - 1.0) };
        return (x * per_x, n * per_x);
    }
    let start = RATED_LINEAR_SHARE.powf(n - 1.0) / n;
    let bent = (n - 1.0) * (size / RATED_LINEAR_SHARE).powf(n);
    (x * start * (1.0 + bent), start * (1.0 + (n + 1.0) * bent))
}

/// A loss coefficient's fall of total pressure, Pa: K on the signed head in a round bore.
///
/// `flow_kg_s` signed, `density` kg/m³, `bore_m` m, `loss` K on the head in that bore.
pub fn loss_fall<S: Scalar>(flow_kg_s: S, density: S, bore_m: S, loss: S) -> S {
    let head = signed_head(flow_kg_s, density, bore_m);
    compose(head.value() * loss.value(), [(head, loss.value()), (loss, head.value())])
}
