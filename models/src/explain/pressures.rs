//! The laws of pressures that follow from the results: suction of pumps, gas in a closed tank.

use super::Explained;
use crate::circuit::{Hold, ReferencePoint};
use crate::ids::Id;
use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::cards::pump::SUCTION;
use crate::laws::cards::tank::CUSHION;
use crate::results::{Results, quantities as q, shut_in};
use crate::simulate::Simulator;

/// All of them, of a state whose results have been read.
pub fn pressures(simulator: &Simulator<'_>, results: &Results) -> Vec<Explained> {
    let setup = &simulator.setup;
    let mut found = Vec::new();
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let id = Id::Part(c, r, p);
        let flow = simulator.settled.flows[c][r];
        if setup.part(index).as_pump().is_none() || flow < 0.0 {
            continue;
        }
        let known = |what| results.of(id, what).filter(|si| si.is_finite());
        let inlet = [&q::TOTAL_IN, &q::VAPOUR_IN, &q::COOLANT_IN].map(known);
        let [Some(total), Some(vapour), Some(temperature)] = inlet else { continue };
        let given = [
            ("p", total + setup.prepared.ambient_pa),
            ("p_v", vapour),
            ("ρ", setup.prepared.coolants[c].density(temperature)),
            ("g", GRAVITY),
        ];
        found.push(Explained { id, law: Applied::other(&SUCTION, &given) });
    }
    for c in 0..setup.model.circuits.len() {
        found.extend(cushion(simulator, results, c));
    }
    found
}

/// The gas of a circuit's closed tank.
fn cushion(simulator: &Simulator<'_>, results: &Results, c: usize) -> Option<Explained> {
    let setup = &simulator.setup;
    let circuit = &setup.model.circuits[c];
    let reference = circuit.reference?;
    let Hold::Cushion(cushion) = reference.hold else { return None };
    let room = circuit.reference_tank()?;
    let (id, temperature) = match reference.at {
        ReferencePoint::Part(run, part) => {
            let index = setup.layout.run_parts[c][run] + part;
            (Id::Part(c, run, part), simulator.settled.parts[index].temperature_k)
        }
        ReferencePoint::Junction(j) => {
            let id = Id::Junction(c, j);
            (id, results.of(id, &q::JUNCTION_TEMPERATURE)?)
        }
    };
    let coolant = &setup.prepared.coolants[c];
    let shut_in = shut_in(&setup.values, &cushion, room, coolant);
    let given = [
        ("p_v", coolant.vapour_pressure(temperature)),
        ("p₁", shut_in.pressure_pa),
        ("p_v₁", shut_in.vapour_pa),
        ("V₁", shut_in.volume_m3),
        ("V", results.of(id, &q::GAS_VOLUME)?),
        ("T", temperature),
        ("T₁", shut_in.temperature_k),
        ("j", 1.0 - results.of(id, &q::CAP)?.abs()),
    ];
    Some(Explained { id, law: Applied::other(&CUSHION, &given) })
}
