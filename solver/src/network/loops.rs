//! The equations of the loops: closures, the loop matrix and its factors.

use super::forest::{Forest, Graph, short};
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
    pattern: Pattern,
    /// A second one, so that the factors outlast the question of definiteness.
    spare: Dense,
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

    /// Whether the last step came from exact factors.
    pub(super) fn is_exact(&self) -> bool {
        self.nodal.as_ref().is_none_or(|nodal| nodal.exact)
    }

    pub(super) fn resize(&mut self, loops: usize) {
        if self.nodal.is_some() {
            self.totals.resize(loops, 0.0);
        } else {
            self.matrix.reset(loops);
            self.spare.reset(loops);
        }
        for vector in [&mut self.flows, &mut self.saved, &mut self.closures, &mut self.step] {
            vector.resize(loops, 0.0);
        }
    }

    /// To be called when another forest comes into use.
    pub(super) fn take_forest(
        &mut self,
        graph: &Graph,
        forest: &Forest,
        couplings: &[(usize, usize)],
    ) {
        match &mut self.nodal {
            Some(nodal) => nodal.read(graph, forest),
            None => self.pattern.read(graph, forest, couplings),
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
    pub(super) fn edge_flows(&mut self, forest: &Forest, base: &[f64], flows: &mut [f64]) {
        flows.copy_from_slice(base);
        match &mut self.nodal {
            Some(nodal) => nodal.add_loop_flows(&self.flows, flows),
            None => add_loop_flows(forest, &self.flows, flows),
        }
    }

    /// The change of every flow that the step makes: Bᵀ dq.
    pub(super) fn change(&mut self, forest: &Forest, change: &mut [f64]) {
        change.fill(0.0);
        match &mut self.nodal {
            Some(nodal) => nodal.add_loop_flows(&self.step, change),
            None => add_loop_flows(forest, &self.step, change),
        }
    }

    /// F = B f
    pub(super) fn close(&mut self, forest: &Forest, falls: &[f64]) {
        match &mut self.nodal {
            Some(nodal) => nodal.close(falls, &mut self.closures),
            None => sum_around_loops(forest, falls, &mut self.closures),
        }
    }

    /// Σ F dq: the fall along the step.
    pub(super) fn along_step(&self) -> f64 {
        self.closures.iter().zip(&self.step).map(|(f, dq)| f * dq).sum()
    }

    /// Factors the loop matrix; returns whether its determinant is positive, which for a large
    /// network is taken for granted: [`LoopSystem::is_definite`] tells more. `dominant` says that
    /// its symmetric part is known to be positive definite.
    pub(super) fn factor(
        &mut self,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
        dominant: bool,
    ) -> Result<bool, Singular> {
        if let Some(nodal) = &mut self.nodal {
            return nodal.factor(slopes, cross).map(|()| true);
        }
        self.pattern.assemble(&mut self.matrix, forest, slopes, couplings, cross);
        if dominant && self.matrix.factor_definite().is_ok() {
            return Ok(true);
        }
        if dominant {
            self.pattern.assemble(&mut self.matrix, forest, slopes, couplings, cross);
        }
        self.matrix.factor()
    }

    /// Whether the symmetric part of the loop matrix is positive definite, or `None` when a large
    /// network leaves that undecided; its factors are then lost.
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
        self.pattern.assemble(&mut self.spare, forest, slopes, couplings, cross);
        Some(self.spare.is_definite())
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
        self.set_step(forest, falls);
        self.invert(false)
    }

    /// The same for the transposed matrix.
    pub(super) fn respond_transposed(
        &mut self,
        forest: &Forest,
        weights: &[f64],
    ) -> Result<(), Singular> {
        self.set_step(forest, weights);
        self.invert(true)
    }

    fn set_step(&mut self, forest: &Forest, falls: &[f64]) {
        match &mut self.nodal {
            Some(nodal) => nodal.close(falls, &mut self.step),
            None => sum_around_loops(forest, falls, &mut self.step),
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

/// What each slope adds to which entry of the loop matrix, listed as long as that is short.
#[derive(Clone, Debug, Default)]
struct Pattern {
    /// (entry, run, sign) of the slopes, then (entry, coupling, sign).
    of_slopes: Vec<(u32, u32, f64)>,
    of_couplings: Vec<(u32, u32, f64)>,
    listed: bool,
}

/// Most entries listed for each run and for each coupling, on the average.
const MOST_LISTED: usize = 16;

impl Pattern {
    fn read(&mut self, graph: &Graph, forest: &Forest, couplings: &[(usize, usize)]) {
        let n = forest.chords.len();
        self.of_slopes.clear();
        self.of_couplings.clear();
        // Room for the longest list at once: later forests need not allocate.
        self.of_slopes.reserve(MOST_LISTED * graph.runs);
        self.of_couplings.reserve(MOST_LISTED * couplings.len());
        let square = |run: usize| forest.loops_through(run).len().pow(2);
        let product = |&(a, b): &(usize, usize)| {
            forest.loops_through(a).len() * forest.loops_through(b).len()
        };
        self.listed = (0..graph.runs).map(square).sum::<usize>() <= MOST_LISTED * graph.runs
            && couplings.iter().map(product).sum::<usize>() <= MOST_LISTED * couplings.len();
        if !self.listed {
            return;
        }
        for run in 0..graph.runs {
            list(&mut self.of_slopes, forest, n, run, (run, run));
        }
        for (coupling, &pair) in couplings.iter().enumerate() {
            list(&mut self.of_couplings, forest, n, coupling, pair);
        }
    }

    /// J = B D Bᵀ
    fn assemble(
        &self,
        matrix: &mut Dense,
        forest: &Forest,
        slopes: &[f64],
        couplings: &[(usize, usize)],
        cross: &[f64],
    ) {
        if !self.listed {
            return assemble(matrix, forest, slopes, couplings, cross);
        }
        matrix.reset(forest.chords.len());
        let entries = matrix.entries_mut();
        for &(entry, run, sign) in &self.of_slopes {
            entries[entry as usize] += sign * slopes[run as usize];
        }
        for &(entry, coupling, sign) in &self.of_couplings {
            entries[entry as usize] += sign * cross[coupling as usize];
        }
    }
}

/// Lists what the slope of one run's fall by another's flow adds to the matrix of `n` loops.
fn list(
    to: &mut Vec<(u32, u32, f64)>,
    forest: &Forest,
    n: usize,
    index: usize,
    (of, on): (usize, usize),
) {
    for a in forest.loops_through(of) {
        for b in forest.loops_through(on) {
            let [entry, index] = [a.index * n + b.index, index].map(short);
            to.push((entry, index, a.sign * b.sign));
        }
    }
}

/// J = B D Bᵀ, loop by loop.
fn assemble(
    matrix: &mut Dense,
    forest: &Forest,
    slopes: &[f64],
    couplings: &[(usize, usize)],
    cross: &[f64],
) {
    matrix.reset(forest.chords.len());
    // The loops through a run are in rising order: only the lower triangle is summed.
    for (run, &slope) in slopes.iter().enumerate() {
        let through = forest.loops_through(run);
        for (count, a) in through.iter().enumerate() {
            let signed = a.sign * slope;
            let row = matrix.row_mut(a.index);
            for b in &through[..=count] {
                row[b.index] += b.sign * signed;
            }
        }
    }
    matrix.mirror();
    for (&(of, on), &slope) in couplings.iter().zip(cross) {
        for a in forest.loops_through(of) {
            for b in forest.loops_through(on) {
                matrix.add(a.index, b.index, a.sign * b.sign * slope);
            }
        }
    }
}

/// B f
fn sum_around_loops(forest: &Forest, over_edges: &[f64], over_loops: &mut [f64]) {
    over_loops.fill(0.0);
    for link in &forest.links {
        over_loops[link.chord as usize] += link.sign * over_edges[link.edge as usize];
    }
}

/// Adds Bᵀ q.
fn add_loop_flows(forest: &Forest, over_loops: &[f64], over_edges: &mut [f64]) {
    for link in &forest.links {
        over_edges[link.edge as usize] += link.sign * over_loops[link.chord as usize];
    }
}
