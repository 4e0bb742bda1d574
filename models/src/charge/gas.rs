//! The charge air at one place: how warm, at what pressure, how moist.

use coolwright_solver::scalar::Scalar;

use crate::fluids::air::{DRY_GAS_CONSTANT, dry_heat_capacity, vapour_heat_capacity};
use crate::fluids::{Air, water};
use crate::laws::compressor::compressed_k;

/// Film coefficient over mass transfer coefficient and heat capacity: Le^(2/3) of water vapour in air, with
/// Le = 0.865 (Threlkeld, Thermal Environmental Engineering, 2nd ed. 1970, ch. 10; from memory).
pub const LEWIS_FACTOR: f64 = 0.908;

/// Vapour pressures are asked for up to this temperature, K; beyond it there is no liquid.
const NO_LIQUID_K: f64 = 640.0;

/// Moist air at one place. Over a scalar with derivatives it carries how it changes.
#[derive(Clone, Copy, Debug)]
pub struct Gas<S = f64> {
    /// Temperature, K.
    pub temperature_k: S,
    /// Pressure, Pa absolute.
    pub pressure_pa: S,
    /// Mass of vapour per mass of dry air.
    pub humidity: S,
}

impl<S: Scalar> Gas<S> {
    /// Air at a temperature, K.
    pub fn of(air: &Air, temperature_k: f64) -> Self {
        Self {
            temperature_k: S::from(temperature_k),
            pressure_pa: S::from(air.pressure_pa),
            humidity: S::from(air.humidity_ratio),
        }
    }

    /// Heat capacity, J per kg of moist air and K.
    pub fn heat_capacity(&self) -> S {
        self.dry_based_heat_capacity(self.temperature_k) / (self.humidity + 1.0)
    }

    /// Heat capacity of the moist air at a temperature, J per kg of its dry air and K.
    pub(crate) fn dry_based_heat_capacity(&self, t_k: S) -> S {
        dry_heat_capacity(t_k) + self.humidity * vapour_heat_capacity(t_k)
    }

    /// Density, kg/m³: ρ = p/(R T), R = (R_d + ω R_v)/(1 + ω).
    pub fn density(&self) -> S {
        let constant =
            (self.humidity * water::GAS_CONSTANT + DRY_GAS_CONSTANT) / (self.humidity + 1.0);
        self.pressure_pa / (constant * self.temperature_k)
    }

    /// Behind a compressor of a pressure ratio and an isentropic efficiency.
    #[must_use]
    pub fn compressed(self, ratio: f64, efficiency: S) -> Self {
        let constant = self.humidity * water::GAS_CONSTANT + DRY_GAS_CONSTANT;
        let exponent = |t_k: S| constant / self.dry_based_heat_capacity(t_k);
        let temperature_k = compressed_k(self.temperature_k, ratio, efficiency, exponent);
        Self { temperature_k, pressure_pa: self.pressure_pa * ratio, ..self }
    }

    /// The most vapour that it can hold at a temperature and its own pressure, per mass of dry air;
    /// infinite where it boils.
    pub fn saturated_humidity(&self, t_k: S) -> S {
        let none = S::from(f64::INFINITY);
        if t_k.value() >= NO_LIQUID_K {
            return none;
        }
        let vapour = water::saturation_pressure_pa(t_k);
        if vapour.value() >= self.pressure_pa.value() {
            return none;
        }
        vapour / (self.pressure_pa - vapour) * (DRY_GAS_CONSTANT / water::GAS_CONSTANT)
    }

    /// The humidity behind a wall at a temperature for which the share `passed` of the vapour that could
    /// condense there does so.
    pub(super) fn dried(&self, wall_k: S, passed: S) -> S {
        let held = self.saturated_humidity(wall_k);
        if held.value() >= self.humidity.value() {
            return self.humidity;
        }
        self.humidity - (self.humidity - held) * passed
    }
}

/// Heat given off when water condenses at a temperature, J/kg.
///
/// L = 2500.9 kJ/kg − 2.381 kJ/(kg·K)·(T − 273.15 K), a straight line within 0.3 % of the saturated states of
/// IAPWS R7-97 from 0 to 100 °C.
pub fn latent_heat<S: Scalar>(t_k: S) -> S {
    S::from(LATENT_AT_ZERO) - (t_k - ZERO_C) * LATENT_SLOPE
}

/// 0 °C, K.
const ZERO_C: f64 = 273.15;
/// At 0 °C, J/kg.
const LATENT_AT_ZERO: f64 = 2500.9e3;
/// Per kelvin, J/(kg·K).
const LATENT_SLOPE: f64 = 2381.0;
