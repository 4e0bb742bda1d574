//! A pump known by a curve, at any speed, in any liquid, however it is driven.

// Printed equations stand in the docs as plain text, with subscripts like c_Q.
#![allow(clippy::doc_markdown)]

mod drive;
mod laws;
mod viscous;

pub use drive::{ElectricDrive, EngineDrive, PumpDrive, SpeedHeld};
pub use viscous::{Viscous, ViscousFactors};

use std::sync::Arc;

use coolwright_solver::scalar::{Dual, Scalar};

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::curve::{Curve, pump_power, pump_rise};
use crate::laws::pump::{PowerLaw, speed_at_power};
use crate::laws::quadrants::{AtRest, machine_rise};
use crate::slots::{Reader, Slot, Values};

/// What a pump takes at the speed of its curve: from the supply where a motor drives it, at its
/// shaft where the engine does.
#[derive(Clone, Debug)]
pub enum PumpPower {
    /// Power in W against flow in m³/s.
    Curve(Arc<Curve>),
    /// The same power at every flow, W.
    Constant(Slot),
}

/// One centrifugal pump. Several in series stand in one run; several in parallel in runs of their
/// own.
///
/// Past the last point of its curve, driven backwards, slow and at rest it follows
/// [`machine_rise`].
#[derive(Debug)]
pub struct Pump {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Rise of pressure in Pa against flow in m³/s, at speed 1, in coolant of `curve_density`.
    pub curve: Arc<Curve>,
    /// Flows between which the curve was given, m³/s; outside it is a straight line.
    pub given: [f64; 2],
    /// Whether no more than the two numbers of a label are known of the curve.
    pub by_label: bool,
    /// Density of the fluid in which the curve was measured, kg/m³.
    pub curve_density: Slot,
    /// Its head over that of its curve at the flow that belongs to it; 1 as new.
    pub head_scale: Slot,
    /// Its flow over that of its curve at the same share of head; 1 as new.
    pub flow_scale: Slot,
    /// What turns it.
    pub drive: PumpDrive,
    /// Speed of the curve, rad/s, where it is known.
    pub curve_speed: Option<Slot>,
    /// Correction for viscosity, where the speed of the curve is known.
    pub viscous: Option<Viscous>,
    /// Fall at rest at `stopped_flow`, Pa, in coolant of `curve_density`.
    pub stopped_fall: Slot,
    /// Flow at which it has that fall at rest, m³/s.
    pub stopped_flow: Slot,
    /// How many times as much it falls for as much flow backwards.
    pub backwards: Slot,
    /// What it draws.
    pub power: PumpPower,
    /// Share of the power that ends in the coolant.
    pub heat_share: Slot,
    /// Coolant in it, m³.
    pub volume: Slot,
    /// Net positive suction head required, m, against flow in m³/s, at speed 1.
    pub suction_head: Option<Arc<Curve>>,
}

/// What a pump does at one flow.
#[derive(Clone, Copy, Debug)]
pub struct Duty {
    /// Speed over the speed of its curve.
    pub speed: f64,
    /// What holds it there.
    pub held_by: SpeedHeld,
    /// Power taken from the supply or at the shaft, W.
    pub power_w: f64,
    /// Factors for viscosity, relative to the fluid of the curve, and the parameter behind them.
    pub viscous: Option<ViscousFactors<f64>>,
}

/// What the laws of a pump need besides its speed.
#[derive(Clone, Copy, Debug)]
struct Inputs<S> {
    /// Volume flow, m³/s.
    flow: S,
    /// Density over that of the curve's fluid.
    density_ratio: S,
    /// Kinematic viscosity, m²/s.
    viscosity: S,
    /// Power at every flow, where there is no curve of it, W.
    constant_power: S,
}

impl<S: Scalar> Inputs<S> {
    fn of(pump: &Pump, place: &LawInputs<'_, S>, flow: S) -> Self {
        let constant_power = match pump.power {
            PumpPower::Constant(slot) => place.get(slot),
            PumpPower::Curve(_) => S::from(0.0),
        };
        Self {
            flow,
            density_ratio: place.density / place.get(pump.curve_density),
            viscosity: place.viscosity / place.density,
            constant_power,
        }
    }

    /// The same numbers, none of them varied.
    fn plain(&self) -> Inputs<Dual<1>> {
        let plain = |x: S| Dual::from(x.value());
        Inputs {
            flow: plain(self.flow),
            density_ratio: plain(self.density_ratio),
            viscosity: plain(self.viscosity),
            constant_power: plain(self.constant_power),
        }
    }
}

/// The power of a pump where it stands, for the search of the speed that a current limit leaves.
struct PowerAt<'a, S> {
    pump: &'a Pump,
    values: Reader<'a, S>,
    inputs: Inputs<S>,
    plain: Inputs<Dual<1>>,
}

impl<S: Scalar> PowerLaw<S> for PowerAt<'_, S> {
    fn power_w(&self, speed: S) -> S {
        self.pump.power_at(&self.values, &self.inputs, speed)
    }

    fn power_by_speed_w(&self, speed: Dual<1>) -> Dual<1> {
        self.pump.power_at(&self.values.values().reader(), &self.plain, speed)
    }
}

impl Pump {
    /// Whether it turns: commanded to, with a supply or an engine that makes it.
    pub fn turns(&self, values: &Values) -> bool {
        self.most_speed(values) > 0.0
    }

    /// The highest speed over that of the curve that its drive gives, whatever the current.
    pub fn most_speed(&self, values: &Values) -> f64 {
        self.drive.most_speed(&values.reader::<f64>()).0
    }

    /// Factors for viscosity at a speed; 1 where there is no correction.
    fn factors<S: Scalar>(
        &self,
        values: &Reader<'_, S>,
        viscosity: S,
        speed: S,
    ) -> ViscousFactors<S> {
        match &self.viscous {
            Some(viscous) => viscous.factors(values, viscosity, speed),
            None => ViscousFactors::none(),
        }
    }

    /// What it resists at rest.
    fn at_rest<S: Scalar>(&self, values: &Reader<'_, S>) -> AtRest<S> {
        let [fall, flow, backwards] =
            [self.stopped_fall, self.stopped_flow, self.backwards].map(|slot| values.get(slot));
        AtRest { fall, flow, backwards }
    }

    /// By what a pump differs from its curve: H(Q) = h H₁(Q/f) is the curve at the speed f, h/f² times. Both.
    fn wear<S: Scalar>(&self, values: &Reader<'_, S>) -> [S; 2] {
        let [head, flow] = [self.head_scale, self.flow_scale].map(|slot| values.get(slot));
        [flow, head / (flow * flow)]
    }

    /// Rise of total pressure at a speed from zero on, Pa:
    /// Δp = (ρ/ρ₁) (h/f²) (c_H/c_Q² · own + rest), both of [`machine_rise`] at the speed s f c_Q. Where its
    /// curve holds that is (ρ/ρ₁) h c_H s² H₁(Q/(s f c_Q)).
    fn rise_at<S: Scalar>(&self, values: &Reader<'_, S>, inputs: &Inputs<S>, speed: S) -> S {
        let [wider, size] = self.wear(values);
        let as_new = self.rise_as_new(values, (inputs, size), (speed, speed * wider));
        as_new * size * inputs.density_ratio
    }

    /// The same of the curve at a speed, `own` of the pump, over the ratio of densities and `size`.
    fn rise_as_new<S: Scalar>(
        &self,
        values: &Reader<'_, S>,
        (inputs, size): (&Inputs<S>, S),
        (own_speed, speed): (S, S),
    ) -> S {
        let at_rest = self.at_rest(values).over(size);
        let turning = self.viscous.as_ref().filter(|_| speed.value() > 0.0);
        let Some(viscous) = turning else {
            let [own, rest] = machine_rise(&self.curve, &at_rest, speed, inputs.flow);
            return own + rest;
        };
        let factors = viscous.factors(values, inputs.viscosity, own_speed);
        let scale = speed * factors.flow;
        let head = viscous.head_factor(values, &factors, inputs.flow / scale);
        let [own, rest] = machine_rise(&self.curve, &at_rest, scale, inputs.flow);
        own * head / (factors.flow * factors.flow) + rest
    }

    /// Power at a speed, W: P = (ρ/ρ₁) (c_Q c_H/c_η) s³ P₁(Q/(s c_Q)). Backflow counts as none.
    fn power_at<S: Scalar>(&self, values: &Reader<'_, S>, inputs: &Inputs<S>, speed: S) -> S {
        let zero = S::from(0.0);
        if speed.value() <= 0.0 {
            return zero;
        }
        let flow = inputs.flow.max(zero);
        let factors = self.factors(values, inputs.viscosity, speed);
        let scale = speed * factors.flow;
        let power = match &self.power {
            PumpPower::Curve(curve) => pump_power(curve, scale, flow).max(zero),
            PumpPower::Constant(_) => scale * scale * scale * inputs.constant_power,
        };
        let Some(viscous) = &self.viscous else { return power * inputs.density_ratio };
        let head = viscous.head_factor(values, &factors, flow / scale);
        power * head / (factors.flow * factors.flow * factors.efficiency) * inputs.density_ratio
    }

    /// The speed at a flow, over the speed of the curve, and what holds it there.
    fn speed_at<S: Scalar>(&self, place: &LawInputs<'_, S>, inputs: &Inputs<S>) -> (S, SpeedHeld) {
        let (most, held_by) = self.drive.most_speed(&place.values);
        let Some(allowed) = self.drive.power_allowed(&place.values) else { return (most, held_by) };
        let values = &place.values;
        if most.value() <= 0.0 || self.power_at(values, inputs, most).value() <= allowed.value() {
            return (most, held_by);
        }
        let law = PowerAt { pump: self, values: *values, inputs: *inputs, plain: inputs.plain() };
        (speed_at_power(&law, most.value(), allowed), SpeedHeld::CurrentLimit)
    }

    /// What it does at a mass flow in kg/s.
    pub fn duty(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> Duty {
        let values = &place.values;
        let inputs = Inputs::of(self, place, flow_kg_s / place.density);
        let (speed, held_by) = self.speed_at(place, &inputs);
        let viscous = self.viscous.as_ref().filter(|_| speed > 0.0).map(|viscous| {
            let mut factors = viscous.factors(values, inputs.viscosity, speed);
            factors.head =
                viscous.head_factor(values, &factors, inputs.flow / (speed * factors.flow));
            factors
        });
        Duty { speed, held_by, power_w: self.power_at(values, &inputs, speed), viscous }
    }

    /// Net positive suction head required at a speed and volume flow, m: N = s² N₁(Q/s).
    ///
    /// Source: affinity law as used for NPSH between speeds not far apart (ISO 9906 allows it
    /// between 80 and 120 %).
    pub fn suction_head_required_m(&self, speed: f64, flow_m3_s: f64) -> Option<f64> {
        let curve = self.suction_head.as_ref().filter(|_| speed > 0.0)?;
        Some(pump_rise(curve, speed, flow_m3_s.max(0.0)).max(0.0))
    }
}

impl Fall for Pump {
    /// The fall is the negative rise: `Pump::rise_at`.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let inputs = Inputs::of(self, place, flow / place.density);
        let (speed, _) = self.speed_at(place, &inputs);
        -self.rise_at(&place.values, &inputs, speed)
    }
}

impl Part for Pump {
    fn word(&self) -> &'static str {
        "pump"
    }

    /// Where nothing but the command or the engine sets the speed, the fall is the curve's.
    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let (speed, _) = self.drive.most_speed(&place.values);
        // Slower than this, flow over speed may be too much for a number.
        let turns = speed > 1e-6;
        if !turns || self.viscous.is_some() || self.drive.power_allowed(&place.values).is_some() {
            return FlowLaw::Other;
        }
        let [wider, size] = self.wear(&place.values);
        FlowLaw::Pump {
            speed: speed * wider,
            per_flow: 1.0 / place.density,
            factor: -place.density / place.get(self.curve_density) * size,
            at_rest: self.at_rest(&place.values).over(size),
        }
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

    fn own_heat_w(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> f64 {
        place.get(self.heat_share) * self.duty(place, flow_kg_s).power_w
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        laws::of(self, place, flow_kg_s)
    }

    fn as_pump(&self) -> Option<&Pump> {
        Some(self)
    }
}
