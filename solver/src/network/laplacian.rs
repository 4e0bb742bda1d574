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
    /// The entries, and one more place for what falls away.
    values: Vec<f64>,
    /// For each run the places of the diagonals at its ends and of the entry beside them: that for what
    /// falls away where an end is fixed.
    places: Vec<[usize; 3]>,
    /// Diagonals of the fixed junctions.
    ones: Vec<usize>,
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
        let values = vec![0.0; rows.len() + 1];
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
            places: vec![[0; 3]; ends.len()],
            ones: Vec::with_capacity(junctions),
            slots,
            factors: vec![0.0; symbolic.len_val()],
            memory: memory(&symbolic),
            symbolic,
        })
    }

    /// Takes over which junctions are fixed.
    pub(super) fn fix(&mut self, fixed: &[bool]) {
        let start = self.pattern.col_ptr();
        let (diagonal, away) = (|junction: usize| start[junction + 1] - 1, self.values.len() - 1);
        for ((&(from, to), &slot), places) in
            self.ends.iter().zip(&self.slots).zip(&mut self.places)
        {
            let free = |junction: usize| !fixed[junction] && from != to;
            let place = |junction| if free(junction) { diagonal(junction) } else { away };
            let beside = if free(from) && free(to) { slot } else { away };
            *places = [place(from), place(to), beside];
        }
        self.ones.clear();
        let ones = fixed.iter().enumerate().filter(|(_, fixed)| **fixed);
        self.ones.extend(ones.map(|(junction, _)| diagonal(junction)));
    }

    /// Fills in the conductances and factors.
    pub(super) fn factor(&mut self, conductances: &[f64]) -> Result<(), NotDefinite> {
        self.values.fill(0.0);
        for (&[from, to, beside], w) in self.places.iter().zip(conductances) {
            self.values[from] += w;
            self.values[to] += w;
            self.values[beside] -= w;
        }
        for &one in &self.ones {
            self.values[one] = 1.0;
        }
        let entries = &self.values[..self.values.len() - 1];
        self.symbolic
            .factorize_numeric_llt(
                &mut self.factors,
                SparseColMatRef::new(self.pattern.as_ref(), entries),
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
            places: self.places.clone(),
            ones: self.ones.clone(),
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
