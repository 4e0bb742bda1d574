//! Moist air as a mixture of ideal gases.

use coolwright_solver::scalar::Scalar;

use super::water;

/// Specific gas constant of dry air, J/(kg K) (ISO 2533:1975).
pub const DRY_GAS_CONSTANT: f64 = 287.05287;
/// Gas constant over molar mass for the dry air of Lemmon et al. 2000, J/(kg K).
const LEMMON_GAS_CONSTANT: f64 = 8.314510 / 0.0289586;
/// Reducing temperature of Lemmon et al. 2000 and Lemmon & Jacobsen 2004, K.
const REDUCING_K: f64 = 132.6312;
/// The zero of enthalpy, K.
const ZERO_K: f64 = 273.15;
/// Saturation pressures are asked for up to this temperature, K; beyond it there is no liquid.
const NO_LIQUID_K: f64 = 640.0;

/// Mass of vapour per mass of dry air, from the partial pressure of vapour and the whole pressure.
///
/// ω = (R_d/R_v) p_v/(p − p_v). Closed form for ideal gases; R_v by IAPWS.
pub fn humidity_ratio(vapour_pa: f64, pressure_pa: f64) -> f64 {
    DRY_GAS_CONSTANT / water::GAS_CONSTANT * vapour_pa / (pressure_pa - vapour_pa)
}

/// Air at a pressure with a share of water vapour. Properties take the temperature in K.
///
/// Heat capacity and enthalpy are those of ideal gases, so they do not depend on pressure. Real
/// air at 300 K has 0.16 % more at 100 kPa and 0.5 % more at 300 kPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Pressure, Pa absolute.
    pub pressure_pa: f64,
    /// Mass of vapour per mass of dry air.
    pub humidity_ratio: f64,
}

impl Air {
    /// Dry air.
    pub fn dry(pressure_pa: f64) -> Self {
        Self { pressure_pa, humidity_ratio: 0.0 }
    }

    /// The same air at another pressure, in Pa absolute.
    #[must_use]
    pub fn at_pressure(self, pressure_pa: f64) -> Self {
        Self { pressure_pa, ..self }
    }

    /// Gas constant of the moist air, J/(kg K).
    pub fn gas_constant(&self) -> f64 {
        self.per_kg(DRY_GAS_CONSTANT, water::GAS_CONSTANT)
    }

    /// Partial pressure of the vapour, Pa.
    pub fn vapour_pressure_pa(&self) -> f64 {
        let vapour = self.humidity_ratio * water::GAS_CONSTANT;
        self.pressure_pa * vapour / (DRY_GAS_CONSTANT + vapour)
    }

    /// Temperature in K at which the vapour begins to condense, as liquid at any temperature;
    /// absolute zero for dry air.
    pub fn dew_point_k(&self) -> f64 {
        let vapour_pa = self.vapour_pressure_pa();
        if vapour_pa > 0.0 { water::saturation_temperature_k(vapour_pa) } else { 0.0 }
    }

    /// Relative humidity over liquid water at a temperature in K; above 1 the vapour condenses.
    pub fn relative_humidity(&self, t_k: f64) -> f64 {
        self.vapour_pressure_pa() / water::saturation_pressure_pa(t_k)
    }

    /// The humidity ratio that this air could hold at a temperature in K and its own pressure;
    /// infinite at and above the boiling point.
    pub fn saturated_humidity_ratio<S: Scalar>(&self, t_k: S) -> S {
        if t_k.value() >= NO_LIQUID_K {
            return S::from(f64::INFINITY);
        }
        let vapour = water::saturation_pressure_pa(t_k);
        if vapour.value() >= self.pressure_pa {
            return S::from(f64::INFINITY);
        }
        vapour / (S::from(self.pressure_pa) - vapour) * (DRY_GAS_CONSTANT / water::GAS_CONSTANT)
    }

    /// Density, kg of moist air per m³.
    ///
    /// ρ = p_d/(R_d T) + p_v/(R_v T) = p/(R T) with R of the mixture. Ideal gas: within 0.1 % of
    /// real air at 100 kPa and 0.3 % at 300 kPa, from 250 K.
    #[inline]
    pub fn density<S: Scalar>(&self, t_k: S) -> S {
        S::from(self.pressure_pa / self.gas_constant()) / t_k
    }

    /// Heat capacity, J per kg of moist air and K.
    #[inline]
    pub fn heat_capacity<S: Scalar>(&self, t_k: S) -> S {
        let dry = dry_heat_capacity(t_k);
        if self.humidity_ratio == 0.0 { dry } else { self.mix(dry, vapour_heat_capacity(t_k)) }
    }

    /// Sensible enthalpy, J per kg of moist air, zero at 273.15 K; its derivative is
    /// [`Air::heat_capacity`].
    #[inline]
    pub fn enthalpy<S: Scalar>(&self, t_k: S) -> S {
        let dry = dry_enthalpy(t_k);
        if self.humidity_ratio == 0.0 { dry } else { self.mix(dry, vapour_enthalpy(t_k)) }
    }

    /// Dynamic viscosity, Pa s: that of dry air at low pressure.
    ///
    /// η = 2.66958e−8 √(M T)/(σ² Ω), ln Ω = Σ bᵢ (ln T/103.3 K)ⁱ, M = 28.9586 g/mol, σ = 0.36 nm.
    ///
    /// Source: Lemmon & Jacobsen 2004 (Int. J. Thermophys. 25, 21), equations 2 and 3. Range: 100
    /// to 2000 K; dense gas is left out: within 0.2 % at 100 kPa and 0.3 % at 300 kPa from 250 K. Vapour is left out: air saturated at 40 °C has 2.5 %
    /// less.
    #[inline]
    pub fn viscosity<S: Scalar>(&self, t_k: S) -> S {
        let x = (t_k / 103.3).ln();
        let ln_omega = ((((x * -0.00331) + 0.005341) * x + 0.08406) * x - 0.4623) * x + 0.431;
        t_k.sqrt() * (-ln_omega).exp() * (2.66958e-8 * 28.9586_f64.sqrt() / (0.36 * 0.36))
    }

    /// Thermal conductivity, W/(m K): that of dry air at low pressure.
    ///
    /// λ = 1.308 η/(1 µPa s) + 1.405 τ^−1.1 − 1.036 τ^−0.3 mW/(m K), τ = 132.6312 K/T.
    ///
    /// Source: Lemmon & Jacobsen 2004 (Int. J. Thermophys. 25, 21), equation 5. Range: 100 to
    /// 2000 K; dense gas is left out: within 0.4 % at 100 kPa and 0.8 % at 300 kPa from 250 K. Vapour is left out: air saturated
    /// at 40 °C has 0.6 % less.
    #[inline]
    pub fn conductivity<S: Scalar>(&self, t_k: S) -> S {
        let x = t_k / REDUCING_K;
        (self.viscosity(t_k) * 1.308e6 + x.powf(1.1) * 1.405 - x.powf(0.3) * 1.036) * 1e-3
    }

    /// A quantity of dry air and of vapour, per kg of the two together.
    fn mix<S: Scalar>(&self, dry: S, vapour: S) -> S {
        (dry + vapour * self.humidity_ratio) / (1.0 + self.humidity_ratio)
    }

    fn per_kg(&self, dry: f64, vapour: f64) -> f64 {
        self.mix(dry, vapour)
    }
}

/// Heat capacity of dry air as an ideal gas, J/(kg K).
///
/// c_p/R = 3.490888 − Σ nₖ k(k+1) (T/T_r)ᵏ + Σ n E(θ/T), E(x) = x²eˣ/(eˣ − 1)².
///
/// Source: Lemmon et al. 2000 (J. Phys. Chem. Ref. Data 29, 331), equation 21, without its terms
/// in τ^1.5 and in θ = 11580 K, which stay below 2e−4 of the value. Range: 180 to 1000 K.
pub(crate) fn dry_heat_capacity<S: Scalar>(t: S) -> S {
    let x = t / REDUCING_K;
    let [n1, n2, n3] = LEMMON_POWERS;
    let powers = ((x * (-12.0 * n3) - 6.0 * n2) * x - 2.0 * n1) * x + LEMMON_CONSTANT;
    let vibration = LEMMON_OSCILLATORS
        .iter()
        .fold(powers, |sum, &(n, theta)| sum + oscillator_heat_capacity(t, theta) * n);
    vibration * LEMMON_GAS_CONSTANT
}

/// The integral of [`dry_heat_capacity`] from 273.15 K, J/kg.
fn dry_enthalpy<S: Scalar>(t: S) -> S {
    integral_of_dry(t) - integral_of_dry(ZERO_K)
}

const LEMMON_CONSTANT: f64 = 3.490888032;
const LEMMON_POWERS: [f64; 3] = [-0.000158860716, -2.10274769e-5, 6.057194e-8];
const LEMMON_OSCILLATORS: [(f64, f64); 2] =
    [(0.791309509, 25.36365 * REDUCING_K), (0.212236768, 16.90741 * REDUCING_K)];

fn integral_of_dry<S: Scalar>(t: S) -> S {
    let x = t / REDUCING_K;
    let [n1, n2, n3] = LEMMON_POWERS;
    let powers = ((x * (-3.0 * n3) - 2.0 * n2) * x - n1) * x + LEMMON_CONSTANT;
    let vibration = LEMMON_OSCILLATORS
        .iter()
        .fold(powers * t, |sum, &(n, theta)| sum + oscillator_energy(t, theta) * n);
    vibration * LEMMON_GAS_CONSTANT
}

/// Heat capacity of water vapour as an ideal gas, J/(kg K).
///
/// c_p/R = 4.00632 + Σ n E(θ/T).
///
/// Source: IAPWS R6-95(2018), table 1, without the term in θ = 17800 K, which stays below 1e−6 of
/// the value. Range: 130 to 1000 K.
pub(crate) fn vapour_heat_capacity<S: Scalar>(t: S) -> S {
    VAPOUR_OSCILLATORS.iter().fold(S::from(VAPOUR_CONSTANT), |sum, &(n, theta)| {
        sum + oscillator_heat_capacity(t, theta) * n
    }) * water::GAS_CONSTANT
}

/// The integral of [`vapour_heat_capacity`] from 273.15 K, J/kg.
fn vapour_enthalpy<S: Scalar>(t: S) -> S {
    integral_of_vapour(t) - integral_of_vapour(ZERO_K)
}

const VAPOUR_CONSTANT: f64 = 4.00632;
const VAPOUR_OSCILLATORS: [(f64, f64); 4] = [
    (0.012436, 1.28728967 * 647.096),
    (0.97315, 3.53734222 * 647.096),
    (1.27950, 7.74073708 * 647.096),
    (0.96956, 9.24437796 * 647.096),
];

fn integral_of_vapour<S: Scalar>(t: S) -> S {
    VAPOUR_OSCILLATORS
        .iter()
        .fold(t * VAPOUR_CONSTANT, |sum, &(n, theta)| sum + oscillator_energy(t, theta) * n)
        * water::GAS_CONSTANT
}

/// x² e^−x/(1 − e^−x)² with x = θ/T, in the form that cannot overflow for cold gas.
fn oscillator_heat_capacity<S: Scalar>(t: S, theta: f64) -> S {
    let x = S::from(theta) / t;
    let e = (-x).exp();
    let rest = S::from(1.0) - e;
    x * x * e / (rest * rest)
}

/// θ/(e^x − 1) with x = θ/T: the integral of [`oscillator_heat_capacity`] over T.
fn oscillator_energy<S: Scalar>(t: S, theta: f64) -> S {
    let e = (S::from(-theta) / t).exp();
    e / (S::from(1.0) - e) * theta
}
