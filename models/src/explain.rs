//! Which laws hold where, with the numbers of a solved state.
//!
//! Everything with a law of its own (a part, a tee or plain joint, a core, a fan, the way of the air, the tank at a
//! circuit's reference) says which cards it follows and puts its numbers into them. Warnings about ranges
//! read this, and so can anything that explains an answer.

mod air;
mod bay;
mod built;
mod charge;
mod exchangers;
mod gauges;
mod pressures;
mod supplies;
mod wall;

pub use pressures::pressures;

use crate::circuit::{End, Joint};
use crate::fluids::{Base, Coolant};
use crate::ids::Id;
use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::cards::fluids::{GLYCOL, TABLE, TABLE_VISCOSITY, WATER};
use crate::laws::cards::friction::HEIGHT;
use crate::laws::cards::tee::PLAIN;
use crate::laws::tee::tee_law;
use crate::parts::{CoolantAt, LawInputs, bore_area};
use crate::simulate::Simulator;

/// A law at a place.
#[derive(Clone, Debug)]
pub struct Explained {
    /// The part, junction, core, fan, air path, supply, circuit or site that follows it.
    pub id: Id,
    /// The law with its numbers there.
    pub law: Applied,
}

/// All laws of a settled state, thing by thing, but those of [`pressures`].
pub fn explain(simulator: &Simulator<'_>) -> Vec<Explained> {
    let setup = &simulator.setup;
    let mut found = Vec::new();
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let laws = part(simulator, index);
        found.extend(laws.into_iter().map(|law| Explained { id: Id::Part(c, r, p), law }));
    }
    for (c, circuit) in setup.model.circuits.iter().enumerate() {
        let liquid = &setup.prepared.coolants[c];
        let law = coolant(liquid);
        found.push(Explained { id: Id::Circuit(c), law });
        if liquid.table().is_some() {
            let law = by_points(liquid, setup.values.get(circuit.start));
            found.push(Explained { id: Id::Circuit(c), law });
        }
        for j in 0..circuit.junctions.len() {
            let id = Id::Junction(c, j);
            found.extend(joint(simulator, c, j).map(|law| Explained { id, law }));
        }
    }
    air::explain(simulator, &mut found);
    charge::explain(simulator, &mut found);
    exchangers::explain(simulator, &mut found);
    wall::explain(simulator, &mut found);
    bay::explain(simulator, &mut found);
    gauges::explain(simulator, &mut found);
    supplies::explain(simulator, &mut found);
    found
}

/// Where the properties of a coolant come from.
fn coolant(coolant: &Coolant) -> Applied {
    match coolant.base() {
        Some(Base::Water) => Applied::other(&WATER, &[]),
        Some(_) => Applied::other(&GLYCOL, &[("x", coolant.volume_share())]),
        None => Applied::other(&TABLE, &[]),
    }
}

/// What the viscosity of a liquid that is known by points follows, at a temperature, K.
fn by_points(coolant: &Coolant, t_k: f64) -> Applied {
    let numbers = [("μ", coolant.viscosity(t_k)), ("ρ", coolant.density(t_k))];
    Applied::other(&TABLE_VISCOSITY, &numbers)
}

/// The laws of one part, height included, by its place among all parts.
pub fn part(simulator: &Simulator<'_>, index: usize) -> Vec<Applied> {
    let setup = &simulator.setup;
    let (c, r, _) = setup.layout.parts[index].at;
    let state = simulator.settled.parts[index];
    let (density, viscosity) = (state.density, state.viscosity);
    let place = LawInputs { values: setup.values.reader().owning(state.own), density, viscosity };
    let coolant = CoolantAt::of(&setup.prepared.coolants[c], state.temperature_k);
    let part = setup.part(index);
    let mut laws = part.laws(&place, &coolant, simulator.settled.flows[c][r]);
    if let Some(rise) = part.rise().map(|slot| place.get(slot)).filter(|rise| *rise != 0.0) {
        laws.push(Applied::other(&HEIGHT, &[("ρ", density), ("z", rise), ("g", GRAVITY)]));
    }
    laws
}

/// The law of the tee or plain joint at a junction; `None` where there is none or nothing flows.
pub fn joint(simulator: &Simulator<'_>, circuit: usize, junction: usize) -> Option<Applied> {
    let setup = &simulator.setup;
    let (legs, angle, set) = match &setup.model.circuits[circuit].junctions[junction].joint {
        Joint::Tee { legs, angle, set } => (legs, angle, set),
        Joint::Plain { known: false } => return Some(Applied::other(&PLAIN, &[])),
        _ => return None,
    };
    let flows = legs.map(|leg| {
        let flow = simulator.settled.flows[circuit][leg.run];
        if leg.end == End::To { flow } else { -flow }
    });
    let areas = legs.map(|leg| bore_area(setup.values.get(leg.bore)));
    tee_law(*set, flows, areas, setup.values.get(*angle))
}
