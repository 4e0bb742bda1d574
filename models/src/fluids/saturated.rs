//! A coolant at its boiling point: what boiling at a hot wall needs to know.

use super::coolant::{Base, Coolant};
use super::water;

/// A coolant that boils at a pressure, liquid and vapour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Saturated {
    /// Pressure, Pa absolute.
    pub pressure_pa: f64,
    /// Boiling point, K.
    pub temperature_k: f64,
    /// Density of the liquid, kg/m³.
    pub density: f64,
    /// Its heat capacity, J/(kg·K).
    pub heat_capacity: f64,
    /// Its viscosity, Pa·s.
    pub viscosity: f64,
    /// Its conductivity, W/(m·K).
    pub conductivity: f64,
    /// Density of the vapour, kg/m³.
    pub vapour_density: f64,
    /// Heat of evaporation, J/kg.
    pub latent_heat: f64,
    /// Surface tension, N/m.
    pub surface_tension: f64,
}

/// Least pressure at which anything is said of boiling, Pa: below it the coolant boils throughout.
const LEAST_PA: f64 = 1e3;
/// Largest pressure at which anything is said of it, Pa: no circuit of a vehicle holds it.
const MOST_PA: f64 = 5e6;
/// 20 °C, K.
const ROOM_K: f64 = 293.15;

impl Saturated {
    /// The coolant at its boiling point under a pressure, Pa absolute; below 1 kPa and above 5 MPa as at
    /// those.
    ///
    /// The vapour is taken as water alone, by Clausius and Clapeyron, `L = T (dp/dT) (1/ρ_v − 1/ρ_l)` on the
    /// saturation line of water: of a 60 % mixture of ethylene glycol less than one molecule in fifty of the
    /// vapour is glycol. Surface tension of a mixture goes straight by mass between those of its parts.
    ///
    /// Sources: IAPWS SR1-86(1992) for the density of the vapour, IAPWS R1-76(2014) for the surface tension of
    /// water; surface tension of the glycols 48.4 and 36.5 mN/m at 20 °C, 0.089 and 0.072 mN/m less for each
    /// kelvin (handbook values, from memory). Range: water up to 350 °C, mixtures as [`Coolant`]. It does not hold for
    /// a liquid by points, of whose vapour nothing is known but its pressure.
    pub fn at(coolant: &Coolant, pressure_pa: f64) -> Self {
        let pressure_pa = pressure_pa.clamp(LEAST_PA, MOST_PA);
        let temperature_k = coolant.boiling_point_k(pressure_pa);
        let water_k = water::saturation_temperature_k(pressure_pa);
        let vapour_density = water::vapour_density(water_k) * water_k / temperature_k;
        Self {
            pressure_pa,
            temperature_k,
            density: coolant.density(temperature_k),
            heat_capacity: coolant.heat_capacity(temperature_k),
            viscosity: coolant.viscosity(temperature_k),
            conductivity: coolant.conductivity(temperature_k),
            vapour_density,
            latent_heat: water::heat_of_evaporation(temperature_k),
            surface_tension: surface_tension(coolant, temperature_k),
        }
    }
}

fn surface_tension(coolant: &Coolant, t_k: f64) -> f64 {
    let (at_room, slope) = match coolant.base() {
        None | Some(Base::Water) => return water::surface_tension(t_k),
        Some(Base::EthyleneGlycol) => (48.4e-3, 0.089e-3),
        Some(Base::PropyleneGlycol) => (36.5e-3, 0.072e-3),
    };
    let glycol = at_room - slope * (t_k - ROOM_K);
    let share = coolant.mass_share();
    (1.0 - share) * water::surface_tension(t_k) + share * glycol
}
