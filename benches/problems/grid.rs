//! A square grid of n × n junctions: hoses of random bores between neighbours, some with a pump that
//! pushes one way or the other. Flows reach from 3e-6 to 5 kg/s, through all regimes of friction and
//! beyond the end of the pumps' table.

use coolwright_models::circuit::Joint;

use super::maker::{GRID_PUMP, Maker};
use super::problem::{Fluid, Problem, compare};

const FLUID: Fluid = Fluid { density: 1040.0, viscosity: 1.35e-3 };

/// Largest error of a number of the answer, in shares of it.
const TOLERANCE: f64 = 1e-9;

/// Σ|m| and Σm² over the hoses, max |m|, the last junction's pressure, highest less lowest pressure.
const NAMES: [&str; 5] = ["sum of |m|", "sum of m²", "max |m|", "p(last)", "p max − p min"];
const ANSWERS: [(usize, [f64; 5]); 4] = [
    (10, [41.2094349298, 38.0751341681, 3.00934594998, 867.185561727, 5155.75390997]),
    (30, [841.894160805, 1028.20832973, 3.45633385723, -906.249119450, 27168.4887385]),
    (100, [11095.9262811, 14759.5185821, 5.09084990532, -52820.2073378, 136137.099297]),
    (300, [103177.542026, 137771.945153, 5.45282153757, 3536.33508923, 109016.603045]),
];

/// Random numbers from 0 to 1, the same for all who draw them.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 * (-53_f64).exp2()
    }
}

/// The problem for one n.
pub(crate) struct Grid {
    pub(crate) problem: Problem,
    n: usize,
}

impl Grid {
    pub(crate) fn new(n: usize) -> Self {
        let (mut maker, mut draws) = (Maker::new(FLUID, &GRID_PUMP), Draws(1));
        let (mut runs, mut start) = (Vec::new(), Vec::new());
        for i in 0..n {
            for j in 0..n {
                for (there, other) in [(j + 1 < n, i * n + j + 1), (i + 1 < n, (i + 1) * n + j)] {
                    if !there {
                        continue;
                    }
                    let bore = 0.016 + 0.022 * draws.next();
                    let length = 0.4 + 1.6 * draws.next();
                    let roughness = (1.0 + 9.0 * draws.next()) * 1e-6;
                    let u = draws.next();
                    let mut parts = vec![maker.hose(bore, length, roughness, 0.0)];
                    let mut ends = [i * n + j, other];
                    if u < 0.04 {
                        parts.push(maker.pump());
                        if u >= 0.02 {
                            // It pushes the other way, so there its run begins.
                            ends.reverse();
                        }
                        start.push(1.5);
                    } else {
                        start.push(0.2 * (bore / 0.03_f64).powi(2));
                    }
                    runs.push(maker.run("hose", ends, parts));
                }
            }
        }
        let junctions =
            (0..n * n).map(|_| maker.junction("junction", Joint::Plain { known: true })).collect();
        let circuit = maker.circuit("grid", junctions, runs);
        Self { problem: Problem::new(circuit, FLUID, maker.values, start), n }
    }

    /// Compares with the known answer.
    ///
    /// # Errors
    /// Names the numbers that are off, got and wanted.
    pub(crate) fn check(&self) -> Result<(), String> {
        let Problem { flows, pressures, .. } = &self.problem;
        let most = pressures.iter().copied().fold(f64::MIN, f64::max);
        let least = pressures.iter().copied().fold(f64::MAX, f64::min);
        let got = [
            flows.iter().map(|m| m.abs()).sum(),
            flows.iter().map(|m| m * m).sum(),
            flows.iter().fold(0.0_f64, |most, m| most.max(m.abs())),
            pressures[self.n * self.n - 1],
            most - least,
        ];
        let known = ANSWERS.iter().find(|(n, _)| *n == self.n);
        let Some((_, want)) = known else { return Err(format!("no answer for n {}", self.n)) };
        let numbers = NAMES.into_iter().zip(got).zip(*want).map(|((name, g), w)| (name, g, w));
        let of_ten = [
            ("m(0)", flows[0], 0.191750912745),
            ("m(21)", flows[21], 2.63087110129),
            // Its run begins at the other end.
            ("m(104)", -flows[104], -3.00934594998),
            ("p(9)", pressures[9], 1069.00923338),
            ("p(45)", pressures[45], 1128.88054471),
        ];
        let of_ten = of_ten.into_iter().filter(|_| self.n == 10);
        compare(numbers.chain(of_ten), TOLERANCE)
    }
}
