//! Where the coolant of a circuit is nearest to boiling.

use super::record::CircuitReader;
use super::room::Room;
use crate::ids::Id;
use crate::simulate::Simulator;

/// Where in a part something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// Where the coolant enters it.
    Enters,
    /// Between its ends.
    Inside,
    /// Where the coolant leaves it.
    Leaves,
}

impl Where {
    /// What the coolant does there.
    pub fn word(self) -> &'static str {
        match self {
            Self::Enters => "enters",
            Self::Inside => "goes over a corner of",
            Self::Leaves => "leaves",
        }
    }
}

/// The place in a circuit that is nearest to boiling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boiling {
    /// The part that the coolant leaves or enters there; the circuit where it has no part.
    pub at: Id,
    /// Where in it.
    pub place: Where,
    /// How hot the coolant is there, K.
    pub temperature_k: f64,
    /// Its static pressure there, Pa gauge.
    pub pressure_pa: f64,
    /// Whether that would be below a perfect vacuum: no liquid bears it, whatever its temperature.
    pub below_vacuum: bool,
}

/// Finds the place in a circuit that is nearest to boiling, of a model that has been evaluated at the
/// temperatures `y`.
pub fn boiling(simulator: &Simulator<'_>, y: &[f64], circuit: usize) -> Boiling {
    let mut room = Room::of(simulator);
    CircuitReader::fill(simulator, circuit, y, &mut room.circuits[circuit]);
    let room = &room.circuits[circuit];
    let prepared = &simulator.setup.prepared;
    let mut least = f64::INFINITY;
    let mut found = Boiling {
        at: Id::Circuit(circuit),
        place: Where::Leaves,
        temperature_k: f64::NAN,
        pressure_pa: f64::NAN,
        below_vacuum: false,
    };
    for (run, spec) in simulator.setup.model.circuits[circuit].runs.iter().enumerate() {
        let parts = spec.parts.len();
        let forward = super::is_forward(simulator.settled.flows[circuit][run]);
        // Of the two parts that meet at a point, the one upstream; at the ends the only one.
        let end = |k: usize| match (forward, k) {
            (true, 0) => (0, Where::Enters),
            (true, k) => (k - 1, Where::Leaves),
            (false, k) if k == parts => (parts - 1, Where::Enters),
            (false, k) => (k, Where::Leaves),
        };
        let ends = room.points(run).iter().enumerate().map(|(k, point)| (end(k), *point));
        let inside = room.inside(run).map(|(part, point)| ((part, Where::Inside), point));
        for ((part, place), point) in ends.chain(inside).filter(|_| parts > 0) {
            let boils =
                prepared.coolants[circuit].boiling_point_k(point.static_pa + prepared.ambient_pa);
            let margin = boils - point.temperature_k;
            if margin < least {
                least = margin;
                let (temperature_k, pressure_pa) = (point.temperature_k, point.static_pa);
                let at = Id::Part(circuit, run, part);
                let below_vacuum = pressure_pa + prepared.ambient_pa <= 0.0;
                found = Boiling { at, place, temperature_k, pressure_pa, below_vacuum };
            }
        }
    }
    found
}
