//! The equations of the loops: closures, the loop matrix and its factors.

use super::forest::Forest;
use crate::dense::{Dense, Singular};

/// Loop flows and the dense system that corrects them.
///
/// The search for the answer asks three things of it: to factor the derivatives, to turn falls
/// into a change of all flows that keeps every junction balanced, and to measure closure. A
/// sparse system over junction pressures can answer the same for large networks.
#[derive(Clone, Debug, Default)]
pub(super) struct LoopSystem {
    matrix: Dense,
    /// Flow of each chord.
    pub(super) flows: Vec<f64>,
    pub(super) saved: Vec<f64>,
    /// Sum of the falls around each loop.
    pub(super) closures: Vec<f64>,
    pub(super) step: Vec<f64>,
}

impl LoopSystem {
    pub(super) fn new(loops: usize) -> Self {
        let mut system = Self::default();
        system.resize(loops);
        system
    }

    pub(super) fn resize(&mut self, loops: usize) {
        self.matrix.reset(loops);
        for vector in [&mut self.flows, &mut self.saved, &mut self.closures, &mut self.step] {
            vector.resize(loops, 0.0);
        }
    }

    /// Takes the loop flows from the flows of the chords.
    pub(super) fn read(&mut self, forest: &Forest, flows: &[f64]) {
        for (own, chord) in self.flows.iter_mut().zip(&forest.chords) {
            *own = flows[*chord];
        }
    }

    /// m = m0 + Bᵀ q
    pub(super) fn carry(&self, forest: &Forest, base: &[f64], flows: &mut [f64]) {
        spread(forest, &self.flows, |edge, sum| flows[edge] = base[edge] + sum, base.len());
    }

    /// The change of every flow that the step makes: Bᵀ dq.
    pub(super) fn change(&self, forest: &Forest, change: &mut [f64]) {
        let edges = change.len();
        spread(forest, &self.step, |edge, sum| change[edge] = sum, edges);
    }

    /// F = B f
    pub(super) fn close(&mut self, forest: &Forest, falls: &[f64]) {
        gather(forest, falls, &mut self.closures);
    }

    /// Σ F dq: the fall along the step.
    pub(super) fn along_step(&self) -> f64 {
        self.closures.iter().zip(&self.step).map(|(f, dq)| f * dq).sum()
    }

    /// J = B D Bᵀ
    fn assemble(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) {
        self.matrix.reset(forest.chords.len());
        for (run, &slope) in slopes.iter().enumerate().filter(|(_, slope)| **slope != 0.0) {
            let through = forest.loops_through(run);
            for a in through {
                for b in through {
                    self.matrix.add(a.index, b.index, a.sign * b.sign * slope);
                }
            }
        }
        for (&(of, on), &slope) in couplings.iter().zip(cross) {
            for a in forest.loops_through(of) {
                for b in forest.loops_through(on) {
                    self.matrix.add(a.index, b.index, a.sign * b.sign * slope);
                }
            }
        }
    }

    /// Factors the loop matrix; returns whether its determinant is positive.
    pub(super) fn factor(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) -> Result<bool, Singular> {
        self.assemble(forest, slopes, couplings, cross);
        self.matrix.factor()
    }

    /// Whether the symmetric part of the loop matrix is positive definite. The factors are lost.
    pub(super) fn is_definite(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) -> bool {
        self.assemble(forest, slopes, couplings, cross);
        self.matrix.is_definite()
    }

    /// dq = −J⁻¹ F
    pub(super) fn correct(&mut self) {
        for (step, closure) in self.step.iter_mut().zip(&self.closures) {
            *step = -closure;
        }
        self.matrix.solve(&mut self.step);
    }

    /// Step for given derivatives of the falls: dq = −J⁻¹ B f.
    pub(super) fn respond(&mut self, forest: &Forest, falls: &[f64]) {
        gather(forest, falls, &mut self.step);
        self.matrix.solve(&mut self.step);
        for step in &mut self.step {
            *step = -*step;
        }
    }

    /// The same for the transposed matrix.
    pub(super) fn respond_transposed(&mut self, forest: &Forest, weights: &[f64]) {
        gather(forest, weights, &mut self.step);
        self.matrix.solve_transposed(&mut self.step);
        for step in &mut self.step {
            *step = -*step;
        }
    }
}

fn gather(forest: &Forest, over_edges: &[f64], over_loops: &mut [f64]) {
    for (chord, sum) in over_loops.iter_mut().enumerate() {
        *sum = forest.loop_parts(chord).iter().map(|part| part.sign * over_edges[part.index]).sum();
    }
}

fn spread(forest: &Forest, over_loops: &[f64], mut put: impl FnMut(usize, f64), edges: usize) {
    for edge in 0..edges {
        let through = forest.loops_through(edge);
        put(edge, through.iter().map(|part| part.sign * over_loops[part.index]).sum());
    }
}
