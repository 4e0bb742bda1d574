//! Boiling at a wall against printed examples.

use coolwright_models::fluids::{Coolant, Saturated};
use coolwright_models::laws::boiling::{critical_w_m2, nucleate_w_m2_k3, onset_superheat_k};

use super::support::{Reference, references};

fn near(got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs(), "{got}, expected {want}");
}

/// Incropera et al., Fundamentals of Heat and Mass Transfer, example 10.1 (from memory): water boils at
/// 1.0133 bar in a polished copper pan (C = 0.0128) at 118 °C, 836 kW/m²; the critical flux with the constant
/// 0.149 is 1.26 MW/m².
#[test]
fn a_pan_boils_as_printed() {
    let at = Saturated::at(&Coolant::water(), 101_325.0);
    near(at.temperature_k, 373.12, 1e-4);
    let flux = nucleate_w_m2_k3(&at, 0.0128) * (118.0_f64 + 273.15 - at.temperature_k).powi(3);
    // Printed with properties at 100 °C to three digits: 1 % of viscosity and Prandtl number is 3 % here.
    near(flux, 836e3, 0.03);
    near(critical_w_m2(&at, 0.0) * 0.149 / 0.131, 1.26e6, 5e-3);
}

/// The law of Bergles & Rohsenow 1964 as they printed it (from memory): q = 15.60 p^1.156
/// ΔT^(2.30/p^0.0234) in Btu/(h·ft²), psia and °F.
#[test]
fn the_onset_is_that_of_the_printed_units() {
    let (psi, fahrenheit) = (6894.757, 1.0 / 1.8);
    let flux = 1055.056 / 3600.0 / (0.3048 * 0.3048);
    for (p, superheat) in [(15.0_f64, 4.0_f64), (30.0, 9.0), (45.0, 16.0), (1000.0, 5.0)] {
        let q = 15.60 * p.powf(1.156) * superheat.powf(2.30 / p.powf(0.0234));
        let got = onset_superheat_k(q * flux, p * psi);
        near(got, superheat * fahrenheit, 2e-3);
    }
    assert!(onset_superheat_k(-5.0, 1e5) == 0.0, "what is cooled does not boil");
}

/// What is below its boiling point bears more; the printed bracket by hand with the numbers of a steam
/// table at 1.0133 bar: ρ_l 958.4, ρ_v 0.5976 kg/m³, c 4.216 kJ/(kg·K), L 2256.5 kJ/kg, 20 K.
#[test]
fn cold_coolant_bears_more() {
    let at = Saturated::at(&Coolant::water(), 101_325.0);
    let by_hand = 1.0 + 0.1 * (958.4_f64 / 0.5976).powf(0.75) * 4.216 * 20.0 / 2256.5;
    near(critical_w_m2(&at, 20.0) / critical_w_m2(&at, 0.0), by_hand, 2e-3);
}

/// A state of water with all that a reference value was made with; only the laws are compared.
fn state(reference: &Reference) -> Saturated {
    let [
        density,
        vapour_density,
        viscosity,
        conductivity,
        heat_capacity,
        latent_heat,
        surface_tension,
    ] = reference.arguments[..].try_into().expect("seven numbers");
    Saturated {
        pressure_pa: 1e5,
        temperature_k: 373.15,
        density,
        heat_capacity,
        viscosity,
        conductivity,
        vapour_density,
        latent_heat,
        surface_tension,
    }
}

/// ht 1.2.0: Rohsenow with C = 0.0128 and the exponent 1, Zuber with 0.131. It takes 9.80665 m/s² as well.
#[test]
fn boiling_is_that_of_a_library() {
    for reference in references("rohsenow") {
        near(nucleate_w_m2_k3(&state(&reference), 0.0128), reference.value, 1e-9);
    }
    for reference in references("zuber") {
        near(critical_w_m2(&state(&reference), 0.0), reference.value, 1e-9);
    }
}
