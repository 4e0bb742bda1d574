//! What the laws of a model are off by, for the time being: nothing, unless someone asks what it would
//! change.

use super::Layout;
use crate::model::Model;

/// A loss: it never turns into a gain, and is gone when nothing flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// Mass flow along the run, kg/s; not zero.
    pub flow: f64,
    /// Fall along the run at it, Pa.
    pub fall: f64,
}

/// One law that is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Offset {
    /// The fall of a part along its run is larger by this.
    Part {
        /// The part among all parts.
        part: usize,
        /// Pa.
        pa: f64,
        /// What it is an offset of, where it goes with the square of the flow; a pump's stays as it is.
        of: Option<Loss>,
    },
    /// The fall through the tee at one end of a run is larger by this, along the run.
    Tee {
        /// The circuit.
        circuit: usize,
        /// The run.
        run: usize,
        /// Which end: 0 its start, 1 its end.
        end: usize,
        /// Pa.
        pa: f64,
    },
    /// The conductance between a pass and its metal is larger by this share.
    Film {
        /// The part among all parts.
        part: usize,
        /// Share.
        share: f64,
    },
    /// The conductance of a core from coolant to air is larger by this share.
    Core {
        /// The core.
        core: usize,
        /// Share.
        share: f64,
    },
    /// The fall along a lane of air is larger by this.
    Lane {
        /// The air path.
        path: usize,
        /// The lane.
        lane: usize,
        /// Pa.
        pa: f64,
    },
    /// The conductance of the air side of a charge cooler is larger by this share.
    Charge {
        /// The body.
        body: usize,
        /// Share.
        share: f64,
    },
    /// The heat that boiling takes from the hot wall of a body is larger by this share.
    Boiling {
        /// The body.
        body: usize,
        /// Share.
        share: f64,
    },
    /// The critical heat flux at the hot wall of a body is larger by this share.
    Critical {
        /// The body.
        body: usize,
        /// Share.
        share: f64,
    },
    /// All conductances to the air of the bay are larger by this share.
    Bay {
        /// Share.
        share: f64,
    },
    /// The heat capacity of the coolant of a circuit is larger by this share.
    HeatCapacity {
        /// The circuit.
        circuit: usize,
        /// Share.
        share: f64,
    },
    /// The viscosity of the coolant of a circuit is larger by this share.
    Viscosity {
        /// The circuit.
        circuit: usize,
        /// Share.
        share: f64,
    },
    /// The heat into a body is larger by this share.
    Heat {
        /// The body.
        body: usize,
        /// Share.
        share: f64,
    },
}

/// What all laws of a model are off by.
#[derive(Clone, Debug, PartialEq)]
pub struct Offsets {
    /// Added to the fall of each part along its run, whatever flows, Pa.
    pub(crate) parts: Vec<f64>,
    /// Added to the falls through the tees at both ends of each run, Pa.
    pub(crate) tees: Vec<Vec<[f64; 2]>>,
    /// Of those of parts what goes with the square of the flow: c of c·m·|m|.
    pub(crate) part_squares: Vec<f64>,
    /// All that stays as it is, summed up for each run, Pa.
    pub(crate) runs: Vec<Vec<f64>>,
    /// All that goes with the square of the flow, summed up for each run.
    pub(crate) run_squares: Vec<Vec<f64>>,
    /// Factor on the conductance between each pass and its metal.
    pub(crate) films: Vec<f64>,
    /// Factor on the conductance of each core.
    pub(crate) cores: Vec<f64>,
    /// Added to the fall along each lane of each air path, Pa.
    pub(crate) lanes: Vec<Vec<f64>>,
    /// Factor on the conductance of the air side of each body.
    pub(crate) charges: Vec<f64>,
    /// Factor on the heat that boiling takes from the hot wall of each body.
    pub(crate) boiling: Vec<f64>,
    /// Factor on the critical heat flux at the hot wall of each body.
    pub(crate) critical: Vec<f64>,
    /// Factor on the heat into each body.
    pub(crate) heats: Vec<f64>,
    /// Factor on the heat capacity of the coolant of each circuit.
    pub(crate) heat_capacities: Vec<f64>,
    /// Factor on its viscosity.
    pub(crate) viscosities: Vec<f64>,
    /// Factor on all conductances to the air of the bay.
    pub(crate) bay: f64,
}

impl Offsets {
    /// Nothing is off.
    pub fn none(model: &Model, layout: &Layout) -> Self {
        let parts = layout.parts.len();
        let runs = || model.circuits.iter().map(|c| vec![0.0; c.runs.len()]).collect();
        Self {
            parts: vec![0.0; parts],
            part_squares: vec![0.0; parts],
            tees: model.circuits.iter().map(|c| vec![[0.0; 2]; c.runs.len()]).collect(),
            runs: runs(),
            run_squares: runs(),
            films: vec![1.0; parts],
            cores: vec![1.0; model.cores.len()],
            lanes: model.air_paths.iter().map(|path| vec![0.0; path.lanes.len()]).collect(),
            charges: vec![1.0; model.bodies.len()],
            boiling: vec![1.0; model.bodies.len()],
            critical: vec![1.0; model.bodies.len()],
            heats: vec![1.0; model.bodies.len()],
            heat_capacities: vec![1.0; model.circuits.len()],
            viscosities: vec![1.0; model.circuits.len()],
            bay: 1.0,
        }
    }

    /// Sets everything right again.
    pub fn clear(&mut self) {
        self.bay = 1.0;
        self.parts.fill(0.0);
        self.part_squares.fill(0.0);
        self.tees.iter_mut().for_each(|tees| tees.fill([0.0; 2]));
        let all = self.runs.iter_mut().chain(&mut self.run_squares).chain(&mut self.lanes);
        all.for_each(|pa| pa.fill(0.0));
        let by_body = [&mut self.charges, &mut self.boiling, &mut self.critical, &mut self.heats];
        let by_circuit = [&mut self.heat_capacities, &mut self.viscosities];
        let others = [&mut self.films, &mut self.cores];
        by_body.into_iter().chain(by_circuit).chain(others).for_each(|factors| factors.fill(1.0));
    }

    /// Puts a law off by so many times its offset, on top of what is off already.
    pub fn add(&mut self, layout: &Layout, offset: &Offset, times: f64) {
        match *offset {
            Offset::Part { part, pa, of } => {
                let (circuit, run, _) = layout.parts[part].at;
                let (parts, runs, each) = match of {
                    None => (&mut self.parts, &mut self.runs, 1.0),
                    Some(Loss { flow, .. }) => {
                        (&mut self.part_squares, &mut self.run_squares, flow * flow.abs())
                    }
                };
                parts[part] += times * pa / each;
                runs[circuit][run] += times * pa / each;
            }
            Offset::Tee { circuit, run, end, pa } => {
                self.tees[circuit][run][end] += times * pa;
                self.runs[circuit][run] += times * pa;
            }
            Offset::Film { part, share } => self.films[part] += times * share,
            Offset::Core { core, share } => self.cores[core] += times * share,
            Offset::Lane { path, lane, pa } => self.lanes[path][lane] += times * pa,
            Offset::Charge { body, share } => self.charges[body] += times * share,
            Offset::Boiling { body, share } => self.boiling[body] += times * share,
            Offset::Critical { body, share } => self.critical[body] += times * share,
            Offset::HeatCapacity { circuit, share } => {
                self.heat_capacities[circuit] += times * share;
            }
            Offset::Viscosity { circuit, share } => self.viscosities[circuit] += times * share,
            Offset::Bay { share } => self.bay += times * share,
            Offset::Heat { body, share } => self.heats[body] += times * share,
        }
    }
    /// What the fall of a part is off by, along its run, Pa.
    pub(crate) fn of_part(&self, part: usize, flow: f64) -> f64 {
        self.parts[part] + self.part_squares[part] * flow * flow.abs()
    }
}
