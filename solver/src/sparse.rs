//! Sparse LU factorisation of matrices that share one pattern.
//!
//! The pattern is analysed once: an approximate minimum degree ordering (Amestoy, Davis & Duff
//! 1996, by `faer`) and the fill that follows from it. After that a matrix is refilled, factored
//! and solved for without allocating. Pivots stay on the diagonal, which suits the matrices of
//! implicit integration, I − hγJ. Where a pivot is too weak for that, the matrix is factored anew
//! by `faer` with partial pivoting, which allocates.
//!
//! Measured on rings of cells with a few far entries, factor and solve together, one thread, in a
//! release build (the test `beside_faer` prints them):
//!
//! | unknowns | 50 | 100 | 200 | 400 | 800 |
//! | --- | --- | --- | --- | --- | --- |
//! | this, µs | 1.1 | 2.2 | 4.7 | 10 | 27 |
//! | `faer` with its symbolic part kept, µs | 4.8 | 8.1 | 17 | 35 | 98 |
//!
//! The difference is that `faer` finds the row order and with it the pattern of the factors anew
//! each time; that also makes it allocate.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::solvers::SolveCore;
use faer::sparse::linalg::{amd, solvers::Lu};
use faer::sparse::{Pair, SparseColMat, SymbolicSparseColMat, Triplet};
use faer::{Conj, MatMut};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

/// A diagonal pivot below this share of its row's largest entry is refused.
const WEAK: f64 = 1e-6;

/// What follows from a pattern alone: one for all matrices that are copied from each other.
#[derive(Debug)]
struct Plan {
    size: usize,
    pattern: Vec<(usize, usize)>,
    /// Place of each pattern entry among the factors.
    slots: Vec<usize>,
    /// Old index of each row and column in the new order.
    old: Vec<usize>,
    row_start: Vec<usize>,
    columns: Vec<usize>,
    diagonal: Vec<usize>,
}

/// A square sparse matrix with a fixed pattern, and its factors. A copy shares what follows from the pattern.
#[derive(Clone, Debug)]
pub struct Sparse {
    plan: Arc<Plan>,
    factors: Vec<f64>,
    row: Vec<f64>,
    pivoted: Option<Lu<usize, f64>>,
    factored: bool,
}

/// Why there are no factors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SparseError {
    /// A pattern entry lies outside the matrix.
    Outside {
        /// Its row.
        row: usize,
        /// Its column.
        column: usize,
    },
    /// The matrix is singular to working precision.
    Singular {
        /// The row at which that showed first.
        row: usize,
    },
    /// An entry is not a finite number.
    NotFinite {
        /// Its number in the pattern.
        entry: usize,
    },
    /// The ordering failed for want of memory.
    Ordering,
}

impl fmt::Display for SparseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outside { row, column } => {
                write!(f, "entry ({row}, {column}) lies outside the matrix")
            }
            Self::Singular { row } => write!(f, "the matrix is singular at row {row}"),
            Self::NotFinite { entry } => {
                write!(f, "entry {entry} of the matrix is not a finite number")
            }
            Self::Ordering => f.write_str("no memory for the ordering"),
        }
    }
}

impl std::error::Error for SparseError {}

impl Sparse {
    /// Analyses a pattern of (row, column) entries in any order; entries at the same place add
    /// up. The diagonal belongs to the pattern whether it is named or not.
    ///
    /// # Errors
    /// When an entry lies outside the matrix, or there is no memory.
    pub fn new(size: usize, pattern: &[(usize, usize)]) -> Result<Self, SparseError> {
        if let Some(&(row, column)) = pattern.iter().find(|(r, c)| *r >= size || *c >= size) {
            return Err(SparseError::Outside { row, column });
        }
        let old = order(size, pattern)?;
        let mut new = vec![0; size];
        for (place, &index) in old.iter().enumerate() {
            new[index] = place;
        }
        let rows = fill(size, pattern, &new);
        let mut row_start = vec![0];
        let (mut columns, mut diagonal) = (Vec::new(), Vec::new());
        for (index, row) in rows.iter().enumerate() {
            diagonal.push(columns.len() + row.range(..index).count());
            columns.extend(row);
            row_start.push(columns.len());
        }
        let place = |&(row, column): &(usize, usize)| {
            let range = row_start[new[row]]..row_start[new[row] + 1];
            range.start + columns[range].partition_point(|c| *c < new[column])
        };
        let slots = pattern.iter().map(place).collect();
        let (factors, row) = (vec![0.0; columns.len()], vec![0.0; size]);
        let pattern = pattern.to_vec();
        let plan = Plan { size, pattern, slots, old, row_start, columns, diagonal };
        Ok(Self { plan: Arc::new(plan), factors, row, pivoted: None, factored: false })
    }

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.plan.size
    }

    /// Entries of the factors, fill included.
    pub fn fill(&self) -> usize {
        self.plan.columns.len()
    }

    /// Whether the last factorisation needed partial pivoting.
    pub fn is_pivoted(&self) -> bool {
        self.pivoted.is_some()
    }

    /// Factors `scale`·A + `shift`·I, the values of A given in the order of the pattern.
    ///
    /// # Errors
    /// When the matrix is singular, or a value is not finite.
    ///
    /// # Panics
    /// When the number of values is not that of the pattern.
    pub fn factor(&mut self, scale: f64, values: &[f64], shift: f64) -> Result<(), SparseError> {
        assert_eq!(values.len(), self.plan.slots.len(), "one value for each entry of the pattern");
        self.pivoted = None;
        self.factored = false;
        self.factors.fill(0.0);
        for (slot, value) in self.plan.slots.iter().zip(values) {
            self.factors[*slot] += scale * value;
        }
        for &slot in &self.plan.diagonal {
            self.factors[slot] += shift;
        }
        if self.factors.iter().sum::<f64>().is_finite() && self.eliminate() {
            self.factored = true;
            return Ok(());
        }
        self.pivot(scale, values, shift)
    }

    /// Row by row without pivoting. False at a weak pivot.
    fn eliminate(&mut self) -> bool {
        let Self { plan, factors, row, .. } = self;
        let Plan { size, row_start, columns, diagonal, .. } = &**plan;
        for i in 0..*size {
            let (start, pivot, end) = (row_start[i], diagonal[i], row_start[i + 1]);
            for slot in start..end {
                row[columns[slot]] = factors[slot];
            }
            for slot in start..pivot {
                let j = columns[slot];
                let factor = row[j] * factors[diagonal[j]];
                factors[slot] = factor;
                if factor != 0.0 {
                    let above = diagonal[j] + 1..row_start[j + 1];
                    let columns = columns[above.clone()].iter();
                    for (column, value) in columns.zip(&factors[above]) {
                        row[*column] -= factor * value;
                    }
                }
            }
            let mut largest = 0.0_f64;
            for slot in pivot..end {
                let value = row[columns[slot]];
                factors[slot] = value;
                largest = largest.max(value.abs());
            }
            let size = factors[pivot].abs();
            if size.is_nan() || size == 0.0 || size < WEAK * largest || !largest.is_finite() {
                return false;
            }
            // The pivot is stored as its inverse.
            factors[pivot] = 1.0 / factors[pivot];
        }
        true
    }

    /// Partial pivoting, by `faer`.
    fn pivot(&mut self, scale: f64, values: &[f64], shift: f64) -> Result<(), SparseError> {
        if let Some(entry) = values.iter().position(|value| !(scale * value).is_finite()) {
            return Err(SparseError::NotFinite { entry });
        }
        let entries = self.plan.pattern.iter().zip(values);
        let mut triplets: Vec<_> = entries
            .map(|(&(row, column), value)| Triplet::new(row, column, scale * value))
            .collect();
        triplets.extend((0..self.plan.size).map(|i| Triplet::new(i, i, shift)));
        let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(
            self.plan.size,
            self.plan.size,
            &triplets,
        );
        let matrix = matrix.map_err(|_| SparseError::Ordering)?;
        let factors = matrix
            .sp_lu()
            .map_err(|_| SparseError::Singular { row: self.first_empty_row(values) })?;
        // A singular matrix shows in what it makes of a vector.
        let mut probe: Vec<f64> = (0..self.plan.size).map(|i| 1.0 + (i % 7) as f64).collect();
        factors.solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(&mut probe, self.plan.size, 1),
        );
        let largest = triplets.iter().fold(0.0_f64, |most, t| most.max(t.val.abs()));
        let grown = probe.iter().position(|x| !x.is_finite() || x.abs() * largest > 1e18);
        if let Some(row) = grown {
            return Err(SparseError::Singular { row });
        }
        self.pivoted = Some(factors);
        self.factored = true;
        Ok(())
    }

    fn first_empty_row(&self, values: &[f64]) -> usize {
        let occupied = |row: usize| {
            let mut entries = self.plan.pattern.iter().zip(values);
            entries.any(|((r, _), value)| *r == row && *value != 0.0)
        };
        (0..self.plan.size).find(|row| !occupied(*row)).unwrap_or(0)
    }

    /// Solves A x = b in place with the factors.
    ///
    /// # Panics
    /// When the last factorisation failed or there was none, or `b` has the wrong length.
    pub fn solve(&mut self, b: &mut [f64]) {
        let mut row = std::mem::take(&mut self.row);
        self.solve_in(b, &mut row);
        self.row = row;
    }

    /// The same with room of the caller's own, for factors that are shared.
    ///
    /// # Panics
    /// As [`Sparse::solve`].
    pub fn solve_in(&self, b: &mut [f64], row: &mut Vec<f64>) {
        let Plan { size, old, row_start, columns, diagonal, .. } = &*self.plan;
        row.resize(*size, 0.0);
        assert!(self.factored, "factor before solving");
        assert_eq!(b.len(), *size, "one number for each row");
        if let Some(factors) = &self.pivoted {
            factors.solve_in_place_with_conj(
                Conj::No,
                MatMut::from_column_major_slice_mut(b, *size, 1),
            );
            return;
        }
        for (value, &index) in row.iter_mut().zip(old) {
            *value = b[index];
        }
        let row = &mut row[..*size];
        let pivots = row_start.windows(2).zip(diagonal).enumerate();
        for (i, (bounds, &pivot)) in pivots.clone() {
            let range = bounds[0]..pivot;
            row[i] -= product(&self.factors[range.clone()], &columns[range], row);
        }
        for (i, (bounds, &pivot)) in pivots.rev() {
            let factors = &self.factors[pivot..bounds[1]];
            let sum = product(&factors[1..], &columns[pivot + 1..bounds[1]], row);
            row[i] = (row[i] - sum) * factors[0];
        }
        for (value, &index) in row.iter().zip(old) {
            b[index] = *value;
        }
    }
}

/// Σ value · vector at its column. Most rows are those of cells in a chain and short.
#[inline]
fn product(values: &[f64], columns: &[usize], vector: &[f64]) -> f64 {
    match (values, columns) {
        ([], _) => 0.0,
        ([value], [column]) => value * vector[*column],
        ([a, b], [of_a, of_b]) => a * vector[*of_a] + b * vector[*of_b],
        _ => long_product(values, columns, vector),
    }
}

/// The same in four sums side by side: one sum would wait for itself.
fn long_product(values: &[f64], columns: &[usize], vector: &[f64]) -> f64 {
    let (value_fours, values) = values.as_chunks::<4>();
    let (column_fours, columns) = columns.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for (values, columns) in value_fours.iter().zip(column_fours) {
        for (sum, (value, column)) in sums.iter_mut().zip(values.iter().zip(columns)) {
            *sum += value * vector[*column];
        }
    }
    let rest: f64 = values.iter().zip(columns).map(|(value, column)| value * vector[*column]).sum();
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Old indices in the order of elimination.
fn order(size: usize, pattern: &[(usize, usize)]) -> Result<Vec<usize>, SparseError> {
    let indices: Vec<_> = pattern.iter().map(|&(row, col)| Pair { row, col }).collect();
    let symbolic = SymbolicSparseColMat::<usize>::try_new_from_indices(size, size, &indices);
    let (symbolic, _) = symbolic.map_err(|_| SparseError::Ordering)?;
    let (mut old, mut new) = (vec![0; size], vec![0; size]);
    let scratch = amd::order_maybe_unsorted_scratch::<usize>(size, symbolic.compute_nnz());
    let mut memory = MemBuffer::new(scratch);
    let stack = MemStack::new(&mut memory);
    amd::order_maybe_unsorted(
        &mut old,
        &mut new,
        symbolic.as_ref(),
        amd::Control::default(),
        stack,
    )
    .map_err(|_| SparseError::Ordering)?;
    Ok(old)
}

/// Columns of each row of the factors, in the new order.
fn fill(size: usize, pattern: &[(usize, usize)], new: &[usize]) -> Vec<BTreeSet<usize>> {
    let mut rows: Vec<BTreeSet<usize>> = (0..size).map(|i| BTreeSet::from([i])).collect();
    for &(row, column) in pattern {
        rows[new[row]].insert(new[column]);
    }
    for i in 0..size {
        let mut next = 0;
        while let Some(&j) = rows[i].range(next..i).next() {
            let (above, below) = rows.split_at_mut(i);
            below[0].extend(above[j].range(j + 1..));
            next = j + 1;
        }
    }
    rows
}
