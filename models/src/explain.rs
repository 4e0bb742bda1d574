//! Which laws hold where, with the numbers of a solved state.
//!
//! Everything with a law of its own (a part, a tee, a core, a fan, the way of the air, the tank at a
//! circuit's reference) says which cards it follows and puts its numbers into them. Warnings about ranges
//! read this, and so can anything that explains an answer.

mod air;

use crate::circuit::{End, Joint};
use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::cards::friction::HEIGHT;
use crate::laws::tee::tee_law;
use crate::parts::{Local, Place, bore_area};
use crate::simulate::Simulator;

/// A law at a place.
#[derive(Clone, Debug)]
pub struct Explained {
    /// Path of the part, junction, core, fan or air path that follows it.
    pub path: String,
    /// The law with its numbers there.
    pub law: Applied,
}

/// All laws of a settled state, thing by thing.
pub fn explain(simulator: &Simulator<'_>) -> Vec<Explained> {
    let mut found = Vec::new();
    for index in 0..simulator.setup.layout.parts.len() {
        let path = part_path(simulator, index);
        let laws = part(simulator, index);
        found.extend(laws.into_iter().map(|law| Explained { path: path.clone(), law }));
    }
    for (c, circuit) in simulator.setup.model.circuits.iter().enumerate() {
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let path = || format!("{}/{}", circuit.name, junction.name);
            found.extend(tee(simulator, c, j).map(|law| Explained { path: path(), law }));
        }
    }
    air::explain(simulator, &mut found);
    found
}

/// The laws of one part, height included, by its place among all parts.
pub fn part(simulator: &Simulator<'_>, index: usize) -> Vec<Applied> {
    let setup = &simulator.setup;
    let (c, r, _) = setup.layout.parts[index].at;
    let state = simulator.settled.parts[index];
    let (density, viscosity) = (state.density, state.viscosity);
    let place = Place { values: setup.values.reader(), density, viscosity };
    let coolant = Local::at(&setup.prepared.coolants[c], state.temperature_k);
    let part = setup.part(index);
    let mut laws = part.laws(&place, &coolant, simulator.settled.flows[c][r]);
    if let Some(rise) = part.rise().map(|slot| place.get(slot)).filter(|rise| *rise != 0.0) {
        laws.push(Applied::other(&HEIGHT, &[("ρ", density), ("z", rise), ("g", GRAVITY)]));
    }
    laws
}

/// The law of the tee at a junction; `None` where there is none or nothing flows.
pub fn tee(simulator: &Simulator<'_>, circuit: usize, junction: usize) -> Option<Applied> {
    let setup = &simulator.setup;
    let Joint::Tee { legs, angle, set } = &setup.model.circuits[circuit].junctions[junction].joint
    else {
        return None;
    };
    let flows = legs.map(|leg| {
        let flow = simulator.settled.flows[circuit][leg.run];
        if leg.end == End::To { flow } else { -flow }
    });
    let areas = legs.map(|leg| bore_area(setup.values.get(leg.bore)));
    tee_law(*set, flows, areas, setup.values.get(*angle))
}

/// Path of a part by its place among all parts.
fn part_path(simulator: &Simulator<'_>, index: usize) -> String {
    let setup = &simulator.setup;
    let (c, r, p) = setup.layout.parts[index].at;
    let circuit = &setup.model.circuits[c];
    let run = &circuit.runs[r];
    format!("{}/{}/{}", circuit.name, run.path, run.parts[p].name)
}
