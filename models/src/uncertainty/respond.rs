//! What the offset of one law moves at an operating point, everything settled anew.
//!
//! With the offset the rates at the same states are no longer what they were. The states that bring them
//! back follow by a chord method on the Jacobian at held flows:
//!
//! ```text
//! J ds = f(y) − f_off(y + s),   s ← s + ds
//! ```
//!
//! Flows, films and air are settled in every f, so what the Jacobian leaves out costs steps, not
//! accuracy. Offsets are taken at a small share of their size, and the changes scaled up: a linear
//! response.

use coolwright_solver::integrate::System;
use coolwright_solver::sparse::Sparse;

use super::Term;
use crate::instance::Made;
use crate::results::Results;
use crate::simulate::{Flows, Offset, Simulator};
use crate::solve::SolveError;

/// The share of an offset at which the response is taken.
const SHARE: f64 = 0.01;
/// States that follow more slowly than this, s, count as standing still.
const LONG_S: f64 = 1e8;
/// Most steps of the chord method.
const MOST_STEPS: usize = 40;
/// A step smaller than this share of what has been gone is the last.
const LAST_STEP: f64 = 1e-3;
/// No law moves a state by less than this share of its scale.
const NOTHING: f64 = 1e-12;

/// An operating point to which the model is brought back for each offset.
pub(super) struct Base<'a> {
    states: &'a [f64],
    rates: Vec<f64>,
    flows: Flows,
    matrix: Sparse,
    scales: Vec<f64>,
    /// All results there.
    pub(super) results: Vec<f64>,
}

/// What offsets move.
#[derive(Debug, Default)]
pub(super) struct Response {
    /// For each term, the change of every result by its offset alone.
    pub(super) changes: Vec<Vec<f64>>,
    /// For each term, the change of every state.
    pub(super) states: Vec<Vec<f64>>,
}

/// What the offset of each term alone moves.
pub(super) fn response(
    made: &mut Made<'_>,
    base: &Base<'_>,
    terms: &[Term],
) -> Result<Response, SolveError> {
    let mut results = Results::default();
    let (mut changes, mut followed) = (Vec::new(), Vec::new());
    let mut near = vec![0.0; base.states.len()];
    for term in terms {
        base.solve(made, &[(term.offset, SHARE)], &mut near)?;
        made.read(&near, &mut results);
        let moved = results.values.iter().zip(&base.results);
        changes.push(moved.map(|(now, was)| (now - was) / SHARE).collect());
        let moved = near.iter().zip(base.states);
        followed.push(moved.map(|(now, was)| (now - was) / SHARE).collect());
    }
    made.simulator.setup.offsets.clear();
    Ok(Response { changes, states: followed })
}

impl<'a> Base<'a> {
    /// The model settled at these states; `None` where its rates do not determine them.
    pub(super) fn of(made: &mut Made<'_>, states: &'a [f64]) -> Result<Option<Self>, SolveError> {
        let mut results = Results::default();
        evaluate(&mut made.simulator, states)?;
        made.read(states, &mut results);
        let simulator = &mut made.simulator;
        let rates = simulator.last_rates().to_vec();
        let mut flows = Flows::default();
        simulator.settled.flows_into(&mut flows);
        let pattern = simulator.setup.layout.pattern.clone();
        let mut jacobian = vec![0.0; pattern.len()];
        let Simulator { setup, settled, rates: heats, .. } = simulator;
        heats.jacobian(setup, settled, states, &mut jacobian);
        let mut matrix = Sparse::new(simulator.states(), &pattern).expect("a pattern of states");
        if matrix.factor(-1.0, &jacobian, 1.0 / LONG_S).is_err() {
            return Ok(None);
        }
        let scales = simulator.scales();
        Ok(Some(Self { states, rates, flows, matrix, scales, results: results.values }))
    }

    /// How many states there are.
    pub(super) fn states(&self) -> usize {
        self.states.len()
    }

    /// The states with laws off by so many times their offsets, settled.
    pub(super) fn solve(
        &self,
        made: &mut Made<'_>,
        off: &[(Offset, f64)],
        near: &mut [f64],
    ) -> Result<(), SolveError> {
        let Simulator { setup, settled, .. } = &mut made.simulator;
        setup.offsets.clear();
        for (offset, times) in off {
            setup.offsets.add(&setup.layout, offset, *times);
        }
        settled.start_from(&self.flows);
        self.follow(&mut made.simulator, near)
    }

    /// The states at which the model with its offset changes as the base does.
    fn follow(&self, simulator: &mut Simulator<'_>, near: &mut [f64]) -> Result<(), SolveError> {
        near.copy_from_slice(self.states);
        let mut room = Vec::new();
        let mut step = vec![0.0; near.len()];
        let size = |step: &[f64]| {
            step.iter()
                .zip(&self.scales)
                .fold(0.0_f64, |most, (s, scale)| most.max((s / scale).abs()))
        };
        let mut gone = 0.0_f64;
        for _ in 0..MOST_STEPS {
            evaluate(simulator, near)?;
            for ((step, now), was) in step.iter_mut().zip(simulator.last_rates()).zip(&self.rates) {
                *step = now - was;
            }
            self.matrix.solve_in(&mut step, &mut room);
            near.iter_mut().zip(&step).for_each(|(near, step)| *near += step);
            let last = size(&step);
            gone = gone.max(last);
            if last <= LAST_STEP * gone || last <= NOTHING {
                break;
            }
        }
        evaluate(simulator, near)
    }
}

/// Settles a model at some states.
pub(crate) fn evaluate(simulator: &mut Simulator<'_>, states: &[f64]) -> Result<(), SolveError> {
    let evaluated = simulator.evaluate(states);
    evaluated.map_err(|error| SolveError::unsettled(&simulator.setup, error))
}
