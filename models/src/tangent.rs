//! Points close to one that is known: the chord method on the Jacobian of that point.
//!
//! With other numbers, or a law that is off, the rates f at the same states are no longer what they were.
//! The states that bring them back follow by
//!
//! ```text
//! J ds = f(y) − f_changed(y + s),   s ← s + ds
//! ```
//!
//! Flows, films and air are settled in every f. In models of up to 300 states J is the true Jacobian
//! ([`Simulator::true_jacobian`]), so two or three steps are enough. In larger ones it is the sparse one at
//! held flows: what that leaves out costs steps, not accuracy.

use coolwright_solver::dense::Dense;
use coolwright_solver::integrate::System;
use coolwright_solver::sparse::Sparse;

use crate::instance::{Instance, Made};
use crate::results::Results;
use crate::simulate::{Flows, Simulator};
use crate::slots::Values;
use crate::solve::SolveError;
use crate::uncertainty::evaluate;

/// States that follow more slowly than this, s, count as standing still.
const LONG_S: f64 = 1e8;
/// Most states for which the true Jacobian, which is dense, is worth its price.
const MOST_DENSE: usize = 300;
/// Most steps of the chord method.
const MOST_STEPS: usize = 40;
/// No change moves a state by less than this share of its scale.
const NOTHING: f64 = 1e-12;
/// Points with other numbers: a step smaller than this share of what has been gone is the last.
const LAST_STEP: f64 = 1e-6;
/// Steps within which such a point is found, or it is not close.
const FEW_STEPS: usize = 12;

/// The factors of I/τ − J.
#[derive(Clone, Debug)]
enum Factors {
    Dense(Dense),
    Sparse(Box<Sparse>),
}

impl Factors {
    fn solve(&self, step: &mut [f64], room: &mut Vec<f64>) {
        match self {
            Self::Dense(matrix) => matrix.solve(step),
            Self::Sparse(matrix) => matrix.solve_in(step, room),
        }
    }
}

/// A point at which the rates of a model are known with their Jacobian.
#[derive(Clone, Debug)]
pub struct Tangent {
    states: Vec<f64>,
    rates: Vec<f64>,
    flows: Flows,
    factors: Factors,
    scales: Vec<f64>,
}

impl Tangent {
    /// The model settled at these states; `None` where its rates do not determine them.
    pub(crate) fn of(made: &mut Made<'_>, states: &[f64]) -> Result<Option<Self>, SolveError> {
        let simulator = &mut made.simulator;
        evaluate(simulator, states)?;
        let rates = simulator.last_rates().to_vec();
        let mut flows = Flows::default();
        simulator.settled.flows_into(&mut flows);
        let dense = if states.len() <= MOST_DENSE { dense(simulator, states) } else { None };
        let factors = dense.map(Factors::Dense).or_else(|| sparse(simulator, states));
        let (states, scales) = (states.to_vec(), simulator.scales());
        Ok(factors.map(|factors| Self { states, rates, flows, factors, scales }))
    }

    /// The states of the point.
    pub(crate) fn states(&self) -> &[f64] {
        &self.states
    }

    /// Starts the search for flows from those of the point.
    pub(crate) fn start(&self, simulator: &mut Simulator<'_>) {
        simulator.settled.start_from(&self.flows);
    }

    /// Goes to the states at which the model as it is now changes as the point does, until a step is below
    /// a share of what has been gone; the model is settled there. `false` where `most` steps do not do.
    pub(crate) fn follow(
        &self,
        simulator: &mut Simulator<'_>,
        near: &mut [f64],
        (last_step, most): (f64, usize),
    ) -> Result<bool, SolveError> {
        near.copy_from_slice(&self.states);
        let mut room = Vec::new();
        let mut step = vec![0.0; near.len()];
        let mut gone = 0.0_f64;
        let mut arrived = false;
        for _ in 0..most {
            evaluate(simulator, near)?;
            for ((step, now), was) in step.iter_mut().zip(simulator.last_rates()).zip(&self.rates) {
                *step = now - was;
            }
            self.factors.solve(&mut step, &mut room);
            near.iter_mut().zip(&step).for_each(|(near, step)| *near += step);
            let last = self.size(&step);
            gone = gone.max(last);
            arrived = last <= last_step * gone || last <= NOTHING;
            if arrived || !last.is_finite() {
                break;
            }
        }
        evaluate(simulator, near)?;
        Ok(arrived)
    }

    /// The largest part of a step, in shares of the scales of the states.
    fn size(&self, step: &[f64]) -> f64 {
        let shares = step.iter().zip(&self.scales).map(|(s, scale)| (s / scale).abs());
        shares
            .fold(0.0_f64, |most, share| if share > most || share.is_nan() { share } else { most })
    }
}

/// The true Jacobian, factored; `None` where it has no factors.
fn dense(simulator: &mut Simulator<'_>, states: &[f64]) -> Option<Dense> {
    let mut matrix = Dense::default();
    matrix.reset(states.len());
    simulator.true_jacobian(states, matrix.entries_mut()).ok()?;
    for entry in matrix.entries_mut() {
        *entry = -*entry;
    }
    for state in 0..states.len() {
        matrix.add(state, state, 1.0 / LONG_S);
    }
    matrix.factor().ok().map(|_| matrix)
}

/// The Jacobian at held flows, factored; `None` where it has no factors.
fn sparse(simulator: &mut Simulator<'_>, states: &[f64]) -> Option<Factors> {
    let mut matrix = simulator.matrix().ok()?;
    let mut jacobian = vec![0.0; simulator.setup.layout.pattern.len()];
    simulator.jacobian_into(states, &mut jacobian);
    matrix.factor(-1.0, &jacobian, 1.0 / LONG_S).ok()?;
    Some(Factors::Sparse(Box::new(matrix)))
}

/// How far a search goes for the response to a law that is off: to a thousandth of it.
pub(crate) const RESPONSE: (f64, usize) = (1e-3, MOST_STEPS);

impl Instance<'_> {
    /// Solves the operating point with other numbers than those of the point known, which all circuits of
    /// have a steady state. `None` where it is not found close by, or where a circuit then boils or has no
    /// way out for its heat: what it is then is for [`Instance::point`] to find out.
    pub fn beside(&mut self, values: &Values, known: &Tangent) -> Option<&Results> {
        let (made, room) = self.begin_rest(values).ok()?;
        let point = &mut room.point;
        point.states.resize(known.states.len(), 0.0);
        known.start(&mut made.simulator);
        let goal = (LAST_STEP, FEW_STEPS);
        if !known.follow(&mut made.simulator, &mut point.states, goal).ok()? {
            return None;
        }
        made.read(&point.states, &mut point.results);
        let circuits = 0..made.boil_margins.len();
        let boils =
            |c| made.boil_margin(&point.results.values, c).is_some_and(|k| k.is_nan() || k < 0.0);
        let shut = |c| made.simulator.takes_heat(c) && !made.simulator.has_way_out(c);
        if circuits.clone().any(boils) || circuits.clone().any(shut) {
            return None;
        }
        Some(&point.results)
    }
}
