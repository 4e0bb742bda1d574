//! The matrix of the pressures: conductances of the runs between the junctions, and its Cholesky
//! factors.
//!
//! ```text
//! A W Aᵀ,   W = 1 / slope
//! ```
//!
//! It is symmetric, and positive definite once one junction of each component is fixed. Pattern
//! and elimination order (approximate minimum degree, Amestoy, Davis & Duff 1996, by `faer`) are
//! found once; filling, factoring and solving allocate nothing.

use faer::dyn_stack::{MemBuffer, MemStack, StackReq};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering,
    factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};
use faer::{Conj, MatMut, Par, Side};
use std::fmt;
use std::sync::Arc;

/// Work per entry of the factors, in `faer`'s unit, from which dense blocks are faster; its own choice is
/// one. To factor and to solve takes, with blocks and with single columns: 12 and 6 µs on a grid of
/// 10 × 10 junctions; 0.19 and 0.10 ms on 30 × 30; 2.8 and 4.1 ms on 100 × 100; 40 and 133 ms on
/// 300 × 300.
const BLOCKS: f64 = 0.5;

/// Why there are no factors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct NotDefinite;

/// The matrix over all junctions; rows of fixed ones are those of the identity.
pub(super) struct Laplacian {
    ends: Vec<(usize, usize)>,
    /// Upper triangle, the diagonal last in each column.
    pattern: SymbolicSparseColMat<usize>,
    values: Vec<f64>,
    /// Place of each run's entry beside the diagonal; for a run from a junction to itself, any.
    slots: Vec<usize>,
    symbolic: Arc<SymbolicCholesky<usize>>,
    factors: Vec<f64>,
    memory: MemBuffer,
}

impl Laplacian {
    /// `None` when there is no memory for it.
    pub(super) fn new(junctions: usize, ends: &[(usize, usize)]) -> Option<Self> {
        let mut columns = vec![Vec::new(); junctions];
        for &(from, to) in ends.iter().filter(|(from, to)| from != to) {
            columns[from.max(to)].push(from.min(to));
        }
        let (mut start, mut rows) = (vec![0], Vec::new());
        for (column, above) in columns.iter_mut().enumerate() {
            above.push(column);
            above.sort_unstable();
            above.dedup();
            rows.extend_from_slice(above);
            start.push(rows.len());
        }
        let place = |&(from, to): &(usize, usize)| {
            let range = start[from.max(to)]..start[from.max(to) + 1];
            range.start + rows[range].partition_point(|row| *row < from.min(to))
        };
        let slots = ends.iter().map(place).collect();
        let values = vec![0.0; rows.len()];
        let pattern = SymbolicSparseColMat::new_checked(junctions, junctions, start, None, rows);
        let symbolic = factorize_symbolic_cholesky(
            pattern.as_ref(),
            Side::Upper,
            SymmetricOrdering::Amd,
            CholeskySymbolicParams {
                supernodal_flop_ratio_threshold: SupernodalThreshold(BLOCKS),
                ..CholeskySymbolicParams::default()
            },
        );
        let symbolic = Arc::new(symbolic.ok()?);
        Some(Self {
            ends: ends.to_vec(),
            pattern,
            values,
            slots,
            factors: vec![0.0; symbolic.len_val()],
            memory: memory(&symbolic),
            symbolic,
        })
    }

    /// Fills in the conductances and factors.
    pub(super) fn factor(
        &mut self,
        conductances: &[f64],
        fixed: &[bool],
    ) -> Result<(), NotDefinite> {
        self.values.fill(0.0);
        let start = self.pattern.col_ptr();
        for ((&(from, to), &slot), w) in self.ends.iter().zip(&self.slots).zip(conductances) {
            if from == to {
                continue;
            }
            let (free_from, free_to) = (!fixed[from], !fixed[to]);
            if free_from {
                self.values[start[from + 1] - 1] += w;
            }
            if free_to {
                self.values[start[to + 1] - 1] += w;
            }
            if free_from && free_to {
                self.values[slot] -= w;
            }
        }
        for (column, _) in fixed.iter().enumerate().filter(|(_, fixed)| **fixed) {
            self.values[start[column + 1] - 1] = 1.0;
        }
        self.symbolic
            .factorize_numeric_llt(
                &mut self.factors,
                SparseColMatRef::new(self.pattern.as_ref(), &self.values),
                Side::Upper,
                LltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut self.memory),
                faer::Spec::default(),
            )
            .map(|_| ())
            .map_err(|_| NotDefinite)
    }

    /// Solves in place with the last factors.
    pub(super) fn solve(&mut self, pressures: &mut [f64]) {
        let count = pressures.len();
        LltRef::new(&*self.symbolic, &self.factors).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(pressures, count, 1),
            Par::Seq,
            MemStack::new(&mut self.memory),
        );
    }
}

impl fmt::Debug for Laplacian {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Laplacian").field("runs", &self.ends.len()).finish_non_exhaustive()
    }
}

impl Clone for Laplacian {
    fn clone(&self) -> Self {
        Self {
            ends: self.ends.clone(),
            pattern: self.pattern.clone(),
            values: self.values.clone(),
            slots: self.slots.clone(),
            symbolic: Arc::clone(&self.symbolic),
            factors: self.factors.clone(),
            memory: memory(&self.symbolic),
        }
    }
}

fn memory(symbolic: &SymbolicCholesky<usize>) -> MemBuffer {
    MemBuffer::new(StackReq::any_of(&[
        symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, faer::Spec::default()),
        symbolic.solve_in_place_scratch::<f64>(1, Par::Seq),
    ]))
}
