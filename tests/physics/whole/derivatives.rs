//! The slope that each kind of part gives is the derivative of its fall.

use std::collections::BTreeSet;

use coolwright_models::parts::{LawInputs, Part};
use coolwright_models::slots::Values;
use coolwright_solver::scalar::Dual;

use super::case;
use crate::common::{Random, read};

/// A part with the coolant at one place.
struct Spot<'a> {
    part: &'a dyn Part,
    values: &'a Values,
    density: f64,
    viscosity: f64,
}

impl Spot<'_> {
    fn fall(&self, flow: f64) -> f64 {
        let values = self.values.reader();
        let place = LawInputs { values, density: self.density, viscosity: self.viscosity };
        self.part.fall_at(&place, flow)
    }

    fn fall_and_slope(&self, flow: f64) -> (f64, f64) {
        let place = LawInputs {
            values: self.values.reader(),
            density: Dual::from(self.density),
            viscosity: Dual::from(self.viscosity),
        };
        let fall = self.part.fall_and_slope(&place, Dual::variable(flow));
        (fall.value, fall.slope())
    }

    /// Central difference, with a step that shrinks with the flow.
    fn difference(&self, flow: f64, step: f64) -> f64 {
        (self.fall(flow + step) - self.fall(flow - step)) / (2.0 * step)
    }
}

#[test]
fn the_slope_of_every_part_is_the_derivative_of_its_fall() {
    let ready = read(case("every_part"));
    let mut random = Random(20_240_611);
    let mut words = BTreeSet::new();
    for run in &ready.model.circuits[0].runs {
        for placed in &run.parts {
            let part = placed.part.as_ref();
            words.insert(part.word());
            for _ in 0..200 {
                let density = random.between(950.0, 1080.0);
                let viscosity = 10_f64.powf(random.between(-3.6, -1.5));
                let spot = Spot { part, values: &ready.model.values, density, viscosity };
                let size = 10_f64.powf(random.between(-5.0, 0.7));
                for flow in [size, -size] {
                    let (value, slope) = spot.fall_and_slope(flow);
                    assert_eq!(value.to_bits(), spot.fall(flow).to_bits(), "{}", placed.name);
                    let difference = spot.difference(flow, 1e-6 * size);
                    let error = (slope - difference).abs();
                    // Roundoff of the fall over the step, and second derivatives that jump at the
                    // points of a curve.
                    let allowed = 2e-5 * slope.abs() + 1e-15 * value.abs() / (1e-6 * size) * 10.0;
                    assert!(
                        error <= allowed,
                        "{} at {flow} kg/s, {viscosity} Pa·s: slope {slope}, difference {difference}",
                        placed.name
                    );
                }
            }
        }
    }
    let kinds = [
        "tank",
        "tank port",
        "hose",
        "bore change",
        "reducer",
        "meter",
        "filter",
        "coupling",
        "resistance",
        "check valve",
        "restrictor",
        "throttle",
        "thermostat",
        "barb",
        "pump",
        "pass",
        "jacket",
        "core",
    ];
    assert_eq!(words, BTreeSet::from(kinds), "every kind of part is here");
}

#[test]
fn falls_go_smoothly_through_zero_flow() {
    let ready = read(case("every_part"));
    for run in &ready.model.circuits[0].runs {
        for placed in &run.parts {
            let part = placed.part.as_ref();
            let spot = Spot { part, values: &ready.model.values, density: 1030.0, viscosity: 1e-3 };
            let (value, slope) = spot.fall_and_slope(0.0);
            let pump = part.as_pump().is_some_and(|pump| pump.turns(&ready.model.values));
            assert!(pump || value == 0.0, "{}: a fall of {value} Pa without flow", placed.name);
            let step = 1e-12;
            let difference = spot.difference(0.0, step);
            // What a step of the flow changes where the fall is quadratic.
            let (_, above) = spot.fall_and_slope(2.0 * step);
            let (_, below) = spot.fall_and_slope(-2.0 * step);
            let spread = (above - slope).abs().max((below - slope).abs());
            let allowed = spread + 1e-3 * slope.abs() + 1e-15 * value.abs() / step + 1e-3;
            assert!(
                (slope - difference).abs() <= allowed,
                "{} at rest: slope {slope}, difference {difference}",
                placed.name
            );
            assert!(slope.is_finite(), "{} at rest: slope {slope}", placed.name);
            // A jump of the slope would show here, however small the step.
            assert!(
                spread <= 1e-2 * slope.abs() + 1.0,
                "{}: the slope jumps at rest, from {below} to {above}",
                placed.name
            );
        }
    }
}
