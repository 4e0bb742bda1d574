//! A circuit with the workspace to settle its flows again and again.

use approx::relative_ne;
use coolwright_models::circuit::{Circuit, CircuitLaws, CompiledLaws, PartState};
use coolwright_models::slots::Values;
use coolwright_solver::network::{Network, Settings, Solved};

/// Density, kg/m³.
pub(crate) const DENSITY: f64 = 1040.0;
/// Dynamic viscosity, Pa·s.
pub(crate) const VISCOSITY: f64 = 1.35e-3;

/// The circuit, its coolant everywhere the same, its first junction at 0 Pa.
pub(crate) struct Problem {
    circuit: Circuit,
    pub(crate) values: Values,
    states: Vec<PartState>,
    densities: Vec<f64>,
    couplings: Vec<(usize, usize)>,
    compiled: CompiledLaws,
    network: Network,
    inflow: Vec<f64>,
    held: Vec<Option<f64>>,
    start: Vec<f64>,
    pub(crate) flows: Vec<f64>,
    pub(crate) pressures: Vec<f64>,
}

fn network(circuit: &Circuit, couplings: &[(usize, usize)]) -> Network {
    let runs: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
    Network::new(circuit.junctions.len(), &runs, couplings).expect("a whole network")
}

impl Problem {
    /// `start` holds the flow of every run that the search starts from.
    pub(crate) fn new(circuit: Circuit, values: Values, start: Vec<f64>) -> Self {
        let parts = circuit.runs.iter().map(|run| run.parts.len()).sum();
        let state = PartState { temperature_k: 300.0, density: DENSITY, viscosity: VISCOSITY };
        let junctions = circuit.junctions.len();
        let couplings = circuit.couplings();
        Self {
            compiled: CompiledLaws::new(&circuit, &couplings),
            network: network(&circuit, &couplings),
            values,
            states: vec![state; parts],
            densities: vec![DENSITY; junctions],
            couplings,
            inflow: vec![0.0; junctions],
            held: vec![None; junctions],
            flows: start.clone(),
            start,
            pressures: vec![0.0; junctions],
            circuit,
        }
    }

    /// Makes the network anew, with all that depends on its shape alone.
    pub(crate) fn analyse(&mut self) {
        self.network = network(&self.circuit, &self.couplings);
    }

    /// Solves it from the start.
    pub(crate) fn solve(&mut self) -> Solved {
        self.flows.copy_from_slice(&self.start);
        self.solve_on()
    }

    /// Solves it from the flows that it has.
    pub(crate) fn solve_on(&mut self) -> Solved {
        let laws = CircuitLaws {
            circuit: &self.circuit,
            values: &self.values,
            parts: &self.states,
            junction_density: &self.densities,
            couplings: &self.couplings,
        };
        let mut laws = self.compiled.compile(laws);
        let (flows, pressures) = (&mut self.flows, &mut self.pressures);
        let settings = Settings::default();
        let solved =
            self.network.solve(&mut laws, &self.inflow, &self.held, flows, pressures, &settings);
        solved.expect("the problem has an answer")
    }
}

/// Compares numbers with those known, which the last digit given may miss.
///
/// # Errors
/// Names those that are off, got and wanted.
pub(crate) fn compare<'a>(
    numbers: impl IntoIterator<Item = (&'a str, f64, f64)>,
    tolerance: f64,
) -> Result<(), String> {
    let off: Vec<String> = numbers
        .into_iter()
        .filter(|(_, got, want)| relative_ne!(*got, *want, max_relative = tolerance))
        .map(|(name, got, want)| format!("{name}: got {got:.12}, want {want}"))
        .collect();
    if off.is_empty() { Ok(()) } else { Err(off.join("; ")) }
}
