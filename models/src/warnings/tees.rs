//! Tees and headers outside the range of the formulas that they are to follow.

use super::Warning;
use crate::circuit::{End, Joint, made};
use crate::ids::Id;
use crate::laws::tee::outside_set;
use crate::parts::bore_area;
use crate::simulate::Simulator;

/// One warning for each tee, and one for each header and reason.
pub(super) fn tees(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (c, circuit) in setup.model.circuits.iter().enumerate() {
        let mut of_circuit: Vec<Warning> = Vec::new();
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let Joint::Tee { legs, angle, set } = &junction.joint else { continue };
            let flows = legs.map(|leg| {
                let flow = simulator.settled.flows[c][leg.run];
                if leg.end == End::To { flow } else { -flow }
            });
            if flows.iter().all(|flow| *flow == 0.0) {
                continue;
            }
            let areas = legs.map(|leg| bore_area(setup.values.get(leg.bore)));
            let Some(why) = outside_set(*set, flows, areas, setup.values.get(*angle)) else {
                continue;
            };
            // The tees of a header stand under its name.
            let name = made::of(&junction.name);
            let same = of_circuit.iter_mut().find_map(|warning| match warning {
                Warning::OutsideTeeSet {
                    junction: Id::Junction(_, other),
                    ports,
                    why: reason,
                    ..
                } if made::of(&circuit.junctions[*other].name) == name
                    && std::mem::discriminant(reason) == std::mem::discriminant(&why) =>
                {
                    Some(ports)
                }
                _ => None,
            });
            if let Some(ports) = same {
                *ports += 1;
            } else {
                let junction = Id::Junction(c, j);
                of_circuit.push(Warning::OutsideTeeSet { junction, ports: 1, set: *set, why });
            }
        }
        found.append(&mut of_circuit);
    }
}
