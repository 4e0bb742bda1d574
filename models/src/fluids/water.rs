//! Liquid water by the formulations of IAPWS.
//!
//! - R7-97(2012), Industrial Formulation 1997: region 1 and the saturation line.
//! - R12-08, viscosity, without the critical enhancement (equation 12 with μ̄₂ = 1).
//! - SR1-86(1992), density of saturated vapour, and R1-76(2014), surface tension.
//! - R15-11, thermal conductivity, without the critical enhancement (λ̄₂ = 0). For the liquid
//!   below 160 °C this is low by less than 0.1 %.

use coolwright_solver::scalar::{Dual, Scalar};

/// Specific gas constant of water, J/(kg K) (IAPWS R7-97, equation 1).
pub const GAS_CONSTANT: f64 = 461.526;
/// Molar mass of water, kg/mol (IAPWS R6-95).
pub const MOLAR_MASS: f64 = 0.018015268;
const CRITICAL_K: f64 = 647.096;
const CRITICAL_KG_M3: f64 = 322.0;

/// Coefficients I, J, n of IAPWS R7-97, table 2.
const REGION_1: [(i32, i32, f64); 34] = [
    (0, -2, 0.14632971213167),
    (0, -1, -0.84548187169114),
    (0, 0, -3.756360367204),
    (0, 1, 3.3855169168385),
    (0, 2, -0.95791963387872),
    (0, 3, 0.15772038513228),
    (0, 4, -0.016616417199501),
    (0, 5, 0.81214629983568e-3),
    (1, -9, 0.28319080123804e-3),
    (1, -7, -0.60706301565874e-3),
    (1, -1, -0.018990068218419),
    (1, 0, -0.032529748770505),
    (1, 1, -0.021841717175414),
    (1, 3, -0.5283835796993e-4),
    (2, -3, -0.47184321073267e-3),
    (2, 0, -0.30001780793026e-3),
    (2, 1, 0.47661393906987e-4),
    (2, 3, -0.44141845330846e-5),
    (2, 17, -0.72694996297594e-15),
    (3, -4, -0.31679644845054e-4),
    (3, 0, -0.28270797985312e-5),
    (3, 6, -0.85205128120103e-9),
    (4, -5, -0.22425281908e-5),
    (4, -2, -0.65171222895601e-6),
    (4, 10, -0.14341729937924e-12),
    (5, -8, -0.40516996860117e-6),
    (8, -11, -0.12734301741641e-8),
    (8, -6, -0.17424871230634e-9),
    (21, -29, -0.68762131295531e-18),
    (23, -31, 0.14478307828521e-19),
    (29, -38, 0.26335782662795e-22),
    (30, -39, -0.11947622640071e-22),
    (31, -40, 0.18228094581404e-23),
    (32, -41, -0.93537087292458e-25),
];

/// Density, enthalpy and heat capacity of liquid water at one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Liquid {
    /// Density, kg/m³.
    pub density: f64,
    /// Specific enthalpy, J/kg; zero is the internal energy of the liquid at the triple point.
    pub enthalpy: f64,
    /// Specific heat capacity at constant pressure, J/(kg K).
    pub heat_capacity: f64,
}

/// Liquid water at a temperature in K and a pressure in Pa.
///
/// γ = Σ nᵢ (7.1 − π)^Iᵢ (τ − 1.222)^Jᵢ with π = p/16.53 MPa, τ = 1386 K/T;
/// v = (RT/p) π γ_π, h = RT τ γ_τ, c_p = −R τ² γ_ττ.
///
/// Source: IAPWS R7-97(2012), equation 7 and table 3. Range: 273.15 to 623.15 K, from saturation
/// to 100 MPa. Also reasonable for slightly superheated liquid.
pub fn liquid(temperature_k: f64, pressure_pa: f64) -> Liquid {
    let pi = pressure_pa / 16.53e6;
    let tau = 1386.0 / temperature_k;
    let (a, b) = (7.1 - pi, tau - 1.222);
    let (mut by_pi, mut by_tau, mut by_tau_tau) = (0.0, 0.0, 0.0);
    for (i, j, n) in REGION_1 {
        let (fi, fj) = (f64::from(i), f64::from(j));
        let (power_a, power_b) = (a.powi(i), b.powi(j));
        by_pi -= n * fi * power_a / a * power_b;
        by_tau += n * power_a * fj * power_b / b;
        by_tau_tau += n * power_a * fj * (fj - 1.0) * power_b / (b * b);
    }
    let rt = GAS_CONSTANT * temperature_k;
    Liquid {
        density: pressure_pa / (rt * pi * by_pi),
        enthalpy: rt * tau * by_tau,
        heat_capacity: -GAS_CONSTANT * tau * tau * by_tau_tau,
    }
}

/// Coefficients n₁ to n₁₀ of IAPWS R7-97, table 34.
const SATURATION: [f64; 10] = [
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
];

/// Vapour pressure over liquid water, Pa.
///
/// p_s = \[2C/(−B + √(B² − 4AC))\]⁴ MPa with ϑ = T + n₉/(T − n₁₀), A = ϑ² + n₁ϑ + n₂,
/// B = n₃ϑ² + n₄ϑ + n₅, C = n₆ϑ² + n₇ϑ + n₈.
///
/// Source: IAPWS R7-97(2012), equation 30. Range: 273.15 to 647.096 K. Below 273.15 K it goes on
/// as the vapour pressure over supercooled water, not over ice; there it stays within 1 % of
/// Murphy & Koop 2005 (Q. J. R. Meteorol. Soc. 131, 1539, equation 10) down to 228 K.
pub fn saturation_pressure_pa<S: Scalar>(temperature_k: S) -> S {
    let [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = SATURATION;
    let theta = temperature_k + S::from(n9) / (temperature_k - n10);
    let a = theta * theta + theta * n1 + n2;
    let b = theta * theta * n3 + theta * n4 + n5;
    let c = theta * theta * n6 + theta * n7 + n8;
    let root = c * 2.0 / ((b * b - a * c * 4.0).sqrt() - b);
    let squared = root * root;
    squared * squared * 1e6
}

/// Temperature in K at which liquid water has a vapour pressure in Pa: the boiling point.
///
/// T_s = {n₁₀ + D − √\[(n₁₀ + D)² − 4(n₉ + n₁₀D)\]}/2 with D = 2G/(−F − √(F² − 4EG)), β = p^(1/4)
/// (p in MPa), E = β² + n₃β + n₆, F = n₁β² + n₄β + n₇, G = n₂β² + n₅β + n₈.
///
/// Source: IAPWS R7-97(2012), equation 31, the exact inverse of [`saturation_pressure_pa`].
/// Range: 611.213 Pa to 22.064 MPa; below, it goes on over supercooled water.
pub fn saturation_temperature_k(pressure_pa: f64) -> f64 {
    let [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = SATURATION;
    let beta = (pressure_pa * 1e-6).powf(0.25);
    let e = beta * beta + n3 * beta + n6;
    let f = n1 * beta * beta + n4 * beta + n7;
    let g = n2 * beta * beta + n5 * beta + n8;
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let sum = n10 + d;
    (sum - (sum * sum - 4.0 * (n9 + n10 * d)).sqrt()) / 2.0
}

/// Coefficients and exponents of IAPWS SR1-86, equation 3.
const VAPOUR: [(f64, f64); 6] = [
    (-2.031_502_40, 2.0 / 6.0),
    (-2.683_029_40, 4.0 / 6.0),
    (-5.386_264_92, 8.0 / 6.0),
    (-17.299_160_5, 18.0 / 6.0),
    (-44.758_658_1, 37.0 / 6.0),
    (-63.920_106_3, 71.0 / 6.0),
];

/// Density of saturated vapour, kg/m³, at a temperature in K.
///
/// ln(ρ''/ρ_c) = Σ cᵢ θ^eᵢ, θ = 1 − T/T_c
///
/// Source: IAPWS SR1-86(1992), equation 3. Range: 273.15 to 647.096 K.
pub fn vapour_density(temperature_k: f64) -> f64 {
    let theta = 1.0 - temperature_k / CRITICAL_K;
    let sum: f64 = VAPOUR.iter().map(|(c, e)| c * theta.powf(*e)).sum();
    CRITICAL_KG_M3 * sum.exp()
}

/// Heat of evaporation, J/kg, at a temperature in K.
///
/// Clausius and Clapeyron: L = T (dp_s/dT) (1/ρ'' − 1/ρ'), the slope of [`saturation_pressure_pa`].
/// Range: 273.15 to 623.15 K.
pub fn heat_of_evaporation(temperature_k: f64) -> f64 {
    let pressure = saturation_pressure_pa(Dual::<1>::variable(temperature_k));
    let liquid = liquid(temperature_k, pressure.value).density;
    temperature_k * pressure.slope() * (1.0 / vapour_density(temperature_k) - 1.0 / liquid)
}

/// Surface tension of water against its vapour, N/m, at a temperature in K.
///
/// σ = 235.8 mN/m τ^1.256 (1 − 0.625 τ), τ = 1 − T/T_c
///
/// Source: IAPWS R1-76(2014). Range: 273.16 to 647.096 K.
pub fn surface_tension(temperature_k: f64) -> f64 {
    let tau = 1.0 - temperature_k / CRITICAL_K;
    235.8e-3 * tau.powf(1.256) * (1.0 - 0.625 * tau)
}

/// Coefficients i, j, H of IAPWS R12-08, table 2.
const VISCOSITY: [(i32, i32, f64); 21] = [
    (0, 0, 0.520094),
    (1, 0, 0.0850895),
    (2, 0, -1.08374),
    (3, 0, -0.289555),
    (0, 1, 0.222531),
    (1, 1, 0.999115),
    (2, 1, 1.88797),
    (3, 1, 1.26613),
    (5, 1, 0.120573),
    (0, 2, -0.281378),
    (1, 2, -0.906851),
    (2, 2, -0.772479),
    (3, 2, -0.489837),
    (4, 2, -0.257040),
    (0, 3, 0.161913),
    (1, 3, 0.257399),
    (0, 4, -0.0325372),
    (3, 4, 0.0698452),
    (4, 5, 0.00872102),
    (3, 6, -0.00435673),
    (5, 6, -0.000593264),
];

/// Dynamic viscosity of water, Pa s, at a temperature in K and a density in kg/m³.
///
/// μ̄ = μ̄₀(T̄) μ̄₁(T̄, ρ̄), μ̄₀ = 100√T̄ / Σ Hᵢ/T̄ⁱ,
/// μ̄₁ = exp\[ρ̄ Σᵢ (1/T̄ − 1)ⁱ Σⱼ Hᵢⱼ (ρ̄ − 1)ʲ\], in µPa s.
///
/// Source: IAPWS R12-08, equations 10 to 12, without critical enhancement. Range: the liquid from
/// 273.15 K upwards, away from the critical point.
pub fn viscosity(temperature_k: f64, density: f64) -> f64 {
    let t = temperature_k / CRITICAL_K;
    let r = density / CRITICAL_KG_M3;
    let dilute =
        100.0 * t.sqrt() / (1.67752 + 2.20462 / t + 0.6366564 / (t * t) - 0.241605 / (t * t * t));
    let sum: f64 =
        VISCOSITY.iter().map(|&(i, j, h)| h * (1.0 / t - 1.0).powi(i) * (r - 1.0).powi(j)).sum();
    dilute * (r * sum).exp() * 1e-6
}

/// Coefficients L of IAPWS R15-11, table 2: rows i = 0 to 4, columns j = 0 to 5.
const CONDUCTIVITY: [[f64; 6]; 5] = [
    [1.60397357, -0.646013523, 0.111443906, 0.102997357, -0.0504123634, 0.00609859258],
    [2.33771842, -2.78843778, 1.53616167, -0.463045512, 0.0832827019, -0.00719201245],
    [2.19650529, -4.54580785, 3.55777244, -1.40944978, 0.275418278, -0.0205938816],
    [-1.21051378, 1.60812989, -0.621178141, 0.0716373224, 0.0, 0.0],
    [-2.7203370, 4.57586331, -3.18369245, 1.1168348, -0.19268305, 0.012913842],
];

/// Thermal conductivity of water, W/(m K), at a temperature in K and a density in kg/m³.
///
/// λ̄ = λ̄₀(T̄) λ̄₁(T̄, ρ̄), λ̄₀ = √T̄ / Σ Lₖ/T̄ᵏ, λ̄₁ = exp\[ρ̄ Σᵢ (1/T̄ − 1)ⁱ Σⱼ Lᵢⱼ (ρ̄ − 1)ʲ\],
/// in mW/(m K).
///
/// Source: IAPWS R15-11, equations 15 to 17, without critical enhancement. Range: the liquid from
/// 273.15 K upwards, away from the critical point.
pub fn conductivity(temperature_k: f64, density: f64) -> f64 {
    let t = temperature_k / CRITICAL_K;
    let r = density / CRITICAL_KG_M3;
    let inverse = 1.0 / t;
    let horner = |c: &[f64], x: f64| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
    let dilute = t.sqrt()
        / horner(&[2.443221e-3, 1.323095e-2, 6.770357e-3, -3.454586e-3, 4.096266e-4], inverse);
    let rows = CONDUCTIVITY.map(|row| horner(&row, r - 1.0));
    dilute * (r * horner(&rows, inverse - 1.0)).exp() * 1e-3
}
