//! The operating point: the state at which the rates of the duty cycle vanish.

use coolwright_solver::integrate::{SteadySettings, steady};

use crate::model::Model;
use crate::results::Results;
use crate::simulate::Simulator;
use crate::slots::Values;
use crate::solve::SolveError;

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
    /// Steps that the search took.
    pub steps: usize,
}

/// Solves the operating point of a model with the given numbers.
///
/// # Errors
/// When the numbers are out of range, flows do not come to rest, a running pump is driven
/// backwards, or temperatures keep moving.
pub fn operating_point(model: &Model, values: Values) -> Result<OperatingPoint, SolveError> {
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
    let settings = SteadySettings::default();
    let report = match steady(&mut simulator, &mut states, &settings) {
        Ok(report) => report,
        Err(report) => return Err(no_steady_state(&mut simulator, report)),
    };
    settle(&mut simulator, &states)?;
    check_pumps(&simulator)?;
    let results = Results::of(&simulator, &states);
    Ok(OperatingPoint { states, results, held, steps: report.steps })
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
pub(crate) fn settle(simulator: &mut Simulator<'_>, states: &[f64]) -> Result<(), SolveError> {
    simulator.evaluate(states).map_err(|error| SolveError::unsettled(&simulator.setup, error))
}

/// A running pump must not be driven backwards.
pub(crate) fn check_pumps(simulator: &Simulator<'_>) -> Result<(), SolveError> {
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

/// A pump is driven backwards by more than this, m³/s: 0.01 L/min, what leaks through a check
/// valve is less.
const BACKWARDS: f64 = 0.01 / 60e3;
