//! Names of the things in a model, and the one place where their paths are put together.

use crate::circuit::ReferencePoint;
use crate::model::Model;

/// Names one thing of a model. Indices are those of the model's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Id {
    /// The air that everything stands in.
    Site,
    /// An electric supply.
    Supply(usize),
    /// A circuit.
    Circuit(usize),
    /// A run: circuit, run.
    Run(usize, usize),
    /// A part: circuit, run, part.
    Part(usize, usize, usize),
    /// Several pumps under one name: circuit, group.
    Group(usize, usize),
    /// A junction: circuit, junction.
    Junction(usize, usize),
    /// A body.
    Body(usize),
    /// A core.
    Core(usize),
    /// An air path.
    AirPath(usize),
    /// One of the lanes of an air path: air path, lane.
    Lane(usize, usize),
    /// A fan: air path, fan.
    Fan(usize, usize),
    /// A way of charge air.
    ChargeAir(usize),
    /// A stage of one: way, stage.
    Stage(usize, usize),
    /// A gauge.
    Gauge(usize),
    /// A rise between two gauges.
    Rise(usize),
}

impl Id {
    /// The circuit that it belongs to; `None` of what is in none, of gauges and of rises.
    pub fn circuit(self) -> Option<usize> {
        match self {
            Self::Circuit(c)
            | Self::Run(c, _)
            | Self::Part(c, _, _)
            | Self::Group(c, _)
            | Self::Junction(c, _) => Some(c),
            _ => None,
        }
    }
}

impl Model {
    /// The part or junction at which the pressure of a circuit is known.
    pub fn reference_id(&self, circuit: usize) -> Option<Id> {
        Some(match self.circuits[circuit].reference?.at {
            ReferencePoint::Part(run, part) => Id::Part(circuit, run, part),
            ReferencePoint::Junction(junction) => Id::Junction(circuit, junction),
        })
    }

    /// The path of a thing, as in `charge/feed/pump`, `coolers/upper`, `air_paths/front/fan/2`.
    ///
    /// # Panics
    /// When the model has no such thing.
    pub fn address(&self, id: Id) -> String {
        match id {
            Id::Site => "site".to_owned(),
            Id::Supply(s) => self.supplies[s].path.clone(),
            Id::Circuit(c) => self.circuits[c].name.clone(),
            Id::Run(c, r) => self.in_circuit(c, &self.circuits[c].runs[r].name),
            Id::Part(c, r, p) => {
                let run = &self.circuits[c].runs[r];
                format!("{}/{}/{}", self.circuits[c].name, run.path, run.parts[p].name)
            }
            Id::Group(c, g) => self.in_circuit(c, &self.circuits[c].groups[g].path),
            Id::Junction(c, j) => self.in_circuit(c, &self.circuits[c].junctions[j].name),
            Id::Body(b) => format!("{}s/{}", self.bodies[b].word, self.bodies[b].name),
            Id::Core(k) => format!("cores/{}", self.cores[k].name),
            Id::AirPath(a) => format!("air_paths/{}", self.air_paths[a].name),
            Id::Lane(a, w) => {
                let path = &self.air_paths[a];
                let name = path.ways[w].name.as_deref().unwrap_or_default();
                format!("air_paths/{}/{name}", path.name)
            }
            Id::Fan(a, f) => {
                let path = &self.air_paths[a];
                format!("air_paths/{}/{}", path.name, path.fans[f].name)
            }
            Id::ChargeAir(a) => format!("charge_air/{}", self.charge_air[a].name),
            Id::Stage(a, s) => {
                let path = &self.charge_air[a];
                format!("charge_air/{}/{}", path.name, path.stages[s].name)
            }
            Id::Gauge(g) => format!("gauges/{}", self.gauges[g].name),
            Id::Rise(r) => format!("rises/{}", self.rises[r].name),
        }
    }

    fn in_circuit(&self, circuit: usize, name: &str) -> String {
        format!("{}/{name}", self.circuits[circuit].name)
    }
}
