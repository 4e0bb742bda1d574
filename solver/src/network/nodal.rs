//! The loop equations of large networks, solved through the pressures.
//!
//! The unknowns, the closures and the search are those of the loops. Only the linear system takes
//! another way: with the falls g = F on the chords and none in the forest,
//!
//! ```text
//! A W Aᵀ dp = A W g,   dm = W (Aᵀ dp − g),   W = 1 / slope
//! ```
//!
//! and dq is dm of the chords. (The nodal form of Todini & Pilati 1988.) As F vanishes so does
//! dp, and with it the error of the step; as only chords are read, every junction stays balanced.
//! The factors are exact when all slopes are positive, alike enough, and nothing is coupled.
//! Otherwise they precondition GMRES on the loop equations themselves, whose slopes may be zero
//! or negative.

use super::forest::{Forest, Graph};
use super::krylov::{Krylov, Operator};
use super::laplacian::Laplacian;
use super::paths::Paths;
use crate::dense::{Dense, Singular};

/// Slopes in the matrix are no less than this share of the largest.
const FLOOR: f64 = 1e-11;
/// Slopes no less than this share of the largest lose no digits that matter in the factors.
const ALIKE: f64 = 1e-8;
/// Most negative slopes and couplings for which definiteness is decided.
const MOST_DOUBTS: usize = 1000;

/// The linear system of a large network.
#[derive(Clone, Debug)]
pub(super) struct Nodal {
    operator: LoopOperator,
    krylov: Krylov,
    /// Whether the factors are those of the loop equations.
    pub(super) exact: bool,
    small: Dense,
}

/// The loop matrix, and its approximation by the factors of the pressures.
#[derive(Clone, Debug)]
struct LoopOperator {
    paths: Paths,
    matrix: Laplacian,
    fixed: Vec<bool>,
    slopes: Vec<f64>,
    conductances: Vec<f64>,
    couplings: Vec<(usize, usize)>,
    cross: Vec<f64>,
    transposed: bool,
    vertices: Vec<f64>,
    flows: Vec<f64>,
    falls: Vec<f64>,
}

impl Operator for LoopOperator {
    fn apply(&mut self, x: &[f64], y: &mut [f64]) {
        self.flows.fill(0.0);
        self.paths.add_loop_flows(x, &mut self.flows, &mut self.vertices);
        for ((fall, slope), flow) in self.falls.iter_mut().zip(&self.slopes).zip(&self.flows) {
            *fall = slope * flow;
        }
        for (&(of, on), cross) in self.couplings.iter().zip(&self.cross) {
            let (of, on) = if self.transposed { (on, of) } else { (of, on) };
            self.falls[of] += cross * self.flows[on];
        }
        self.paths.close(&self.falls, &mut self.vertices, y);
    }

    /// Exact when the matrix is; the sign is that of the loop matrix, dm = −J⁻¹ F.
    fn approximate(&mut self, x: &[f64], y: &mut [f64]) {
        self.vertices.fill(0.0);
        for (chord, fall) in self.paths.chords.iter().zip(x) {
            let flow = self.conductances[chord.edge] * fall;
            self.vertices[chord.from] += flow;
            self.vertices[chord.to] -= flow;
        }
        let junctions = self.fixed.len();
        for (pressure, _) in self.vertices.iter_mut().zip(&self.fixed).filter(|(_, f)| **f) {
            *pressure = 0.0;
        }
        self.matrix.solve(&mut self.vertices[..junctions]);
        for ((chord, fall), y) in self.paths.chords.iter().zip(x).zip(y) {
            let rise = self.vertices[chord.to] - self.vertices[chord.from];
            *y = self.conductances[chord.edge] * (rise + fall);
        }
    }
}

impl Nodal {
    /// `None` when there is no memory for the factors. The ties follow the runs among the edges.
    pub(super) fn new(
        junctions: usize,
        runs: &[(usize, usize)],
        couplings: &[(usize, usize)],
    ) -> Option<Self> {
        let edges = || vec![0.0; runs.len() + junctions];
        let operator = LoopOperator {
            paths: Paths::default(),
            matrix: Laplacian::new(junctions, runs)?,
            fixed: vec![false; junctions],
            slopes: edges(),
            conductances: vec![0.0; runs.len()],
            couplings: couplings.to_vec(),
            cross: vec![0.0; couplings.len()],
            transposed: false,
            vertices: vec![0.0; junctions + 1],
            flows: edges(),
            falls: edges(),
        };
        let (krylov, small) = (Krylov::default(), Dense::default());
        Some(Self { operator, krylov, exact: false, small })
    }

    /// Takes over the forest in use.
    pub(super) fn read(&mut self, graph: &Graph, forest: &Forest) {
        self.operator.paths.read(graph, forest);
        for (junction, fixed) in self.operator.fixed.iter_mut().enumerate() {
            *fixed = forest.is_top(graph, junction);
        }
        self.operator.matrix.fix(&self.operator.fixed);
    }

    pub(super) fn add_loop_flows(&mut self, over_loops: &[f64], flows: &mut [f64]) {
        let operator = &mut self.operator;
        operator.paths.add_loop_flows(over_loops, flows, &mut operator.vertices);
    }

    pub(super) fn close(&mut self, falls: &[f64], over_loops: &mut [f64]) {
        let operator = &mut self.operator;
        operator.paths.close(falls, &mut operator.vertices, over_loops);
    }

    pub(super) fn total(&mut self, size: impl Fn(usize) -> f64, over_loops: &mut [f64]) {
        let operator = &mut self.operator;
        operator.paths.total(size, &mut operator.vertices, over_loops);
    }

    /// Whether the flow of some branch is less than a share of the flows of its loops, as falls
    /// along it and beside 1 Pa: it is then a difference of large flows and has lost digits.
    pub(super) fn is_poor(&mut self, slopes: &[f64], flows: &[f64], share: f64) -> bool {
        let operator = &mut self.operator;
        let mut poor = false;
        let square = |edge: usize| flows[edge] * flows[edge];
        operator.paths.sum_through_branches(square, &mut operator.vertices, |edge, sum| {
            let stiff = slopes[edge] * slopes[edge];
            poor |= stiff * sum * (share * share) > stiff * square(edge) + 1.0;
        });
        poor
    }

    /// Takes the derivatives and factors the matrix.
    pub(super) fn factor(&mut self, slopes: &[f64], cross: &[f64]) -> Result<(), Singular> {
        let operator = &mut self.operator;
        operator.slopes[..slopes.len()].copy_from_slice(slopes);
        operator.cross.copy_from_slice(cross);
        let largest = slopes.iter().fold(0.0_f64, |most, slope| most.max(slope.abs()));
        let least = slopes.iter().copied().fold(f64::INFINITY, f64::min);
        if largest <= f64::MIN_POSITIVE / FLOOR || !largest.is_finite() {
            return Err(Singular);
        }
        self.exact = least >= ALIKE * largest && cross.iter().all(|slope| *slope == 0.0);
        for (w, slope) in operator.conductances.iter_mut().zip(slopes) {
            *w = 1.0 / slope.abs().max(FLOOR * largest);
        }
        operator.matrix.factor(&operator.conductances).map_err(|_| Singular)
    }

    /// Replaces the closures in `x` by J⁻¹ of them.
    pub(super) fn solve(&mut self, x: &mut [f64], scratch: &mut [f64]) -> Result<(), Singular> {
        if self.exact {
            self.operator.approximate(x, scratch);
            x.copy_from_slice(scratch);
            return Ok(());
        }
        self.refine(x, false)
    }

    /// The same with the loop matrix or its transpose, to the last digits: no later step mends
    /// what this one leaves.
    pub(super) fn refine(&mut self, x: &mut [f64], transposed: bool) -> Result<(), Singular> {
        self.operator.transposed = transposed;
        self.krylov.solve(&mut self.operator, x)
    }

    /// Whether the symmetric part of the loop matrix is positive definite; `None` when that is
    /// not decided.
    ///
    /// What may make it indefinite is taken off a matrix that is definite,
    ///
    /// ```text
    /// J = B D₊ Bᵀ − V Vᵀ,   definite when I − Vᵀ (B D₊ Bᵀ)⁻¹ V is
    /// ```
    ///
    /// with √(2 |slope|) along each run whose slope is negative, and √(|c|/2) along one run and
    /// with or against another for each coupling c of them. The factors are lost.
    pub(super) fn is_definite(&mut self, slopes: &[f64], cross: &[f64]) -> Option<bool> {
        let operator = &mut self.operator;
        let couplings = operator.couplings.clone();
        let mut diagonal: Vec<f64> = slopes.iter().map(|slope| slope.abs()).collect();
        let mut doubts = Vec::new();
        for (run, &slope) in slopes.iter().enumerate().filter(|(_, slope)| **slope < 0.0) {
            doubts.push(((run, (-2.0 * slope).sqrt()), (run, 0.0)));
        }
        for (&(of, on), &c) in couplings.iter().zip(cross).filter(|(_, c)| **c != 0.0) {
            let half = 0.5 * c.abs();
            diagonal[of] += half;
            diagonal[on] += half;
            let root = half.sqrt();
            doubts.push(((of, root), (on, -c.signum() * root)));
        }
        let count = doubts.len();
        if count > MOST_DOUBTS {
            return None;
        }
        let none = vec![0.0; cross.len()];
        self.factor(&diagonal, &none).ok()?;
        self.small.reset(count);
        let loops = self.operator.paths.chords.len();
        let (mut x, mut y) = (vec![0.0; loops], vec![0.0; loops]);
        for (column, &(a, b)) in doubts.iter().enumerate() {
            self.operator.falls.fill(0.0);
            for (run, part) in [a, b] {
                self.operator.falls[run] += part;
            }
            let operator = &mut self.operator;
            operator.paths.close(&operator.falls, &mut operator.vertices, &mut x);
            self.solve(&mut x, &mut y).ok()?;
            let operator = &mut self.operator;
            operator.flows.fill(0.0);
            operator.paths.add_loop_flows(&x, &mut operator.flows, &mut operator.vertices);
            for (row, &(a, b)) in doubts.iter().enumerate() {
                let along = a.1 * operator.flows[a.0] + b.1 * operator.flows[b.0];
                self.small.add(row, column, f64::from(u8::from(row == column)) - along);
            }
        }
        Some(self.small.is_definite())
    }
}
