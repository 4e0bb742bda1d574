//! The operating point: the state at which the rates of the duty cycle vanish.

use coolwright_solver::integrate::{NoSteadyState, SteadySearch, SteadySettings, System};

use crate::ids::Id;
use crate::instance::{Instance, Made, Room, Start};
use crate::model::Model;
use crate::results::Results;
use crate::results::quantities as q;
use crate::simulate::{Flows, Simulator};
use crate::slots::Values;
use crate::solve::SolveError;
use crate::warnings::{Warning, warnings};

/// Why the temperatures of a circuit are held at those of its start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Why {
    /// No heat leaves it: it warms for as long as heat comes in.
    NoWayOut,
    /// With this heat kept up its coolant boils long before anything is steady.
    Boils,
}

/// A circuit that has no steady state: its tank (or first junction) is held at the temperature of
/// the start, and everything else in it is counted from that.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// The circuit.
    pub circuit: usize,
    /// Why.
    pub why: Why,
}

/// A steady state that an instance has found.
#[derive(Clone, Debug, Default)]
pub struct Solution {
    /// All states, in the order of the layout.
    pub states: Vec<f64>,
    /// All results.
    pub results: Results,
    /// Circuits without a steady state.
    pub held: Vec<Held>,
    /// Steps that the search took.
    pub steps: usize,
    /// Flows, as a start for a search close by.
    pub flows: Flows,
}

impl Solution {
    /// This state as the start of a search close by.
    pub fn start(&self) -> Start<'_> {
        Start { states: &self.states, flows: &self.flows }
    }
}

/// An operating point.
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// All states, in the order of the layout.
    pub states: Vec<f64>,
    /// All results.
    pub results: Results,
    /// Circuits without a steady state.
    pub held: Vec<Held>,
    /// Where it left the range of its laws.
    pub warnings: Vec<Warning>,
    /// Steps that the search took.
    pub steps: usize,
    /// Flows, as a start for a search close by.
    pub flows: Flows,
}

impl OperatingPoint {
    /// Whether the coolant of a circuit would boil long before anything is steady.
    pub fn boils(&self, circuit: usize) -> bool {
        self.held.contains(&Held { circuit, why: Why::Boils })
    }

    /// This point as the start of a search close by.
    pub fn start(&self) -> Start<'_> {
        Start { states: &self.states, flows: &self.flows }
    }
}

/// A steady state so far past boiling means nothing, K: the circuit is held at its start instead.
const PAST_BOILING: f64 = -10.0;

/// Solves the operating point of a model with the given numbers. `near` is a point close by, to
/// start from.
///
/// Whoever solves a model many times keeps an [`Instance`] and asks that.
///
/// # Errors
/// As [`Instance::point`].
#[expect(clippy::needless_pass_by_value, reason = "callers hand over numbers made for this")]
pub fn operating_point(
    model: &Model,
    values: Values,
    near: Option<&OperatingPoint>,
) -> Result<OperatingPoint, SolveError> {
    let mut instance = Instance::new(model);
    instance.point(&values, near.map(OperatingPoint::start))?;
    let warnings = instance.warnings();
    let Solution { states, results, held, steps, flows } = std::mem::take(&mut instance.room.point);
    Ok(OperatingPoint { states, results, held, warnings, steps, flows })
}

impl Instance<'_> {
    /// Solves the operating point with the given numbers, from a start close by where there is one.
    ///
    /// A circuit from which no heat leaves, or whose coolant would boil long before anything is
    /// steady, has no steady state; its temperatures are counted from those of the start ([`Held`]).
    /// A start lends temperatures and flows only: what held a circuit there is found out anew.
    ///
    /// # Errors
    /// When the numbers are out of range, flows do not come to rest,
    /// or temperatures keep moving.
    pub fn point(
        &mut self,
        values: &Values,
        mut near: Option<Start<'_>>,
    ) -> Result<&Solution, SolveError> {
        let (made, room) = self.begin(values)?;
        let Room { point, start, boiling, .. } = room;
        made.simulator.start_into(start);
        settle(&mut made.simulator, start)?;
        point.states.resize(start.len(), 0.0);
        point.held.clear();
        for circuit in 0..made.simulator.setup.model.circuits.len() {
            if !made.simulator.has_way_out(circuit) {
                point.held.push(Held { circuit, why: Why::NoWayOut });
                made.simulator.pin(circuit);
            }
        }
        loop {
            point.states.copy_from_slice(start);
            let found = search(made, &mut point.states, near);
            if matches!(found, Err(Failed::Search(_))) {
                // The last flows tried may be far from any; pressures are told for those of the start.
                let Simulator { settled, setup, .. } = &mut made.simulator;
                let _ = settled.settle(setup, start);
            }
            made.read(&point.states, &mut point.results);
            boiling.clear();
            for circuit in 0..made.boil_margins.len() {
                let margin = made.boil_margin(&point.results.values, circuit);
                let known = point.held.iter().any(|held| held.circuit == circuit);
                if !known && margin.is_some_and(|margin| margin < PAST_BOILING) {
                    boiling.push(circuit);
                }
            }
            match found {
                Ok(steps) if boiling.is_empty() => {
                    made.simulator.settled.flows_into(&mut point.flows);
                    point.steps = steps;
                    return Ok(point);
                }
                // A search that a start close by led astray says nothing about the model, unless it
                // ended far past boiling.
                Err(_) if near.is_some() && boiling.is_empty() => {
                    near = None;
                    made.simulator.failure = None;
                    made.simulator.settled.start_anew();
                }
                Err(failed) if boiling.is_empty() => return Err(failed.told(&mut made.simulator)),
                _ => {
                    made.simulator.failure = None;
                    for &circuit in &*boiling {
                        point.held.push(Held { circuit, why: Why::Boils });
                        made.simulator.pin(circuit);
                    }
                }
            }
        }
    }

    /// Where the last point left the range of its laws; nothing before the first.
    pub fn warnings(&self) -> Vec<Warning> {
        self.simulator().map_or_else(Vec::new, |simulator| warned(simulator, &self.room.point))
    }
}

/// How a search ended without a steady state. It is told in words only if nothing else is found: a
/// circuit that boils has none.
#[derive(Debug)]
enum Failed {
    Search(NoSteadyState),
    Flows(Box<SolveError>),
}

impl Failed {
    fn told(self, simulator: &mut Simulator<'_>) -> SolveError {
        match self {
            Self::Search(report) => no_steady_state(simulator, report),
            Self::Flows(error) => *error,
        }
    }
}

/// Searches the steady state from the states given; leaves the last state reached and its flows.
fn search(
    made: &mut Made<'_>,
    states: &mut [f64],
    near: Option<Start<'_>>,
) -> Result<usize, Failed> {
    let Made { simulator, search, .. } = made;
    simulator.start_rest(states);
    let mut settings = SteadySettings::default();
    if let Some(near) = near {
        for (state, (y, near)) in states.iter_mut().zip(near.states).enumerate() {
            if !simulator.setup.pinned.contains(&state) {
                *y = *near;
            }
        }
        simulator.settled.start_from(near.flows);
        settings.first_step_s = NEAR_STEP_S;
    }
    if search.is_none() {
        let room = SteadySearch::new(simulator);
        *search = Some(room.map_err(Failed::Search)?);
    }
    let room = search.as_mut().expect("there is room by now");
    match room.run(simulator, states, &settings) {
        Ok(report) => {
            settle(simulator, states).map_err(|error| Failed::Flows(Box::new(error)))?;
            Ok(report.steps)
        }
        Err(report) => Err(Failed::Search(report)),
    }
}

/// The warnings of a state that was found.
fn warned(simulator: &Simulator<'_>, point: &Solution) -> Vec<Warning> {
    let results = &point.results;
    let mut warnings = warnings(simulator, &point.states);
    for circuit in 0..simulator.setup.model.circuits.len() {
        let margin_k = results.of(Id::Circuit(circuit), &q::BOIL_MARGIN).unwrap_or(0.0);
        let tank = simulator.setup.model.reference_id(circuit);
        let lost_m3 = tank.and_then(|tank| results.of(tank, &q::LOST)).unwrap_or(0.0);
        if lost_m3 > 0.0 {
            warnings.push(Warning::Spills { circuit, lost_m3 });
        }
        if margin_k < 0.0 {
            warnings.push(Warning::Boils { circuit, margin_k });
        }
    }
    warnings
}

fn no_steady_state(simulator: &mut Simulator<'_>, report: NoSteadyState) -> SolveError {
    if let Some(failure) = simulator.failure.take() {
        return SolveError::unsettled(&simulator.setup, failure);
    }
    let what = simulator.setup.state_of(report.state);
    // The search ends far beyond any temperature that means something, so the rate is that of the start.
    let start = simulator.start();
    let mut rates = vec![0.0; start.len()];
    let rate_k_s = match simulator.rhs(0.0, &start, &mut rates) {
        Ok(()) => rates[report.state],
        Err(_) => report.rate_per_s,
    };
    SolveError::NoSteadyState { what, rate_k_s, report }
}

/// Settles flows, or says why they do not settle.
///
/// # Errors
/// When a network does not come to rest.
pub fn settle(simulator: &mut Simulator<'_>, states: &[f64]) -> Result<(), SolveError> {
    simulator.evaluate(states).map_err(|error| SolveError::unsettled(&simulator.setup, error))
}

/// First step of a search that starts close by, s.
const NEAR_STEP_S: f64 = 1e4;
