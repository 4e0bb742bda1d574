//! Why a model could not be solved, by the ids of its parts. Words and units are made by those who
//! show it.

use std::fmt;

use coolwright_solver::integrate::{Failure, NoSteadyState};
use coolwright_solver::network::{Quantity, Reason, Stuck};

use crate::circuit::Joint;
use crate::ids::Id;
use crate::parts::{LawInputs, bore_area};
use crate::simulate::{PrepareError, Setup, StateOf, Unsettled};

/// A model could not be solved.
#[derive(Clone, Debug)]
pub enum SolveError {
    /// A number of the model is out of range.
    Prepare(PrepareError),
    /// Flows did not come to rest.
    Flows {
        /// The circuit or air path.
        what: Id,
        /// Where, and what the network solver says.
        no_balance: Box<NoBalance>,
    },
    /// The temperatures do not come to rest.
    NoSteadyState {
        /// What keeps moving.
        what: StateOf,
        /// How fast at the start, K/s.
        rate_k_s: f64,
        /// What the solver says.
        report: NoSteadyState,
    },
    /// The duty cycle could not be followed.
    Cycle {
        /// When, s.
        at_s: f64,
        /// What the integrator says.
        failure: Failure,
    },
    /// A switch that went on and off again and again at one time.
    Chatters {
        /// The first machine that it drives.
        machine: Id,
        /// When, s.
        at_s: f64,
    },
    /// Interrupted from outside.
    Interrupted,
}

/// Flows that found no balance.
#[derive(Clone, Debug)]
pub struct NoBalance {
    /// The run where the falls are furthest from closing, if one stands out; in an air path the fan,
    /// or the path itself for its cores.
    pub run: Option<Id>,
    /// The junctions that this run joins.
    pub between: Option<[Id; 2]>,
    /// What may be the cause, those in that run first.
    pub suspects: Vec<Suspect>,
    /// What the network solver says.
    pub stuck: Box<Stuck>,
}

impl SolveError {
    /// The things that it names, the first the one to look at first.
    pub fn about(&self) -> Vec<Id> {
        match self {
            Self::Prepare(PrepareError::Coolant { circuit, .. }) => vec![Id::Circuit(*circuit)],
            Self::Prepare(PrepareError::Core { core, .. }) => vec![Id::Core(*core)],
            Self::Prepare(PrepareError::Charge { body, .. }) => vec![Id::Body(*body)],
            Self::Prepare(PrepareError::Site(_)) => vec![Id::Site],
            Self::Flows { what, no_balance } => {
                let NoBalance { run, between, .. } = &**no_balance;
                let junctions = between.iter().flatten();
                std::iter::once(*what).chain(*run).chain(junctions.copied()).collect()
            }
            Self::NoSteadyState { what, .. } => vec![what.id()],
            Self::Chatters { machine, .. } => vec![*machine],
            Self::Cycle { .. } | Self::Interrupted => Vec::new(),
        }
    }

    /// From flows that did not come to rest.
    pub fn unsettled(setup: &Setup<'_>, error: Unsettled) -> Self {
        let (what, no_balance) = match error {
            Unsettled::Circuit { circuit: c, stuck } => {
                let circuit = &setup.model.circuits[c];
                let junction = |j: usize| Id::Junction(c, j);
                let worst = run_of(&stuck);
                let ends = |run: usize| [circuit.runs[run].from, circuit.runs[run].to];
                let no_balance = NoBalance {
                    run: worst.map(|run| Id::Run(c, run)),
                    between: worst.map(|run| ends(run).map(junction)),
                    suspects: suspects(setup, c, worst),
                    stuck,
                };
                (Id::Circuit(c), no_balance)
            }
            Unsettled::Air { path, stuck } => {
                let lane_id = |lane| {
                    let fan = setup.model.air_paths[path].fan_of(lane);
                    fan.map_or(Id::AirPath(path), |fan| Id::Fan(path, fan))
                };
                let run = run_of(&stuck).map(lane_id);
                let no_balance = NoBalance { run, between: None, suspects: Vec::new(), stuck };
                (Id::AirPath(path), no_balance)
            }
        };
        Self::Flows { what, no_balance: Box::new(no_balance) }
    }
}

/// For developers: all that it holds, without words for people.
impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

impl std::error::Error for SolveError {}

/// The run that an error of the network is about.
fn run_of(stuck: &Stuck) -> Option<usize> {
    match stuck.reason {
        Reason::NotFinite {
            quantity: Quantity::Fall | Quantity::Slope | Quantity::Start,
            index,
            ..
        } => Some(index),
        _ => stuck.worst_run,
    }
}

/// What may keep flows from a balance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Suspect {
    /// A part that is next to shut: it loses more than [`SHUT_PA`] at 1 m/s in its bore.
    NextToShut {
        /// The part.
        part: Id,
    },
    /// A pump whose head rises with flow.
    RisingHead {
        /// The pump.
        pump: Id,
    },
    /// A tee whose bores differ by more than [`BORES_APART`], beyond what its formulas were measured
    /// at.
    BoresApart {
        /// The junction.
        junction: Id,
    },
}

/// Fall at 1 m/s from which on a part counts as next to shut, Pa: some 20 000 velocity heads.
pub const SHUT_PA: f64 = 1e7;
/// Largest over smallest bore of a tee from which on it counts as unusual: published measurements
/// have side legs down to about a quarter of the run's bore.
pub const BORES_APART: f64 = 4.0;

/// What in a circuit may keep its flows from a balance; what belongs to the `worst` run first.
fn suspects(setup: &Setup<'_>, c: usize, worst: Option<usize>) -> Vec<Suspect> {
    let circuit = &setup.model.circuits[c];
    let values = &setup.values;
    let coolant = &setup.prepared.coolants[c];
    let start_k = values.get(circuit.start);
    let place = LawInputs {
        values: values.reader(),
        density: coolant.density(start_k),
        viscosity: coolant.viscosity(start_k),
    };
    let mut found: Vec<(bool, Suspect)> = Vec::new();
    for (r, run) in circuit.runs.iter().enumerate() {
        let here = worst == Some(r);
        for (p, (placed, bores)) in run.parts.iter().zip(run.part_bores()).enumerate() {
            let id = Id::Part(c, r, p);
            let flow = place.density * bore_area(values.get(bores[0]));
            let fall = placed.part.fall_at(&place, flow);
            if let Some(pump) = placed.part.as_pump() {
                if pump.curve.rises() && pump.turns(values) {
                    found.push((here, Suspect::RisingHead { pump: id }));
                }
            } else if fall > SHUT_PA {
                found.push((here, Suspect::NextToShut { part: id }));
            }
        }
    }
    for (j, junction) in circuit.junctions.iter().enumerate() {
        let Joint::Tee { legs, .. } = &junction.joint else { continue };
        let bores = legs.map(|leg| values.get(leg.bore));
        let largest = bores.iter().fold(0.0_f64, |most, bore| most.max(*bore));
        if bores.iter().any(|bore| bore * BORES_APART < largest) {
            let here = legs.iter().any(|leg| Some(leg.run) == worst);
            let junction = Id::Junction(c, j);
            found.push((here, Suspect::BoresApart { junction }));
        }
    }
    found.sort_by_key(|(here, _)| !here);
    found.into_iter().map(|(_, suspect)| suspect).collect()
}
