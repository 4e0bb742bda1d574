//! A square grid of hoses, some with a source in series.

use super::laws::{Fluid, GRID, Law};
use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;

const FLUID: Fluid = Fluid { rho: 1040.0, mu: 1.35e-3 };

pub(crate) struct Grid {
    pub(crate) runs: Vec<(usize, usize)>,
    pub(crate) hoses: Vec<Law>,
    /// Sense of the source of each hose, or zero.
    pub(crate) pumps: Vec<f64>,
    pub(crate) start: Vec<f64>,
}

impl Grid {
    pub(crate) fn new(n: usize) -> Self {
        let mut x: u64 = 1;
        let mut draw = move || {
            x = x.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (x >> 11) as f64 * (-53_f64).exp2()
        };
        let mut grid = Self { runs: vec![], hoses: vec![], pumps: vec![], start: vec![] };
        for i in 0..n {
            for j in 0..n {
                for (there, other) in [(j + 1 < n, i * n + j + 1), (i + 1 < n, (i + 1) * n + j)] {
                    if !there {
                        continue;
                    }
                    let bore = 0.016 + 0.022 * draw();
                    let length = 0.4 + 1.6 * draw();
                    let rough = (1.0 + 9.0 * draw()) * 1e-6;
                    let u = draw();
                    let pump = if u < 0.02 { 1.0 } else { -f64::from(u8::from(u < 0.04)) };
                    grid.runs.push((i * n + j, other));
                    grid.hoses.push(Law::Hose(bore, length, rough, 0.0));
                    grid.pumps.push(pump);
                    let rest = 0.2 * (bore / 0.03_f64).powi(2);
                    grid.start.push(if pump == 0.0 { rest } else { 1.5 * pump });
                }
            }
        }
        grid
    }
}

impl Laws for Grid {
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
        for run in 0..flows.len() {
            let flow = Dual::variable(flows[run]);
            let mut fall = self.hoses[run].fall(FLUID, flow);
            if self.pumps[run] != 0.0 {
                fall += Law::Pump(&GRID, 1.0, self.pumps[run]).fall(FLUID, flow);
            }
            falls[run] = fall.value;
            slopes[run] = fall.slope();
        }
    }
}
