//! A fan known by a curve of static pressure over volume flow.

use std::sync::Arc;

use coolwright_solver::scalar::Scalar;

use crate::laws::curve::Curve;
use crate::laws::quadrants::{AtRest, machine_rise};
use crate::slots::{Reader, Slot, Values};
use crate::supply::speed_allowed;

/// One fan.
#[derive(Clone, Debug)]
pub struct Fan {
    /// Its name.
    pub name: String,
    /// Rise of static pressure in Pa against volume flow in m³/s, at speed 1 and `curve_density`.
    pub curve: Arc<Curve>,
    /// Air density of the curve, kg/m³.
    pub curve_density: Slot,
    /// Commanded speed over the speed of the curve; 0 is stopped.
    pub commanded: Slot,
    /// Fall at rest at `stopped_flow` and `curve_density`, Pa.
    pub stopped_fall: Slot,
    /// Volume flow at which it has that fall at rest, m³/s.
    pub stopped_flow: Slot,
    /// How many times as much it falls for as much flow backwards.
    pub backwards: Slot,
    /// Electric power at speed 1 and `curve_density`, W.
    pub power: Slot,
    /// Voltage of its supply, V.
    pub voltage: Slot,
    /// Voltage at which it turns at the speed of its curve, V; `None` where a controller holds its speed.
    pub rated_voltage: Option<Slot>,
}

impl Fan {
    /// Its speed over that of its curve, as command and voltage leave it.
    pub fn speed<S: Scalar>(&self, values: &Reader<'_, S>) -> S {
        speed_allowed(values, self.commanded, (self.voltage, self.rated_voltage)).0
    }

    /// Fall of pressure through the fan, Pa, at a mass flow in kg/s of air of the given density.
    ///
    /// −(ρ/ρ₁) Δp, Δp that of [`machine_rise`]: at rest, slow, beyond its curve and driven backwards.
    pub fn fall<S: Scalar>(&self, values: &Reader<'_, S>, density: S, flow: S) -> S {
        let ratio = density / values.get(self.curve_density);
        let speed = self.speed(values);
        let [own, rest] = machine_rise(&self.curve, &self.at_rest(values), speed, flow / density);
        -(own + rest) * ratio
    }

    /// What it resists at rest.
    pub(crate) fn at_rest<S: Scalar>(&self, values: &Reader<'_, S>) -> AtRest<S> {
        let [fall, flow, backwards] =
            [self.stopped_fall, self.stopped_flow, self.backwards].map(|slot| values.get(slot));
        AtRest { fall, flow, backwards }
    }

    /// Electric power, W: P = s³ P₁ ρ/ρ₁ (affinity laws; the change along the curve is left out).
    pub fn power_w<S: Scalar>(&self, values: &Values, density: S) -> S {
        let speed = self.speed(&values.reader::<f64>()).max(0.0);
        density * (values.get(self.power) * speed.powi(3) / values.get(self.curve_density))
    }

    /// The flow below which air takes less of its heat along, kg/s.
    pub(crate) fn slow_kg_s(&self, values: &Values) -> f64 {
        SLOW * values.get(self.curve_density) * values.get(self.stopped_flow)
    }

    /// By how much the air that goes through it leaves warmer, K: the motor stands in it, so what it takes ends there, as
    /// work first and by friction in the end. Of air next to rest less goes along with it.
    ///
    /// `ΔT = P |w|/(c_p (w² + w_s²))`, `w_s = 0.05 ρ₁ Q₁`
    pub fn warms<S: Scalar>(&self, values: &Values, (density, flow): (S, S), capacity: f64) -> S {
        let power = self.power_w(values, density);
        if power.value() == 0.0 {
            return S::from(0.0);
        }
        let slow = self.slow_kg_s(values);
        power * flow.abs() / ((flow * flow + slow * slow) * capacity)
    }
}

/// Share of the flow through a fan at rest at its rated fall below which air takes less of its heat along.
const SLOW: f64 = 0.05;
