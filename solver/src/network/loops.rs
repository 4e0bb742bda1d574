//! The equations of the loops: closures, the loop matrix and its factors.

use super::forest::{Forest, Graph};
use super::nodal::Nodal;
use crate::dense::{Dense, Singular};

/// Loop flows and the dense system that corrects them.
///
/// The search for the answer asks three things of it: to factor the derivatives, to turn falls
/// into a change of all flows that keeps every junction balanced, and to measure closure. For
/// large networks a sparse system over the pressures answers the same.
#[derive(Clone, Debug, Default)]
pub(super) struct LoopSystem {
    matrix: Dense,
    /// The other way, instead of the dense matrix.
    nodal: Option<Box<Nodal>>,
    /// Sums around the loops, for large networks only.
    pub(super) totals: Vec<f64>,
    /// Flow of each chord.
    pub(super) flows: Vec<f64>,
    pub(super) saved: Vec<f64>,
    /// Sum of the falls around each loop.
    pub(super) closures: Vec<f64>,
    pub(super) step: Vec<f64>,
}

impl LoopSystem {
    pub(super) fn new(loops: usize, nodal: Option<Box<Nodal>>) -> Self {
        let mut system = Self { nodal, ..Self::default() };
        system.resize(loops);
        system
    }

    pub(super) fn is_nodal(&self) -> bool {
        self.nodal.is_some()
    }

    pub(super) fn resize(&mut self, loops: usize) {
        if self.nodal.is_some() {
            self.totals.resize(loops, 0.0);
        } else {
            self.matrix.reset(loops);
        }
        for vector in [&mut self.flows, &mut self.saved, &mut self.closures, &mut self.step] {
            vector.resize(loops, 0.0);
        }
    }

    /// To be called when another forest comes into use.
    pub(super) fn take_forest(&mut self, graph: &Graph, forest: &Forest) {
        if let Some(nodal) = &mut self.nodal {
            nodal.read(graph, forest);
        }
    }

    /// Whether the forest in use costs small flows too many digits. Only large networks tell.
    pub(super) fn is_poor(&mut self, slopes: &[f64], flows: &[f64], share: f64) -> bool {
        self.nodal.as_mut().is_some_and(|nodal| nodal.is_poor(slopes, flows, share))
    }

    /// Sums around every loop of what has no sign, into `totals`; nothing where loops are listed.
    pub(super) fn total(&mut self, size: impl Fn(usize) -> f64) {
        if let Some(nodal) = &mut self.nodal {
            nodal.total(size, &mut self.totals);
        }
    }

    /// Takes the loop flows from the flows of the chords.
    pub(super) fn read(&mut self, forest: &Forest, flows: &[f64]) {
        for (own, chord) in self.flows.iter_mut().zip(&forest.chords) {
            *own = flows[*chord];
        }
    }

    /// m = m0 + Bᵀ q
    pub(super) fn carry(&mut self, forest: &Forest, base: &[f64], flows: &mut [f64]) {
        if let Some(nodal) = &mut self.nodal {
            flows.copy_from_slice(base);
            return nodal.carry(&self.flows, flows);
        }
        spread(forest, &self.flows, |edge, sum| flows[edge] = base[edge] + sum, base.len());
    }

    /// The change of every flow that the step makes: Bᵀ dq.
    pub(super) fn change(&mut self, forest: &Forest, change: &mut [f64]) {
        if let Some(nodal) = &mut self.nodal {
            change.fill(0.0);
            return nodal.carry(&self.step, change);
        }
        let edges = change.len();
        spread(forest, &self.step, |edge, sum| change[edge] = sum, edges);
    }

    /// F = B f
    pub(super) fn close(&mut self, forest: &Forest, falls: &[f64]) {
        match &mut self.nodal {
            Some(nodal) => nodal.close(falls, &mut self.closures),
            None => gather(forest, falls, &mut self.closures),
        }
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

    /// Factors the loop matrix; returns whether its determinant is positive, which for a large
    /// network is taken for granted: [`LoopSystem::is_definite`] tells more.
    pub(super) fn factor(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) -> Result<bool, Singular> {
        if let Some(nodal) = &mut self.nodal {
            return nodal.factor(slopes, cross).map(|()| true);
        }
        self.assemble(forest, slopes, couplings, cross);
        self.matrix.factor()
    }

    /// Whether the symmetric part of the loop matrix is positive definite, or `None` when a large
    /// network leaves that undecided. The factors are lost.
    pub(super) fn is_definite(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) -> Option<bool> {
        if let Some(nodal) = &mut self.nodal {
            return nodal.is_definite(slopes, cross);
        }
        self.assemble(forest, slopes, couplings, cross);
        Some(self.matrix.is_definite())
    }

    /// dq = −J⁻¹ F
    pub(super) fn correct(&mut self) -> Result<(), Singular> {
        for (step, closure) in self.step.iter_mut().zip(&self.closures) {
            *step = -closure;
        }
        match &mut self.nodal {
            Some(nodal) => return nodal.solve(&mut self.step, &mut self.totals),
            None => self.matrix.solve(&mut self.step),
        }
        Ok(())
    }

    /// Step for given derivatives of the falls: dq = −J⁻¹ B f.
    pub(super) fn respond(&mut self, forest: &Forest, falls: &[f64]) -> Result<(), Singular> {
        self.gather_step(forest, falls);
        self.invert(false)
    }

    /// The same for the transposed matrix.
    pub(super) fn respond_transposed(
        &mut self,
        forest: &Forest,
        weights: &[f64],
    ) -> Result<(), Singular> {
        self.gather_step(forest, weights);
        self.invert(true)
    }

    fn gather_step(&mut self, forest: &Forest, falls: &[f64]) {
        match &mut self.nodal {
            Some(nodal) => nodal.close(falls, &mut self.step),
            None => gather(forest, falls, &mut self.step),
        }
        for step in &mut self.step {
            *step = -*step;
        }
    }

    /// Replaces the step by the inverse of the loop matrix, or of its transpose, times it.
    fn invert(&mut self, transposed: bool) -> Result<(), Singular> {
        match &mut self.nodal {
            Some(nodal) => return nodal.refine(&mut self.step, transposed),
            None if transposed => self.matrix.solve_transposed(&mut self.step),
            None => self.matrix.solve(&mut self.step),
        }
        Ok(())
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
