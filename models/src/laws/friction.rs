//! Friction in round hoses and flat tubes.

use std::f64::consts::PI;

use coolwright_solver::scalar::Scalar;

use super::compose;

/// Largest relative roughness for which Churchill's formula was compared with data, −.
///
/// Source: range of the Moody chart, which Churchill 1977 represents.
pub const ROUGHNESS_MAX: f64 = 0.05;

/// Below this Reynolds number Churchill's formula is the laminar law to the last bit of an `f64`:
/// the turbulent term adds less than 1e-18 of it.
const REYNOLDS_LAMINAR: f64 = 700.0;

/// Laminar constant f·Re of a round bore.
const ROUND: f64 = 64.0;

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
///
/// f = 8·[(c/(8·Re))^12 + (A + B)^−1.5]^(1/12), A = θ^16, B = (37530/Re)^16,
/// θ = 2.457·ln(1/((7/Re)^0.9 + 0.27·ε/D))
///
/// Evaluated as f = 8·θ^−2·W^(1/12), W = u + (1 + b)^−1.5, u = (c/(8·Re))^12·θ^24, b = B/A, which
/// needs one power, one logarithm and, only where u or b counts, one twelfth root.
#[inline]
fn churchill(reynolds: f64, roughness: f64, c: f64) -> Factor {
    if reynolds < REYNOLDS_LAMINAR {
        return Factor { value: c / reynolds, by_reynolds: -1.0, by_roughness: 0.0 };
    }
    let smooth = (0.9 * (7.0 / reynolds).ln()).exp();
    let z = smooth + 0.27 * roughness;
    let theta = -2.457 * z.ln();
    let theta_by_reynolds = 2.457 * 0.9 * smooth / (z * theta);
    let theta_by_roughness = -2.457 * 0.27 / (z * theta);

    let square = theta * theta;
    let u = sixth(square * square * (c / 8.0 / reynolds).powi(2));
    let b = sixteenth(37530.0 / (reynolds * theta));
    if u + b < 1e-17 {
        return Factor {
            value: 8.0 / square,
            by_reynolds: -2.0 * theta_by_reynolds,
            by_roughness: -2.0 * theta_by_roughness,
        };
    }
    let turbulent = 1.0 / ((1.0 + b) * (1.0 + b).sqrt());
    let w = u + turbulent;
    let turbulent_by_b = 24.0 * b * turbulent / (1.0 + b);
    let w_by_reynolds =
        u * (24.0 * theta_by_reynolds - 12.0) + turbulent_by_b * (1.0 + theta_by_reynolds);
    let w_by_roughness = (24.0 * u + turbulent_by_b) * theta_by_roughness;
    Factor {
        // By logarithm: cubic roots are slow on many machines.
        value: 8.0 / square * (w.ln() / 12.0).exp(),
        by_reynolds: w_by_reynolds / (12.0 * w) - 2.0 * theta_by_reynolds,
        by_roughness: w_by_roughness / (12.0 * w) - 2.0 * theta_by_roughness,
    }
}

#[inline]
fn sixth(x: f64) -> f64 {
    let cube = x * x * x;
    cube * cube
}

#[inline]
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
/// [`colebrook_factor`] above Re 4000; between Re 2000 and 4000 the real flow is unsteady and the
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

/// Darcy friction factor after Colebrook, −, for turbulent flow: the check of [`darcy_factor`].
///
/// 1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f)), solved for 1/√f by Newton's method.
///
/// Re from 4000 to 1e8, ε/D from 0 to [`ROUGHNESS_MAX`].
///
/// Source: Colebrook 1939, J. Inst. Civ. Eng. 11, 133.
pub fn colebrook_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    let slope = 2.51 / reynolds;
    let mut x = 1.0 / churchill(reynolds, relative_roughness, ROUND).value.sqrt();
    for _ in 0..20 {
        let inside = relative_roughness / 3.7 + slope * x;
        let residual = x + 2.0 * inside.log10();
        let step = residual / (1.0 + 2.0 / std::f64::consts::LN_10 * slope / inside);
        x -= step;
        if step.abs() < 1e-14 * x {
            break;
        }
    }
    1.0 / (x * x)
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
    let rough = roughness_m.value() / d;
    let reynolds = 4.0 * m.abs() / (PI * d * mu);
    let f = factor_times_reynolds(reynolds, rough, ROUND);

    // Friction: f·Re·2·μ·L·m/(π·ρ·D⁴), which is exact and finite at m = 0.
    let square = d * d;
    let per_bore = 1.0 / d;
    let shared = 1.0 / (PI * rho * square * square);
    let per_length = f.value * 2.0 * mu * shared;
    let per_flow = per_length * l;
    let friction = per_flow * m;
    let head_per_flow = 8.0 / PI * m.abs() * shared;
    let head = head_per_flow * m;
    let fall = friction + k * head;
    let by_bore = 4.0 * fall + friction * (f.by_reynolds + rough * f.by_roughness);
    compose(
        fall,
        [
            (flow_kg_s, per_flow * (1.0 + f.by_reynolds) + 2.0 * k * head_per_flow),
            (density, -fall / rho),
            (viscosity, friction / mu * (1.0 - f.by_reynolds)),
            (bore_m, -by_bore * per_bore),
            (length_m, per_length * m),
            (roughness_m, friction * per_bore * f.by_roughness),
            (loss, head),
        ],
    )
}

/// f·Re, with the logarithmic slopes of f·Re; the laminar constant at Re = 0.
#[inline]
fn factor_times_reynolds(reynolds: f64, roughness: f64, c: f64) -> Factor {
    if reynolds < REYNOLDS_LAMINAR {
        return Factor { value: c, by_reynolds: 0.0, by_roughness: 0.0 };
    }
    let f = churchill(reynolds, roughness, c);
    Factor { value: f.value * reynolds, by_reynolds: f.by_reynolds + 1.0, ..f }
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
