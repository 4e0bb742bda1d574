//! Heat between the outside of hoses, tanks and blocks and the air around them: by the air that rises along them or blows
//! across them, and by radiation.

use super::GRAVITY;
use crate::fluids::Air;

/// Stefan's constant, W/(m²·K⁴) (CODATA 2018).
pub const STEFAN: f64 = 5.670374419e-8;
/// Share of black radiation that rubber, paint and oxidised metal give off (common practice, no source: 0.85 to 0.95; bright
/// metal far less).
pub const EMISSIVITY: f64 = 0.9;
/// Difference of temperature below which air no longer rises faster with it, K.
const LEVEL_K: f64 = 0.01;
/// How often the temperature of a surface is worked out anew.
const ROUNDS: usize = 4;

/// How a surface stands in the air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A cylinder that lies, as a hose does; its size is its diameter.
    Lying,
    /// Walls that stand upright, as those of a tank or a block; their size is their height.
    Upright,
}

impl Shape {
    /// Resistance of a wall, of the surface outside, m²·K/W: of a hose of a diameter inside, or of a box that is a cube of an edge
    /// inside, m.
    ///
    /// Lying: R = d_o ln(d_o/d_i)/(2 λ), d_o = d_i + 2 t. Upright: R = 6 (L + 2 t)²/(λ S), S = 6 L²/t + 12 · 0.54 L + 8 · 0.15 t
    ///
    /// Source: shape factors of walls, edges and corners, Incropera et al., Fundamentals of Heat and Mass Transfer, table 4.1 (from
    /// memory); for thickness up to five times the edge.
    pub fn wall(self, inside_m: f64, thickness_m: f64, conductivity: f64) -> f64 {
        if thickness_m <= 0.0 {
            return 0.0;
        }
        let outside_m = inside_m + 2.0 * thickness_m;
        match self {
            Self::Lying => outside_m * (outside_m / inside_m).ln() / (2.0 * conductivity),
            Self::Upright => {
                let walls = 6.0 * inside_m * inside_m / thickness_m;
                let factor = walls + 12.0 * 0.54 * inside_m + 8.0 * 0.15 * thickness_m;
                6.0 * outside_m * outside_m / (conductivity * factor)
            }
        }
    }
}

/// Nusselt number of air that rises along a lying cylinder, of its diameter.
///
/// Nu = (0.60 + 0.387 (Ra/(1 + (0.559/Pr)^(9/16))^(16/9))^(1/6))²
///
/// Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18, 1049. Range: Ra up to 10¹²; below 10⁻⁵ it is high.
pub fn rising_round(rayleigh: f64, prandtl: f64) -> f64 {
    let of_prandtl = (1.0 + (0.559 / prandtl).powf(9.0 / 16.0)).powf(16.0 / 9.0);
    (0.60 + 0.387 * (rayleigh / of_prandtl).powf(1.0 / 6.0)).powi(2)
}

/// Nusselt number of air that rises along an upright wall, of its height.
///
/// Nu = (0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))²
///
/// Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18, 1323. Range: Ra up to 10¹².
pub fn rising_wall(rayleigh: f64, prandtl: f64) -> f64 {
    let of_prandtl = (1.0 + (0.492 / prandtl).powf(9.0 / 16.0)).powf(8.0 / 27.0);
    (0.825 + 0.387 * rayleigh.powf(1.0 / 6.0) / of_prandtl).powi(2)
}

/// Nusselt number of a cylinder that air blows across, of its diameter.
///
/// Nu = 0.3 + 0.62 Re^(1/2) Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4) (1 + (Re/282000)^(5/8))^(4/5)
///
/// Source: Churchill & Bernstein 1977, J. Heat Transfer 99, 300. Range: Re Pr above 0.2, Re to 10⁷.
pub fn blown_round(reynolds: f64, prandtl: f64) -> f64 {
    let of_prandtl = (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).powf(0.25);
    let turbulent = (1.0 + (reynolds / 282_000.0).powf(0.625)).powf(0.8);
    0.3 + 0.62 * reynolds.sqrt() * prandtl.cbrt() / of_prandtl * turbulent
}

/// Nusselt number of a wall that air blows along, of its length.
///
/// Nu² = (0.664 Re^(1/2) Pr^(1/3))² + (0.037 Re^0.8 Pr/(1 + 2.443 Re^−0.1 (Pr^(2/3) − 1)))²
///
/// Source: laminar Pohlhausen 1921, turbulent and joined Gnielinski 1975, Forsch. Ing.-Wes. 41, 145 (from memory). Range: Re to
/// 10⁷, Pr 0.6 to 2000.
pub fn blown_wall(reynolds: f64, prandtl: f64) -> f64 {
    if reynolds <= 0.0 {
        return 0.0;
    }
    let laminar = 0.664 * reynolds.sqrt() * prandtl.cbrt();
    let rough = 1.0 + 2.443 * reynolds.powf(-0.1) * (prandtl.powf(2.0 / 3.0) - 1.0);
    laminar.hypot(0.037 * reynolds.powf(0.8) * prandtl / rough)
}

/// Film coefficient of radiation between a surface and what stands around it, W/(m²·K), with both temperatures in K.
///
/// `h_r` = ε σ (T_s² + T²) (T_s + T)
pub fn radiation(surface_k: f64, around_k: f64) -> f64 {
    let squares = surface_k * surface_k + around_k * around_k;
    EMISSIVITY * STEFAN * squares * (surface_k + around_k)
}

/// The air around, and how a surface stands in it.
#[derive(Clone, Copy, Debug)]
pub struct Outside<'a> {
    /// How it stands.
    pub shape: Shape,
    /// Its diameter, or its height, m.
    pub size_m: f64,
    /// The air, for its pressure and moisture.
    pub air: &'a Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// How fast it blows, m/s.
    pub speed_m_s: f64,
}

/// What a surface meets, as the laws have it.
#[derive(Clone, Copy, Debug)]
pub struct Met {
    /// Rayleigh number of the air that rises.
    pub rayleigh: f64,
    /// Reynolds number of the air that blows.
    pub reynolds: f64,
    /// Prandtl number.
    pub prandtl: f64,
    /// Conductivity of the air over the size, W/(m²·K).
    pub over_size: f64,
}

impl Outside<'_> {
    /// What a surface at a temperature in K meets, with the properties of the air halfway.
    ///
    /// Ra = g |T_s − T| L³ Pr/(T_m ν²), Re = u L/ν
    pub fn met(&self, surface_k: f64) -> Met {
        let half_k = 0.5 * (surface_k + self.air_k);
        let viscosity = self.air.viscosity(half_k);
        let kinematic = viscosity / self.air.density(half_k);
        let conductivity = self.air.conductivity(half_k);
        let prandtl = viscosity * self.air.heat_capacity(half_k) / conductivity;
        let apart_k = (surface_k - self.air_k).hypot(LEVEL_K);
        let cube = self.size_m.powi(3);
        Met {
            rayleigh: GRAVITY * apart_k * cube * prandtl / (half_k * kinematic * kinematic),
            reynolds: self.speed_m_s.abs() * self.size_m / kinematic,
            prandtl,
            over_size: conductivity / self.size_m,
        }
    }

    /// Nusselt numbers of the air that rises and of that which blows; zero where none does.
    pub fn nusselt(&self, met: &Met) -> [f64; 2] {
        let Met { rayleigh, reynolds, prandtl, .. } = *met;
        match self.shape {
            Shape::Lying => [
                rising_round(rayleigh, prandtl),
                if reynolds > 0.0 { blown_round(reynolds, prandtl) } else { 0.0 },
            ],
            Shape::Upright => [rising_wall(rayleigh, prandtl), blown_wall(reynolds, prandtl)],
        }
    }

    /// Film coefficient outside, W/(m²·K), at a temperature of the surface in K.
    ///
    /// h = λ/L (Nu_rising³ + Nu_blown³)^(1/3) + `h_r` (Churchill 1977, AIChE J. 23, 10: the third power where both help)
    pub fn film(&self, surface_k: f64) -> f64 {
        let met = self.met(surface_k);
        let [rising, blown] = self.nusselt(&met);
        let both = (rising.powi(3) + blown.powi(3)).cbrt();
        met.over_size * both + radiation(surface_k, self.air_k)
    }

    /// Conductance of one square metre between what is inside, at a temperature in K, and the air, W/(m²·K), with a wall of
    /// `wall` m²·K/W; and the temperature of the surface, K.
    ///
    /// U = 1/(1/h + R), T_s = T + U/h (T_i − T), worked out from T_s = T_i on
    pub fn through(&self, inside_k: f64, wall: f64) -> (f64, f64) {
        let mut surface_k = inside_k;
        let mut through = 0.0;
        for _ in 0..ROUNDS {
            let film = self.film(surface_k);
            through = 1.0 / (1.0 / film + wall);
            surface_k = self.air_k + through / film * (inside_k - self.air_k);
        }
        (through, surface_k)
    }
}
