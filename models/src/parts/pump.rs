//! A pump known by a curve, at any speed.

use std::sync::Arc;

use coolwright_solver::scalar::Scalar;

use super::{Fall, Part, Place};
use crate::laws::curve::{Curve, pump_rise};
use crate::laws::fittings::stopped_pump_fall;
use crate::slots::{Slot, Values};

/// What a pump draws at the speed of its curve.
#[derive(Clone, Debug)]
pub enum PumpPower {
    /// Electric power in W against flow in m³/s.
    Curve(Arc<Curve>),
    /// The same power at every flow, W.
    Constant(Slot),
}

/// One centrifugal pump. Several in series stand in one run; several in parallel in runs of their
/// own.
#[derive(Debug)]
pub struct Pump {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Rise of pressure in Pa against flow in m³/s, at speed 1, in coolant of `curve_density`.
    pub curve: Arc<Curve>,
    /// Density of the fluid in which the curve was measured, kg/m³.
    pub curve_density: Slot,
    /// Speed over the speed of the curve; 0 is stopped.
    pub speed: Slot,
    /// Fall of a stopped pump at `stopped_flow`, Pa.
    pub stopped_fall: Slot,
    /// Flow at which a stopped pump has that fall, m³/s.
    pub stopped_flow: Slot,
    /// What it draws.
    pub power: PumpPower,
    /// Share of the electric power that ends in the coolant.
    pub heat_share: Slot,
    /// Coolant in it, m³.
    pub volume: Slot,
}

impl Pump {
    /// Electric power drawn, W: P = s³ P₁(Q/s) ρ/ρ₁, the affinity law for points alike.
    pub fn power_w(&self, values: &Values, density: f64, flow_kg_s: f64) -> f64 {
        let speed = values.get(self.speed);
        if speed <= 0.0 {
            return 0.0;
        }
        let flow = (flow_kg_s / density / speed).max(0.0);
        let at_speed_one = match &self.power {
            PumpPower::Curve(curve) => curve.value(flow).max(0.0),
            PumpPower::Constant(power) => values.get(*power),
        };
        speed.powi(3) * at_speed_one * density / values.get(self.curve_density)
    }
}

impl Fall for Pump {
    /// Running: fall = −(ρ/ρ₁) s² H(Q/s). Stopped: fall = Δ (Q/Q₀)|Q/Q₀|.
    fn fall<S: Scalar>(&self, place: &Place<'_, S>, flow: S) -> S {
        let speed = place.get(self.speed);
        if speed.value() <= 0.0 {
            let [fall, at] = [self.stopped_fall, self.stopped_flow].map(|s| place.get(s));
            return stopped_pump_fall(flow, place.density, fall, at);
        }
        let ratio = place.density / place.get(self.curve_density);
        -(pump_rise(&self.curve, speed, flow / place.density) * ratio)
    }
}

impl Part for Pump {
    fn word(&self) -> &'static str {
        "pump"
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn cells(&self) -> usize {
        1
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        values.get(self.volume)
    }

    fn own_heat_w(&self, place: &Place<'_, f64>, flow_kg_s: f64) -> f64 {
        let share = place.get(self.heat_share);
        share * self.power_w(place.values.values(), place.density, flow_kg_s)
    }

    fn as_pump(&self) -> Option<&Pump> {
        Some(self)
    }
}
