//! The operating point: the state at which the rates of the duty cycle vanish.

use coolwright_solver::integrate::{SteadySettings, System, steady};

use crate::model::Model;
use crate::results::Results;
use crate::simulate::Simulator;
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
}

impl OperatingPoint {
    /// Whether the coolant of a circuit would boil long before anything is steady.
    pub fn boils(&self, circuit: usize) -> bool {
        self.held.contains(&Held { circuit, why: Why::Boils })
    }
}

/// A steady state so far past boiling means nothing, K: the circuit is held at its start instead.
const PAST_BOILING: f64 = -10.0;

/// Solves the operating point of a model with the given numbers. `near` is a point close by, to
/// start from.
///
/// A circuit from which no heat leaves, or whose coolant would boil long before anything is steady,
/// has no steady state; its temperatures are counted from those of the start ([`Held`]).
///
/// # Errors
/// When the numbers are out of range, flows do not come to rest, a running pump is driven
/// backwards, or temperatures keep moving.
pub fn operating_point(
    model: &Model,
    values: Values,
    near: Option<&OperatingPoint>,
) -> Result<OperatingPoint, SolveError> {
    let mut simulator =
        Simulator::new(model, values).map_err(|error| SolveError::prepare(model, error))?;
    simulator.catalogue = near.map(|near| near.results.catalogue.clone());
    let start = simulator.start();
    settle(&mut simulator, &start)?;
    check_pumps(&simulator)?;
    let mut held: Vec<Held> = (0..model.circuits.len())
        .filter(|&circuit| !simulator.has_way_out(circuit))
        .map(|circuit| Held { circuit, why: Why::NoWayOut })
        .collect();
    let known = near.iter().flat_map(|near| &near.held).filter(|h| h.why == Why::Boils);
    for &known in known {
        if !held.iter().any(|h| h.circuit == known.circuit) {
            held.push(known);
        }
    }
    for held in &held {
        simulator.pin(held.circuit);
    }
    loop {
        let mut states = start.clone();
        let found = search(&mut simulator, &mut states, near);
        let boiling: Vec<usize> = past_boiling(&simulator, &states)
            .into_iter()
            .filter(|&circuit| !held.iter().any(|h| h.circuit == circuit))
            .collect();
        match found {
            Ok(steps) if boiling.is_empty() => {
                check_pumps(&simulator)?;
                return Ok(finished(&simulator, states, held, steps));
            }
            Err(error) if boiling.is_empty() => return Err(error),
            _ => {
                for circuit in boiling {
                    held.push(Held { circuit, why: Why::Boils });
                    simulator.pin(circuit);
                }
            }
        }
    }
}

/// Searches the steady state from the states given; leaves the last state reached and its flows.
fn search(
    simulator: &mut Simulator<'_>,
    states: &mut [f64],
    near: Option<&OperatingPoint>,
) -> Result<usize, SolveError> {
    // Ice would melt before anything is steady, so a steady state has none.
    for ice in &simulator.setup.layout.ice {
        states[ice.state] = 0.0;
    }
    let mut settings = SteadySettings::default();
    if let Some(near) = near {
        for (state, (y, near)) in states.iter_mut().zip(&near.states).enumerate() {
            if !simulator.setup.pinned.contains(&state) {
                *y = *near;
            }
        }
        settings.first_step_s = NEAR_STEP_S;
    }
    let report = steady(simulator, states, &settings);
    match report {
        Ok(report) => {
            settle(simulator, states)?;
            Ok(report.steps)
        }
        Err(report) => Err(no_steady_state(simulator, report)),
    }
}

/// The circuits whose coolant is far past its boiling point at a state.
fn past_boiling(simulator: &Simulator<'_>, states: &[f64]) -> Vec<usize> {
    let results = Results::read(simulator, states);
    let circuits = simulator.setup.model.circuits.iter().enumerate();
    circuits
        .filter(|(_, circuit)| {
            let margin = results.get(&format!("{}:boil_margin", circuit.name));
            margin.is_some_and(|margin| margin < PAST_BOILING)
        })
        .map(|(index, _)| index)
        .collect()
}

/// The results and warnings of a state that was found.
fn finished(
    simulator: &Simulator<'_>,
    states: Vec<f64>,
    held: Vec<Held>,
    steps: usize,
) -> OperatingPoint {
    let results = Results::read(simulator, &states);
    let mut warnings = warnings(simulator, &states);
    for circuit in &simulator.setup.model.circuits {
        let margin_k = results.get(&format!("{}:boil_margin", circuit.name)).unwrap_or(0.0);
        let tank = circuit.reference_path().unwrap_or_default();
        let lost_m3 = results.get(&format!("{}/{tank}:lost", circuit.name)).unwrap_or(0.0);
        if lost_m3 > 0.0 {
            warnings.push(Warning::Spills { circuit: circuit.name.clone(), lost_m3 });
        }
        if margin_k < 0.0 {
            warnings.push(Warning::Boils { circuit: circuit.name.clone(), margin_k });
        }
    }
    OperatingPoint { states, results, held, warnings, steps }
}

fn no_steady_state(
    simulator: &mut Simulator<'_>,
    report: coolwright_solver::integrate::NoSteadyState,
) -> SolveError {
    if let Some(failure) = simulator.failure.take() {
        return SolveError::unsettled(&simulator.setup, failure);
    }
    let what = simulator.setup.state_name(report.state);
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

/// A running pump must not be driven backwards.
///
/// # Errors
/// Names the first pump that is.
pub fn check_pumps(simulator: &Simulator<'_>) -> Result<(), SolveError> {
    let setup = &simulator.setup;
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let Some(pump) = setup.part(index).as_pump() else { continue };
        let flow = simulator.settled.flows[c][r] / simulator.settled.parts[index].density;
        if pump.turns(&setup.values) && flow < -BACKWARDS {
            let name = |(c, r, p): (usize, usize, usize)| {
                let circuit = &setup.model.circuits[c];
                let run = &circuit.runs[r];
                format!("{}/{}/{}", circuit.name, run.path, run.parts[p].name)
            };
            let mut others = Vec::new();
            for (other, cells) in setup.layout.parts.iter().enumerate() {
                let Some(pump) = setup.part(other).as_pump() else { continue };
                let (circuit, run, _) = cells.at;
                let forward = simulator.settled.flows[circuit][run] > 0.0;
                if circuit == c && forward && pump.turns(&setup.values) {
                    others.push(name(cells.at));
                }
            }
            let pump = name((c, r, p));
            return Err(SolveError::Backwards { pump, others, flow_m3_s: flow, at_s: None });
        }
    }
    Ok(())
}

/// First step of a search that starts close by, s.
const NEAR_STEP_S: f64 = 1e4;

/// A pump is driven backwards by more than this, m³/s: 0.01 L/min, what leaks through a check
/// valve is less.
const BACKWARDS: f64 = 0.01 / 60e3;
