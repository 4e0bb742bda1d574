//! One step: its stages and its error.

use super::tableau::{A, C, EMBEDDED, GAMMA, STAGES, integral_weights};
use super::{Integrator, Interrupt, System, combine, largest_scaled};

/// Correction that a stage may leave undone, in units of the tolerance.
const LEFT: f64 = 0.05;
/// A single correction larger than this is followed by another, whatever convergence is known:
/// audits are taken where the rates were asked for, before the correction.
const ALONE: f64 = 1.0;
/// Corrections per stage.
const CORRECTIONS: usize = 8;
/// Convergence slower than this asks for a new Jacobian at the next step.
const SLOW: f64 = 0.15;

/// How an attempt at a step ended.
#[derive(Clone, Copy, Debug)]
pub(super) enum Attempt {
    /// With this error, in units of the tolerance.
    Error(f64),
    /// A stage did not converge, or the system asked for a shorter step.
    NotConverged,
    /// The system ended it.
    Stopped,
}

impl Integrator {
    /// Tries a step of length `h`; on success the new state is in `stages.value`.
    pub(super) fn attempt(
        &mut self,
        system: &mut impl System,
        h: f64,
        history: Option<f64>,
    ) -> Attempt {
        match self.try_stages(system, h, history) {
            Ok(true) => Attempt::Error(self.error(h)),
            Ok(false) | Err(Interrupt::Shorten) => Attempt::NotConverged,
            Err(Interrupt::Stop) => Attempt::Stopped,
        }
    }

    fn try_stages(
        &mut self,
        system: &mut impl System,
        h: f64,
        history: Option<f64>,
    ) -> Result<bool, Interrupt> {
        for ((scale, y), absolute) in
            self.stages.scale.iter_mut().zip(&self.state).zip(&self.absolute)
        {
            *scale = absolute + self.settings.relative * y.abs();
        }
        if !self.prepare_matrix(system, h)? {
            return Ok(false);
        }
        self.newton.slowest = 0.0;
        for stage in 1..STAGES {
            self.predict(stage, h, history);
            let stages = &mut self.stages;
            let weights = A[stage].map(|a| h * a);
            let mut before = [0.0; STAGES];
            before[..stage].copy_from_slice(&weights[..stage]);
            combine(&self.state, &stages.rates, before, &mut stages.base);
            if !self.correct(system, stage, h)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The factors of I − hγJ, with a new Jacobian where the old one no longer serves.
    fn prepare_matrix(&mut self, system: &mut impl System, h: f64) -> Result<bool, Interrupt> {
        let newton = &mut self.newton;
        let mut renew = newton.factored_step.total_cmp(&h).is_ne();
        if newton.stale {
            system.jacobian(self.time, &self.state, &mut newton.jacobian)?;
            self.statistics.jacobians += 1;
            (newton.fresh, newton.stale, newton.age) = (true, false, 0);
            newton.left_over = 1.0;
            renew = true;
        }
        if renew {
            newton.factored_step = 0.0;
            self.statistics.factorisations += 1;
            if newton.matrix.factor(-h * GAMMA, &newton.jacobian, 1.0).is_err() {
                return Ok(false);
            }
            newton.factored_step = h;
        }
        Ok(true)
    }

    /// A first guess for a stage from the rates before it.
    fn predict(&mut self, stage: usize, h: f64, history: Option<f64>) {
        let stages = &mut self.stages;
        if stage > 1 {
            let weights = self.predictors[stage].map(|weight| h * weight);
            combine(&self.state, &stages.rates, weights, &mut stages.value);
            return;
        }
        stages.value.copy_from_slice(&self.state);
        // Without a step before, the state itself: an explicit guess could leave the range in
        // which the system has rates.
        if let Some(length) = history {
            let ratio = length / h;
            let nodes = [0.0, (C[3] - 1.0) * ratio, -ratio];
            let [now, late, early] = integral_weights(nodes, C[1]).map(|weight| h * weight);
            let known = stages.rates[0].iter().zip(&stages.before[1]).zip(&stages.before[0]);
            for (value, ((a, b), c)) in stages.value.iter_mut().zip(known) {
                *value += now * a + late * b + early * c;
            }
        }
    }

    /// Newton's method for one stage: Y = base + hγ f(Y).
    fn correct(
        &mut self,
        system: &mut impl System,
        stage: usize,
        h: f64,
    ) -> Result<bool, Interrupt> {
        let t = self.time + C[stage] * h;
        let (stages, newton) = (&mut self.stages, &mut self.newton);
        let mut before = 0.0;
        for correction in 0..CORRECTIONS {
            let rate = &mut stages.rates[stage];
            system.rhs(t, &stages.value, rate)?;
            self.statistics.rhs_calls += 1;
            system.audit_rates(&mut stages.audit_rates[stage]);
            let known = stages.base.iter().zip(&*rate).zip(&stages.value);
            for (residual, ((base, rate), value)) in newton.residual.iter_mut().zip(known) {
                *residual = base + h * GAMMA * rate - value;
            }
            newton.matrix.solve(&mut newton.residual);
            for (value, correction) in stages.value.iter_mut().zip(&newton.residual) {
                *value += correction;
            }
            let (size, worst) = largest_scaled(&newton.residual, &stages.scale);
            newton.worst = worst;
            if !size.is_finite() {
                return Ok(false);
            }
            if correction > 0 {
                let speed = size / before;
                newton.slowest = newton.slowest.max(speed);
                if speed >= 1.0 && size > LEFT {
                    return Ok(false);
                }
                newton.left_over = (speed / (1.0 - speed.min(0.99))).max(1e-3);
            }
            if newton.left_over * size <= LEFT && (correction > 0 || size <= ALONE) {
                let known = stages.value.iter().zip(&stages.base);
                for (rate, (value, base)) in stages.rates[stage].iter_mut().zip(known) {
                    *rate = (value - base) / (h * GAMMA);
                }
                return Ok(true);
            }
            before = size;
        }
        Ok(false)
    }

    /// Difference from the embedded method, in units of the tolerance.
    fn error(&mut self, h: f64) -> f64 {
        let stages = &mut self.stages;
        for ((scale, y), absolute) in stages.scale.iter_mut().zip(&stages.value).zip(&self.absolute)
        {
            *scale = scale.max(absolute + self.settings.relative * y.abs());
        }
        self.newton.residual.fill(0.0);
        for stage in 0..STAGES {
            let weight = h * (A[STAGES - 1][stage] - EMBEDDED[stage]);
            for (error, rate) in self.newton.residual.iter_mut().zip(&stages.rates[stage]) {
                *error += weight * rate;
            }
        }
        let (size, worst) = largest_scaled(&self.newton.residual, &stages.scale);
        self.newton.worst = worst;
        size
    }

    /// Whether the Jacobian converges too slowly to be kept.
    pub(super) fn judge_jacobian(&mut self) {
        let newton = &mut self.newton;
        newton.fresh = false;
        newton.age += 1;
        newton.stale = newton.slowest > SLOW || newton.age > 20;
    }
}
