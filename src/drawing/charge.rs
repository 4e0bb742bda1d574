//! The way of charge air from the air of the site to the manifold.

use coolwright_models::charge::StageKind;
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;
use coolwright_models::results::quantities as q;

use super::State;
use crate::answer::drawing::{ChargeDrawn, CoolantDrawn, StageDrawn, StageSymbol};

/// A way of charge air, stage by stage.
pub(super) fn way(state: &State<'_>, a: usize) -> ChargeDrawn {
    let path = &state.ready.model.charge_air[a];
    let id = Id::ChargeAir(a);
    let condensed = state.results.of(id, &q::CHARGE_CONDENSED).unwrap_or(0.0);
    ChargeDrawn {
        name: path.name.clone(),
        flow_kg_s: state.of(id, &q::CHARGE_FLOW) - condensed,
        heat_w: state.of(id, &q::CHARGE_HEAT),
        stages: (0..path.stages.len()).map(|s| stage(state, a, s)).collect(),
    }
}

fn stage(state: &State<'_>, a: usize, s: usize) -> StageDrawn {
    let model = &state.ready.model;
    let stage = &model.charge_air[a].stages[s];
    let id = Id::Stage(a, s);
    let (kind, ratio, body) = match stage.kind {
        StageKind::Duct { .. } => (StageSymbol::Duct, None, None),
        StageKind::Compressor { ratio, .. } => {
            (StageSymbol::Compressor, Some(state.values.get(ratio)), None)
        }
        StageKind::Cooler { body } => (StageSymbol::Cooler, None, Some(body)),
        StageKind::AirCooled { .. } => (StageSymbol::AirCooled, None, None),
    };
    StageDrawn {
        address: model.address(id),
        name: stage.name.clone(),
        kind,
        ratio,
        air_k: [state.of(id, &q::STAGE_IN), state.of(id, &q::STAGE_OUT)],
        air_pa: [state.of(id, &q::STAGE_PRESSURE_IN), state.of(id, &q::STAGE_PRESSURE_OUT)],
        heat_w: body.map(|_| state.of(id, &q::STAGE_HEAT)),
        condensed_kg_s: state.results.of(id, &q::STAGE_CONDENSED).unwrap_or(0.0),
        coolant: body.map_or_else(Vec::new, |body| coolant(state, body)),
    }
}

/// The coolant of every pass of a body.
fn coolant(state: &State<'_>, body: usize) -> Vec<CoolantDrawn> {
    let model = &state.ready.model;
    let mut found = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.partner() == Some(HeatPartner::Body(body)) {
                    let id = Id::Part(c, r, p);
                    found.push(CoolantDrawn {
                        address: model.address(id),
                        in_k: state.of(id, &q::TEMPERATURE_IN),
                        flow_m3_s: state.of(Id::Run(c, r), &q::FLOW).abs(),
                    });
                }
            }
        }
    }
    found
}
