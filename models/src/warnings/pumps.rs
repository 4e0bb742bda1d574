//! Warnings about pumps: beyond the points of a curve, outside the range of the correction for
//! viscosity.

use super::{OVER_SPEED, Warning};
use crate::ids::Id;
use crate::laws::cards::pump::VISCOUS;
use crate::parts::{Duty, LawInputs, Pump};
use crate::simulate::Simulator;
use crate::simulate::still::NOT_BACKWARDS_M3_S;

/// A flow this share past the end of a curve is still at its end: rounding.
const AT_THE_END: f64 = 1e-6;
/// Share of the last flow of its curve below which a pump counts as shut off. A pump wants some tenth
/// of its best flow to stay cool (common practice, no source); this is far below.
const NEXT_TO_NOTHING: f64 = 5e-3;
/// A factor nearer to 1 than this changes less than a curve is read with (common practice, no source).
const NO_CHANGE: f64 = 5e-3;

/// Warnings about every pump that turns.
pub(super) fn pumps(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let Some(pump) = setup.part(index).as_pump() else { continue };
        let state = simulator.settled.parts[index];
        let (density, viscosity) = (state.density, state.viscosity);
        let place =
            LawInputs { values: setup.values.reader().owning(state.own), density, viscosity };
        let flow = simulator.settled.flows[c][r];
        let duty = pump.duty(&place, flow);
        if duty.speed <= 0.0 {
            continue;
        }
        let what = Id::Part(c, r, p);
        if duty.speed > OVER_SPEED {
            found.push(Warning::OverSpeed { what, speed: duty.speed });
        }
        let changes = || setup.changes_speed(&simulator.settled, states, what);
        if flow < -NOT_BACKWARDS_M3_S * density {
            if changes() {
                continue;
            }
            let flow_m3_s = flow / density;
            found.push(Warning::Backwards { what, others: stronger(simulator, c, r), flow_m3_s });
            continue;
        }
        let factor = duty.viscous.map_or(1.0, |factors| factors.flow);
        let flow_m3_s = flow / density / (duty.speed * factor);
        let [first_m3_s, last_m3_s] = pump.given;
        if flow_m3_s > last_m3_s * (1.0 + AT_THE_END) {
            found.push(Warning::BeyondCurve { what, flow_m3_s, last_m3_s });
        } else if flow_m3_s < first_m3_s * (1.0 - AT_THE_END) {
            found.push(Warning::BelowCurve { what, flow_m3_s, first_m3_s });
        }
        if flow_m3_s.abs() < NEXT_TO_NOTHING * last_m3_s && !changes() {
            found.push(Warning::ShutOff { what, flow_m3_s, last_m3_s });
        }
        found.extend(viscosity_range(what, pump, &place, &duty));
    }
}

/// The pumps of a circuit outside a run that turn and push along their own direction.
fn stronger(simulator: &Simulator<'_>, circuit: usize, run: usize) -> Vec<Id> {
    let setup = &simulator.setup;
    let mut others = Vec::new();
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let Some(pump) = setup.part(index).as_pump().filter(|_| c == circuit && r != run) else {
            continue;
        };
        if simulator.settled.flows[c][r] > 0.0 && pump.turns(&setup.values) {
            others.push(Id::Part(c, r, p));
        }
    }
    others
}

/// A correction that counts, made outside the range of the standard.
fn viscosity_range(
    what: Id,
    pump: &Pump,
    place: &LawInputs<'_, f64>,
    duty: &Duty,
) -> Option<Warning> {
    let (factors, viscous) = (duty.viscous?, pump.viscous?);
    let changes = [factors.flow, factors.head, factors.efficiency];
    if changes.iter().all(|factor| (factor - 1.0).abs() < NO_CHANGE) {
        return None;
    }
    let [flow_m3_s, head_m] = [viscous.best_flow, viscous.best_head].map(|slot| place.get(slot));
    let at = [("Q", flow_m3_s), ("H", head_m), ("B", factors.parameter)];
    let inside = at.iter().all(|(of, number)| VISCOUS.range(of).holds(*number));
    (!inside).then_some(Warning::ViscosityRange {
        what,
        flow_m3_s,
        head_m,
        parameter: factors.parameter,
        head_factor: factors.head,
    })
}
