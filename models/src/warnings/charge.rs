//! Warnings about charge air.

use super::{Side, Warning};
use crate::charge::{Efficiency, StageKind};
use crate::ids::Id;
use crate::laws::cards::charge::AIR_SIDE;
use crate::parts::HeatPartner;
use crate::simulate::Simulator;

/// A stage that takes more than this share of the pressure in front of it does not pass the flow that is told: air
/// through a hole is as fast as sound at about a half (ideal gas, critical pressure ratio 0.528).
const CHOKED: f64 = 0.47;

/// Charge coolers far from their ratings, and stages that would not pass their flow.
pub(super) fn charge_air(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (a, path) in setup.model.charge_air.iter().enumerate() {
        let flow = setup.values.get(path.flow);
        let stages = path.stages.iter().zip(&simulator.settled.charges[a].stages);
        for (s, (stage, at)) in stages.enumerate() {
            let ratio = match stage.kind {
                StageKind::Compressor { ratio, .. } => setup.values.get(ratio),
                _ => 1.0,
            };
            if let StageKind::Compressor { ratio, efficiency: Efficiency::Map(map) } = stage.kind
                && flow > 0.0
            {
                let map = &path.maps[map];
                let corrected = map.corrected(&setup.values, flow, &at.entering);
                if map.is_left(corrected, setup.values.get(ratio)) {
                    found.push(Warning::LeftCompressorMap { stage: Id::Stage(a, s), corrected });
                }
            }
            let share = 1.0 - at.leaving.pressure_pa / (at.entering.pressure_pa * ratio);
            if share > CHOKED {
                found.push(Warning::Choked { stage: Id::Stage(a, s), share });
            }
            if let StageKind::Cooler { body } = stage.kind {
                far_from_rating(simulator, body, flow, found);
            }
        }
    }
}

fn far_from_rating(simulator: &Simulator<'_>, body: usize, flow: f64, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    let Some(side) = &setup.model.bodies[body].charge else { return };
    let cools = |index: &usize| setup.part(*index).partner() == Some(HeatPartner::Body(body));
    let Some(index) = (0..setup.layout.parts.len()).find(cools) else { return };
    let (c, r, _) = setup.layout.parts[index].at;
    let stream = setup.values.get(side.coolant_flow) / side.streams as f64;
    let coolant = simulator.settled.flows[c][r].abs() / stream;
    let air = flow / setup.values.get(side.air_flow);
    for (side, ratio) in [(Side::Coolant, coolant), (Side::Air, air)] {
        // An engine that idles breathes little, and there is little to cool.
        let idles = side == Side::Air && ratio < 1.0;
        if !idles && flow > 0.0 && !AIR_SIDE.range("x").holds(ratio) {
            found.push(Warning::FarFromRating { what: Id::Body(body), side, ratio });
        }
    }
}
