//! Why a model could not be solved, said in the words of its parts.

use std::fmt;

use coolwright_solver::integrate::{Failure, NoSteadyState};
use coolwright_solver::network::{Quantity, Reason, Stuck};

use crate::circuit::Joint;
use crate::model::Model;
use crate::parts::{LawInputs, bore_area};
use crate::simulate::{PrepareError, Setup, Unsettled};

/// A model could not be solved.
#[derive(Clone, Debug)]
pub enum SolveError {
    /// A number of the model is out of range.
    Prepare {
        /// Which thing.
        what: String,
        /// What is wrong with it.
        why: String,
    },
    /// Flows did not come to rest.
    Flows {
        /// The circuit or air path.
        what: String,
        /// Where, and what the network solver says.
        no_balance: Box<NoBalance>,
    },
    /// A running pump is driven backwards.
    Backwards {
        /// The pump.
        pump: String,
        /// The other running pumps of its circuit that push along their own direction.
        others: Vec<String>,
        /// Flow through it, m³/s.
        flow_m3_s: f64,
        /// When in a duty cycle, s.
        at_s: Option<f64>,
    },
    /// The temperatures do not come to rest.
    NoSteadyState {
        /// What keeps moving.
        what: String,
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
    /// Interrupted from outside.
    Interrupted,
}

/// Flows that found no balance.
#[derive(Clone, Debug)]
pub struct NoBalance {
    /// The run where the falls are furthest from closing, if one stands out.
    pub run: Option<String>,
    /// The junctions that this run joins.
    pub between: Option<[String; 2]>,
    /// What may be the cause, those in that run first.
    pub suspects: Vec<Suspect>,
    /// What the network solver says.
    pub stuck: Box<Stuck>,
}

impl SolveError {
    /// From a fault of the numbers.
    pub fn prepare(model: &Model, error: PrepareError) -> Self {
        let (what, why) = match error {
            PrepareError::Coolant { circuit, error } => {
                (format!("the coolant of `{}`", model.circuits[circuit].name), error.to_string())
            }
            PrepareError::Core { core, error } => {
                (format!("`cores/{}`", model.cores[core].name), error.to_string())
            }
            PrepareError::Site(error) => ("the site".to_owned(), error.to_string()),
        };
        Self::Prepare { what, why }
    }

    /// The same, met in a duty cycle at a time in s.
    #[must_use]
    pub fn at(mut self, time_s: f64) -> Self {
        if let Self::Backwards { at_s, .. } = &mut self {
            *at_s = Some(time_s);
        }
        self
    }

    /// From flows that did not come to rest.
    pub fn unsettled(setup: &Setup<'_>, error: Unsettled) -> Self {
        let (what, no_balance) = match error {
            Unsettled::Circuit { circuit: c, stuck } => {
                let circuit = &setup.model.circuits[c];
                let junction = |j: usize| format!("{}/{}", circuit.name, circuit.junctions[j].name);
                let worst = run_of(&stuck);
                let ends = |run: usize| [circuit.runs[run].from, circuit.runs[run].to];
                let no_balance = NoBalance {
                    run: worst.map(|run| setup.run_name(c, run)),
                    between: worst.map(|run| ends(run).map(junction)),
                    suspects: suspects(setup, c, worst),
                    stuck,
                };
                (format!("the circuit `{}`", circuit.name), no_balance)
            }
            Unsettled::Air { path, stuck } => {
                let path = &setup.model.air_paths[path];
                let run = run_of(&stuck).map(|run| match run {
                    0 => "the cores".to_owned(),
                    fan => path.fans[fan - 1].name.clone(),
                });
                let no_balance = NoBalance { run, between: None, suspects: Vec::new(), stuck };
                (format!("the air path `{}`", path.name), no_balance)
            }
        };
        Self::Flows { what, no_balance: Box::new(no_balance) }
    }
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Prepare { what, why } => write!(f, "{what}: {why}"),
            Self::Flows { what, no_balance } => flows(f, what, no_balance),
            Self::Backwards { pump, others, flow_m3_s, at_s } => {
                if let Some(at_s) = at_s {
                    write!(f, "at {at_s:.1} s ")?;
                }
                write!(
                    f,
                    "the pump `{pump}` is driven backwards, at {:.1} L/min, and its curve says \
                     nothing about that",
                    -flow_m3_s * 60e3
                )?;
                match others.as_slice() {
                    [] => f.write_str(": what flows in at an open end is stronger"),
                    [one] => write!(f, ": `{one}` is stronger"),
                    more => write!(f, ": stronger are `{}`", more.join("`, `")),
                }
            }
            Self::NoSteadyState { what, rate_k_s, .. } => write!(
                f,
                "there is no steady state: {what} changes by {rate_k_s:.3} K/s at the start and goes on, \
                 because the heat that comes in has no way out at these flows"
            ),
            Self::Cycle { at_s, failure } => {
                write!(f, "the duty cycle cannot be followed beyond {at_s:.1} s: {failure}")
            }
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

impl std::error::Error for SolveError {}

/// Says which flows found no balance, and where they are furthest from one.
fn flows(f: &mut fmt::Formatter<'_>, what: &str, no_balance: &NoBalance) -> fmt::Result {
    let NoBalance { run, between, stuck, .. } = no_balance;
    match (&stuck.reason, run) {
        (
            Reason::NotFinite { quantity: Quantity::Fall | Quantity::Slope, flow_kg_s, .. },
            Some(run),
        ) => {
            let flow = flow_kg_s.unwrap_or(0.0);
            return write!(
                f,
                "the pressure law of the run `{run}` gives no number at {flow:.3e} kg/s, so the flows of \
                 {what} cannot be found"
            );
        }
        (Reason::Iterations | Reason::Restless, _) => {
            write!(f, "no balance of the flows of {what} was found")?;
        }
        (Reason::Unstable, _) => {
            write!(
                f,
                "the flows of {what} depart by themselves from every balance that was found"
            )?;
        }
        _ => return write!(f, "the flows of {what} cannot be found: {stuck}"),
    }
    if let Some(run) = run {
        write!(f, "; furthest from one is the run `{run}`")?;
    }
    if let Some([from, to]) = between {
        write!(f, " from `{from}` to `{to}`")?;
    }
    Ok(())
}

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
        part: String,
    },
    /// A pump whose head rises with flow.
    RisingHead {
        /// The pump.
        pump: String,
    },
    /// A tee whose bores differ by more than [`BORES_APART`], beyond what its formulas were measured
    /// at.
    BoresApart {
        /// The junction.
        junction: String,
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
        for (placed, bores) in run.parts.iter().zip(run.part_bores()) {
            let address = format!("{}/{}/{}", circuit.name, run.path, placed.name);
            let flow = place.density * bore_area(values.get(bores[0]));
            let fall = placed.part.fall_at(&place, flow);
            if let Some(pump) = placed.part.as_pump() {
                if pump.curve.rises() && pump.turns(values) {
                    found.push((here, Suspect::RisingHead { pump: address }));
                }
            } else if fall > SHUT_PA {
                found.push((here, Suspect::NextToShut { part: address }));
            }
        }
    }
    for junction in &circuit.junctions {
        let Joint::Tee { legs, .. } = &junction.joint else { continue };
        let bores = legs.map(|leg| values.get(leg.bore));
        let largest = bores.iter().fold(0.0_f64, |most, bore| most.max(*bore));
        if bores.iter().any(|bore| bore * BORES_APART < largest) {
            let here = legs.iter().any(|leg| Some(leg.run) == worst);
            let junction = format!("{}/{}", circuit.name, junction.name);
            found.push((here, Suspect::BoresApart { junction }));
        }
    }
    found.sort_by_key(|(here, _)| !here);
    found.into_iter().map(|(_, suspect)| suspect).collect()
}
