//! Dense LU factorisation in place, rows scaled, partial pivoting.
//!
//! The steps on rows are nalgebra's. Its own LU takes its matrix by value and allocates, which a solve
//! in a loop must not.

use nalgebra::{DVectorView, DVectorViewMut};

/// A square matrix stored by rows, and after [`Dense::factor`] its factors in the same place.
#[derive(Clone, Debug, Default)]
pub(crate) struct Dense {
    size: usize,
    entries: Vec<f64>,
    swaps: Vec<usize>,
    scales: Vec<f64>,
}

/// A pivot vanished beside the other entries of its row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Singular;

impl Dense {
    /// Makes it a zero matrix of `size` rows. Allocates only when larger than ever before.
    pub(crate) fn reset(&mut self, size: usize) {
        self.size = size;
        self.entries.clear();
        self.entries.resize(size * size, 0.0);
        self.swaps.resize(size, 0);
        self.scales.resize(size, 0.0);
    }

    pub(crate) fn add(&mut self, row: usize, column: usize, value: f64) {
        self.entries[row * self.size + column] += value;
    }

    /// Factors in place: P A = L U. Returns whether the determinant is positive.
    pub(crate) fn factor(&mut self) -> Result<bool, Singular> {
        let n = self.size;
        for (row, scale) in self.entries.chunks_exact(n.max(1)).zip(&mut self.scales) {
            let largest = row.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
            if largest == 0.0 || !largest.is_finite() {
                return Err(Singular);
            }
            *scale = 1.0 / largest;
        }
        let smallest = f64::EPSILON * n as f64;
        let mut positive = true;
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
                positive = !positive;
            }
            if self.entries[k * n + k] < 0.0 {
                positive = !positive;
            }
            self.eliminate(k);
        }
        Ok(positive)
    }

    fn pivot_row(&self, k: usize) -> usize {
        let mut best = (k, -1.0);
        for i in k..self.size {
            let size = self.entries[i * self.size + k].abs() * self.scales[i];
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
    pub(crate) fn solve(&self, b: &mut [f64]) {
        let n = self.size;
        for k in 0..n {
            b.swap(k, self.swaps[k]);
        }
        for i in 1..n {
            let row = &self.entries[i * n..i * n + i];
            b[i] -= dot(row, &b[..i]);
        }
        for i in (0..n).rev() {
            let row = &self.entries[i * n + i..(i + 1) * n];
            b[i] = (b[i] - dot(&row[1..], &b[i + 1..n])) / row[0];
        }
    }

    /// Solves Aᵀ x = b in place with the factors.
    pub(crate) fn solve_transposed(&self, b: &mut [f64]) {
        let n = self.size;
        for i in 0..n {
            let row = &self.entries[i * n + i..(i + 1) * n];
            b[i] /= row[0];
            let value = b[i];
            subtract(&mut b[i + 1..n], value, &row[1..]);
        }
        for i in (0..n).rev() {
            let value = b[i];
            subtract(&mut b[..i], value, &self.entries[i * n..i * n + i]);
        }
        for k in (0..n).rev() {
            b.swap(k, self.swaps[k]);
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

fn dot(a: &[f64], b: &[f64]) -> f64 {
    DVectorView::from_slice(a, a.len()).dot(&DVectorView::from_slice(b, b.len()))
}

/// x ← x − factor · y.
fn subtract(x: &mut [f64], factor: f64, y: &[f64]) {
    let length = x.len();
    DVectorViewMut::from_slice(x, length).axpy(-factor, &DVectorView::from_slice(y, y.len()), 1.0);
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
        let mut b: Vec<f64> = rows.iter().map(|row| dot(row, &x)).collect();
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

    #[test]
    fn tells_the_sign_of_the_determinant_and_singularity() {
        assert_eq!(filled(&[&[0.0, 1.0], &[1.0, 0.0]]).factor(), Ok(false));
        assert_eq!(filled(&[&[2.0, 1.0], &[1.0, 2.0]]).factor(), Ok(true));
        assert_eq!(filled(&[&[1.0, 2.0], &[2.0, 4.0]]).factor(), Err(Singular));
        assert!(filled(&[&[2.0, 3.0], &[-3.0, 2.0]]).is_definite());
        assert!(!filled(&[&[1.0, 3.0], &[3.0, 1.0]]).is_definite());
    }
}
