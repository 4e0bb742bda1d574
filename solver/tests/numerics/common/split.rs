//! A circuit of 17 runs with two tees: two sources in series, two sides, eight passes.

use super::laws::{Law, RHO};
use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;
use std::f64::consts::PI;

/// Junctions: J, S, L1, L2, R1, R2, M1, M2, N1, N2.
pub(crate) const JUNCTIONS: usize = 10;
const J: usize = 0;
const S: usize = 1;
const L1: usize = 2;
const L2: usize = 3;
const R1: usize = 4;
const R2: usize = 5;
const M1: usize = 6;
const M2: usize = 7;
const N1: usize = 8;
const N2: usize = 9;
pub(crate) const NAMES: [&str; 10] = ["J", "S", "L1", "L2", "R1", "R2", "M1", "M2", "N1", "N2"];

pub(crate) const RUNS: [(usize, usize); 17] = [
    (J, S),
    (S, L1),
    (S, R1),
    (L1, L2),
    (R1, R2),
    (L1, M1),
    (L1, M1),
    (L2, M2),
    (L2, M2),
    (R1, N1),
    (R1, N1),
    (R2, N2),
    (R2, N2),
    (M2, M1),
    (N2, N1),
    (M1, J),
    (N1, J),
];

pub(crate) const COUPLINGS: [(usize, usize); 4] = [(1, 2), (2, 1), (15, 16), (16, 15)];

pub(crate) const START: [f64; 17] = [
    1.0, 0.5, 0.5, 0.25, 0.25, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.25, 0.25,
    0.5, 0.5,
];

pub(crate) struct Split {
    parts: Vec<(usize, Law)>,
    tee: f64,
}

impl Split {
    /// Both sources at `speed`, every bore times `bores`.
    pub(crate) fn new(speed: f64, bores: f64) -> Self {
        let hose = |d: f64, l: f64, e: f64, k: f64| Law::Hose(d * 1e-3 * bores, l, e * 1e-6, k);
        let bore = |a: f64, b: f64| Law::Bore(a * 1e-3 * bores, b * 1e-3 * bores);
        let per_minute = 1.0 / 60000.0;
        let pump = Law::Pump(speed, 1.0);
        let mut parts: Vec<(usize, Law)> = [
            hose(38.0, 1.6, 3.0, 0.35),
            bore(38.0, 45.0),
            Law::Rated(18e3, 80.0 * per_minute, 1.8),
            bore(45.0, 38.0),
            hose(38.0, 0.7, 3.0, 0.20),
            bore(38.0, 32.0),
            pump,
            hose(32.0, 0.25, 3.0, 0.0),
            pump,
            bore(32.0, 38.0),
            Law::Rated(2.5e3, 60.0 * per_minute, 2.0),
            hose(38.0, 1.1, 3.0, 0.35),
        ]
        .map(|law| (0, law))
        .to_vec();
        for (run, length, loss) in [(1, 0.45, 0.3), (2, 0.95, 0.6)] {
            parts.extend([(run, bore(38.0, 25.0)), (run, hose(25.0, length, 3.0, loss))]);
        }
        for run in [3, 4, 13, 14] {
            parts.push((run, hose(24.0, 0.12, 5.0, 0.4)));
        }
        let passes = [
            (10.0, 0.90),
            (10.1, 0.90),
            (9.9, 0.96),
            (10.0, 0.96),
            (10.0, 0.90),
            (9.8, 0.90),
            (10.2, 0.96),
            (10.0, 0.96),
        ];
        for (pass, (d, l)) in passes.into_iter().enumerate() {
            parts.push((5 + pass, hose(d, l, 5.0, 1.5)));
        }
        for (run, length, loss) in [(15, 0.5, 0.3), (16, 1.0, 0.6)] {
            parts.extend([(run, hose(25.0, length, 3.0, loss)), (run, bore(25.0, 38.0))]);
        }
        let area = PI * (0.038 * bores).powi(2) / 4.0;
        Self { parts, tee: 1.0 / (2.0 * RHO * area * area) }
    }

    /// c (a S² + b B² + d S B), with its derivatives.
    fn tee(&self, k: [f64; 3], s: f64, b: f64) -> [f64; 3] {
        [
            self.tee * (k[0] * s * s + k[1] * b * b + k[2] * s * b),
            self.tee * (2.0 * k[0] * s + k[2] * b),
            self.tee * (2.0 * k[1] * b + k[2] * s),
        ]
    }
}

impl Laws for Split {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        falls.fill(0.0);
        slopes.fill(0.0);
        for &(run, law) in &self.parts {
            let fall = law.fall(Dual::variable(flows[run]));
            falls[run] += fall.value;
            slopes[run] += fall.slope();
        }
        let tees = [
            (1, 2, [0.03, 0.35, -0.2], [0.95, 1.3, 0.8], 0),
            (15, 16, [0.03, 0.62, 1.0], [-0.92, 1.2, 1.0], 2),
        ];
        for (straight, side, ks, kb, coupling) in tees {
            let (s, b) = (flows[straight], flows[side]);
            let along = self.tee(ks, s, b);
            falls[straight] += along[0];
            slopes[straight] += along[1];
            cross[coupling] = along[2];
            let branch = self.tee(kb, s, b);
            falls[side] += branch[0];
            slopes[side] += branch[2];
            cross[coupling + 1] = branch[1];
        }
    }
}
