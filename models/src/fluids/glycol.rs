//! Ethylene and propylene glycol in water.
//!
//! Between −35 °C (or freezing) and 100 °C, and from 10 to 60 % by volume, the properties are the
//! tables of the ASHRAE Handbook of Fundamentals (2001, chapter 21) in the form of the open fits
//! of Skovrup (2013) that `CoolProp` 8.0.0 carries as `INCOMP::AEG` and `INCOMP::APG`. The fits
//! are Σᵢ Σⱼ Cᵢⱼ (T − 305.65 K)ⁱ (x − 0.35)ʲ with x the share by volume.
//!
//! From 100 to 160 °C they are extrapolated, each on a physical form; see [`Mixture`].

use super::fault::{FluidError, within};
use super::water;
use crate::kind::Kind;

/// Temperature at which shares by volume are understood: 20 °C.
const SHARE_K: f64 = 293.15;
/// Centre of the fits.
const CENTRE_K: f64 = 305.65;
const CENTRE_SHARE: f64 = 0.35;
/// Range of the source: temperatures in K.
pub const SOURCE_K: (f64, f64) = (238.15, 373.15);
/// Range of the source: shares by volume.
pub const SOURCE_SHARE: (f64, f64) = (0.10, 0.60);
/// Pressure in Pa at which water's properties enter a mixture: above boiling up to 160 °C.
const WATER_PA: f64 = 0.7e6;
/// T₀ in ln μ = A + B/(T − T₀) for hot mixtures: the value that passes through the viscosity of
/// water (IAPWS R12-08) at 20, 60 and 100 °C; it then meets water at 160 °C within 0.4 %.
const VOGEL_K: f64 = 138.8;

/// A glycol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Glycol {
    /// Ethylene glycol, 1,2-ethanediol.
    Ethylene,
    /// Propylene glycol, 1,2-propanediol.
    Propylene,
}

/// The fits for one glycol: rows are powers of T − 305.65 K, columns powers of x − 0.35.
struct Family {
    /// kg/m³.
    density: [[f64; 6]; 4],
    /// J/(kg K).
    heat_capacity: [[f64; 6]; 4],
    /// W/(m K).
    conductivity: [[f64; 6]; 4],
    /// Logarithm of the viscosity in Pa s.
    ln_viscosity: [[f64; 6]; 4],
    /// Logarithm of the freezing point in K, by powers of x − 0.35.
    ln_freezing: [f64; 6],
    /// Perry's Handbook, 8th ed., table 2-8.
    ln_vapour: [f64; 5],
    /// Perry's Handbook, 8th ed., table 2-32, mol/m³.
    molar_density: [f64; 4],
    /// kg/mol.
    molar_mass: f64,
}

const ETHYLENE: Family = Family {
    density: [
        [1047.337, 140.4485, -48.70559, 71.41693, 52.4585, -693.3962],
        [-0.4505054, -0.3001582, -0.03952614, 0.02496264, -0.06817576, 0.0],
        [-0.002432696, -2.084384e-05, 0.0003108353, -0.0008979712, 0.0, 0.0],
        [-3.72545e-09, 1.044784e-06, -4.391164e-06, 0.0, 0.0, 0.0],
    ],
    heat_capacity: [
        [3596.551, -1707.073, -444.7538, -552.7923, -715.9059, 7905.301],
        [3.096886, 5.184379, -0.7061384, 0.7949891, -0.6689394, 0.0],
        [-3.388642e-05, 0.0003639717, 0.0009169943, -0.005359818, 0.0, 0.0],
        [3.171299e-07, -2.457345e-06, 1.419543e-05, 0.0, 0.0, 0.0],
    ],
    conductivity: [
        [0.4453745, -0.4067857, 0.2325883, -0.1569133, -0.1074279, 1.192263],
        [0.0008706814, -0.001560464, 0.000790936, -2.926925e-05, -0.0002372089, 0.0],
        [-5.352757e-06, 1.082907e-05, -6.117302e-06, 5.716025e-06, 0.0, 0.0],
        [-1.560759e-10, -6.139943e-09, 3.179827e-08, 0.0, 0.0, 0.0],
    ],
    ln_viscosity: [
        [-6.319551, 2.881296, 0.8374394, -19.29626, -13.10981, 252.8586],
        [-0.02410848, -0.01593008, -0.006961209, -0.06322254, -0.2651482, 0.0],
        [0.0001764482, 0.0001708786, -0.0004014337, -0.00024771, 0.0, 0.0],
        [-1.315418e-06, -1.745316e-06, 9.973464e-06, 0.0, 0.0, 0.0],
    ],
    ln_freezing: [5.534468, -0.3574293, -0.6535113, -0.9039166, 1.048048, 4.622116],
    ln_vapour: [84.09, -10411.0, -8.1976, 1.6536e-18, 6.0],
    molar_density: [1315.0, 0.25125, 720.0, 0.21868],
    molar_mass: 0.0620678,
};

const PROPYLENE: Family = Family {
    density: [
        [1026.177, 72.53677, -65.32547, 34.66575, -15.82785, -213.9879],
        [-0.5350059, -0.5056296, 0.1751278, -0.092333, 0.02877433, 0.0],
        [-0.002566157, -0.0001703579, 0.001165892, -0.000207517, 0.0, 0.0],
        [-5.177362e-09, 9.673215e-09, 3.368862e-07, 0.0, 0.0, 0.0],
    ],
    heat_capacity: [
        [3815.392, -1391.877, -1121.4, -419.3939, -243.53, 4054.145],
        [3.025751, 5.558605, -0.1073388, 0.5290725, -2.262081, 0.0],
        [4.165345e-05, -9.03207e-05, -0.003392169, 0.01079472, 0.0, 0.0],
        [-4.309483e-07, -1.33518e-06, 3.538903e-05, 0.0, 0.0, 0.0],
    ],
    conductivity: [
        [0.4329771, -0.4535551, 0.1845012, -0.2435214, 0.06266485, 1.891363],
        [0.0007338869, -0.001966849, 0.0009861397, -1.817568e-05, -0.001628752, 0.0],
        [-5.424175e-06, 1.100798e-05, -3.754805e-06, 5.476691e-07, 0.0, 0.0],
        [5.879754e-10, -6.777235e-10, -2.213073e-08, 0.0, 0.0, 0.0],
    ],
    ln_viscosity: [
        [-6.025825, 3.573663, -1.995205, -6.42511, 36.01949, 53.50879],
        [-0.03284399, -0.03838339, 0.08223532, 0.01520795, -1.123741, 0.0],
        [0.0002492009, 0.0003529886, -0.0005119547, -0.0006572286, 0.0, 0.0],
        [-1.155771e-06, -1.216539e-06, 3.230125e-06, 0.0, 0.0, 0.0],
    ],
    ln_freezing: [5.546103, -0.326277, -0.6666873, -0.8800598, -1.071417, -1.875782],
    ln_vapour: [212.8, -15420.0, -28.109, 2.1564e-5, 2.0],
    molar_density: [1092.3, 0.26106, 626.0, 0.20459],
    molar_mass: 0.07609442,
};

impl Glycol {
    fn family(self) -> &'static Family {
        match self {
            Self::Ethylene => &ETHYLENE,
            Self::Propylene => &PROPYLENE,
        }
    }

    /// Molar mass, kg/mol.
    pub fn molar_mass(self) -> f64 {
        self.family().molar_mass
    }

    /// Vapour pressure of the pure glycol in Pa, at a temperature in K.
    ///
    /// p = exp(C₁ + C₂/T + C₃ ln T + C₄ T^C₅).
    ///
    /// Source: Perry's Chemical Engineers' Handbook, 8th ed., table 2-8 (read from the open
    /// library `chemicals` 1.5.2). Range: 260 to 720 K (ethylene), 213 to 626 K (propylene).
    pub fn vapour_pressure_pa(self, temperature_k: f64) -> f64 {
        let [c1, c2, c3, c4, c5] = self.family().ln_vapour;
        (c1 + c2 / temperature_k + c3 * temperature_k.ln() + c4 * temperature_k.powf(c5)).exp()
    }

    /// Density of the pure glycol in kg/m³, at a temperature in K.
    ///
    /// ρ = M C₁ / C₂^(1 + (1 − T/C₃)^C₄).
    ///
    /// Source: Perry's Chemical Engineers' Handbook, 8th ed., table 2-32 (read from the open
    /// library `chemicals` 1.5.2). Range: 260 to 720 K (ethylene), 213 to 626 K (propylene).
    pub fn density(self, temperature_k: f64) -> f64 {
        let [c1, c2, c3, c4] = self.family().molar_density;
        self.molar_mass() * c1 / c2.powf(1.0 + (1.0 - temperature_k / c3).powf(c4))
    }

    /// Density of the pure glycol over that of water, both at 20 °C.
    fn density_ratio(self) -> f64 {
        self.density(SHARE_K) / water::liquid(SHARE_K, 101325.0).density
    }

    /// Share by mass for a share by volume: volumes of the pure liquids at 20 °C before mixing.
    ///
    /// w = xρ_g / (xρ_g + (1 − x)ρ_w). Mixing contracts by up to 1 %, so a share read as volume
    /// of glycol in volume of mixture differs by up to 1 % of itself.
    pub fn mass_share(self, by_volume: f64) -> f64 {
        let glycol = by_volume * self.density_ratio();
        glycol / (glycol + 1.0 - by_volume)
    }

    /// Share by volume for a share by mass; the inverse of [`Glycol::mass_share`].
    pub fn volume_share(self, by_mass: f64) -> f64 {
        let water = (1.0 - by_mass) * self.density_ratio();
        by_mass / (by_mass + water)
    }

    /// Share by amount of substance for a share by volume.
    pub fn mole_share(self, by_volume: f64) -> f64 {
        let by_mass = self.mass_share(by_volume);
        let glycol = by_mass / self.molar_mass();
        glycol / (glycol + (1.0 - by_mass) / water::MOLAR_MASS)
    }

    /// Vapour pressure over a mixture in Pa, by ideal mixing: x_w p_w(T) + x_g p_g(T) with shares
    /// by amount of substance (Raoult's law).
    pub fn mixture_vapour_pressure_pa(self, temperature_k: f64, by_volume: f64) -> f64 {
        let share = self.mole_share(by_volume);
        (1.0 - share) * water::saturation_pressure_pa(temperature_k)
            + share * self.vapour_pressure_pa(temperature_k)
    }
}

/// A polynomial in T − 305.65 K.
#[derive(Clone, Copy, Debug)]
struct Fit([f64; 4]);

impl Fit {
    /// The fit at one share by volume.
    fn at_share(table: &[[f64; 6]; 4], by_volume: f64) -> Self {
        Self(table.map(|row| series(&row, by_volume - CENTRE_SHARE)))
    }

    fn value(self, temperature_k: f64) -> f64 {
        series(&self.0, temperature_k - CENTRE_K)
    }

    fn slope(self, temperature_k: f64) -> f64 {
        let [_, b, c, d] = self.0;
        series(&[b, 2.0 * c, 3.0 * d], temperature_k - CENTRE_K)
    }

    /// The value at the nearest point of a range, and on from there along the slope.
    fn straight_outside(self, temperature_k: f64, (low, high): (f64, f64)) -> f64 {
        let inside = temperature_k.clamp(low, high);
        let beyond = temperature_k - inside;
        // Adding a product with zero would still be exact; the slope is skipped to save time.
        if beyond == 0.0 {
            self.value(inside)
        } else {
            self.value(inside) + self.slope(inside) * beyond
        }
    }
}

/// c₀ + c₁x + c₂x² + …
fn series(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// A glycol in water at one share from 10 to 60 % by volume, from the source's fits.
///
/// Within [`Mixture::range_k`] every property is the fit itself. Outside:
///
/// - Below (under the freezing point or −35 °C): straight lines along the last slope, ln μ for
///   viscosity.
/// - Above 100 °C, density: the specific volume grows as those of pure water (IAPWS R7-97) and
///   pure glycol (Perry's Handbook) by mass share; the excess volume keeps its value.
/// - Above 100 °C, heat capacity: along the last slope, bent upwards as that of water bends
///   (IAPWS R7-97), by the mass share of water.
/// - Above 100 °C, conductivity: the ratio to that of water (IAPWS R15-11) keeps its value.
/// - Above 100 °C, viscosity: ln μ = A + B/(T − T₀) with T₀ = 138.8 K as for water, through the
///   fits at 60 and 100 °C.
///
/// How far these forms can be trusted at 160 °C, judged by how other reasonable forms differ:
/// density 1 %, heat capacity 1 %, conductivity 6 %, viscosity 10 %.
#[derive(Clone, Debug)]
pub struct Mixture {
    glycol: Glycol,
    by_mass: f64,
    freezing_k: f64,
    range_k: (f64, f64),
    density: Fit,
    heat_capacity: Fit,
    conductivity: Fit,
    ln_viscosity: Fit,
    /// Specific volume less that of the unmixed liquids at 100 °C, m³/kg.
    excess_volume: f64,
    /// Heat capacity of water at 100 °C, J/(kg K), and its slope, J/(kg K²).
    water_heat: (f64, f64),
    /// Conductivity over that of water at 100 °C.
    to_water: f64,
    /// B in ln μ = A + B/(T − T₀), K.
    vogel_b: f64,
}

impl Mixture {
    /// The mixture with a share of glycol by volume.
    ///
    /// # Errors
    /// When the share is outside 0.10 to 0.60 or is no number.
    pub fn new(glycol: Glycol, by_volume: f64) -> Result<Self, FluidError> {
        let by_volume = within("glycol share by volume", by_volume, SOURCE_SHARE, Kind::Fraction)?;
        let family = glycol.family();
        let freezing_k = series(&family.ln_freezing, by_volume - CENTRE_SHARE).exp();
        let ln_viscosity = Fit::at_share(&family.ln_viscosity, by_volume);
        let (warm, hot) = (333.15, SOURCE_K.1);
        let vogel_b = (ln_viscosity.value(warm) - ln_viscosity.value(hot))
            / (1.0 / (warm - VOGEL_K) - 1.0 / (hot - VOGEL_K));
        let mut mixture = Self {
            glycol,
            by_mass: glycol.mass_share(by_volume),
            freezing_k,
            range_k: (SOURCE_K.0.max(freezing_k), SOURCE_K.1),
            density: Fit::at_share(&family.density, by_volume),
            heat_capacity: Fit::at_share(&family.heat_capacity, by_volume),
            conductivity: Fit::at_share(&family.conductivity, by_volume),
            ln_viscosity,
            excess_volume: 0.0,
            water_heat: water_heat(hot),
            to_water: 1.0,
            vogel_b,
        };
        mixture.excess_volume = 1.0 / mixture.density.value(hot) - mixture.unmixed_volume(hot);
        mixture.to_water = mixture.conductivity.value(hot) / water_conductivity(hot);
        Ok(mixture)
    }

    /// Freezing point (first ice), K.
    pub fn freezing_point_k(&self) -> f64 {
        self.freezing_k
    }

    /// Temperatures in K within which the source's own fits are used.
    pub fn range_k(&self) -> (f64, f64) {
        self.range_k
    }

    /// Density, kg/m³, at a temperature in K.
    pub fn density(&self, temperature_k: f64) -> f64 {
        if temperature_k > self.range_k.1 {
            1.0 / (self.unmixed_volume(temperature_k) + self.excess_volume)
        } else {
            self.density.straight_outside(temperature_k, self.range_k)
        }
    }

    /// Heat capacity, J/(kg K), at a temperature in K.
    pub fn heat_capacity(&self, temperature_k: f64) -> f64 {
        let line = self.heat_capacity.straight_outside(temperature_k, self.range_k);
        let beyond = temperature_k - self.range_k.1;
        if beyond <= 0.0 {
            return line;
        }
        let (value, slope) = self.water_heat;
        let water = water::liquid(temperature_k, WATER_PA).heat_capacity;
        line + (1.0 - self.by_mass) * (water - value - slope * beyond)
    }

    /// Thermal conductivity, W/(m K), at a temperature in K.
    pub fn conductivity(&self, temperature_k: f64) -> f64 {
        if temperature_k > self.range_k.1 {
            self.to_water * water_conductivity(temperature_k)
        } else {
            self.conductivity.straight_outside(temperature_k, self.range_k)
        }
    }

    /// Natural logarithm of the viscosity in Pa s, at a temperature in K.
    pub fn ln_viscosity(&self, temperature_k: f64) -> f64 {
        let hot = self.range_k.1;
        if temperature_k > hot {
            let path = 1.0 / (temperature_k - VOGEL_K) - 1.0 / (hot - VOGEL_K);
            self.ln_viscosity.value(hot) + self.vogel_b * path
        } else {
            self.ln_viscosity.straight_outside(temperature_k, self.range_k)
        }
    }

    /// Specific volume of the unmixed liquids, m³/kg.
    fn unmixed_volume(&self, temperature_k: f64) -> f64 {
        (1.0 - self.by_mass) / water::liquid(temperature_k, WATER_PA).density
            + self.by_mass / self.glycol.density(temperature_k)
    }
}

/// Heat capacity of water and its slope over temperature.
fn water_heat(temperature_k: f64) -> (f64, f64) {
    let at = |t: f64| water::liquid(t, WATER_PA).heat_capacity;
    let step = 0.1;
    let rise = at(temperature_k + step) - at(temperature_k - step);
    (at(temperature_k), rise / (2.0 * step))
}

fn water_conductivity(temperature_k: f64) -> f64 {
    water::conductivity(temperature_k, water::liquid(temperature_k, WATER_PA).density)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The form used above 100 °C, given water's viscosity at 60 and 100 °C only, meets IAPWS
    /// R12-08 at 160 °C: 170.45 µPa s at 0.7 MPa (`CoolProp` 8.0.0).
    #[test]
    fn the_viscosity_form_for_hot_mixtures_carries_water_from_100_to_160_degrees() {
        let water = |t: f64| water::viscosity(t, water::liquid(t, WATER_PA).density).ln();
        let path = |t: f64| 1.0 / (t - VOGEL_K);
        let b = (water(333.15) - water(373.15)) / (path(333.15) - path(373.15));
        let got = (water(373.15) + b * (path(433.15) - path(373.15))).exp();
        assert!((got / 170.45e-6 - 1.0).abs() < 0.005, "{got} Pa s");
    }
}
