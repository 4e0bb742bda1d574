//! A circuit of 17 runs with two tees: two sides with a source each, eight passes.

use super::laws::{Fluid, Law, SPLIT};
use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;
use std::f64::consts::PI;

pub(crate) const JUNCTIONS: usize = 10;
const S: usize = 0;
const J: usize = 1;
const U1: usize = 2;
const U2: usize = 3;
const L1: usize = 4;
const L2: usize = 5;
const V1: usize = 6;
const V2: usize = 7;
const M1: usize = 8;
const M2: usize = 9;
pub(crate) const NAMES: [&str; 10] = ["S", "J", "U1", "U2", "L1", "L2", "V1", "V2", "M1", "M2"];

pub(crate) const RUNS: [(usize, usize); 17] = [
    (J, S),
    (S, U1),
    (S, L1),
    (U1, U2),
    (L1, L2),
    (U1, V1),
    (U1, V1),
    (U2, V2),
    (U2, V2),
    (L1, M1),
    (L1, M1),
    (L2, M2),
    (L2, M2),
    (V1, V2),
    (M1, M2),
    (V2, J),
    (M2, J),
];

pub(crate) const COUPLINGS: [(usize, usize); 4] = [(1, 2), (2, 1), (15, 16), (16, 15)];

pub(crate) const START: [f64; 17] =
    [0.8, 0.4, 0.4, 0.2, 0.2, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.2, 0.2, 0.4, 0.4];

const FLUID: Fluid = Fluid { rho: 1062.0, mu: 2.2e-3 };

pub(crate) struct Split {
    parts: Vec<(usize, Law)>,
    tee: f64,
}

impl Split {
    /// Both sources at `speed`, every bore times `bores`.
    pub(crate) fn new(speed: f64, bores: f64) -> Self {
        let hose = |d: f64, l: f64, e: f64, k: f64| Law::Hose(d * 1e-3 * bores, l, e * 1e-6, k);
        let bore = |a: f64, b: f64| Law::Bore(a * 1e-3 * bores, b * 1e-3 * bores);
        let rated = |fall: f64, litre_per_minute: f64, exponent: f64| {
            Law::Rated(fall, litre_per_minute / 60000.0, exponent)
        };
        let pump = Law::Pump(&SPLIT, speed, 1.0);
        let mut parts = vec![
            (0, hose(34.0, 1.35, 4.0, 0.45)),
            (0, bore(34.0, 41.0)),
            (0, rated(13e3, 70.0, 1.8)),
            (0, bore(41.0, 34.0)),
            (0, rated(3.2e3, 55.0, 2.0)),
            (0, hose(34.0, 2.10, 4.0, 0.70)),
            (1, bore(34.0, 28.0)),
            (1, hose(28.0, 0.30, 4.0, 0.15)),
            (1, pump),
            (1, bore(28.0, 22.0)),
            (1, hose(22.0, 0.65, 4.0, 0.50)),
            (2, bore(34.0, 28.0)),
            (2, hose(28.0, 0.55, 4.0, 0.25)),
            (2, pump),
            (2, bore(28.0, 22.0)),
            (2, rated(2.1e3, 30.0, 2.0)),
            (2, hose(22.0, 0.80, 4.0, 0.40)),
            (15, hose(22.0, 0.75, 4.0, 0.50)),
            (15, bore(22.0, 34.0)),
            (16, hose(22.0, 0.60, 4.0, 0.35)),
            (16, bore(22.0, 34.0)),
        ];
        parts.extend([3, 4, 13, 14].map(|run| (run, hose(20.0, 0.18, 6.0, 0.55))));
        let passes = [
            (8.6, 1.15),
            (8.5, 1.15),
            (8.7, 1.22),
            (8.6, 1.22),
            (8.4, 1.08),
            (8.6, 1.08),
            (8.5, 1.04),
            (8.3, 1.04),
        ];
        for (pass, (d, l)) in passes.into_iter().enumerate() {
            parts.push((5 + pass, hose(d, l, 6.0, 1.8)));
        }
        let area = PI * (0.034 * bores).powi(2) / 4.0;
        Self { parts, tee: 1.0 / (2.0 * FLUID.rho * area * area) }
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
            let fall = law.fall(FLUID, Dual::variable(flows[run]));
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
