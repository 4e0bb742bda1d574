//! The way of the air from front to back.

use coolwright_models::air::Element;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::State;
use crate::answer::drawing::{AirDrawn, AirStep};

/// Less than this drives no air, Pa.
const LEAST_PA: f64 = 0.05;

/// What the air of each way of a path meets, front to back.
pub(super) fn paths(state: &State<'_>, a: usize) -> Vec<AirDrawn> {
    (0..state.ready.model.air_paths[a].ways.len()).map(|w| drawn(state, a, w)).collect()
}

fn drawn(state: &State<'_>, a: usize, w: usize) -> AirDrawn {
    let model = &state.ready.model;
    let path = &model.air_paths[a];
    let way = &path.ways[w];
    let id = Id::AirPath(a);
    let of_way = if way.name.is_some() { Id::Lane(a, w) } else { id };
    let site_k = state.values.get(model.site.temperature);
    let grille = fall(state, (id, "grille, ducts"));
    let mut steps: Vec<AirStep> = banks(state, a, &path.banks(w, true));
    steps.extend(
        way.loss.map(|_| fall(state, (of_way, if way.gap.is_some() { "gap" } else { "its duct" }))),
    );
    for &core in &way.cores {
        let id = Id::Core(path.cores[core]);
        steps.push(AirStep {
            address: model.address(id),
            name: model.cores[path.cores[core]].name.clone(),
            word: "core",
            air_k: [state.of(id, &q::AIR_IN), state.of(id, &q::AIR_OUT)],
            rise_pa: -state.of(id, &q::AIR_FALL),
            heat_w: state.of(id, &q::REJECTED),
        });
    }
    steps.extend(banks(state, a, &path.banks(w, false)));
    // What road speed adds is what the falls leave after the fans.
    let has_ram = path.elements().any(|element| matches!(element, Element::Ram { .. }));
    let ram_pa = -steps.iter().chain([&grille]).map(|step| step.rise_pa).sum::<f64>();
    let ram = (has_ram && ram_pa > LEAST_PA).then(|| AirStep {
        name: "road speed".to_owned(),
        word: "ram",
        rise_pa: ram_pa,
        ..grille.clone()
    });
    let mut steps: Vec<AirStep> = ram.into_iter().chain([grille]).chain(steps).collect();
    // What is no core leaves the air as warm as it comes.
    let front_k = state.of(id, &q::AIR_FRONT);
    let mut before = if front_k.is_finite() { front_k } else { site_k };
    for step in &mut steps {
        if step.word != "core" {
            step.air_k = [before; 2];
        }
        before = step.air_k[1];
    }
    let flow_m3_s = state.of(of_way, &q::AIR_FLOW);
    AirDrawn { name: path.called(way), site_k, flow_m3_s, steps, moment: None }
}

/// What grille, ducts or a gap cost.
fn fall(state: &State<'_>, (id, name): (Id, &str)) -> AirStep {
    AirStep {
        address: state.ready.model.address(id),
        name: name.to_owned(),
        word: "grille",
        air_k: [f64::NAN; 2],
        rise_pa: -state.of(id, &q::DUCTS_FALL),
        heat_w: 0.0,
    }
}

/// Banks of fans, one after the other.
fn banks(state: &State<'_>, a: usize, banks: &[Vec<usize>]) -> Vec<AirStep> {
    let model = &state.ready.model;
    let step = |bank: &Vec<usize>| AirStep {
        address: model.address(Id::Fan(a, bank[0])),
        name: match bank.len() {
            1 => model.air_paths[a].fans[bank[0]].name.clone(),
            n => format!("{n} fans"),
        },
        word: "fan",
        air_k: [f64::NAN; 2],
        rise_pa: state.of(Id::Fan(a, bank[0]), &q::FAN_PRESSURE),
        heat_w: 0.0,
    };
    banks.iter().map(step).collect()
}
