//! The laws of charge air.

use super::Explained;
use crate::charge::{AtStage, ChargeSide, Gas, LAYERS, LEWIS_FACTOR, RatedCell, Stage, StageKind};
use crate::fluids::air::DRY_GAS_CONSTANT;
use crate::fluids::water;
use crate::ids::Id;
use crate::laws::card::Applied;
use crate::laws::cards::charge as cards;
use crate::parts::{CoolantAt, HeatPartner};
use crate::simulate::Simulator;

/// All of them, stage by stage; of a charge cooler those of the cell that the air meets first.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    for (a, path) in simulator.setup.model.charge_air.iter().enumerate() {
        for (s, stage) in path.stages.iter().enumerate() {
            let at = &simulator.settled.charges[a].stages[s];
            let laws = stage_laws(simulator, (a, s), stage, at);
            found.extend(laws.into_iter().map(|law| Explained { id: Id::Stage(a, s), law }));
        }
    }
}

fn stage_laws(
    simulator: &Simulator<'_>,
    (a, s): (usize, usize),
    stage: &Stage,
    at: &AtStage,
) -> Vec<Applied> {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let flow = get(setup.model.charge_air[a].flow);
    let dry = flow / (1.0 + setup.prepared.air.humidity_ratio);
    let entering = ("T₁", at.entering.temperature_k);
    let around = ("T_a", setup.prepared.air_k);
    let mean = Gas {
        temperature_k: 0.5 * (at.entering.temperature_k + at.leaving.temperature_k),
        ..at.entering
    };
    let mut laws = match stage.kind {
        StageKind::Compressor { ratio, efficiency } => {
            let constant = at.entering.humidity * water::GAS_CONSTANT + DRY_GAS_CONSTANT;
            let heat_capacity = at.entering.dry_based_heat_capacity(mean.temperature_k);
            let given = [
                entering,
                ("Π", get(ratio)),
                (
                    "η",
                    setup.model.charge_air[a].efficiency(
                        &setup.values,
                        (ratio, efficiency),
                        &at.entering,
                    ),
                ),
                ("R", constant),
                ("c", heat_capacity),
            ];
            vec![Applied::other(&cards::COMPRESSOR, &given)]
        }
        StageKind::Duct { soak } if get(soak) > 0.0 => {
            let capacity = dry * at.entering.dry_based_heat_capacity(at.entering.temperature_k);
            let given = [entering, around, ("G", get(soak)), ("C", capacity)];
            vec![Applied::other(&cards::SOAK, &given)]
        }
        StageKind::Duct { .. } => Vec::new(),
        StageKind::AirCooled { effectiveness } => {
            let given = [entering, around, ("ε", get(effectiveness))];
            vec![Applied::other(&cards::AIR_COOLED, &given)]
        }
        StageKind::Cooler { body } => cooler_laws(simulator, (a, s), body, (at, flow, dry)),
    };
    if let Some(fall) = &stage.fall {
        let given = [
            ("Δ", get(fall.fall)),
            ("ρ₀", get(fall.density)),
            ("ρ", mean.density()),
            ("w", flow),
            ("w₀", get(fall.flow)),
            ("n", get(fall.exponent)),
        ];
        laws.push(Applied::other(&cards::FALL, &given));
    }
    laws
}

fn cooler_laws(
    simulator: &Simulator<'_>,
    (a, s): (usize, usize),
    body: usize,
    (at, flow, dry): (&AtStage, f64, f64),
) -> Vec<Applied> {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let Some(side) = &setup.model.bodies[body].charge else { return Vec::new() };
    let Some((cell, film)) = rated(simulator, body, side) else { return Vec::new() };
    let layers = ("n", LAYERS as f64);
    let rating = [("G", cell.whole), ("f", film), ("C", cell.air), layers];
    let at_rating = setup.prepared.charges[body] * setup.offsets.charges[body];
    let air_side = side.air_side_at(&setup.values, at_rating, flow);
    let power =
        [("a₀", at_rating), ("w", flow), ("w₀", get(side.air_flow)), ("n", get(side.exponent))];
    let groups = &setup.layout.charges[a].groups;
    let first = groups.iter().find(|group| group.stage == s);
    let Some(group) = first else { return Vec::new() };
    let share = dry / group.nodes.len() as f64;
    let capacity = ("C", share * at.entering.dry_based_heat_capacity(at.entering.temperature_k));
    let metal_k = simulator.settled.charges[a].metal_k()[group.nodes.start];
    let given = [capacity, ("a", air_side), ("T₁", at.entering.temperature_k), ("T_m", metal_k)];
    let mut laws = vec![
        Applied::other(&cards::RATING, &rating),
        Applied::other(&cards::AIR_SIDE, &power),
        Applied::other(&cards::CELL, &given),
    ];
    let held = at.entering.saturated_humidity(metal_k);
    if held < at.entering.humidity {
        let given = [
            ("d", share),
            ("ω", at.entering.humidity),
            ("ω_s", held),
            ("a", air_side),
            capacity,
            ("l", LEWIS_FACTOR),
            ("T_m", metal_k),
        ];
        laws.push(Applied::other(&cards::CONDENSING, &given));
    }
    laws
}

/// The rating of one cell of a charge cooler, and the conductance of its film there, W/K.
fn rated(simulator: &Simulator<'_>, body: usize, side: &ChargeSide) -> Option<(RatedCell, f64)> {
    let setup = &simulator.setup;
    let cools = |index: &usize| setup.part(*index).partner() == Some(HeatPartner::Body(body));
    let index = (0..setup.layout.parts.len()).find(cools)?;
    let coolant = &setup.prepared.coolants[setup.layout.parts[index].at.0];
    let local = CoolantAt::of(coolant, setup.values.get(side.coolant_k));
    let cell = side.rated_cell(&setup.values, &local).ok()?;
    Some((cell, side.rated_film(setup.part(index), &setup.values, &local, &cell)))
}
