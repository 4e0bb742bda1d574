//! Films: heat transfer between a wall and the liquid inside a round bore or a flat tube.

use std::f64::consts::PI;

use coolwright_solver::scalar::Scalar;

/// End of laminar flow, Re.
pub const LAMINAR_END: f64 = 2300.0;

/// Start of fully turbulent flow, Re.
pub const TURBULENT_START: f64 = 4000.0;

/// Half width over which the corners of the transition are rounded, Re.
pub const CORNER: f64 = 150.0;

/// Largest aspect ratio of a flat tube for the developing laminar film, −.
pub const ASPECT_MAX: f64 = 0.25;

/// Least Prandtl number of the turbulent film (Gnielinski 1976).
pub const PRANDTL_MIN: f64 = 0.5;

/// Largest Prandtl number of the turbulent film (Gnielinski 1976).
pub const PRANDTL_MAX: f64 = 2000.0;

/// Largest Reynolds number of the turbulent film (Gnielinski 1976).
pub const REYNOLDS_MAX: f64 = 5e6;

/// Graetz number below which the sign of the flow is smoothed away.
const STILL: f64 = 0.1;

/// Mean Nusselt number of laminar flow in a round bore, developing from its inlet, −.
///
/// Nu = 3.66 + 0.0668·Gz/(1 + 0.04·Gz^(2/3)), Gz = Re·Pr·D/L
///
/// `graetz` from 0; constant wall temperature, developed velocity profile, Re < 2300.
///
/// Source: Hausen 1943, Z. VDI Beih. Verfahrenstechnik 4, 91.
pub fn nusselt_laminar<S: Scalar>(graetz: S) -> S {
    developing(graetz, S::from(3.66), 0.0668, 0.04)
}

/// Developed laminar Nusselt number of a rectangular duct with one wall temperature, −, on the
/// hydraulic diameter.
///
/// Nu = 7.541·(1 − 2.610·a + 4.970·a² − 5.119·a³ + 2.702·a⁴ − 0.548·a⁵)
///
/// `aspect` a = short side / long side, 0 (plates, 7.54) to 1 (square, 2.98).
///
/// Source: Shah & London 1978, Laminar Flow Forced Convection in Ducts (from memory).
pub fn nusselt_rectangular<S: Scalar>(aspect: S) -> S {
    let a = aspect;
    (((((a * -0.548 + 2.702) * a - 5.119) * a + 4.970) * a - 2.610) * a + 1.0) * 7.541
}

/// base + a·Gz/(1 + b·Gz^(2/3)); its slope is finite at Gz = 0, where that of the power is not.
pub(super) fn developing<S: Scalar>(graetz: S, base: S, a: f64, b: f64) -> S {
    let gz = graetz.value();
    let root = gz.cbrt();
    let below = 1.0 + b * root * root;
    let slope = a * (1.0 + b * root * root / 3.0) / (below * below);
    base + graetz.chain(a * gz / below, slope)
}

/// Mean Nusselt number of turbulent flow in a duct, −.
///
/// Nu = (f/8)·(Re − 1000)·Pr/(1 + 12.7·√(f/8)·(Pr^(2/3) − 1))·(1 + (D/L)^(2/3)),
/// f = (0.79·ln Re − 1.64)^−2
///
/// `reynolds` from [`TURBULENT_START`] (3000 in the source; the transition takes precedence) to
/// [`REYNOLDS_MAX`], `prandtl` from [`PRANDTL_MIN`] to [`PRANDTL_MAX`], `bore_over_length` D/L from 0 to 1. Smooth walls, bulk properties.
///
/// Source: Gnielinski 1976, Int. Chem. Eng. 16, 359; f after Petukhov 1970.
pub fn nusselt_turbulent<S: Scalar>(reynolds: S, prandtl: S, bore_over_length: S) -> S {
    let root = S::from(1.0) / (reynolds.ln() * 0.79 - 1.64);
    let eighth = root * root / 8.0;
    let two_thirds = |x: S| x.powf(2.0 / 3.0);
    let below = eighth.sqrt() * (two_thirds(prandtl) - 1.0) * 12.7 + 1.0;
    let entry = if bore_over_length.value() > 0.0 {
        two_thirds(bore_over_length) + 1.0
    } else {
        S::from(1.0)
    };
    eighth * (reynolds - 1000.0) * prandtl / below * entry
}

/// Mean Nusselt number in a round bore, −, in every flow regime.
///
/// [`nusselt_laminar`] up to Re 2300, [`nusselt_turbulent`] from 4000, and in between
/// Nu = (1 − γ)·Nu(2300) + γ·Nu(4000), γ = (Re − 2300)/1700. The corners at both ends are rounded
/// over about ±150, so that value and slope are continuous.
///
/// `reynolds` and `prandtl` from 0, `bore_over_length` D/L from 0 to 1.
///
/// Source: Gnielinski 2013, Int. J. Heat Mass Transfer 63, 134 (the interpolation).
pub fn nusselt_round<S: Scalar>(reynolds: S, prandtl: S, bore_over_length: S) -> S {
    through_transition(
        reynolds,
        |re| nusselt_laminar(re * prandtl * bore_over_length),
        |re| nusselt_turbulent(re, prandtl, bore_over_length),
    )
}

/// Mean Nusselt number in a flat tube, −, on its hydraulic diameter, in every flow regime.
///
/// As [`nusselt_round`], with the laminar law Nu = N + 0.03·Gz/(1 + 0.016·Gz^(2/3)), Gz = Re·Pr·D/L,
/// N from [`nusselt_rectangular`].
///
/// `aspect` short over long side, 0 to [`ASPECT_MAX`]: the developing term is that of parallel plates, and
/// too small towards a square. Source of that term: Edwards, Denny & Mills 1979, Transfer Processes (from
/// memory), constant wall temperature, Re < 2800.
///  `diameter_over_length` from 0 to 1.
pub fn nusselt_flat<S: Scalar>(reynolds: S, prandtl: S, diameter_over_length: S, aspect: S) -> S {
    let developed = nusselt_rectangular(aspect);
    through_transition(
        reynolds,
        |re| developing(re * prandtl * diameter_over_length, developed, 0.03, 0.016),
        |re| nusselt_turbulent(re, prandtl, diameter_over_length),
    )
}

/// Laminar, transitional and turbulent laws joined as in [`nusselt_round`].
fn through_transition<S: Scalar>(
    reynolds: S,
    laminar: impl Fn(S) -> S,
    turbulent: impl Fn(S) -> S,
) -> S {
    let re = reynolds.value();
    if re <= LAMINAR_END - 2.0 * CORNER {
        return laminar(reynolds);
    }
    if re >= TURBULENT_START + 2.0 * CORNER {
        return turbulent(reynolds);
    }
    let first = laminar(S::from(LAMINAR_END));
    let last = turbulent(S::from(TURBULENT_START));
    let slope = (last - first) / (TURBULENT_START - LAMINAR_END);
    let between = first + slope * (reynolds - LAMINAR_END);
    if re < LAMINAR_END + 2.0 * CORNER {
        let kink = slope * CORNER - (first - laminar(S::from(LAMINAR_END - CORNER)));
        corner(laminar(reynolds), between, kink)
    } else if re > TURBULENT_START - 2.0 * CORNER {
        let kink = turbulent(S::from(TURBULENT_START + CORNER)) - last - slope * CORNER;
        corner(between, turbulent(reynolds), kink)
    } else {
        between
    }
}

/// The larger of two laws that cross, rounded where they are closer than `kink`; the smaller one
/// where `kink` is negative. Between the two slopes everywhere, so that a rising pair stays rising.
pub(super) fn corner<S: Scalar>(before: S, after: S, kink: S) -> S {
    let (gap, e) =
        if kink.value() < 0.0 { (before - after, -kink) } else { (after - before, kink) };
    let rounded = if gap.value() >= e.value() {
        gap
    } else if gap.value() <= -e.value() {
        S::from(0.0)
    } else {
        (gap + e) * (gap + e) / (e * 4.0)
    };
    if kink.value() < 0.0 { before - rounded } else { before + rounded }
}

/// Factor on a turbulent film known in one liquid for another one at the same mass flow, −.
///
/// (λ/λ₀)^0.6·(c·μ₀/(c₀·μ))^0.4
///
/// The ratios are those of conductivity λ, heat capacity c and viscosity μ to those of the rated liquid.
///
/// Source: Nu ∝ Re^0.8·Pr^0.4, Dittus and Boelter 1930 (from memory), in which h ∝ m^0.8·λ^0.6·c^0.4·μ^(−0.4).
pub fn film_liquid_factor<S: Scalar>(conductivity: S, heat_capacity: S, viscosity: S) -> S {
    conductivity.powf(0.6) * (heat_capacity / viscosity).powf(0.4)
}

/// Exponent of the wall's viscosity in laminar flow (Sieder & Tate 1936).
pub const WALL_LAMINAR: f64 = 0.14;
/// That in turbulent flow (Gnielinski 1976, for liquids).
pub const WALL_TURBULENT: f64 = 0.11;

/// Factor on a film for the liquid being thicker or thinner at the wall, −.
///
/// V = (μ/μ_w)^n, n = 0.14 − 0.03·γ²·(3 − 2·γ), γ = (Re − 2300)/1700 from 0 to 1
///
/// `viscosity_ratio` μ/μ_w of the bulk's viscosity to that at the wall's temperature, above 0. In turbulent flow the ratio of
/// Prandtl numbers of the source is taken for that of viscosities. How n goes from one to the other is our own.
///
/// Sources: Sieder & Tate 1936, Ind. Eng. Chem. 28, 1429 (laminar); Gnielinski 1976, Int. Chem. Eng. 16, 359 (turbulent).
pub fn wall_viscosity_factor<S: Scalar>(reynolds: S, viscosity_ratio: S) -> S {
    let share = (reynolds - LAMINAR_END) / (TURBULENT_START - LAMINAR_END);
    let share = share.max(S::from(0.0)).min(S::from(1.0));
    let power = share * share * (share * -2.0 + 3.0) * (WALL_TURBULENT - WALL_LAMINAR);
    ((power + WALL_LAMINAR) * viscosity_ratio.ln()).exp()
}

/// Film coefficient inside a round bore, W/(m²K), as the mean over its length.
///
/// h = Nu·k/D, Nu of [`nusselt_round`] at Re = 4·|m|/(π·D·μ), Pr = c_p·μ/k
///
/// Even in the signed `flow_kg_s`; at rest it is that of conduction, 3.66·k/D, and the slope is
/// zero (|m| is rounded below a Graetz number of about 0.1, by at most 0.1 % of h). `bore_m` m,
/// `length_m` m not below the bore, `viscosity` Pa·s, `conductivity` W/(mK), `heat_capacity`
/// J/(kgK), all at bulk temperature.
pub fn film_coefficient<S: Scalar>(
    flow_kg_s: S,
    bore_m: S,
    length_m: S,
    viscosity: S,
    conductivity: S,
    heat_capacity: S,
) -> S {
    let prandtl = heat_capacity * viscosity / conductivity;
    let slender = bore_m / length_m;
    let reynolds = magnitude(flow_kg_s * (4.0 / PI) / (bore_m * viscosity), prandtl * slender);
    nusselt_round(reynolds, prandtl, slender) * conductivity / bore_m
}

/// Film coefficient inside one flat tube, W/(m²K), as the mean over its length.
///
/// As [`film_coefficient`], with [`nusselt_flat`] on the hydraulic diameter of the tube of inside
/// height `short_m` and width `long_m`; `flow_kg_s` is the signed flow of one tube.
#[allow(clippy::too_many_arguments)] // one more dimension than a round bore; all are plain inputs
pub fn flat_film_coefficient<S: Scalar>(
    flow_kg_s: S,
    short_m: S,
    long_m: S,
    length_m: S,
    viscosity: S,
    conductivity: S,
    heat_capacity: S,
) -> S {
    let area = short_m * long_m;
    let diameter = area * 2.0 / (short_m + long_m);
    let prandtl = heat_capacity * viscosity / conductivity;
    let slender = diameter / length_m;
    let reynolds = magnitude(flow_kg_s * diameter / (area * viscosity), prandtl * slender);
    nusselt_flat(reynolds, prandtl, slender, short_m / long_m) * conductivity / diameter
}

/// Size of a signed Reynolds number, rounded at zero: x²/√(x² + e²), e·(Pr·D/L) = 0.1.
fn magnitude<S: Scalar>(reynolds: S, graetz_per_reynolds: S) -> S {
    let e = S::from(STILL) / graetz_per_reynolds;
    let square = reynolds * reynolds;
    square / (square + e * e).sqrt()
}
