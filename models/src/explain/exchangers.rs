//! The laws of exchangers between two liquids.

use super::Explained;
use crate::ids::Id;
use crate::laws::card::Applied;
use crate::laws::cards::two_liquids::RATING;
use crate::simulate::Simulator;

/// All of them.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    let setup = &simulator.setup;
    let values = &setup.values;
    for (body, spec) in setup.model.bodies.iter().enumerate() {
        let Some(exchange) = spec.exchange else { continue };
        let [first, second] = exchange.capacities(values);
        let (heat, difference) = (values.get(exchange.heat), exchange.difference(values));
        let [m1, m2] = exchange.sides.map(|side| side.mass_flow(values));
        let given = [
            ("q", heat),
            ("ΔT", difference),
            ("m₁", m1),
            ("m₂", m2),
            ("c₁", first / m1),
            ("c₂", second / m2),
            ("N", exchange.rated_conductance_w_k(values) / first),
        ];
        found.push(Explained { id: Id::Body(body), law: Applied::other(&RATING, &given) });
    }
}
