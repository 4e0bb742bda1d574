//! The operating point: the state at which the rates of the duty cycle vanish.

use coolwright_solver::integrate::{SteadySettings, steady};

use crate::model::Model;
use crate::results::Results;
use crate::simulate::Simulator;
use crate::slots::Values;
use crate::solve::SolveError;
use crate::warnings::{Warning, warnings};

/// An operating point.
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// All states, in the order of the layout.
    pub states: Vec<f64>,
    /// All results.
    pub results: Results,
    /// Circuits from which no heat can leave: their tank (or first junction) is held at the
    /// temperature of the start, and everything else in them is counted from that.
    pub held: Vec<usize>,
    /// Where it left the range of its laws.
    pub warnings: Vec<Warning>,
    /// Steps that the search took.
    pub steps: usize,
}

/// Solves the operating point of a model with the given numbers. `near` holds the states of a point
/// close by, to start from.
///
/// # Errors
/// When the numbers are out of range, flows do not come to rest, a running pump is driven
/// backwards, or temperatures keep moving.
pub fn operating_point(
    model: &Model,
    values: Values,
    near: Option<&[f64]>,
) -> Result<OperatingPoint, SolveError> {
    let mut simulator =
        Simulator::new(model, values).map_err(|error| SolveError::prepare(model, error))?;
    let mut states = simulator.start();
    settle(&mut simulator, &states)?;
    check_pumps(&simulator)?;
    let held: Vec<usize> =
        (0..model.circuits.len()).filter(|&c| !simulator.has_way_out(c)).collect();
    for &circuit in &held {
        simulator.pin(circuit);
    }
    // Ice would melt before anything is steady, so a steady state has none.
    for ice in &simulator.setup.layout.ice {
        states[ice.state] = 0.0;
    }
    let mut settings = SteadySettings::default();
    if let Some(near) = near {
        for (state, (y, near)) in states.iter_mut().zip(near).enumerate() {
            if !simulator.setup.pinned.contains(&state) {
                *y = *near;
            }
        }
        settings.first_step_s = NEAR_STEP_S;
    }
    let report = match steady(&mut simulator, &mut states, &settings) {
        Ok(report) => report,
        Err(report) => return Err(no_steady_state(&mut simulator, report)),
    };
    settle(&mut simulator, &states)?;
    check_pumps(&simulator)?;
    let results = Results::of(&simulator, &states);
    let mut warnings = warnings(&simulator, &states);
    for circuit in &model.circuits {
        let margin_k = results.get(&format!("{}:boil_margin", circuit.name)).unwrap_or(0.0);
        if margin_k < 0.0 {
            warnings.push(Warning::Boils { circuit: circuit.name.clone(), margin_k });
        }
    }
    Ok(OperatingPoint { states, results, held, warnings, steps: report.steps })
}

fn no_steady_state(
    simulator: &mut Simulator<'_>,
    report: coolwright_solver::integrate::NoSteadyState,
) -> SolveError {
    if let Some(failure) = simulator.failure.take() {
        return SolveError::unsettled(&simulator.setup, failure);
    }
    let what = simulator.setup.state_name(report.state);
    SolveError::NoSteadyState { what, rate_k_s: report.rate_per_s, report }
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
        if setup.values.get(pump.speed) > 0.0 && flow < -BACKWARDS {
            let circuit = &setup.model.circuits[c];
            let run = &circuit.runs[r];
            let pump = format!("{}/{}/{}", circuit.name, run.path, run.parts[p].name);
            return Err(SolveError::Backwards { pump, flow_m3_s: flow });
        }
    }
    Ok(())
}

/// First step of a search that starts close by, s.
const NEAR_STEP_S: f64 = 1e4;

/// A pump is driven backwards by more than this, m³/s: 0.01 L/min, what leaks through a check
/// valve is less.
const BACKWARDS: f64 = 0.01 / 60e3;
