//! The method: ARK4(3)6L[2]SA-ESDIRK of C. A. Kennedy and M. H. Carpenter, Additive Runge–Kutta
//! schemes for convection–diffusion–reaction equations, Applied Numerical Mathematics 44 (2003)
//! 139–181: six stages, the first explicit, order 4 with an embedded order 3, stage order 2,
//! stiffly accurate and L-stable. The coefficients are from memory; the tests check every order
//! condition and the stability, which a slip in any of them would break.
//!
//! The interpolant is our own: the only weights of degree four in θ that meet the conditions of
//! order 4 at every θ and leave the second stage out. It joins smoothly to both ends of the step.

/// Stages.
pub(super) const STAGES: usize = 6;
/// The diagonal of every implicit stage.
pub(super) const GAMMA: f64 = 0.25;

/// Times of the stages in parts of the step.
pub(super) const C: [f64; STAGES] = [0.0, 0.5, 83.0 / 250.0, 31.0 / 50.0, 17.0 / 20.0, 1.0];

/// Weights of each stage; the last row is that of the step.
pub(super) const A: [[f64; STAGES]; STAGES] = [
    [0.0; STAGES],
    [0.25, GAMMA, 0.0, 0.0, 0.0, 0.0],
    [8611.0 / 62500.0, -1743.0 / 31250.0, GAMMA, 0.0, 0.0, 0.0],
    [5012029.0 / 34652500.0, -654441.0 / 2922500.0, 174375.0 / 388108.0, GAMMA, 0.0, 0.0],
    [
        15267082809.0 / 155376265600.0,
        -71443401.0 / 120774400.0,
        730878875.0 / 902184768.0,
        2285395.0 / 8070912.0,
        GAMMA,
        0.0,
    ],
    [82889.0 / 524892.0, 0.0, 15625.0 / 83664.0, 69875.0 / 102672.0, -2260.0 / 8211.0, GAMMA],
];

/// Weights of the embedded method of order 3.
pub(super) const EMBEDDED: [f64; STAGES] = [
    4586570599.0 / 29645900160.0,
    0.0,
    178811875.0 / 945068544.0,
    814220225.0 / 1159782912.0,
    -3700637.0 / 11593932.0,
    61727.0 / 225920.0,
];

/// Weights of the interpolant: coefficients of θ, θ², θ³ and θ⁴ for each stage.
pub(super) const DENSE: [[f64; 4]; STAGES] = [
    [1.0, -2160447887.0 / 743597000.0, 123861731.0 / 35980500.0, -1025532137.0 / 743597000.0],
    [0.0; 4],
    [0.0, 362724125.0 / 67863456.0, -2361631375.0 / 237522096.0, 2272912625.0 / 475044192.0],
    [0.0, -12177073.0 / 3490848.0, 546083.0 / 56304.0, -19304323.0 / 3490848.0],
    [0.0, 177862.0 / 166175.0, -11312204.0 / 3489675.0, 2205534.0 / 1163225.0],
    [0.0, -61191.0 / 2839000.0, 61191.0 / 1419500.0, 648559.0 / 2839000.0],
];

/// Weights of the interpolant at θ.
pub(super) fn dense_weights(theta: f64) -> [f64; STAGES] {
    DENSE.map(|[a, b, c, d]| theta * (a + theta * (b + theta * (c + theta * d))))
}

/// Weights of rates at `nodes` in the integral from 0 to `end` of the polynomial through them.
pub(super) fn integral_weights<const N: usize>(nodes: [f64; N], end: f64) -> [f64; N] {
    std::array::from_fn(|own| {
        // The Lagrange polynomial of this node, coefficients from the constant up.
        let mut polynomial = [0.0; N];
        polynomial[0] = 1.0;
        for (other, node) in nodes.iter().enumerate().filter(|(other, _)| *other != own) {
            let span = nodes[own] - node;
            let degree = if other < own { other + 1 } else { other };
            for power in (0..=degree).rev() {
                let lower = if power > 0 { polynomial[power - 1] } else { 0.0 };
                polynomial[power] = (lower - node * polynomial[power]) / span;
            }
        }
        let terms = polynomial.iter().zip(1_i32..);
        terms.map(|(coefficient, power)| coefficient * end.powi(power) / f64::from(power)).sum()
    })
}

/// For each stage after the second, weights that carry the rates of the earlier stages to it.
pub(super) fn predictors() -> [[f64; STAGES]; STAGES] {
    let mut rows = [[0.0; STAGES]; STAGES];
    rows[2][..2].copy_from_slice(&integral_weights([C[0], C[1]], C[2]));
    rows[3][..3].copy_from_slice(&integral_weights([C[0], C[1], C[2]], C[3]));
    rows[4][..4].copy_from_slice(&integral_weights([C[0], C[1], C[2], C[3]], C[4]));
    rows[5][..5].copy_from_slice(&integral_weights([C[0], C[1], C[2], C[3], C[4]], C[5]));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Left sides of the conditions up to order 4 for weights b, given stage order 2: the sums of
    /// b, bc, bc², bc³ and b·A·c² (Hairer, Nørsett & Wanner, Solving ODEs I, table II.2.2).
    fn conditions(b: [f64; STAGES]) -> [f64; 5] {
        let sum = |x: [f64; STAGES]| b.iter().zip(x).map(|(b, x)| b * x).sum::<f64>();
        let ac2 = A.map(|row| row.iter().zip(C).map(|(a, c)| a * c * c).sum::<f64>());
        [sum([1.0; STAGES]), sum(C), sum(C.map(|c| c * c)), sum(C.map(|c| c * c * c)), sum(ac2)]
    }

    fn close(what: &str, got: &[f64], want: &[f64]) {
        for (got, want) in got.iter().zip(want) {
            assert!((got - want).abs() < 2e-15, "{what}: got {got}, want {want}");
        }
    }

    #[test]
    fn every_stage_has_order_two() {
        for (row, c) in A.iter().zip(C) {
            let sum: f64 = row.iter().sum();
            let first: f64 = row.iter().zip(C).map(|(a, c)| a * c).sum();
            close("stage", &[sum, first], &[c, c * c / 2.0]);
        }
    }

    #[test]
    fn the_step_has_order_four_and_the_embedded_method_order_three() {
        let want = [1.0, 1.0 / 2.0, 1.0 / 3.0, 1.0 / 4.0, 1.0 / 12.0];
        close("step", &conditions(A[5]), &want);
        close("embedded", &conditions(EMBEDDED)[..3], &want[..3]);
        assert!((conditions(EMBEDDED)[3] - 0.25).abs() > 1e-3, "the estimate would vanish");
    }

    #[test]
    fn the_interpolant_has_order_four_everywhere() {
        for theta in [0.1_f64, 0.37, 0.5, 0.8, 1.0] {
            let t = |power: i32| theta.powi(power);
            let want = [t(1), t(2) / 2.0, t(3) / 3.0, t(4) / 4.0, t(4) / 12.0];
            close("interpolant", &conditions(dense_weights(theta)), &want);
        }
        close("end of the interpolant", &dense_weights(1.0), &A[5]);
    }

    #[test]
    fn predictors_are_exact_for_polynomials() {
        for (stage, row) in predictors().iter().enumerate().skip(2) {
            for power in 0..i32::try_from(stage).unwrap() {
                let got: f64 = row.iter().zip(C).take(stage).map(|(w, c)| w * c.powi(power)).sum();
                let want = C[stage].powi(power + 1) / f64::from(power + 1);
                assert!((got - want).abs() < 1e-13, "stage {stage}, power {power}: {got} {want}");
            }
        }
    }

    /// L-stability: the stability function 1 + z bᵀ(I − zA)⁻¹1 of the step vanishes at −∞, and
    /// stays within 1 on the imaginary axis and the negative real axis.
    #[test]
    fn the_step_is_stable() {
        let growth = |re: f64, im: f64| {
            // I − zA in real numbers: real parts first, imaginary parts after them.
            let mut system = crate::dense::Dense::default();
            system.reset(2 * STAGES);
            for (i, row) in A.iter().enumerate() {
                system.add(i, i, 1.0);
                system.add(STAGES + i, STAGES + i, 1.0);
                for (j, a) in row.iter().enumerate() {
                    system.add(i, j, -re * a);
                    system.add(i, STAGES + j, im * a);
                    system.add(STAGES + i, j, -im * a);
                    system.add(STAGES + i, STAGES + j, -re * a);
                }
            }
            system.factor().unwrap();
            let mut stages = [0.0; 2 * STAGES];
            stages[..STAGES].fill(1.0);
            system.solve(&mut stages);
            // Stiffly accurate: the last stage is the step.
            stages[STAGES - 1].hypot(stages[2 * STAGES - 1])
        };
        for power in -20..=40 {
            let size = 1.5_f64.powi(power);
            assert!(growth(0.0, size) <= 1.0 + 1e-12, "at {size} i");
            assert!(growth(-size, 0.0) <= 1.0 + 1e-12, "at −{size}");
        }
        assert!(growth(-1e9, 0.0) < 1e-6);
    }
}
