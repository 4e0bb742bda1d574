//! Why a model could not be solved, said in the words of its parts.

use std::fmt;

use coolwright_solver::integrate::{Failure, NoSteadyState};
use coolwright_solver::network::Stuck;

use crate::model::Model;
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
        /// The run where the falls are furthest from closing, if one stands out.
        run: Option<String>,
        /// What the network solver says.
        stuck: Box<Stuck>,
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
        /// How fast, K/s.
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
        match error {
            Unsettled::Circuit { circuit, stuck } => Self::Flows {
                what: format!("the circuit `{}`", setup.model.circuits[circuit].name),
                run: stuck.worst_run.map(|run| setup.run_name(circuit, run)),
                stuck,
            },
            Unsettled::Air { path, stuck } => {
                let path = &setup.model.air_paths[path];
                let run = stuck.worst_run.map(|run| match run {
                    0 => "the cores".to_owned(),
                    fan => path.fans[fan - 1].name.clone(),
                });
                Self::Flows { what: format!("the air path `{}`", path.name), run, stuck }
            }
        }
    }
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Prepare { what, why } => write!(f, "{what}: {why}"),
            Self::Flows { what, run, stuck } => {
                write!(f, "the flows of {what} do not come to rest: {stuck}")?;
                run.as_ref().map_or(Ok(()), |run| write!(f, " (furthest from it: `{run}`)"))
            }
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
                "there is no steady state: {what} still changes by {rate_k_s:.3} K/s, because the \
                 heat that comes in has no way out at these flows"
            ),
            Self::Cycle { at_s, failure } => {
                write!(f, "the duty cycle cannot be followed beyond {at_s:.1} s: {failure}")
            }
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

impl std::error::Error for SolveError {}
