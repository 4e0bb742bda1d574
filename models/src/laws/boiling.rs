//! Boiling at a hot wall: when it begins, what heat it takes, and how much it can take at most.

use crate::fluids::Saturated;
use crate::parts::GRAVITY;

/// Least pressure of the law for the onset of boiling, Pa.
pub const ONSET_LEAST_PA: f64 = 1e5;
/// And its largest.
pub const ONSET_MOST_PA: f64 = 138e5;
/// Constant of the critical heat flux.
pub const CRITICAL_CONSTANT: f64 = 0.131;

/// Heat flux by nucleate boiling for the cube of the superheat of the wall, W/(m²·K³).
///
/// q = μ L √(g (ρ_l − ρ_v)/σ) (c ΔT/(C L Pr))³ = B ΔT³
///
/// `surface` C depends on wall and liquid: 0.0068 to 0.0132 for water on copper and steel. All properties at
/// the boiling point; ΔT is counted from there, whatever the temperature of the coolant in the middle.
///
/// Source: Rohsenow 1952, Trans. ASME 74, 969, with the exponent 1 of Pr that it gives for water; as in
/// Incropera et al., Fundamentals of Heat and Mass Transfer, section 10.4.1. Range: clean wetted walls from
/// onset to the critical heat flux. For mixtures of water and glycol the same exponent is taken, which no
/// source backs.
pub fn nucleate_w_m2_k3(at: &Saturated, surface: f64) -> f64 {
    let prandtl = at.heat_capacity * at.viscosity / at.conductivity;
    let bubbles = (GRAVITY * (at.density - at.vapour_density) / at.surface_tension).sqrt();
    let each = at.heat_capacity / (surface * at.latent_heat * prandtl);
    at.viscosity * at.latent_heat * bubbles * each.powi(3)
}

/// Superheat of the wall at which bubbles begin to grow, K, at a heat flux in W/m² and a pressure in Pa
/// absolute.
///
/// q = 1082 p^1.156 (1.799 ΔT)^(2.16/p^0.0234), p in bar, solved for ΔT; no superheat where no heat goes into
/// the coolant.
///
/// Source: Bergles & Rohsenow 1964, J. Heat Transfer 86, 365. Range: water, 1 to 138 bar.
pub fn onset_superheat_k(flux_w_m2: f64, pressure_pa: f64) -> f64 {
    let bar = pressure_pa / 1e5;
    let share = flux_w_m2.max(0.0) / (1082.0 * bar.powf(1.156));
    share.powf(bar.powf(0.0234) / 2.16) / 1.799
}

/// Critical heat flux, W/m², of a coolant so much below its boiling point, K: beyond it vapour covers the wall.
///
/// q = 0.131 L ρ_v (σ g (ρ_l − ρ_v)/ρ_v²)^(1/4) (1 + 0.1 (ρ_l/ρ_v)^(3/4) c ΔT/L)
///
/// That of a pool: what the flow along the wall adds is left out, so a moving coolant bears more.
///
/// Sources: Zuber 1959, AECU-4439, as in Incropera et al., section 10.4.2; Ivey & Morris 1962, AEEW-R137, for
/// a coolant below its boiling point (from memory). Range: water from 0.3 to 34 bar, up to 70 K below boiling.
pub fn critical_w_m2(at: &Saturated, subcooling_k: f64) -> f64 {
    let lifting = at.surface_tension * GRAVITY * (at.density - at.vapour_density)
        / (at.vapour_density * at.vapour_density);
    let ratio = at.density / at.vapour_density;
    let cold = at.heat_capacity * subcooling_k.max(0.0) / at.latent_heat;
    let pool = CRITICAL_CONSTANT * at.latent_heat * at.vapour_density * lifting.powf(0.25);
    pool * (1.0 + 0.1 * ratio.powf(0.75) * cold)
}
