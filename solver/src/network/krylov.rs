//! GMRES (Saad & Schultz 1986), preconditioned from the right.

use crate::dense::Singular;

/// Directions kept, and how often it starts anew.
const DIRECTIONS: usize = 60;
const RESTARTS: usize = 4;
/// Residual over right-hand side to reach, and the one that will do when no more can be had.
const GOAL: f64 = 1e-11;
const ENOUGH: f64 = 1e-5;

/// A linear operator and an approximation of its inverse.
pub(super) trait Operator {
    /// y = J x
    fn apply(&mut self, x: &[f64], y: &mut [f64]);
    /// y ≈ J⁻¹ x
    fn approximate(&mut self, x: &[f64], y: &mut [f64]);
}

/// Storage, kept from solve to solve; it grows with the directions needed.
#[derive(Clone, Debug, Default)]
pub(super) struct Krylov {
    basis: Vec<Vec<f64>>,
    /// Columns of the triangular factor.
    columns: Vec<Vec<f64>>,
    rotations: Vec<(f64, f64)>,
    rest: Vec<f64>,
    residual: Vec<f64>,
    right: Vec<f64>,
    scratch: Vec<f64>,
}

impl Krylov {
    /// Replaces the right-hand side in `x` by the solution.
    pub(super) fn solve(
        &mut self,
        operator: &mut impl Operator,
        x: &mut [f64],
    ) -> Result<(), Singular> {
        for vector in [&mut self.residual, &mut self.right, &mut self.scratch] {
            vector.resize(x.len(), 0.0);
        }
        self.right.copy_from_slice(x);
        self.residual.copy_from_slice(x);
        let size = norm(x);
        x.fill(0.0);
        if size == 0.0 {
            return Ok(());
        }
        let mut before = size;
        for _ in 0..RESTARTS {
            self.cycle(operator, x, before, GOAL * size);
            operator.apply(x, &mut self.scratch);
            for ((r, b), y) in self.residual.iter_mut().zip(&self.right).zip(&self.scratch) {
                *r = b - y;
            }
            let now = norm(&self.residual);
            // Beyond rounding nothing more is gained.
            if now <= GOAL * size || !now.is_finite() || now > 0.5 * before {
                before = now;
                break;
            }
            before = now;
        }
        if before <= ENOUGH * size { Ok(()) } else { Err(Singular) }
    }

    /// One set of directions from the residual; adds what it finds to `x`.
    fn cycle(&mut self, operator: &mut impl Operator, x: &mut [f64], size: f64, goal: f64) {
        self.rotations.clear();
        self.rest.clear();
        self.rest.push(size);
        self.take_direction(0, 1.0 / size);
        let mut count = 0;
        while count < DIRECTIONS && self.rest[count].abs() > goal {
            operator.approximate(&self.basis[count], &mut self.scratch);
            operator.apply(&self.scratch, &mut self.residual);
            if self.columns.len() <= count {
                self.columns.push(Vec::with_capacity(DIRECTIONS + 1));
            }
            let mut column = std::mem::take(&mut self.columns[count]);
            column.clear();
            for direction in &self.basis[..=count] {
                let part = dot(direction, &self.residual);
                for (r, v) in self.residual.iter_mut().zip(direction) {
                    *r -= part * v;
                }
                column.push(part);
            }
            let left = norm(&self.residual);
            for (row, &(c, s)) in self.rotations.iter().enumerate() {
                let (a, b) = (column[row], column[row + 1]);
                column[row] = c * a + s * b;
                column[row + 1] = c * b - s * a;
            }
            let length = column[count].hypot(left);
            if length.is_nan() || length == 0.0 {
                break;
            }
            let (c, s) = (column[count] / length, left / length);
            column[count] = length;
            self.columns[count] = column;
            self.rotations.push((c, s));
            let rest = self.rest[count];
            self.rest[count] = c * rest;
            self.rest.push(-s * rest);
            count += 1;
            if left == 0.0 {
                break;
            }
            self.take_direction(count, 1.0 / left);
        }
        self.back_substitute(count);
        self.residual.fill(0.0);
        for (part, direction) in self.rest[..count].iter().zip(&self.basis) {
            for (sum, v) in self.residual.iter_mut().zip(direction) {
                *sum += part * v;
            }
        }
        operator.approximate(&self.residual, &mut self.scratch);
        for (x, step) in x.iter_mut().zip(&self.scratch) {
            *x += step;
        }
    }

    fn take_direction(&mut self, index: usize, factor: f64) {
        if self.basis.len() <= index {
            self.basis.push(Vec::new());
        }
        let direction = &mut self.basis[index];
        direction.clear();
        direction.extend(self.residual.iter().map(|r| r * factor));
    }

    fn back_substitute(&mut self, count: usize) {
        for row in (0..count).rev() {
            let known: f64 =
                (row + 1..count).map(|column| self.columns[column][row] * self.rest[column]).sum();
            self.rest[row] = (self.rest[row] - known) / self.columns[row][row];
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}
