//! The laws that a pump follows, with their numbers where it stands.

use super::{Inputs, Pump, PumpDrive, PumpPower, SpeedHeld};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::STOPPED_PUMP;
use crate::laws::cards::pump as cards;
use crate::laws::curve::pump_rise;
use crate::laws::quadrants::machine_rise;
use crate::parts::LawInputs;

/// All of them at a mass flow in kg/s: first that of its fall.
pub(super) fn of(pump: &Pump, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> Vec<Applied> {
    let duty = pump.duty(place, flow_kg_s);
    let speed = ("s", duty.speed);
    let mut laws = Vec::new();
    if duty.speed <= 0.0 {
        let [fall, at] = [pump.stopped_fall, pump.stopped_flow].map(|s| place.get(s));
        let times = if flow_kg_s < 0.0 { place.get(pump.backwards) } else { 1.0 };
        let ratio = place.density / place.get(pump.curve_density);
        let given = [
            ("m", flow_kg_s),
            ("ρ", place.density),
            ("r", ratio),
            ("Δ", fall),
            ("Q", at),
            ("f", times),
        ];
        laws.push(Applied::fall(&STOPPED_PUMP, &given));
        laws.push(drive(pump, place));
        return laws;
    }
    let inputs = Inputs::of(pump, place, flow_kg_s / place.density);
    let factors = duty.viscous.map_or([1.0; 3], |f| [f.flow, f.head, f.efficiency]);
    let [flow, head, efficiency] = factors;
    let [wider, size] = pump.wear(&place.values);
    let scale = duty.speed * wider * flow;
    let of_curve = inputs.flow / (duty.speed * flow);
    let ratio = ("r", inputs.density_ratio);
    let card = if pump.by_label { &cards::LABEL_RISE } else { &cards::CURVE_RISE };
    let at_rest = pump.at_rest(&place.values);
    let [own_rise, rest] = machine_rise(&pump.curve, &at_rest.over(size), scale, inputs.flow);
    let turned = duty.speed * flow;
    // A worn pump stands elsewhere on its curve, and there the factor on the head is another.
    let of_rise = match (&pump.viscous, &duty.viscous) {
        (Some(viscous), Some(factors)) => {
            viscous.head_factor(&place.values, factors, inputs.flow / scale)
        }
        _ => head,
    };
    let rise = [
        ratio,
        ("c_H", of_rise),
        speed,
        ("H₁", own_rise * size / (turned * turned)),
        ("R", rest * size),
        ("Δ", at_rest.fall),
        ("y", at_rest.share(&pump.curve, scale, inputs.flow)),
    ];
    laws.push(Applied::fall(card, &rise).times(-1.0));
    let own = match &pump.power {
        PumpPower::Constant(slot) => place.get(*slot),
        PumpPower::Curve(curve) => pump_rise(curve, 1.0, of_curve.max(0.0)).max(0.0),
    };
    let c = [("c_Q", flow), ("c_H", head), ("c_η", efficiency)];
    laws.push(Applied::other(&cards::POWER, &[ratio, c[0], c[1], c[2], speed, ("P₁", own)]));
    if let Some(viscous) = &pump.viscous {
        let given = [
            ("ν", inputs.viscosity),
            ("ν₁", place.get(viscous.curve_viscosity)),
            speed,
            ("H", place.get(viscous.best_head)),
            ("Q", place.get(viscous.best_flow)),
            ("n", place.get(viscous.curve_speed)),
        ];
        laws.push(Applied::other(&cards::VISCOUS, &given));
    }
    if let (SpeedHeld::CurrentLimit, PumpDrive::Electric(electric)) = (duty.held_by, &pump.drive) {
        let limit = electric.current_limit.map_or(0.0, |slot| place.get(slot));
        let given = [("I", limit), ("U", place.get(electric.voltage))];
        laws.push(Applied::other(&cards::CURRENT_LIMIT, &given));
    } else {
        laws.push(drive(pump, place));
    }
    if let Some(curve) = pump.suction_head.as_ref() {
        let at = (inputs.flow / duty.speed).max(0.0);
        let required = pump_rise(curve, 1.0, at);
        laws.push(Applied::other(&cards::SUCTION_REQUIRED, &[speed, ("N₁", required)]));
    }
    laws
}

/// The law of the speed that its drive gives, whatever the current.
fn drive(pump: &Pump, place: &LawInputs<'_, f64>) -> Applied {
    match &pump.drive {
        PumpDrive::Electric(drive) => {
            let voltage = place.get(drive.voltage);
            // A controller that holds its speed at any voltage has no voltage of its own.
            let rated = drive.rated_voltage.map_or(0.0, |slot| place.get(slot));
            let given = [("y", place.get(drive.commanded)), ("U", voltage), ("U₁", rated)];
            Applied::other(&cards::ELECTRIC, &given)
        }
        PumpDrive::Engine(drive) => {
            let [ratio, engine, curve] =
                [drive.ratio, drive.engine_speed, drive.curve_speed].map(|s| place.get(s));
            Applied::other(&cards::ENGINE, &[("i", ratio), ("n", engine), ("n₁", curve)])
        }
    }
}
