//! Results of charge air: stage by stage, and in the manifold.

use super::Recorder;
use super::Room;
use super::quantities as q;
use crate::charge::{AtStage, StageKind};
use crate::ids::Id;
use crate::parts::HeatPartner;
use crate::simulate::Simulator;

/// Records every way of charge air.
pub(super) fn record(
    simulator: &Simulator<'_>,
    (y, room): (&[f64], &Room),
    to: &mut impl Recorder,
) {
    let setup = &simulator.setup;
    for (a, path) in setup.model.charge_air.iter().enumerate() {
        let charge = &simulator.settled.charges[a];
        let (mut heat, mut condensed) = (0.0, 0.0);
        for (s, (stage, at)) in path.stages.iter().zip(&charge.stages).enumerate() {
            condensed += at.condensed;
            if let StageKind::Cooler { .. } = stage.kind {
                heat += at.heat_w;
            }
            let cold_k = match stage.kind {
                StageKind::Cooler { body } => Some(entering_coolant_k(simulator, body, (y, room))),
                StageKind::AirCooled { .. } => Some(setup.prepared.air_k),
                StageKind::Duct { .. } | StageKind::Compressor { .. } => None,
            };
            let flows = setup.values.get(path.flow) > 0.0;
            stage_of(Id::Stage(a, s), (at, cold_k.map(|cold_k| (cold_k, flows))), to);
        }
        let id = Id::ChargeAir(a);
        let Some(manifold) = charge.manifold() else { continue };
        to.put(id, &q::MANIFOLD, manifold.temperature_k);
        to.put(id, &q::MANIFOLD_PRESSURE, manifold.pressure_pa);
        to.put(id, &q::BOOST, manifold.pressure_pa - setup.prepared.ambient_pa);
        to.put(id, &q::MANIFOLD_DENSITY, manifold.density());
        to.put(id, &q::CHARGE_FLOW, setup.values.get(path.flow));
        to.put(id, &q::CHARGE_HEAT, heat);
        to.put(id, &q::CHARGE_CONDENSED, condensed);
    }
}

/// Records a stage; `cold` is what cools the air there, K, where anything does, and whether any air flows.
fn stage_of(id: Id, (at, cold): (&AtStage, Option<(f64, bool)>), to: &mut impl Recorder) {
    let (entering, leaving) = (&at.entering, &at.leaving);
    to.put(id, &q::STAGE_IN, entering.temperature_k);
    to.put(id, &q::STAGE_OUT, leaving.temperature_k);
    to.put(id, &q::STAGE_PRESSURE_IN, entering.pressure_pa);
    to.put(id, &q::STAGE_PRESSURE_OUT, leaving.pressure_pa);
    to.put(id, &q::STAGE_HEAT, at.heat_w);
    to.put(id, &q::STAGE_CONDENSED, at.condensed);
    if let Some((cold_k, flows)) = cold {
        let fall = entering.temperature_k - leaving.temperature_k;
        let effectiveness = fall / (entering.temperature_k - cold_k);
        to.put(id, &q::EFFECTIVENESS, if flows { effectiveness } else { f64::NAN });
    }
}

/// Below this a stream through a pass is none, kg/s (judgement, no source).
const NO_STREAM: f64 = 1e-4;

/// Temperature of the coldest coolant that enters a cooler, K: of all streams that flow; where none does, of all.
fn entering_coolant_k(simulator: &Simulator<'_>, body: usize, (y, room): (&[f64], &Room)) -> f64 {
    let setup = &simulator.setup;
    let (mut coldest, mut at_rest) = (f64::INFINITY, f64::INFINITY);
    for (c, circuit) in setup.model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            let leads = |p: &usize| run.parts[*p].part.partner() == Some(HeatPartner::Body(body));
            let flow = simulator.settled.flows[c][r];
            let mut passes = (0..run.parts.len()).filter(leads);
            let first = if super::is_forward(flow) {
                passes.next()
            } else {
                passes.next_back().map(|pass| pass + 1)
            };
            let Some(point) = first else { continue };
            let temperature_k = y[room.circuits[c].states(r)[point]];
            at_rest = at_rest.min(temperature_k);
            if flow.abs() > NO_STREAM {
                coldest = coldest.min(temperature_k);
            }
        }
    }
    if coldest.is_finite() { coldest } else { at_rest }
}
