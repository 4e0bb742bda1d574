//! Dense LU factorisation in place, rows scaled, partial pivoting.
//!
//! The matrices are those of a few loops, solved again and again. Libraries take their matrix by
//! value and allocate, which a solve in a loop must not. Steps on long rows are nalgebra's; on rows of
//! eight numbers being called costs more than the step.

use nalgebra::{DVectorView, DVectorViewMut};

/// From this length on a step on rows is nalgebra's.
const LONG: usize = 32;

/// A square matrix stored by rows, and after [`Dense::factor`] its factors in the same place.
#[derive(Clone, Debug, Default)]
pub struct Dense {
    size: usize,
    entries: Vec<f64>,
    swaps: Vec<usize>,
    /// Whether rows were swapped at all.
    swapped: bool,
    scales: Vec<f64>,
    /// One over each pivot.
    inverses: Vec<f64>,
}

/// A pivot vanished beside the other entries of its row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Singular;

impl Dense {
    /// Makes it a zero matrix of `size` rows. Allocates only when larger than ever before.
    pub fn reset(&mut self, size: usize) {
        self.size = size;
        self.entries.clear();
        self.entries.resize(size * size, 0.0);
        self.swaps.resize(size, 0);
        self.scales.resize(size, 0.0);
        self.inverses.resize(size, 0.0);
    }

    /// Adds to an entry.
    ///
    /// # Panics
    /// When there is no such entry.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.entries[row * self.size + column] += value;
    }

    /// All entries, row by row.
    pub fn entries_mut(&mut self) -> &mut [f64] {
        &mut self.entries
    }

    pub(crate) fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.entries[row * self.size..(row + 1) * self.size]
    }

    /// Makes the upper triangle that of the lower one.
    pub(crate) fn mirror(&mut self) {
        let n = self.size;
        for i in 1..n {
            for j in 0..i {
                self.entries[j * n + i] = self.entries[i * n + j];
            }
        }
    }

    /// Factors in place: P A = L U. Returns whether the determinant is positive.
    ///
    /// # Errors
    /// When a pivot vanishes beside the other entries of its row, or one is no finite number.
    pub fn factor(&mut self) -> Result<bool, Singular> {
        let n = self.size;
        for (row, scale) in self.entries.chunks_exact(n.max(1)).zip(&mut self.scales) {
            let largest = crate::network::largest(row);
            if largest == 0.0 || !largest.is_finite() {
                return Err(Singular);
            }
            *scale = 1.0 / largest;
        }
        let smallest = f64::EPSILON * n as f64;
        let mut positive = true;
        self.swapped = false;
        for k in 0..n {
            let pivot = self.pivot_row(k);
            let size = self.entries[pivot * n + k].abs() * self.scales[pivot];
            if size.is_nan() || size <= smallest {
                return Err(Singular);
            }
            self.swaps[k] = pivot;
            if pivot != k {
                let (upper, lower) = self.entries.split_at_mut(pivot * n);
                upper[k * n..(k + 1) * n].swap_with_slice(&mut lower[..n]);
                self.scales.swap(k, pivot);
                self.swapped = true;
                positive = !positive;
            }
            if self.entries[k * n + k] < 0.0 {
                positive = !positive;
            }
            self.eliminate(k);
        }
        Ok(positive)
    }

    /// Factors a matrix whose symmetric part is positive definite, in the order in which it stands: no
    /// row need be swapped, because every pivot stays above zero.
    pub(crate) fn factor_definite(&mut self) -> Result<(), Singular> {
        let n = self.size;
        let smallest = f64::EPSILON * n as f64;
        self.swapped = false;
        for (k, scale) in self.scales.iter_mut().enumerate() {
            *scale = self.entries[k * n + k];
        }
        for k in 0..n {
            let pivot = self.entries[k * n + k];
            // Written so that what is no number ends here.
            if !(pivot > smallest * self.scales[k] && pivot.is_finite()) {
                return Err(Singular);
            }
            self.eliminate(k);
        }
        Ok(())
    }

    fn pivot_row(&self, k: usize) -> usize {
        let mut best = (k, -1.0);
        let column = self.entries[k * self.size + k..].iter().step_by(self.size);
        for ((i, entry), scale) in (k..self.size).zip(column).zip(&self.scales[k..]) {
            let size = entry.abs() * scale;
            if size > best.1 {
                best = (i, size);
            }
        }
        best.0
    }

    fn eliminate(&mut self, k: usize) {
        let n = self.size;
        let (done, rest) = self.entries.split_at_mut((k + 1) * n);
        let source = &done[k * n + k..];
        let inverse = 1.0 / source[0];
        self.inverses[k] = inverse;
        for row in rest.chunks_exact_mut(n) {
            let row = &mut row[k..];
            if row[0] == 0.0 {
                continue;
            }
            let factor = row[0] * inverse;
            row[0] = factor;
            subtract(&mut row[1..], factor, &source[1..]);
        }
    }

    /// Solves A x = b in place with the factors.
    ///
    /// # Panics
    /// When `b` has not one number for each row.
    pub fn solve(&self, b: &mut [f64]) {
        let n = self.size;
        if self.swapped {
            for k in 0..n {
                b.swap(k, self.swaps[k]);
            }
        }
        if n >= LONG {
            self.solve_by_rows(b);
            return;
        }
        // By columns: what one unknown gives to all others does not wait for a sum.
        for k in 0..n {
            let (value, rest) = (b[k], &mut b[k + 1..n]);
            let column = self.entries[(k * n + k)..].iter().step_by(n).skip(1);
            for (b, entry) in rest.iter_mut().zip(column) {
                *b -= entry * value;
            }
        }
        for k in (0..n).rev() {
            b[k] *= self.inverses[k];
            let (value, rest) = (b[k], &mut b[..k]);
            for (b, entry) in rest.iter_mut().zip(self.entries[k..].iter().step_by(n)) {
                *b -= entry * value;
            }
        }
    }

    /// The same by rows, as they lie in memory.
    fn solve_by_rows(&self, b: &mut [f64]) {
        let n = self.size;
        for (k, row) in self.entries.chunks_exact(n).enumerate() {
            b[k] -= dot(&row[..k], &b[..k]);
        }
        for (k, row) in self.entries.chunks_exact(n).enumerate().rev() {
            b[k] = (b[k] - dot(&row[k + 1..], &b[k + 1..n])) * self.inverses[k];
        }
    }

    /// Solves Aᵀ x = b in place with the factors.
    pub(crate) fn solve_transposed(&self, b: &mut [f64]) {
        let n = self.size;
        for i in 0..n {
            let row = &self.entries[i * n + i..(i + 1) * n];
            b[i] *= self.inverses[i];
            let value = b[i];
            subtract(&mut b[i + 1..n], value, &row[1..]);
        }
        for i in (0..n).rev() {
            let value = b[i];
            subtract(&mut b[..i], value, &self.entries[i * n..i * n + i]);
        }
        if self.swapped {
            for k in (0..n).rev() {
                b.swap(k, self.swaps[k]);
            }
        }
    }

    /// Whether the symmetric part of the (not yet factored) matrix is positive definite. Destroys
    /// the matrix.
    pub(crate) fn is_definite(&mut self) -> bool {
        let n = self.size;
        for i in 0..n {
            for j in 0..i {
                let mean = 0.5 * (self.entries[i * n + j] + self.entries[j * n + i]);
                self.entries[i * n + j] = mean;
                self.entries[j * n + i] = mean;
            }
        }
        for k in 0..n {
            // A pivot that has lost all its digits proves nothing either way; a flat loop counts
            // as definite so that it is not taken for an unstable one.
            if self.entries[k * n + k] < 0.0 || self.entries[k * n + k].is_nan() {
                return false;
            }
            if self.entries[k * n + k] > 0.0 {
                self.eliminate(k);
            }
        }
        true
    }
}

/// x ← x − factor · y.
#[inline]
fn subtract(x: &mut [f64], factor: f64, y: &[f64]) {
    let length = x.len();
    if length >= LONG {
        let y = DVectorView::from_slice(y, length);
        return DVectorViewMut::from_slice(x, length).axpy(-factor, &y, 1.0);
    }
    for (x, y) in x.iter_mut().zip(y) {
        *x -= factor * y;
    }
}

/// Σ a b, in eight sums side by side: one sum would wait for itself.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let ((a_eights, a), (b_eights, b)) = (a.as_chunks::<8>(), b.as_chunks::<8>());
    let mut sums = [0.0; 8];
    for (a, b) in a_eights.iter().zip(b_eights) {
        sums.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (a, b))| *sum += a * b);
    }
    let rest: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(rows: &[&[f64]]) -> Dense {
        let mut matrix = Dense::default();
        matrix.reset(rows.len());
        for (i, row) in rows.iter().enumerate() {
            for (j, value) in row.iter().enumerate() {
                matrix.add(i, j, *value);
            }
        }
        matrix
    }

    /// A x = b with a known x, an order of rows that needs pivoting, and rows of unequal scale.
    #[test]
    fn solves_and_solves_transposed() {
        let rows: [&[f64]; 3] = [&[0.0, 2e9, 1e9], &[1.0, 1.0, 0.0], &[4e-9, 0.0, -1e-9]];
        let x = [1.0, -2.0, 3.0];
        let mut lu = filled(&rows);
        lu.factor().unwrap();
        let times_x = |row: &&[f64]| row.iter().zip(&x).map(|(a, x)| a * x).sum();
        let mut b: Vec<f64> = rows.iter().map(times_x).collect();
        lu.solve(&mut b);
        let rows: [&[f64]; 3] = [&[0.0, 2.0, 1.0], &[1.0, 1.0, 0.0], &[4.0, 0.0, -1.0]];
        let mut lu = filled(&rows);
        lu.factor().unwrap();
        let mut c: Vec<f64> = (0..3).map(|j| (0..3).map(|i| rows[i][j] * x[i]).sum()).collect();
        lu.solve_transposed(&mut c);
        for i in 0..3 {
            assert!((b[i] - x[i]).abs() < 1e-14, "solve: got {b:?}, want {x:?}");
            assert!((c[i] - x[i]).abs() < 1e-14, "transposed: got {c:?}, want {x:?}");
        }
    }

    /// A matrix that is not symmetric, factored with and without the search for pivots.
    #[test]
    fn definite_matrices_need_no_pivots() {
        let rows: [&[f64]; 3] = [&[2.0, 1.5, 0.0], &[-1.5, 3.0, 1.0], &[0.5, 1.0, 1.0]];
        let (mut plain, mut pivoted) = (filled(&rows), filled(&rows));
        plain.factor_definite().unwrap();
        pivoted.factor().unwrap();
        let (mut x, mut y) = ([5.0, 4.5, 3.0], [5.0, 4.5, 3.0]);
        for (matrix, b) in [(&plain, &mut x), (&pivoted, &mut y)] {
            matrix.solve(b);
            for (row, want) in rows.iter().zip([5.0, 4.5, 3.0]) {
                let got: f64 = row.iter().zip(&*b).map(|(a, x)| a * x).sum();
                assert!((got - want).abs() < 1e-14, "got {got}, want {want}");
            }
        }
        assert_eq!(filled(&[&[1.0, 1.0], &[1.0, 1.0]]).factor_definite(), Err(Singular));
    }

    /// Rows on both sides of [`LONG`], against nalgebra's own LU.
    #[test]
    fn large_matrices_agree_with_nalgebra() {
        const N: usize = 2 * LONG;
        let entry = |i: usize, j: usize| ((3 * i + 7 * j + i * j) % 11) as f64 - 5.0;
        let whole = nalgebra::SMatrix::<f64, N, N>::from_fn(|i, j| {
            entry(i, j) + if i == j { 40.0 } else { 0.0 }
        });
        let right = nalgebra::SVector::<f64, N>::from_fn(|i, _| entry(i, 3));
        let want = whole.lu().solve(&right).expect("the matrix is regular");
        let mut ours = Dense::default();
        ours.reset(N);
        for i in 0..N {
            for j in 0..N {
                ours.add(i, j, whole[(i, j)]);
            }
        }
        ours.factor().unwrap();
        let mut got: Vec<f64> = right.iter().copied().collect();
        ours.solve(&mut got);
        for (got, want) in got.iter().zip(&want) {
            assert!((got - want).abs() < 1e-12, "got {got}, want {want}");
        }
    }

    #[test]
    fn tells_the_sign_of_the_determinant_and_singularity() {
        assert_eq!(filled(&[&[0.0, 1.0], &[1.0, 0.0]]).factor(), Ok(false));
        assert_eq!(filled(&[&[2.0, 1.0], &[1.0, 2.0]]).factor(), Ok(true));
        assert_eq!(filled(&[&[1.0, 2.0], &[2.0, 4.0]]).factor(), Err(Singular));
        assert!(filled(&[&[2.0, 3.0], &[-3.0, 2.0]]).is_definite());
        assert!(!filled(&[&[1.0, 3.0], &[3.0, 1.0]]).is_definite());
    }
}
