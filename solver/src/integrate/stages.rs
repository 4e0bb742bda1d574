//! One step: its stages and its error.

use super::tableau::{A, C, EMBEDDED, GAMMA, STAGES, integral_weights};
use super::{Integrator, Interrupt, System, combine, largest_scaled};

/// Correction that a stage may leave undone, in units of the tolerance.
const LEFT: f64 = 0.05;
/// A single correction larger than this is followed by another, whatever convergence is known: that is
/// the convergence of another stage.
const ALONE: f64 = 3.0;
/// Corrections per stage.
const CORRECTIONS: usize = 8;
/// Convergence slower than this asks for a new Jacobian at the next step.
const SLOW: f64 = 0.15;
/// Convergence slower than this asks for a new Jacobian at once, where the stage stands: rates that have
/// a kink within the step are met from its other side (a valve that begins to move; the test
/// `a_kink_within_a_step_needs_no_shorter_step`).
const HOPELESS: f64 = 0.5;
/// A first guess is carried from the step before over no more than so many times its length: a step that was cut
/// short says nothing of a time far beyond it.
const FURTHEST: f64 = 5.0;
/// New Jacobians within one attempt at a step.
const RENEWALS: usize = 6;

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
        self.take_scale();
        if !self.prepare_matrix(system, h)? {
            return Ok(false);
        }
        self.newton.slowest = 0.0;
        self.newton.renewals = 0;
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
            if newton.astray {
                // What the system found out last belongs to an attempt that led nowhere.
                newton.astray = false;
                system.rhs(self.time, &self.state, &mut self.stages.base)?;
                self.statistics.rhs_calls += 1;
            }
            system.jacobian(self.time, &self.state, &mut newton.jacobian)?;
            self.statistics.jacobians += 1;
            (newton.fresh, newton.stale, newton.age) = (true, false, 0);
            newton.left_over = 1.0;
            renew = true;
        }
        Ok(!renew || self.factor(h))
    }

    fn factor(&mut self, h: f64) -> bool {
        let newton = &mut self.newton;
        newton.factored_step = 0.0;
        self.statistics.factorisations += 1;
        if newton.matrix.factor(-h * GAMMA, &newton.jacobian, 1.0).is_err() {
            return false;
        }
        newton.factored_step = h;
        true
    }

    /// A new Jacobian at the present value of a stage, and its factors. False when there were
    /// enough of them, or it has no factors.
    fn renew(&mut self, system: &mut impl System, t: f64, h: f64) -> Result<bool, Interrupt> {
        if self.newton.renewals == RENEWALS {
            return Ok(false);
        }
        self.newton.renewals += 1;
        system.jacobian(t, &self.stages.value, &mut self.newton.jacobian)?;
        self.statistics.jacobians += 1;
        (self.newton.fresh, self.newton.age) = (true, 0);
        (self.newton.left_over, self.newton.slowest) = (1.0, 0.0);
        Ok(self.factor(h))
    }

    /// What counts as one in each state.
    pub(super) fn take_scale(&mut self) {
        let known = self.state.iter().zip(&self.absolute);
        for (scale, (y, absolute)) in self.stages.scale.iter_mut().zip(known) {
            *scale = 1.0 / (absolute + self.settings.relative * y.abs());
        }
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
        if let Some(length) = history.filter(|length| h <= FURTHEST * length) {
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
        // Size of the correction before with the same factors.
        let mut before = None;
        for correction in 0..CORRECTIONS {
            let (stages, newton) = (&mut self.stages, &mut self.newton);
            let rate = &mut stages.rates[stage];
            system.rhs(t, &stages.value, rate)?;
            self.statistics.rhs_calls += 1;
            let known = stages.base.iter().zip(&*rate).zip(&stages.value);
            for (residual, ((base, rate), value)) in newton.residual.iter_mut().zip(known) {
                *residual = base + h * GAMMA * rate - value;
            }
            newton.matrix.solve(&mut newton.residual);
            for (value, correction) in stages.value.iter_mut().zip(&newton.residual) {
                *value += correction;
            }
            let size = largest_scaled(&newton.residual, &stages.scale);
            if !size.is_finite() {
                return Ok(false);
            }
            if let Some(before) = before {
                let speed: f64 = size / before;
                if speed >= HOPELESS && size > LEFT {
                    if !self.renew(system, t, h)? {
                        return Ok(false);
                    }
                    continue;
                }
                newton.slowest = newton.slowest.max(speed);
                newton.left_over = (speed / (1.0 - speed.min(0.99))).max(1e-3);
            }
            if newton.left_over * size <= LEFT && (correction > 0 || size <= ALONE) {
                let known = stages.value.iter().zip(&stages.base);
                for (rate, (value, base)) in stages.rates[stage].iter_mut().zip(known) {
                    *rate = (value - base) / (h * GAMMA);
                }
                system.audit_rates(&stages.value, &mut stages.audit_rates[stage]);
                return Ok(true);
            }
            before = Some(size);
        }
        Ok(false)
    }

    /// Difference from the embedded method of order 3, in units of the tolerance, of the worst state:
    ///
    /// ```text
    /// max |h Σ (b − b̂) f| / (absolute + relative · max(|y₀|, |y₁|))
    /// ```
    fn error(&mut self, h: f64) -> f64 {
        let stages = &mut self.stages;
        let known = stages.value.iter().zip(&self.absolute);
        for (scale, (y, absolute)) in stages.scale.iter_mut().zip(known) {
            *scale = scale.min(1.0 / (absolute + self.settings.relative * y.abs()));
        }
        self.newton.residual.fill(0.0);
        for stage in 0..STAGES {
            let weight = h * (A[STAGES - 1][stage] - EMBEDDED[stage]);
            for (error, rate) in self.newton.residual.iter_mut().zip(&stages.rates[stage]) {
                *error += weight * rate;
            }
        }
        largest_scaled(&self.newton.residual, &stages.scale)
    }

    /// Whether the Jacobian converges too slowly to be kept.
    pub(super) fn judge_jacobian(&mut self) {
        let newton = &mut self.newton;
        newton.fresh = false;
        newton.age += 1;
        newton.stale = newton.slowest > SLOW || newton.age > 20;
    }
}
