//! The way of the air from front to back.

use coolwright_models::air::Element;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::State;
use crate::answer::drawing::{AirDrawn, AirStep};

/// Less than this drives no air, Pa.
const LEAST_PA: f64 = 0.05;

/// What road speed adds to the pressure of the air, Pa: what its falls leave after the fans.
fn ram(state: &State<'_>, a: usize) -> f64 {
    let path = &state.ready.model.air_paths[a];
    let falls = path.cores.iter().map(|core| state.of(Id::Core(*core), &q::AIR_FALL));
    let falls = falls.sum::<f64>() + state.of(Id::AirPath(a), &q::DUCTS_FALL);
    let fans = path.fans.first().map_or(0.0, |_| state.of(Id::Fan(a, 0), &q::FAN_PRESSURE));
    let has = path.elements().any(|element| matches!(element, Element::Ram { .. }));
    if has { falls - fans } else { 0.0 }
}

/// What the air of a path meets, front to back.
pub(super) fn path(state: &State<'_>, a: usize) -> AirDrawn {
    let model = &state.ready.model;
    let path = &model.air_paths[a];
    let id = Id::AirPath(a);
    let site_k = state.values.get(model.site.temperature);
    let ducts = AirStep {
        address: model.address(id),
        name: "grille, ducts".to_owned(),
        word: "grille",
        air_k: [site_k; 2],
        rise_pa: -state.of(id, &q::DUCTS_FALL),
        heat_w: 0.0,
    };
    let mut steps = Vec::new();
    let ram_pa = ram(state, a);
    if ram_pa > LEAST_PA {
        steps.push(AirStep {
            address: model.address(id),
            name: "road speed".to_owned(),
            word: "ram",
            air_k: [site_k; 2],
            rise_pa: ram_pa,
            heat_w: 0.0,
        });
    }
    steps.push(ducts);
    for &core in &path.cores {
        let id = Id::Core(core);
        steps.push(AirStep {
            address: model.address(id),
            name: model.cores[core].name.clone(),
            word: "core",
            air_k: [state.of(id, &q::AIR_IN), state.of(id, &q::AIR_OUT)],
            rise_pa: -state.of(id, &q::AIR_FALL),
            heat_w: state.of(id, &q::REJECTED),
        });
    }
    let behind = steps.last().map_or(site_k, |step| step.air_k[1]);
    if let Some(fan) = path.fans.first() {
        let name = match path.fans.len() {
            1 => fan.name.clone(),
            n => format!("{n} fans"),
        };
        steps.push(AirStep {
            address: model.address(Id::Fan(a, 0)),
            name,
            word: "fan",
            air_k: [behind; 2],
            rise_pa: state.of(Id::Fan(a, 0), &q::FAN_PRESSURE),
            heat_w: 0.0,
        });
    }
    let flow_m3_s = state.of(id, &q::AIR_FLOW);
    AirDrawn { name: path.name.clone(), site_k, flow_m3_s, steps }
}
