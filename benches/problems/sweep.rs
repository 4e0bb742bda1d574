//! The split at 100 pump speeds and 100 factors on all its bores.

use coolwright_models::slots::Slot;
use rayon::prelude::*;

use super::problem::compare;
use super::split::Split;

/// Speeds, and factors on the bores.
pub(crate) const SIDE: usize = 100;
/// Rows that one task takes: enough tasks that no core waits long for another.
const ROWS: usize = 5;
/// Answers that the start of the next is extrapolated from.
const BEHIND: usize = 5;

/// Largest error of a sum or of a point's answer, in shares of it.
const TOLERANCE: f64 = 1e-8;
/// Flow through the core, largest over smallest flow of a pass, pressure before the core.
const NAMES: [&str; 3] = ["m(main)", "spread", "p(J)"];
const SUMS: [f64; 3] = [13525.2775630, 11184.4221076, 267441593.526];
const POINTS: [((usize, usize), [f64; 3]); 5] = [
    ((0, 0), [0.517629608352, 1.07907706482, 5574.63949322]),
    ((0, 99), [0.941526273930, 1.15214308148, 11580.5461942]),
    ((99, 0), [1.33956953026, 1.08413043468, 32186.4952226]),
    ((99, 99), [2.37246853506, 1.15737851160, 64506.2175582]),
    ((50, 50), [1.39495718382, 1.11908751721, 26148.9942795]),
];

type Row = [[f64; 3]; SIDE];

/// The answers, row by row, each of one factor on the bores.
pub(crate) struct Sweep {
    workers: Vec<Worker>,
    rows: Vec<Row>,
}

/// One core's circuit and workspace.
struct Worker {
    split: Split,
    /// The last answers, the latest first.
    behind: [Vec<f64>; BEHIND],
    iterations: usize,
}

impl Sweep {
    pub(crate) fn new() -> Self {
        let worker = |_| {
            let split = Split::new();
            let behind = std::array::from_fn(|_| split.problem.flows.clone());
            Worker { split, behind, iterations: 0 }
        };
        Self { workers: (0..SIDE / ROWS).map(worker).collect(), rows: vec![[[0.0; 3]; SIDE]; SIDE] }
    }

    /// Solves all points on the cores of the present thread pool; the iterations that it took.
    pub(crate) fn solve(&mut self) -> usize {
        let tasks = self.rows.par_chunks_mut(ROWS).zip(&mut self.workers).enumerate();
        let iterations = tasks.map(|(task, (rows, worker))| {
            worker.iterations = 0;
            for (k, row) in rows.iter_mut().enumerate() {
                worker.row(task * ROWS + k, row);
            }
            worker.iterations
        });
        iterations.sum()
    }

    /// Solves all points on one core with one workspace; the iterations that it took.
    pub(crate) fn solve_alone(&mut self) -> usize {
        let worker = &mut self.workers[0];
        worker.iterations = 0;
        for (j, row) in self.rows.iter_mut().enumerate() {
            worker.row(j, row);
        }
        worker.iterations
    }

    /// All answers, to the bit.
    pub(crate) fn bits(&self) -> Vec<u64> {
        self.rows.iter().flatten().flatten().map(|number| number.to_bits()).collect()
    }

    /// Compares with the known answers.
    ///
    /// # Errors
    /// Names the numbers that are off, got and wanted.
    pub(crate) fn check(&self) -> Result<(), String> {
        let sum = |k: usize| self.rows.iter().flatten().map(|point| point[k]).sum();
        let sums = [sum(0), sum(1), sum(2)].into_iter().zip(SUMS);
        let points =
            POINTS.iter().flat_map(|((i, j), want)| self.rows[*j][*i].into_iter().zip(*want));
        let names = NAMES.into_iter().cycle();
        let numbers = names.zip(sums.chain(points)).map(|(name, (got, want))| (name, got, want));
        compare(numbers, TOLERANCE)
    }
}

impl Worker {
    /// One factor on all bores, and all speeds, each from where the answers before it lead.
    fn row(&mut self, j: usize, row: &mut Row) {
        let factor = 0.8 + 0.5 * j as f64 / 99.0;
        let problem = &mut self.split.problem;
        for (slot, bore) in &self.split.bores {
            problem.values.set(*slot, bore * factor);
        }
        for (i, point) in row.iter_mut().enumerate() {
            set(problem, &self.split.speeds, 0.5 + 0.7 * i as f64 / 99.0);
            self.iterations += if i < BEHIND {
                problem.solve().iterations
            } else {
                extrapolate(&self.behind, &mut problem.flows);
                problem.solve_on().iterations
            };
            self.behind.rotate_right(1);
            self.behind[0].copy_from_slice(&problem.flows);
            let passes = &problem.flows[5..13];
            let most = passes.iter().copied().fold(f64::MIN, f64::max);
            let least = passes.iter().copied().fold(f64::MAX, f64::min);
            *point = [problem.flows[0], most / least, problem.pressures[1]];
        }
    }
}

fn set(problem: &mut super::problem::Problem, slots: &[Slot], value: f64) {
    for slot in slots {
        problem.values.set(*slot, value);
    }
}

/// The polynomial through the answers behind, one step on: 5a − 10b + 10c − 5d + e.
fn extrapolate([a, b, c, d, e]: &[Vec<f64>; BEHIND], flows: &mut [f64]) {
    for (i, flow) in flows.iter_mut().enumerate() {
        *flow = 5.0 * (a[i] - d[i]) - 10.0 * (b[i] - c[i]) + e[i];
    }
}
