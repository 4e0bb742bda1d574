//! Systems with known solutions.

use coolwright_solver::integrate::{Interrupt, System};

/// y' = −k (y − cos t) − sin t
pub(crate) struct Driven {
    pub(crate) stiffness: f64,
}

impl System for Driven {
    fn states(&self) -> usize {
        1
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0)]
    }
    fn rhs(&mut self, t: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = -self.stiffness * (y[0] - t.cos()) - t.sin();
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values[0] = -self.stiffness;
        Ok(())
    }
}

/// A chain of stirred cells fed with one from time zero on; audits: what enters, what leaves.
pub(crate) struct Cells {
    number: usize,
    through: f64,
    pattern: Vec<(usize, usize)>,
}

impl Cells {
    pub(crate) fn new(cells: usize, hold_up: f64) -> Self {
        let mut pattern: Vec<_> = (0..cells).map(|i| (i, i)).collect();
        pattern.extend((1..cells).map(|i| (i, i - 1)));
        Self { number: cells, through: cells as f64 / hold_up, pattern }
    }

    /// 1 − e^(−Nθ) Σ_{i<N} (Nθ)^i / i!
    pub(crate) fn response(cells: usize, theta: f64) -> f64 {
        let x = cells as f64 * theta;
        let (mut term, mut sum) = ((-x).exp(), 0.0);
        for i in 0..cells {
            sum += term;
            term *= x / (i + 1) as f64;
        }
        1.0 - sum
    }
}

impl System for Cells {
    fn states(&self) -> usize {
        self.number
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &self.pattern
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        let mut fed = 1.0;
        for (rate, y) in rate.iter_mut().zip(y) {
            *rate = self.through * (fed - y);
            fed = *y;
        }
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values[..self.number].fill(-self.through);
        values[self.number..].fill(self.through);
        Ok(())
    }
    fn audits(&self) -> usize {
        2
    }
    fn audit_rates(&mut self, y: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&[1.0, y[self.number - 1]]);
    }
}

/// A body in a fluid: y' = (T − y)/τ, with a switch at a mark and its own uptake as audit.
pub(crate) struct Lumps {
    pub(crate) lag: f64,
    pub(crate) fluid: f64,
    pub(crate) mark: f64,
}

impl System for Lumps {
    fn states(&self) -> usize {
        1
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0)]
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = (self.fluid - y[0]) / self.lag;
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values[0] = -1.0 / self.lag;
        Ok(())
    }
    fn audits(&self) -> usize {
        1
    }
    fn audit_rates(&mut self, y: &[f64], out: &mut [f64]) {
        out[0] = (self.fluid - y[0]) / self.lag;
    }
    fn switches(&self) -> usize {
        1
    }
    fn switch_values(&mut self, _: f64, y: &[f64], out: &mut [f64]) {
        out[0] = y[0] - self.mark;
    }
}

/// H. H. Robertson 1966, the reactions of three species.
pub(crate) struct Robertson;

impl System for Robertson {
    fn states(&self) -> usize {
        3
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (2, 1)]
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = -0.04 * y[0] + 1e4 * y[1] * y[2];
        rate[2] = 3e7 * y[1] * y[1];
        rate[1] = -rate[0] - rate[2];
        Ok(())
    }
    fn jacobian(&mut self, _: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        let (a, b, c) = (1e4 * y[2], 1e4 * y[1], 6e7 * y[1]);
        values.copy_from_slice(&[-0.04, a, b, 0.04, -a - c, -b, c]);
        Ok(())
    }
}

/// y1' = y2, y2' = −ω² y1, with switches on the states, or both on the first.
pub(crate) struct Linear {
    omega: f64,
    doubled: bool,
}

impl Linear {
    pub(crate) fn oscillator(omega: f64) -> Self {
        Self { omega, doubled: false }
    }
    pub(crate) fn doubled_switch() -> Self {
        Self { omega: 1.0, doubled: true }
    }
}

impl System for Linear {
    fn states(&self) -> usize {
        2
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 1), (1, 0)]
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = y[1];
        rate[1] = -self.omega * self.omega * y[0];
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values.copy_from_slice(&[1.0, -self.omega * self.omega]);
        Ok(())
    }
    fn switches(&self) -> usize {
        2
    }
    fn switch_values(&mut self, _: f64, y: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&[y[0], if self.doubled { 2.0 * y[0] } else { y[1] }]);
    }
}
