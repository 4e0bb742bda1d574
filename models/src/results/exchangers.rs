//! What passes through exchangers between two liquids.

use super::Recorder;
use super::quantities as q;
use super::room::Room;
use crate::exchanger::Exchange;
use crate::ids::Id;
use crate::parts::HeatPartner;
use crate::simulate::Simulator;

/// One side of an exchanger, as it is washed.
#[derive(Clone, Copy, Debug)]
struct Side {
    /// Heat into its liquid, W.
    heat_w: f64,
    /// Capacity flow, W/K.
    capacity_w_k: f64,
    /// Temperature of what enters, K.
    entering_k: f64,
    /// Conductance of its film, W/K.
    film_w_k: f64,
}

/// Records the heat through the exchanger that a body is, its conductance and its effectiveness.
pub(super) fn record(
    simulator: &Simulator<'_>,
    (body, exchange): (usize, Exchange),
    (y, room): (&[f64], &Room),
    to: &mut impl Recorder,
) {
    let mut sides = sides(simulator, body, (y, room));
    let (Some(leading), Some(other)) = (sides.next(), sides.next()) else { return };
    let [first, second] = if exchange.second_leads { [other, leading] } else { [leading, other] };
    let plate = simulator.setup.values.get(exchange.plate);
    let ua = 1.0 / (1.0 / first.film_w_k + 1.0 / plate + 1.0 / second.film_w_k);
    let most = first.capacity_w_k.min(second.capacity_w_k) * (first.entering_k - second.entering_k);
    let id = Id::Body(body);
    to.put(id, &q::PASSED, second.heat_w);
    to.put(id, &q::EXCHANGER_UA, ua);
    to.put(id, &q::PASSED_SHARE, second.heat_w / most);
}

/// Both sides, in the order of the parts.
fn sides<'a>(
    simulator: &'a Simulator<'_>,
    body: usize,
    (y, room): (&'a [f64], &'a Room),
) -> impl Iterator<Item = Side> + 'a {
    let setup = &simulator.setup;
    let parts = setup.layout.parts.iter().enumerate();
    let own = parts
        .filter(move |(index, _)| setup.part(*index).partner() == Some(HeatPartner::Body(body)));
    own.map(move |(index, cells)| {
        let (c, r, p) = cells.at;
        let flow = simulator.settled.flows[c][r];
        let along = room.circuits[c].states(r);
        let entering_k = y[along[if super::is_forward(flow) { p } else { p + 1 }]];
        let coolant = setup.prepared.coolants[c].heat_capacity(entering_k);
        Side {
            heat_w: simulator.rates.taken[index],
            capacity_w_k: flow.abs() * coolant,
            entering_k,
            film_w_k: simulator.settled.film_w_k(setup, index),
        }
    })
}
