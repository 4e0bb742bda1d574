//! The standard atmosphere, and the place and weather in which a vehicle runs.

use super::air::{self, Air};
use super::fault::{FluidError, within};
use super::water;
use crate::kind::Kind;

/// Pressure at sea level, Pa (ISO 2533:1975).
const SEA_LEVEL_PA: f64 = 101325.0;
/// Temperature at sea level, K (ISO 2533:1975).
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with geopotential altitude below 11 km, K/m (ISO 2533:1975).
const LAPSE: f64 = 0.0065;
/// Geopotential altitude where temperature stops falling, m (ISO 2533:1975).
const TROPOPAUSE_M: f64 = 11000.0;
/// Standard acceleration of free fall, m/s² (ISO 2533:1975).
const GRAVITY: f64 = 9.80665;
/// Nominal radius of the earth, m (ISO 2533:1975).
const EARTH_M: f64 = 6356766.0;

/// Geopotential altitude in m for a geometric altitude (height above sea level) in m.
///
/// H = r h/(r + h). Source: ISO 2533:1975, equation 8, r = 6356766 m.
pub fn geopotential_m(altitude_m: f64) -> f64 {
    EARTH_M * altitude_m / (EARTH_M + altitude_m)
}

/// Standard temperature in K at a geopotential altitude in m.
///
/// T = 288.15 K − 6.5 K/km H, constant above 11 km. Source: ISO 2533:1975. Range: −2 to 20 km.
pub fn standard_temperature_k(geopotential_m: f64) -> f64 {
    SEA_LEVEL_K - LAPSE * geopotential_m.min(TROPOPAUSE_M)
}

/// Standard pressure in Pa at a geopotential altitude in m.
///
/// p = p₀ (T/T₀)^(g/(R·6.5 K/km)) up to 11 km, then p = p₁₁ exp(−g(H − 11 km)/(R T₁₁)).
/// Source: ISO 2533:1975, equations 12 and 13. Range: −2 to 20 km.
pub fn standard_pressure_pa(geopotential_m: f64) -> f64 {
    let temperature_k = standard_temperature_k(geopotential_m);
    let ratio = temperature_k / SEA_LEVEL_K;
    let below = SEA_LEVEL_PA * ratio.powf(GRAVITY / (air::DRY_GAS_CONSTANT * LAPSE));
    let above = (geopotential_m - TROPOPAUSE_M).max(0.0);
    below * (-GRAVITY * above / (air::DRY_GAS_CONSTANT * temperature_k)).exp()
}

/// Standard pressure in Pa at a geometric altitude in m: that of [`standard_pressure_pa`].
pub fn pressure_at_pa(altitude_m: f64) -> f64 {
    standard_pressure_pa(geopotential_m(altitude_m))
}

/// Place and weather: the air that a vehicle draws in.
///
/// The pressure is the standard atmosphere's at the altitude, or a barometer's reading; the
/// temperature is the one given, not the standard one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    temperature_k: f64,
    altitude_m: f64,
    relative_humidity: f64,
    pressure_pa: f64,
}

impl Site {
    /// A site with an air temperature in K, a geometric altitude in m and a relative humidity
    /// (0.5 is 50 %, over liquid water at every temperature).
    ///
    /// # Errors
    /// When temperature is outside 213.15 to 343.15 K (−60 to 70 °C), altitude outside −500 to
    /// 9000 m, humidity outside 0 to 1, or one of them is no number.
    pub fn new(
        temperature_k: f64,
        altitude_m: f64,
        relative_humidity: f64,
    ) -> Result<Self, FluidError> {
        within("air temperature", temperature_k, (213.15, 343.15), Kind::Temperature)?;
        within("altitude", altitude_m, (-500.0, 9000.0), Kind::Distance)?;
        within("relative humidity", relative_humidity, (0.0, 1.0), Kind::Fraction)?;
        let pressure_pa = pressure_at_pa(altitude_m);
        Self { temperature_k, altitude_m, relative_humidity, pressure_pa }.checked()
    }

    /// The same site with a pressure read from a barometer there, in Pa absolute (not reduced to
    /// sea level).
    ///
    /// # Errors
    /// When the pressure is outside 25 to 115 kPa, or the air could not hold its vapour.
    pub fn with_pressure(mut self, pressure_pa: f64) -> Result<Self, FluidError> {
        self.pressure_pa =
            within("air pressure", pressure_pa, (25e3, 115e3), Kind::AbsolutePressure)?;
        self.checked()
    }

    /// Vapour has to leave room for dry air: hot saturated air high up could be nearly all vapour.
    fn checked(self) -> Result<Self, FluidError> {
        let highest = 0.5 * self.pressure_pa;
        within(
            "vapour pressure of the air",
            self.vapour_pressure_pa(),
            (0.0, highest),
            Kind::AbsolutePressure,
        )?;
        Ok(self)
    }

    /// Air temperature, K.
    pub fn temperature_k(&self) -> f64 {
        self.temperature_k
    }

    /// Geometric altitude, m.
    pub fn altitude_m(&self) -> f64 {
        self.altitude_m
    }

    /// Relative humidity, 0 to 1.
    pub fn relative_humidity(&self) -> f64 {
        self.relative_humidity
    }

    /// Air pressure, Pa absolute.
    pub fn pressure_pa(&self) -> f64 {
        self.pressure_pa
    }

    /// Partial pressure of water vapour, Pa: relative humidity times saturation over water.
    pub fn vapour_pressure_pa(&self) -> f64 {
        self.relative_humidity * water::saturation_pressure_pa(self.temperature_k)
    }

    /// Mass of vapour per mass of dry air.
    pub fn humidity_ratio(&self) -> f64 {
        air::humidity_ratio(self.vapour_pressure_pa(), self.pressure_pa)
    }

    /// Dew point in K; absolute zero for air without vapour.
    pub fn dew_point_k(&self) -> f64 {
        self.air().dew_point_k()
    }

    /// Density of the air, kg/m³.
    pub fn density(&self) -> f64 {
        self.air().density(self.temperature_k)
    }

    /// The air of this site.
    pub fn air(&self) -> Air {
        Air { pressure_pa: self.pressure_pa, humidity_ratio: self.humidity_ratio() }
    }
}
