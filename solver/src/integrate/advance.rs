//! Going forward: steps and their lengths, ends and crossings.

use super::stages::Attempt;
use super::tableau::{STAGES, dense_weights};
use super::{
    Failure, Integrator, Interrupt, Outcome, System, combine, largest_scaled, worst_state,
};

/// The error estimate is of order 3: it goes with the fourth power of the step.
const POWER: f64 = 0.25;
const SAFETY: f64 = 0.9;

impl Integrator {
    /// Goes forward to `t_end`, or to the first crossing of a switch function before it.
    ///
    /// The rates are asked for anew at the start of each call, so what they depend on may have
    /// jumped since the last; no step is taken across a call. After a crossing the state is that
    /// of the interpolant just beyond it.
    ///
    /// # Errors
    /// See [`Failure`]. The integrator then stands at the last good state.
    pub fn advance(&mut self, system: &mut impl System, t_end: f64) -> Result<Outcome, Failure> {
        self.underway = false;
        for _ in 0..self.settings.max_steps {
            if let Some(outcome) = self.step_towards(system, t_end)? {
                return Ok(outcome);
            }
        }
        self.underway = false;
        Err(Failure::TooManySteps { at_s: self.time, step_s: self.step })
    }

    /// Goes one step towards `t_end`; `None` while it is not there yet. After each call
    /// [`Integrator::interpolate`] gives the states within that step. Between the calls of one
    /// way to an end, nothing that the rates depend on may jump.
    ///
    /// # Errors
    /// See [`Failure`]. The integrator then stands at the last good state.
    pub fn step_towards(
        &mut self,
        system: &mut impl System,
        t_end: f64,
    ) -> Result<Option<Outcome>, Failure> {
        if t_end.is_nan() || t_end < self.time {
            return Err(Failure::Backward { from_s: self.time, to_s: t_end });
        }
        let history = if self.underway {
            self.shift_stages();
            Some(self.last.length)
        } else {
            if let Some(outcome) = self.begin_events(system) {
                return Ok(Some(outcome));
            }
            if t_end <= self.time {
                return Ok(Some(Outcome::Reached));
            }
            self.begin(system)?
        };
        self.underway = false;
        self.smooth = false;
        let (h, last) = self.fit(t_end);
        let taken = self.step(system, h, history)?;
        let there = last && taken.total_cmp(&h).is_eq();
        self.take(taken, if there { t_end } else { self.time + taken });
        let outcome = self.find_crossing(system);
        if outcome.is_none() && there {
            return Ok(Some(Outcome::Reached));
        }
        self.underway = outcome.is_none();
        Ok(outcome)
    }

    /// Rates at the start of a call; whether they go on from the last step, and its length if so.
    fn begin(&mut self, system: &mut impl System) -> Result<Option<f64>, Failure> {
        let stages = &mut self.stages;
        let called = system.rhs(self.time, &self.state, &mut stages.base);
        self.statistics.rhs_calls += 1;
        called.map_err(|_| Failure::Stopped { at_s: self.time })?;
        if let Some(state) = stages.base.iter().position(|rate| !rate.is_finite()) {
            return Err(Failure::NotFinite { at_s: self.time, state });
        }
        let length = self.last.length;
        let mut smooth = self.smooth && self.step > 0.0;
        if smooth {
            // A jump shows as a change of the rate that matters over one step.
            let known = stages.base.iter().zip(&stages.rates[STAGES - 1]).zip(&stages.scale);
            let jump = known.map(|((new, old), scale)| ((new - old) * length * scale).abs());
            smooth = jump.fold(0.0, f64::max) < 1.0;
        }
        self.shift_stages();
        self.stages.rates[0].copy_from_slice(&self.stages.base);
        system.audit_rates(&self.state, &mut self.stages.audit_rates[0]);
        if smooth {
            return Ok(Some(length));
        }
        self.newton.stale = true;
        self.last_error = 1.0;
        self.step = match self.settings.first_step_s {
            Some(step) => step,
            None => self.first_step(system)?,
        };
        Ok(None)
    }

    /// The rates at the end of the last step are those at the start of the next.
    fn shift_stages(&mut self) {
        let stages = &mut self.stages;
        stages.before[1].copy_from_slice(&stages.rates[3]);
        stages.before[0].copy_from_slice(&stages.rates[0]);
        stages.rates.swap(0, STAGES - 1);
        stages.audit_rates.swap(0, STAGES - 1);
    }

    /// A first step from the size of the rates and of their change over a trial step (Hairer,
    /// Nørsett & Wanner, Solving ODEs I, II.4).
    fn first_step(&mut self, system: &mut impl System) -> Result<f64, Failure> {
        self.take_scale();
        let stages = &mut self.stages;
        let size = largest_scaled(&self.state, &stages.scale);
        let speed = largest_scaled(&stages.rates[0], &stages.scale);
        let mut trial = if size < 1e-5 || speed < 1e-5 { 1e-6 } else { 0.01 * size / speed };
        trial = trial.min(self.settings.max_step_s);
        for _ in 0..8 {
            let known = self.state.iter().zip(&stages.rates[0]);
            for (value, (y, rate)) in stages.value.iter_mut().zip(known) {
                *value = y + trial * rate;
            }
            self.statistics.rhs_calls += 1;
            match system.rhs(self.time + trial, &stages.value, &mut stages.rates[1]) {
                Ok(()) => break,
                Err(Interrupt::Shorten) => trial *= 0.1,
                Err(Interrupt::Stop) => return Err(Failure::Stopped { at_s: self.time }),
            }
        }
        for (change, start) in stages.base.iter_mut().zip(&stages.rates[0]) {
            *change = -start;
        }
        for (change, end) in stages.base.iter_mut().zip(&stages.rates[1]) {
            *change += end;
        }
        let bend = largest_scaled(&stages.base, &stages.scale) / trial;
        let most = speed.max(bend);
        let step = if most <= 1e-15 { trial.max(1e-3) } else { (0.01 / most).powf(POWER) };
        let step = if step.is_finite() { step.min(100.0 * trial) } else { trial };
        Ok(step.max(2.0 * self.settings.min_step_s))
    }

    /// The next step, fitted to the end: the last one reaches it exactly, and the last two share
    /// what is left so that none becomes tiny.
    fn fit(&self, t_end: f64) -> (f64, bool) {
        let h = self.step.min(self.settings.max_step_s);
        let left = t_end - self.time;
        if h >= left * (1.0 - 1e-9) {
            (left, true)
        } else if 2.0 * h > left {
            (0.5 * left, false)
        } else {
            (h, false)
        }
    }

    /// Attempts steps from `h` down until one is good; sets the next step.
    fn step(
        &mut self,
        system: &mut impl System,
        mut h: f64,
        mut history: Option<f64>,
    ) -> Result<f64, Failure> {
        let first = history.is_none();
        let mut refused = false;
        loop {
            match self.attempt(system, h, history) {
                Attempt::Stopped => return Err(Failure::Stopped { at_s: self.time }),
                Attempt::NotConverged => {
                    self.statistics.failed += 1;
                    self.newton.astray = true;
                    if self.newton.fresh || self.newton.stale {
                        h *= 0.25;
                        history = None;
                    }
                    // A Jacobian that is no number serves nobody, however fresh.
                    let broken = self.newton.factored_step == 0.0;
                    self.newton.stale |= broken || !self.newton.fresh || self.newton.renewals > 0;
                    self.newton.left_over = 1.0;
                    refused = true;
                }
                Attempt::Error(error) if error <= 1.0 => {
                    self.control(h, error, refused, first);
                    self.judge_jacobian();
                    return Ok(h);
                }
                Attempt::Error(error) => {
                    self.statistics.rejected += 1;
                    let factor = if error.is_finite() { SAFETY * error.powf(-POWER) } else { 0.1 };
                    h *= factor.clamp(0.1, 0.9);
                    refused = true;
                }
            }
            if h < self.settings.min_step_s {
                let state = worst_state(&self.newton.residual, &self.stages.scale);
                return Err(Failure::StepTooSmall { at_s: self.time, step_s: h, state });
            }
        }
    }

    /// Step control with memory of the last error (Gustafsson 1991): smoother than the error
    /// alone, so fewer steps are refused.
    fn control(&mut self, h: f64, error: f64, refused: bool, first: bool) {
        let error = error.max(1e-6);
        let factor = SAFETY * error.powf(-0.8 * POWER) * self.last_error.powf(0.3 * POWER);
        let most = match (refused, first) {
            (true, _) => 1.0,
            // The first step is a guess from below.
            (_, true) => 30.0,
            _ => 5.0,
        };
        let next = h * factor.clamp(0.2, most);
        // A step cut short by the end says nothing against the longer one planned.
        let planned = self.step.min(self.settings.max_step_s);
        self.step = if refused || h >= planned { next } else { next.max(planned) };
        self.last_error = error.max(1e-2);
    }

    /// Makes the attempted step the last step.
    fn take(&mut self, h: f64, end: f64) {
        self.statistics.steps += 1;
        self.last.begin = self.time;
        self.last.length = h;
        self.last.state.copy_from_slice(&self.state);
        self.last.audits.copy_from_slice(&self.audits);
        self.state.copy_from_slice(&self.stages.value);
        self.time = end;
        self.add_audits(1.0);
        self.smooth = true;
    }

    /// Audits up to the part `theta` of the last step.
    fn add_audits(&mut self, theta: f64) {
        let weights = dense_weights(theta).map(|weight| weight * self.last.length);
        combine(&self.last.audits, &self.stages.audit_rates, weights, &mut self.audits);
    }

    /// Goes back to the part `theta` of the last step.
    pub(super) fn cut(&mut self, theta: f64) {
        let mut state = std::mem::take(&mut self.state);
        self.interpolate_within(theta, &mut state);
        self.state = state;
        self.time = self.last.begin + theta * self.last.length;
        self.add_audits(theta);
        self.smooth = false;
    }
}
