//! The whole search: Newton's method first, and where that is lost, the flows followed in time.

use super::newton::{End, Fault, Goal};
use super::{Laws, Network, Reason, Settings, Solved, Stability};

/// Newton iterations granted at the start, and for each step in time.
const PLAIN: usize = 60;
const IN_STEP: usize = 12;
/// Steps in time before giving up, and pushes off an unstable balance.
const STEPS: usize = 200;
const PUSHES: usize = 3;

/// Whether every slope is at least half the sum of the couplings that its run takes part in. Then
/// Σ slope dm² + Σ c dm dn is never negative, whatever the changes of flow: the symmetric part of
/// every matrix of loops is positive definite. `rests` is scratch over the runs.
pub(super) fn is_diagonally_dominant(
    slopes: &[f64],
    couplings: &[(usize, usize)],
    cross: &[f64],
    rests: &mut [f64],
) -> bool {
    let rests = &mut rests[..slopes.len()];
    rests.copy_from_slice(slopes);
    for (&(of, on), c) in couplings.iter().zip(cross) {
        rests[of] -= 0.5 * c.abs();
        rests[on] -= 0.5 * c.abs();
    }
    rests.iter().all(|rest| *rest >= 0.0)
}

impl Network {
    /// Finds the answer from the present flows.
    pub(super) fn search(
        &mut self,
        laws: &mut impl Laws,
        settings: &Settings,
    ) -> Result<Solved, Reason> {
        let mut pushes = 0;
        if !self.work.balanced {
            self.step_into_balance(laws)?;
        }
        match self.try_plain(laws, settings)? {
            Some((end, Some(stability))) => return Ok(self.solved(end, stability, false)),
            Some((_, None)) => {
                pushes = 1;
                self.push();
            }
            None => self.set_flows_to_start(),
        }
        self.follow(laws, settings, pushes)
    }

    /// Newton's method on the laws as they are. `None` when it is lost; the stability is `None`
    /// when it found a balance from which the flows depart.
    fn try_plain(
        &mut self,
        laws: &mut impl Laws,
        settings: &Settings,
    ) -> Result<Option<(End, Option<Stability>)>, Reason> {
        self.work.shift = 0.0;
        let goal = Goal { closure: settings.closure, change: settings.change, iterations: PLAIN };
        match self.newton(laws, settings, goal) {
            Ok(end) => Ok(Some((end, self.stability(end)))),
            Err(Fault::Fatal(reason)) => Err(reason),
            Err(Fault::NoDescent) => Ok(None),
        }
    }

    /// Whether departures from the present flows die out, each run having the same inertia.
    ///
    /// Flows then move by I dq/dt = −F with I = B Bᵀ; they return if the symmetric part of J is
    /// positive definite. A negative determinant means that an odd number of them depart.
    fn stability(&mut self, end: End) -> Option<Stability> {
        let slopes = &self.work.slopes[..self.graph.runs];
        if is_diagonally_dominant(slopes, &self.couplings, &self.work.cross, &mut self.work.sizes) {
            return Some(Stability::Stable);
        }
        let forest = self.forests.current();
        let (couplings, cross) = (&self.couplings, &self.work.cross);
        let definite = self.system.is_definite(forest, slopes, couplings, cross);
        if self.system.is_nodal() {
            // The factors are those that sensitivities are solved with: put them back.
            let regular = self.system.factor(forest, slopes, couplings, cross, false).is_ok();
            self.work.factored = regular;
        }
        match definite {
            Some(true) => Some(Stability::Stable),
            None => Some(Stability::Undecided),
            Some(false) if !couplings.is_empty() && end.positive == Some(true) => {
                Some(Stability::Undecided)
            }
            Some(false) => None,
        }
    }

    /// Follows the flows in time by implicit steps, longer as they come to rest.
    fn follow(
        &mut self,
        laws: &mut impl Laws,
        settings: &Settings,
        mut pushes: usize,
    ) -> Result<Solved, Reason> {
        self.work.shift = 0.0;
        self.evaluate(laws)?;
        let mut before = self.imbalance();
        let mut shift = self.first_shift();
        let (mut wait, mut rested) = (2, 0);
        for _ in 0..STEPS {
            self.work.anchor.copy_from_slice(&self.work.flows);
            if !self.step_in_time(laws, settings, shift)? {
                self.set_flows_to_anchor();
                shift *= 4.0;
                rested = 0;
                if !shift.is_finite() {
                    break;
                }
                continue;
            }
            self.work.shift = 0.0;
            self.evaluate(laws)?;
            let now = self.imbalance();
            // Switched evolution relaxation: the step grows as the imbalance falls.
            shift *= if before > 0.0 { (now / before).clamp(0.1, 0.7) } else { 0.1 };
            before = now;
            rested += 1;
            if rested < wait {
                continue;
            }
            self.work.anchor.copy_from_slice(&self.work.flows);
            match self.try_plain(laws, settings)? {
                Some((end, Some(stability))) => return Ok(self.solved(end, stability, true)),
                Some((_, None)) if now <= settings.closure => {
                    pushes += 1;
                    if pushes > PUSHES {
                        return Err(Reason::Unstable);
                    }
                    self.push();
                }
                _ => self.set_flows_to_anchor(),
            }
            (wait, rested) = (wait * 2, 0);
        }
        Err(Reason::Restless)
    }

    /// One implicit step: the laws with the inertia of the fluid added to them.
    fn step_in_time(
        &mut self,
        laws: &mut impl Laws,
        settings: &Settings,
        shift: f64,
    ) -> Result<bool, Reason> {
        self.work.shift = shift;
        let goal = Goal { closure: 1e-4, change: 1e-3, iterations: IN_STEP };
        match self.newton(laws, settings, goal) {
            // A step so long that the inertia no longer holds the flows leads to the very
            // balance that they would depart from.
            Ok(end) => Ok(self.stability(end).is_some()),
            Err(Fault::NoDescent) => Ok(false),
            Err(Fault::Fatal(reason)) => Err(reason),
        }
    }

    /// Inertia over the first time step: what turns the closures into a change of the order of
    /// the flows, and more than any negative slope.
    fn first_shift(&self) -> f64 {
        let runs = self.graph.runs;
        let work = &self.work;
        let most = |values: &[f64]| values.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
        let steepest = work.slopes[..runs].iter().fold(0.0_f64, |most, slope| most.max(-slope));
        let scale = most(&work.flows[..runs]).max(1e-3);
        (most(&self.system.closures) / scale).max(2.0 * steepest).max(f64::MIN_POSITIVE)
    }

    /// Largest loop closure relative to the largest fall.
    fn imbalance(&mut self) -> f64 {
        let forest = self.forests.current();
        self.system.close(forest, &self.work.falls);
        let most = |values: &[f64]| values.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
        let scale = most(&self.work.falls);
        if scale > 0.0 { most(&self.system.closures) / scale } else { 0.0 }
    }

    /// Moves every loop flow a little off a balance, so that it can show where it goes.
    fn push(&mut self) {
        let runs = self.graph.runs;
        let largest = self.work.flows[..runs].iter().fold(1e-6_f64, |most, x| most.max(x.abs()));
        let forest = self.forests.current();
        for flow in &mut self.system.flows {
            *flow += 1e-3 * largest;
        }
        self.system.edge_flows(forest, &self.work.base, &mut self.work.flows);
    }

    fn set_flows_to_start(&mut self) {
        let work = &mut self.work;
        work.flows.copy_from_slice(&work.start);
        let forest = self.forests.current();
        self.system.read(forest, &work.flows);
    }

    fn set_flows_to_anchor(&mut self) {
        let work = &mut self.work;
        work.flows.copy_from_slice(&work.anchor);
        let forest = self.forests.current();
        self.system.read(forest, &work.flows);
    }

    fn solved(&self, end: End, stability: Stability, continued: bool) -> Solved {
        Solved {
            iterations: self.work.iterations,
            evaluations: self.work.evaluations,
            residual: self.work.worst.relative,
            continued,
            undetermined: end.positive.is_none(),
            stability,
        }
    }
}
