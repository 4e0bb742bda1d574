//! A fan known by a curve of static pressure over volume flow.

use std::sync::Arc;

use coolwright_solver::scalar::Scalar;

use crate::laws::curve::{Curve, pump_rise};
use crate::slots::{Reader, Slot, Values};

/// One fan.
#[derive(Clone, Debug)]
pub struct Fan {
    /// Its name.
    pub name: String,
    /// Rise of static pressure in Pa against volume flow in m³/s, at speed 1 and `curve_density`.
    pub curve: Arc<Curve>,
    /// Air density of the curve, kg/m³.
    pub curve_density: Slot,
    /// Speed over the speed of the curve; 0 is stopped.
    pub speed: Slot,
    /// Fall of a stopped fan at `stopped_flow` and `curve_density`, Pa.
    pub stopped_fall: Slot,
    /// Volume flow at which a stopped fan has that fall, m³/s.
    pub stopped_flow: Slot,
    /// Electric power at speed 1 and `curve_density`, W.
    pub power: Slot,
    /// Voltage of its supply, V.
    pub voltage: Slot,
}

impl Fan {
    /// Fall of pressure through the fan, Pa, at a mass flow in kg/s of air of the given density.
    ///
    /// Running: −(ρ/ρ₁) s² H(Q/s): the affinity laws, pressure in proportion to density. Stopped:
    /// Δ (ρ/ρ₁) (Q/Q₀)|Q/Q₀|, both ways.
    pub fn fall<S: Scalar>(&self, values: &Reader<'_, S>, density: S, flow: S) -> S {
        let ratio = density / values.get(self.curve_density);
        let volume_flow = flow / density;
        let speed = values.get(self.speed);
        if speed.value() <= 0.0 {
            let share = volume_flow / values.get(self.stopped_flow);
            return values.get(self.stopped_fall) * ratio * share * share.abs();
        }
        -(pump_rise(&self.curve, speed, volume_flow) * ratio)
    }

    /// Electric power, W: P = s³ P₁ ρ/ρ₁ (affinity laws; the change along the curve is left out).
    pub fn power_w(&self, values: &Values, density: f64) -> f64 {
        let speed = values.get(self.speed).max(0.0);
        values.get(self.power) * speed.powi(3) * density / values.get(self.curve_density)
    }
}
