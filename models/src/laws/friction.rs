//! Friction in round hoses and flat tubes.

use std::f64::consts::PI;

use coolwright_solver::scalar::Scalar;

use super::compose;
use super::elementary::{exp, ln};

/// Largest relative roughness for which Churchill's formula was compared with data, −.
///
/// Source: range of the Moody chart, which Churchill 1977 represents.
pub const ROUGHNESS_MAX: f64 = 0.05;

/// Below this Reynolds number Churchill's formula is the laminar law to the last bit of an `f64`:
/// the turbulent term adds less than 1e-18 of it.
const REYNOLDS_LAMINAR: f64 = 700.0;

/// Laminar constant f·Re of a round bore.
pub(super) const ROUND: f64 = 64.0;

/// A Darcy factor with its logarithmic slopes.
struct Factor {
    /// f, −.
    value: f64,
    /// d ln f / d ln Re.
    by_reynolds: f64,
    /// d ln f / d(ε/D).
    by_roughness: f64,
}

/// Churchill 1977 for the laminar constant `c` (64 in a round bore), with its slopes.
fn churchill(reynolds: f64, roughness: f64, c: f64) -> Factor {
    if reynolds < REYNOLDS_LAMINAR {
        return Factor { value: c / reynolds, by_reynolds: -1.0, by_roughness: 0.0 };
    }
    curve(reynolds, roughness, c)
}

/// The same from [`REYNOLDS_LAMINAR`] on, without branches.
///
/// f = 8·[(c/(8·Re))^12 + (A + B)^−1.5]^(1/12), A = θ^16, B = (37530/Re)^16,
/// θ = 2.457·ln(1/((7/Re)^0.9 + 0.27·ε/D))
///
/// Evaluated as f = 8·θ^−2·W^(1/12), W = u + (1 + b)^−1.5, u = (c/(8·Re))^12·θ^24, b = B/A, which
/// needs two powers and one logarithm. Each of the four steps is a function of its own: over many
/// hoses a loop for each step is faster than one loop for all, in which everything waits for the
/// power before.
// A call would keep the loops over many hoses from being vectorised: so it is with all steps.
#[allow(clippy::inline_always)]
#[inline(always)]
fn curve(reynolds: f64, roughness: f64, c: f64) -> Factor {
    let smooth = smooth(reynolds);
    let mixed = mixed(reynolds, roughness, c, smooth, theta(smooth, roughness));
    Factor {
        value: mixed.front * twelfth_root(mixed.w),
        by_reynolds: mixed.by_reynolds,
        by_roughness: mixed.by_roughness,
    }
}

/// (7/Re)^0.9
#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn smooth(reynolds: f64) -> f64 {
    exp(0.9 * ln(7.0 / reynolds))
}

/// θ = −2.457·ln((7/Re)^0.9 + 0.27·ε/D)
#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn theta(smooth: f64, roughness: f64) -> f64 {
    -2.457 * ln(smooth + 0.27 * roughness)
}

/// What is left of the law but for its twelfth root: f = front·W^(1/12), with the slopes of ln f.
pub(super) struct Mixed {
    pub(super) w: f64,
    pub(super) front: f64,
    pub(super) by_reynolds: f64,
    by_roughness: f64,
}

#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn mixed(reynolds: f64, roughness: f64, c: f64, smooth: f64, theta: f64) -> Mixed {
    let per_reynolds = 1.0 / reynolds;
    let per_theta = 1.0 / theta;
    let share = 2.457 * per_theta / (smooth + 0.27 * roughness);
    let theta_by_reynolds = 0.9 * smooth * share;
    let theta_by_roughness = -0.27 * share;

    let laminar = 0.125 * c * per_reynolds * (theta * theta);
    let u = sixth(laminar * laminar);
    let b = sixteenth(37530.0 * per_reynolds * per_theta);
    let root = (1.0 + b).sqrt();
    let turbulent = 1.0 / ((1.0 + b) * root);
    let w = u + turbulent;
    // b/(1 + b) is b·turbulent·root.
    let turbulent_by_b = 24.0 * b * turbulent * turbulent * root;
    let w_by_reynolds =
        u * (24.0 * theta_by_reynolds - 12.0) + turbulent_by_b * (1.0 + theta_by_reynolds);
    let w_by_roughness = (24.0 * u + turbulent_by_b) * theta_by_roughness;
    let per_w = 1.0 / (12.0 * w);
    Mixed {
        w,
        front: 8.0 * per_theta * per_theta,
        by_reynolds: w_by_reynolds * per_w - 2.0 * theta_by_reynolds,
        by_roughness: w_by_roughness * per_w - 2.0 * theta_by_roughness,
    }
}

/// By logarithm: cubic roots are slow on many machines.
#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn twelfth_root(w: f64) -> f64 {
    exp(ln(w) * (1.0 / 12.0))
}

#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn sixth(x: f64) -> f64 {
    let cube = x * x * x;
    cube * cube
}

#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn sixteenth(x: f64) -> f64 {
    let two = x * x;
    let four = two * two;
    let eight = four * four;
    eight * eight
}

/// Darcy friction factor of a round bore after Churchill, −, for every flow regime.
///
/// f = 8·[(8/Re)^12 + (A + B)^−1.5]^(1/12), A = [2.457·ln(1/((7/Re)^0.9 + 0.27·ε/D))]^16,
/// B = (37530/Re)^16
///
/// `reynolds` > 0, `relative_roughness` ε/D from 0 to [`ROUGHNESS_MAX`]. Within 3 % of
/// Colebrook 1939 (J. Inst. Civ. Eng. 11, 133) above Re 4000; between Re 2000 and 4000 the real flow is unsteady and the
/// formula is one smooth curve through it.
///
/// Source: Churchill 1977, Chem. Eng. 84(24), 91.
pub fn darcy_factor<S: Scalar>(reynolds: S, relative_roughness: S) -> S {
    let re = reynolds.value();
    let f = churchill(re, relative_roughness.value(), ROUND);
    compose(
        f.value,
        [(reynolds, f.value / re * f.by_reynolds), (relative_roughness, f.value * f.by_roughness)],
    )
}

/// Fall of total pressure along a round bore, Pa, by friction and by a loss coefficient.
///
/// Δp = (f·L/D + K)·8·m·|m|/(π²·ρ·D⁴), f after Churchill at Re = 4·|m|/(π·D·μ), ε/D = k/D
///
/// `flow_kg_s` is signed; the fall is odd in it and smooth through zero, where it is the laminar
/// 128·μ·L·m/(π·ρ·D⁴). `density` kg/m³, `viscosity` Pa·s, `bore_m`, `length_m`, `roughness_m` m,
/// `loss` K on the velocity head in the bore. Range as for [`darcy_factor`]. Every input may carry
/// derivatives; all are analytic.
///
/// Source: Darcy–Weisbach with Churchill 1977.
pub fn pipe_fall<S: Scalar>(
    flow_kg_s: S,
    density: S,
    viscosity: S,
    bore_m: S,
    length_m: S,
    roughness_m: S,
    loss: S,
) -> S {
    let (m, rho, mu) = (flow_kg_s.value(), density.value(), viscosity.value());
    let (d, l, k) = (bore_m.value(), length_m.value(), loss.value());
    let pipe = Pipe::new(rho, mu, [d, l, roughness_m.value(), k]);
    let f = factor_times_reynolds(pipe.reynolds * m.abs(), pipe.roughness, ROUND);
    let (fall, slope) = fall_and_slope(pipe.linear, pipe.quadratic, m, f.value, f.by_reynolds);
    let friction = pipe.linear * f.value * m;
    let by_bore = 4.0 * fall + friction * (f.by_reynolds + pipe.roughness * f.by_roughness);
    compose(
        fall,
        [
            (flow_kg_s, slope),
            (density, -fall / rho),
            (viscosity, friction / mu * (1.0 - f.by_reynolds)),
            (bore_m, -by_bore / d),
            (length_m, Pipe::per_length(rho, mu, d) * f.value * m),
            (roughness_m, friction / d * f.by_roughness),
            (loss, Pipe::head(rho, d) * m.abs() * m),
        ],
    )
}

/// A round bore with everything folded in that does not vary with the flow.
///
/// Δp = (linear·(f·Re) + quadratic·|m|)·m, Re = reynolds·|m|
#[derive(Clone, Copy, Debug)]
pub struct Pipe {
    /// Re/|m|, s/kg.
    pub(super) reynolds: f64,
    /// ε/D, −.
    pub(super) roughness: f64,
    /// 2·μ·L/(π·ρ·D⁴), Pa·s/kg: finite at rest, where f·Re is 64.
    pub(super) linear: f64,
    /// 8·K/(π²·ρ·D⁴), Pa·s²/kg².
    pub(super) quadratic: f64,
}

impl Pipe {
    /// For `density` in kg/m³, `viscosity` in Pa·s, and bore, length and roughness in m and the
    /// loss coefficient; as for [`pipe_fall`].
    pub fn new(density: f64, viscosity: f64, [bore, length, roughness, loss]: [f64; 4]) -> Self {
        Self {
            reynolds: 4.0 / (PI * bore * viscosity),
            roughness: roughness / bore,
            linear: Self::per_length(density, viscosity, bore) * length,
            quadratic: Self::head(density, bore) * loss,
        }
    }

    /// The pipe through which `share` times the flow goes that is told it.
    #[must_use]
    pub fn taking(self, share: f64) -> Self {
        Self {
            reynolds: self.reynolds * share,
            linear: self.linear * share,
            quadratic: self.quadratic * share * share,
            ..self
        }
    }

    fn per_length(density: f64, viscosity: f64, bore: f64) -> f64 {
        2.0 * viscosity / (PI * density * (bore * bore) * (bore * bore))
    }

    fn head(density: f64, bore: f64) -> f64 {
        8.0 / (PI * PI * density * (bore * bore) * (bore * bore))
    }
}

/// Fall in Pa and its slope in Pa·s/kg of a [`Pipe`], from f·Re at the same flow and its slope
/// d ln(f·Re)/d ln Re.
#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn fall_and_slope(
    linear: f64,
    quadratic: f64,
    flow_kg_s: f64,
    f: f64,
    by_reynolds: f64,
) -> (f64, f64) {
    let (friction, local) = (linear * f, quadratic * flow_kg_s.abs());
    let slope = friction * (1.0 + by_reynolds) + 2.0 * local;
    ((friction + local) * flow_kg_s, slope)
}

/// f·Re, with the logarithmic slopes of f·Re; the laminar constant at Re = 0.
fn factor_times_reynolds(reynolds: f64, roughness: f64, c: f64) -> Factor {
    let at = turbulent(reynolds);
    let f = curve(at, roughness, c);
    let slow = is_slow(reynolds);
    Factor {
        value: if slow { c } else { f.value * at },
        by_reynolds: if slow { 0.0 } else { f.by_reynolds + 1.0 },
        by_roughness: if slow { 0.0 } else { f.by_roughness },
    }
}

#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn is_slow(reynolds: f64) -> bool {
    reynolds < REYNOLDS_LAMINAR
}

/// A Reynolds number for which [`curve`] holds: that given, where it does.
#[allow(clippy::inline_always)]
#[inline(always)]
pub(super) fn turbulent(reynolds: f64) -> f64 {
    if is_slow(reynolds) { REYNOLDS_LAMINAR } else { reynolds }
}

/// Laminar friction constant f·Re (Darcy factor, hydraulic diameter) of a rectangular duct, −.
///
/// f·Re = 96·(1 − 1.3553·a + 1.9467·a² − 1.7012·a³ + 0.9564·a⁴ − 0.2537·a⁵)
///
/// `aspect` a = short side / long side, 0 (parallel plates, 96) to 1 (square, 56.9).
///
/// Source: Shah & London 1978, Laminar Flow Forced Convection in Ducts, eq. 341 (from memory).
pub fn tube_laminar_factor<S: Scalar>(aspect: S) -> S {
    let a = aspect;
    let series = ((((a * -0.2537 + 0.9564) * a - 1.7012) * a + 1.9467) * a - 1.3553) * a + 1.0;
    series * 96.0
}

/// The inside of a flat tube, taken as a rectangle.
#[derive(Clone, Copy, Debug)]
pub struct FlatTube<S> {
    /// Inside height across the narrow way, m.
    pub short_m: S,
    /// Inside width across the wide way, m.
    pub long_m: S,
    /// Length along the flow, m.
    pub length_m: S,
    /// Roughness height of the wall, m.
    pub roughness_m: S,
    /// Loss coefficient of entry, exit and developing flow together, on the head in the tube, −.
    pub loss: S,
}

impl<S: Scalar> FlatTube<S> {
    /// Cross-section, m².
    pub fn area(&self) -> S {
        self.short_m * self.long_m
    }

    /// Hydraulic diameter 4·area/perimeter, m.
    pub fn hydraulic_diameter(&self) -> S {
        self.area() * 2.0 / (self.short_m + self.long_m)
    }
}

/// Fall of total pressure along one flat tube, Pa.
///
/// Δp = (f·L/D + K)·m·|m|/(2·ρ·A²), D the hydraulic diameter, Re = |m|·D/(A·μ)
///
/// The laminar limit is [`tube_laminar_factor`] by aspect ratio. It is blended into turbulent flow
/// exactly as Churchill 1977 does for round bores, with the duct's own constant c in place of 64:
/// f = 8·[(c/(8·Re))^12 + (A + B)^−1.5]^(1/12), A and B on the hydraulic diameter.
///
/// `flow_kg_s` is the signed flow of one tube, `density` kg/m³, `viscosity` Pa·s. The turbulent
/// part on hydraulic diameter is known to err by up to ±10 % with aspect ratio (Jones 1976, J.
/// Fluids Eng. 98, 173, from memory). The laminar part is for developed flow: put the developing
/// part into `loss`.
pub fn flat_tube_fall<S: Scalar>(flow_kg_s: S, density: S, viscosity: S, tube: &FlatTube<S>) -> S {
    let area = tube.area();
    let diameter = tube.hydraulic_diameter();
    let flux = flow_kg_s / area;
    let reynolds = (flux * diameter / viscosity).abs();
    let roughness = tube.roughness_m / diameter;
    let c = tube_laminar_factor(tube.short_m / tube.long_m);

    let re = reynolds.value();
    let f = factor_times_reynolds(re, roughness.value(), c.value());
    let laminar_share = f.laminar_share(c.value(), re);
    // Laminar, f·Re does not vary; and near rest f·Re/Re is too large for a number.
    let by_reynolds = if re < REYNOLDS_LAMINAR { 0.0 } else { f.value / re * f.by_reynolds };
    let f_reynolds = compose(
        f.value,
        [
            (reynolds, by_reynolds),
            (roughness, f.value * f.by_roughness),
            (c, f.value / c.value() * laminar_share),
        ],
    );
    let friction = f_reynolds * viscosity * tube.length_m / (diameter * diameter * 2.0) * flux;
    let local = tube.loss * flux * flux.abs() / 2.0;
    (friction + local) / density
}

impl Factor {
    /// d ln(f·Re) / d ln c of a value f·Re: the share of the laminar term, (c/(f·Re))^12.
    fn laminar_share(&self, c: f64, reynolds: f64) -> f64 {
        if reynolds < REYNOLDS_LAMINAR { 1.0 } else { (c / self.value).powi(12) }
    }
}
