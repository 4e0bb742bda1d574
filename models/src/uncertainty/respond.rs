//! What the offset of one law moves at an operating point, everything settled anew.
//!
//! The states that belong to a law that is off follow by the chord method ([`crate::tangent`]). Offsets are
//! taken at a small share of their size, and the changes scaled up: a linear response.

use super::Term;
use crate::instance::Made;
use crate::results::Results;
use crate::simulate::{Offset, Setup, Simulator};
use crate::solve::SolveError;
use crate::tangent::{RESPONSE, Tangent};

/// The share of an offset at which the response is taken.
const SHARE: f64 = 0.01;

/// An operating point to which the model is brought back for each offset.
pub(super) struct Base {
    pub(super) tangent: Tangent,
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
    base: &Base,
    terms: &[Term],
) -> Result<Response, SolveError> {
    let mut results = Results::default();
    let (mut changes, mut followed) = (Vec::new(), Vec::new());
    let mut near = vec![0.0; base.states()];
    for term in terms {
        base.solve(made, &[(term.offset, SHARE)], &mut near)?;
        made.read(&near, &mut results);
        let moved = results.values.iter().zip(&base.results);
        changes.push(moved.map(|(now, was)| (now - was) / SHARE).collect());
        let moved = near.iter().zip(base.tangent.states());
        followed.push(moved.map(|(now, was)| (now - was) / SHARE).collect());
    }
    made.simulator.setup.offsets.clear();
    Ok(Response { changes, states: followed })
}

impl Base {
    /// The model settled at these states; `None` where its rates do not determine them.
    pub(super) fn of(made: &mut Made<'_>, states: &[f64]) -> Result<Option<Self>, SolveError> {
        let Some(tangent) = Tangent::of(made, states)? else { return Ok(None) };
        let mut results = Results::default();
        made.read(states, &mut results);
        Ok(Some(Self { tangent, results: results.values }))
    }

    /// How many states there are.
    pub(super) fn states(&self) -> usize {
        self.tangent.states().len()
    }

    /// The states with laws off by so many times their offsets, settled.
    pub(super) fn solve(
        &self,
        made: &mut Made<'_>,
        off: &[(Offset, f64)],
        near: &mut [f64],
    ) -> Result<(), SolveError> {
        let Setup { offsets, layout, .. } = &mut made.simulator.setup;
        offsets.clear();
        for (offset, times) in off {
            offsets.add(layout, offset, *times);
        }
        self.tangent.start(&mut made.simulator);
        self.tangent.follow(&mut made.simulator, near, RESPONSE).map(|_| ())
    }
}

/// Settles a model at some states.
pub(crate) fn evaluate(simulator: &mut Simulator<'_>, states: &[f64]) -> Result<(), SolveError> {
    let evaluated = simulator.evaluate(states);
    evaluated.map_err(|error| SolveError::unsettled(&simulator.setup, error))
}
