//! Pressure tests: how high, what a change of temperature does to the reading, and what is stored in it.

// Printed equations stand in the docs as plain text, with subscripts like P_a.
#![allow(clippy::doc_markdown)]

use coolwright_models::circuit::Hold;
use coolwright_models::fluids::Coolant;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::Papers;

/// Test pressure over that at which the cap opens (common practice, no source).
const TEST: f64 = 1.3;
/// Bulk modulus of water at 20 °C, Pa (from memory; it hardly goes with what is asked here).
const BULK_PA: f64 = 2.2e9;
/// Ratio of the heat capacities of air.
const K_AIR: f64 = 1.4;

/// A pressure test of a circuit.
#[derive(Clone, Debug)]
pub struct PressureTest {
    /// The circuit.
    pub circuit: usize,
    /// Pressure at which its cap opens, Pa gauge; `None` where it has none.
    pub opens_pa: Option<f64>,
    /// Test pressure, Pa gauge; `None` without a cap.
    pub test_pa: Option<f64>,
    /// By how much the reading falls for each kelvin that it cools in the test, Pa/K: full of coolant with the gas of
    /// its tank, and full of air.
    pub falls_pa_k: [f64; 2],
    /// Energy stored at the test pressure, J: full of coolant, and full of air.
    pub stored_j: [f64; 2],
}

/// The pressure tests of all circuits.
pub fn pressure_tests(papers: &Papers<'_>) -> Vec<PressureTest> {
    (0..papers.ready.model.circuits.len()).filter_map(|c| test(papers, c)).collect()
}

fn test(papers: &Papers<'_>, c: usize) -> Option<PressureTest> {
    let model = &papers.ready.model;
    let circuit = &model.circuits[c];
    let values = &model.values;
    let opens_pa = match circuit.reference.map(|reference| reference.hold) {
        Some(Hold::Cushion(cushion)) => Some(values.get(cushion.opens)),
        _ => None,
    };
    let test_pa = opens_pa.map(|opens| TEST * opens);
    let ambient_pa = papers.start.of(Id::Site, &q::AMBIENT)?;
    let coolant_m3 = papers.start.of(Id::Circuit(c), &q::COOLANT_VOLUME)?;
    let gas_m3 = circuit.reference_tank().map_or(0.0, |room| values.get(room.air).max(0.0));
    let coolant = circuit.coolant.liquid(values).ok()?;
    let temperature_k = super::coolant::filled_k(papers.ready, c);
    let parts = circuit.runs.iter().flat_map(|run| &run.parts);
    let swells_m3_pa: f64 = parts.map(|placed| placed.part.swelling_m3_pa(values)).sum();
    let vessel = Vessel {
        coolant_m3,
        gas_m3,
        swells_m3_pa: swells_m3_pa + coolant_m3 / BULK_PA,
        expands_k: expands(&coolant, temperature_k),
    };
    let pressure_pa = ambient_pa + test_pa.unwrap_or(0.0);
    Some(PressureTest {
        circuit: c,
        opens_pa,
        test_pa,
        falls_pa_k: [vessel.falls_pa_k(pressure_pa, temperature_k), pressure_pa / temperature_k],
        stored_j: [
            vessel.stored_j(pressure_pa, ambient_pa),
            expansion_energy_j(coolant_m3 + gas_m3, pressure_pa, ambient_pa),
        ],
    })
}

/// Cubic expansion of a coolant, 1/K: −dρ/dT/ρ by a difference of 1 K.
fn expands(coolant: &Coolant, at_k: f64) -> f64 {
    let density = |k: f64| coolant.density(k);
    (density(at_k - 0.5) - density(at_k + 0.5)) / density(at_k)
}

/// What is under pressure.
#[derive(Clone, Copy, Debug)]
struct Vessel {
    coolant_m3: f64,
    gas_m3: f64,
    /// Swelling of hoses and compression of the coolant, m³/Pa.
    swells_m3_pa: f64,
    expands_k: f64,
}

impl Vessel {
    /// By how much the pressure falls for each kelvin, Pa/K: the gas keeps p V/T, and its room grows by what the
    /// coolant shrinks and shrinks by what hoses and coolant give back:
    ///
    /// ```text
    /// dp/dT = (V_gas/T + β V)/(V_gas/p + S)
    /// ```
    fn falls_pa_k(&self, pressure_pa: f64, temperature_k: f64) -> f64 {
        let warms = self.gas_m3 / temperature_k + self.expands_k * self.coolant_m3;
        warms / (self.gas_m3 / pressure_pa + self.swells_m3_pa)
    }

    /// Energy stored, J: ½ S p² in hoses and coolant, and that of the gas over the surface.
    fn stored_j(&self, pressure_pa: f64, ambient_pa: f64) -> f64 {
        let gauge = pressure_pa - ambient_pa;
        0.5 * self.swells_m3_pa * gauge * gauge
            + expansion_energy_j(self.gas_m3, pressure_pa, ambient_pa)
    }
}

/// Energy that a gas gives when it bursts out, J, with absolute pressures:
///
/// ```text
/// E = P V/(k − 1) · (1 − (P_a/P)^((k − 1)/k))
/// ```
///
/// (ASME PCC-2, stored energy of a pneumatic test, from memory; the work of an expansion without heat.)
fn expansion_energy_j(volume_m3: f64, pressure_pa: f64, ambient_pa: f64) -> f64 {
    let ratio = ambient_pa / pressure_pa;
    pressure_pa * volume_m3 / (K_AIR - 1.0) * (1.0 - ratio.powf((K_AIR - 1.0) / K_AIR))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: the work of an expansion without heat from p₁, V₁ to p₂ is (p₁V₁ − p₂V₂)/(k − 1), V₂ = V₁
    /// (p₁/p₂)^(1/k). Here 10 L from 300 to 100 kPa: V₂ = 21.918 L, (3000 − 2191.8)/0.4 = 2020.5 J.
    #[test]
    fn a_gas_stores_the_work_of_its_expansion() {
        assert!((expansion_energy_j(0.010, 300e3, 100e3) - 2020.5).abs() < 1.0);
    }

    /// Without coolant and hoses the pressure of a gas goes with its temperature; without gas, that of a rigid vessel
    /// full of water with β K, some 0.46 MPa for each kelvin at 20 °C (β = 2.07e-4 1/K).
    #[test]
    fn a_reading_goes_with_temperature() {
        let gas = Vessel { coolant_m3: 0.0, gas_m3: 0.01, swells_m3_pa: 0.0, expands_k: 0.0 };
        assert!((gas.falls_pa_k(200e3, 300.0) - 200e3 / 300.0).abs() < 1e-9);
        let full = Vessel {
            coolant_m3: 0.01,
            gas_m3: 0.0,
            swells_m3_pa: 0.01 / BULK_PA,
            expands_k: 2.07e-4,
        };
        assert!((full.falls_pa_k(200e3, 293.0) - 2.07e-4 * BULK_PA).abs() < 1.0);
        let water = Coolant::new(
            coolwright_models::fluids::Base::Water,
            coolwright_models::fluids::Share::ByVolume(0.0),
        );
        let beta = expands(&water.expect("water"), 293.15);
        assert!((beta - 2.07e-4).abs() < 0.03e-4, "{beta}");
    }
}
