//! The sparse factorisation: residuals, pivoting, fill, and its time beside `faer`'s own.

use coolwright_solver::sparse::{Sparse, SparseError};
use proptest::prelude::*;

/// y = A x
fn product(size: usize, pattern: &[(usize, usize)], values: &[f64], x: &[f64]) -> Vec<f64> {
    let mut y = vec![0.0; size];
    for (&(i, j), value) in pattern.iter().zip(values) {
        y[i] += value * x[j];
    }
    y
}

fn check(size: usize, pattern: &[(usize, usize)], values: &[f64], tolerance: f64) -> Sparse {
    let mut matrix = Sparse::new(size, pattern).unwrap();
    matrix.factor(1.0, values, 0.0).unwrap();
    let want: Vec<f64> = (0..size).map(|i| (i as f64 * 0.7).sin() + 2.0).collect();
    let mut got = product(size, pattern, values, &want);
    matrix.solve(&mut got);
    for (i, (got, want)) in got.iter().zip(&want).enumerate() {
        assert!((got - want).abs() < tolerance, "unknown {i}: got {got}, want {want}");
    }
    matrix
}

/// An arrow: eliminated from the wrong end it fills up altogether.
#[test]
fn the_ordering_avoids_fill() {
    let n = 200;
    let mut pattern: Vec<_> = (0..n).map(|i| (i, i)).collect();
    pattern.extend((1..n).flat_map(|i| [(0, i), (i, 0)]));
    let values: Vec<f64> = pattern.iter().map(|(i, j)| if i == j { 300.0 } else { 1.0 }).collect();
    let matrix = check(n, &pattern, &values, 1e-12);
    assert_eq!(matrix.fill(), pattern.len(), "no fill at all");
}

#[test]
fn a_zero_diagonal_is_pivoted() {
    let matrix = check(2, &[(0, 1), (1, 0)], &[2.0, 3.0], 1e-14);
    assert!(matrix.is_pivoted());
}

#[test]
fn entries_at_one_place_add_up_and_the_diagonal_takes_the_shift() {
    let mut matrix = Sparse::new(2, &[(0, 0), (0, 0), (1, 0)]).unwrap();
    matrix.factor(2.0, &[1.0, 2.0, 0.5], 1.0).unwrap();
    // 2A + I = [[7, 0], [1, 1]]
    let mut b = [14.0, 5.0];
    matrix.solve(&mut b);
    assert!((b[0] - 2.0).abs() < 1e-15 && (b[1] - 3.0).abs() < 1e-15, "{b:?}");
}

#[test]
fn faults_are_told() {
    assert_eq!(Sparse::new(2, &[(0, 2)]).unwrap_err(), SparseError::Outside { row: 0, column: 2 });
    let mut matrix = Sparse::new(2, &[(0, 0), (0, 1), (1, 0), (1, 1)]).unwrap();
    let singular = matrix.factor(1.0, &[1.0, 2.0, 2.0, 4.0], 0.0);
    assert!(matches!(singular, Err(SparseError::Singular { .. })), "{singular:?}");
    let zero = matrix.factor(1.0, &[0.0; 4], 0.0);
    assert!(matches!(zero, Err(SparseError::Singular { .. })), "{zero:?}");
    let nan = matrix.factor(1.0, &[1.0, f64::NAN, 0.0, 1.0], 0.0);
    assert_eq!(nan, Err(SparseError::NotFinite { entry: 1 }));
}

proptest! {
    /// Random patterns with a dominant diagonal, and matrices that need row exchanges: the same
    /// with their rows turned round.
    #[test]
    fn random_matrices_are_solved(
        size in 1_usize..40,
        entries in proptest::collection::vec((0_usize..40, 0_usize..40, -1.0_f64..1.0), 0..120),
        turn in 0_usize..3,
    ) {
        let mut pattern: Vec<_> = (0..size).map(|i| ((i + turn) % size, i)).collect();
        let mut values = vec![9.0; size];
        let mut load = vec![0.0; 40];
        for (i, j, value) in entries {
            let row = (i + turn) % size;
            if i < size && j < size && load[row] + value.abs() < 8.0 {
                load[row] += value.abs();
                pattern.push((row, j));
                values.push(value);
            }
        }
        check(size, &pattern, &values, 1e-11);
    }
}

/// A ring of cells with a few far entries, as the matrices of implicit integration are.
fn ring(n: usize) -> (Vec<(usize, usize)>, Vec<f64>) {
    let mut pattern = vec![];
    for i in 0..n {
        pattern.extend([(i, i), (i, (i + n - 1) % n), (i, (i + 1) % n)]);
        if i % 10 == 0 {
            pattern.push((i, (i * 13 + 5) % n));
        }
    }
    let value = |(place, (i, j)): (usize, &(usize, usize))| {
        if i == j { 3.0 } else { -0.5 - (place % 7) as f64 * 0.05 }
    };
    let values = pattern.iter().enumerate().map(value).collect();
    (pattern, values)
}

/// Prints the times; asserts only that both give the same answer.
#[test]
fn beside_faer() {
    use faer::prelude::Solve;
    use faer::sparse::{
        SparseColMat, Triplet,
        linalg::solvers::{Lu, SymbolicLu},
    };
    use std::time::Instant;
    for n in [50, 100, 200, 400, 800] {
        let (pattern, values) = ring(n);
        let mut matrix = Sparse::new(n, &pattern).unwrap();
        let triplets: Vec<_> =
            pattern.iter().zip(&values).map(|(&(i, j), v)| Triplet::new(i, j, *v)).collect();
        let other = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).unwrap();
        let symbolic = SymbolicLu::try_new(other.symbolic()).unwrap();
        let rhs = faer::Mat::<f64>::from_fn(n, 1, |i, _| (i % 5) as f64);
        let (mut times, mut b) = ([f64::MAX; 2], vec![0.0; n]);
        let mut theirs = rhs.clone();
        for _ in 0..20 {
            let start = Instant::now();
            matrix.factor(1.0, &values, 0.0).unwrap();
            b.iter_mut().enumerate().for_each(|(i, b)| *b = (i % 5) as f64);
            matrix.solve(&mut b);
            times[0] = times[0].min(start.elapsed().as_secs_f64());
            let start = Instant::now();
            theirs =
                Lu::try_new_with_symbolic(symbolic.clone(), other.as_ref()).unwrap().solve(&rhs);
            times[1] = times[1].min(start.elapsed().as_secs_f64());
        }
        println!("{n}: fixed pattern {:.1} µs, faer {:.1} µs", times[0] * 1e6, times[1] * 1e6);
        for (i, b) in b.iter().enumerate() {
            assert!((b - theirs[(i, 0)]).abs() < 1e-12, "{n}: unknown {i}");
        }
    }
}
