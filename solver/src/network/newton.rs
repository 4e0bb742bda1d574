//! Newton's method on the loop flows, with a search along the step.

use super::transient::is_diagonally_dominant;
use super::{Laws, Network, Quantity, Reason, Residual, Settings, Worst, largest};

/// A chord this much slacker than the stiffest run of its loop loses that many digits of the
/// small flow through the stiff run: the forest is then chosen anew.
const SLACK: f64 = 1e-3;
/// Without lists of the loops: a branch that carries this much less than its loops has lost that
/// many digits. Of 16, 12 have to be left, and more where the usual number of steps did not do.
const POOR: f64 = 1e-4;
const POORER: f64 = 1e-2;
const USUAL: usize = 12;
/// Steps below this share of the largest flow are not shortened: their test is all rounding.
const SMALL_STEP: f64 = 1e-6;
/// Fall along a step at its end, over its size at the start, that a step may reach. The first
/// step may go further: from a start with too little flow, quadratic resistances lead to too
/// much, and the next step mends that for less than a search costs. Later steps may not, or laws
/// that level off would be stepped over to and fro for ever.
const FIRST_OVERSHOOT: f64 = 2.0;
const OVERSHOOT: f64 = 0.5;
/// A loop is flat when no slope in it is above this share of what would close it.
const FLAT: f64 = 1e-6;
/// Least flow, kg/s, and least slope, Pa·s/kg, that a flat loop is given.
const LEAST_STEP_KG_S: f64 = 1e-3;
const LEAST_SLOPE: f64 = 1e-9;
/// A closure below this share of its scale is the rounding of its sum, and calls for no step.
const ROUNDING: f64 = 4.0 * f64::EPSILON;
/// Steps with all loops closed after which rounding is taken for what it is.
const CLOSED_FOR: usize = 5;
/// Trials along one step.
const TRIALS: usize = 40;

/// How the method ended without an answer.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Fault {
    /// Nothing can be done.
    Fatal(Reason),
    /// The laws are not monotone or flat here: follow the flows in time.
    NoDescent,
}

impl From<Reason> for Fault {
    fn from(reason: Reason) -> Self {
        Self::Fatal(reason)
    }
}

fn slopes_of(runs: &[usize], slopes: &[f64]) -> impl Iterator<Item = f64> {
    runs.iter().map(|run| slopes[*run].abs())
}

/// Where the method ended.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    /// The determinant of the loop matrix is positive; `None` when it is singular.
    pub(super) positive: Option<bool>,
}

/// How far one call goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Goal {
    pub(super) closure: f64,
    pub(super) change: f64,
    pub(super) iterations: usize,
}

impl Network {
    /// Newton's method from the present flows.
    pub(super) fn newton(
        &mut self,
        laws: &mut impl Laws,
        settings: &Settings,
        goal: Goal,
    ) -> Result<End, Fault> {
        self.evaluate(laws)?;
        self.close();
        let mut closed_for = 0;
        for iteration in 0..goal.iterations {
            self.choose_forest();
            let closed = self.measure(settings, goal, closed_for >= CLOSED_FOR);
            closed_for += usize::from(closed);
            if self.work.iterations >= self.work.granted {
                return Err(Reason::Iterations.into());
            }
            self.work.iterations += 1;
            let positive = match self.factor() {
                Ok(positive) => Some(positive),
                Err(_) => match self.factor_regularised(closed) {
                    Ok(_) => None,
                    Err(_) if closed => return Ok(End { positive: None }),
                    Err(_) => return Err(Fault::NoDescent),
                },
            };
            if self.system.correct().is_err() {
                return Err(Fault::NoDescent);
            }
            let (largest, change) = self.size_step();
            if let (true, Some(last)) = (self.work.shift == 0.0, self.work.history.last_mut()) {
                last.change_kg_s = change;
            }
            if !change.is_finite() {
                return Err(Fault::NoDescent);
            }
            if closed && change <= goal.change * largest + settings.flow_floor_kg_s {
                self.take_last_step();
                return Ok(End { positive });
            }
            let allowed = if iteration == 0 { FIRST_OVERSHOOT } else { OVERSHOOT };
            self.line_search(laws, change <= SMALL_STEP * largest, allowed)?;
        }
        Err(Fault::NoDescent)
    }

    /// The first step from flows that do not balance: the laws are taken where they stand, and
    /// their tangents carry them over to the balanced start. Where that is of no use, the
    /// balanced start stands.
    pub(super) fn step_into_balance(&mut self, laws: &mut impl Laws) -> Result<(), Reason> {
        self.evaluate(laws)?;
        let runs = self.graph.runs;
        let work = &mut self.work;
        for edge in 0..work.flows.len() {
            work.change[edge] = work.start[edge] - work.flows[edge];
        }
        for run in 0..runs {
            work.falls[run] += work.slopes[run] * work.change[run];
        }
        for (&(of, on), cross) in self.couplings.iter().zip(&work.cross) {
            work.falls[of] += cross * work.change[on];
        }
        work.flows.copy_from_slice(&work.start);
        self.choose_forest();
        let forest = self.forests.current();
        self.system.close(forest, &self.work.falls);
        self.work.iterations += 1;
        let solved = self.factor().is_ok() && self.system.correct().is_ok();
        if solved && self.size_step().1.is_finite() {
            self.system.saved.copy_from_slice(&self.system.flows);
            self.move_to(1.0);
        }
        Ok(())
    }

    /// Evaluates the laws at the present flows, with the inertia of a step in time if there is one.
    pub(super) fn evaluate(&mut self, laws: &mut impl Laws) -> Result<(), Reason> {
        let runs = self.graph.runs;
        let work = &mut self.work;
        work.evaluations += 1;
        let (falls, slopes) = (&mut work.falls[..runs], &mut work.slopes[..runs]);
        laws.evaluate(&work.flows[..runs], falls, slopes, &mut work.cross);
        if work.shift > 0.0 {
            for run in 0..runs {
                falls[run] += work.shift * (work.flows[run] - work.anchor[run]);
                slopes[run] += work.shift;
            }
        }
        let finite = largest(falls) + largest(slopes) + largest(&work.cross);
        if finite.is_finite() { Ok(()) } else { self.find_not_finite() }
    }

    /// Names the run; a finite set whose sum overflows is no fault.
    fn find_not_finite(&self) -> Result<(), Reason> {
        let (work, runs) = (&self.work, self.graph.runs);
        let at = |values: &[f64]| values.iter().position(|value| !value.is_finite());
        let (quantity, index, run) = if let Some(run) = at(&work.falls[..runs]) {
            (Quantity::Fall, run, run)
        } else if let Some(run) = at(&work.slopes[..runs]) {
            (Quantity::Slope, run, run)
        } else if let Some(coupling) = at(&work.cross) {
            (Quantity::Cross, coupling, self.couplings[coupling].0)
        } else {
            return Ok(());
        };
        Err(Reason::NotFinite { quantity, index, flow_kg_s: Some(work.flows[run]) })
    }

    /// Takes the stiff runs as chords when a chord in use is far slacker than its loop.
    fn choose_forest(&mut self) {
        if !self.is_forest_poor() {
            return;
        }
        let slopes = &self.work.slopes;
        self.ranking.sort_unstable_by(|a, b| {
            let order = slopes[*a].abs().total_cmp(&slopes[*b].abs());
            order.then(a.cmp(b))
        });
        self.forests.chosen.build(&self.graph, &self.held, &self.ranking);
        self.forests.on_canonical = false;
        self.rebase();
        self.system.take_forest(&self.graph, &self.forests.chosen, &self.couplings);
        self.system.read(&self.forests.chosen, &self.work.flows);
        self.system.edge_flows(&self.forests.chosen, &self.work.base, &mut self.work.flows);
        self.close();
    }

    /// Sums of the falls around the loops.
    fn close(&mut self) {
        let forest = self.forests.current();
        self.system.close(forest, &self.work.falls);
    }

    fn is_forest_poor(&mut self) -> bool {
        let slopes = &self.work.slopes;
        if self.system.is_nodal() {
            let share = if self.work.iterations < USUAL { POOR } else { POORER };
            return self.system.is_poor(slopes, &self.work.flows, share);
        }
        let forest = self.forests.current();
        let slackest = slopes_of(&forest.chords, slopes).fold(f64::INFINITY, f64::min);
        if slackest >= SLACK * largest(slopes) {
            return false;
        }
        let stiffest = |chord: usize| {
            let parts = forest.loop_parts(chord).iter();
            parts.map(|part| slopes[part.index].abs()).fold(0.0, f64::max)
        };
        let poor = |(chord, run): (usize, &usize)| slopes[*run].abs() < SLACK * stiffest(chord);
        forest.chords.iter().enumerate().any(poor)
    }

    /// The worst of the loop closures, and whether all are within the goal. `late` when they
    /// have been so for several steps, and flows still move.
    fn measure(&mut self, settings: &Settings, goal: Goal, late: bool) -> bool {
        let forest = self.forests.current();
        let work = &mut self.work;
        let mut closed = true;
        let mut worst = Worst::default();
        let edges = work.falls.iter().zip(&work.slopes).zip(&work.flows);
        for (size, ((fall, slope), flow)) in work.sizes.iter_mut().zip(edges) {
            *size = fall.abs() + (slope * flow).abs();
        }
        let sizes = &work.sizes;
        self.system.total(|edge| sizes[edge]);
        for (chord, closure) in self.system.closures.iter_mut().enumerate() {
            let scale: f64 = match self.system.totals.get(chord) {
                Some(total) => *total,
                None => forest.loop_parts(chord).iter().map(|part| sizes[part.index]).sum(),
            };
            let excess = closure.abs() - settings.fall_floor_pa;
            closed &= excess <= goal.closure * scale;
            let relative = if excess > 0.0 { excess / scale } else { 0.0 };
            if worst.run.is_none() || relative > worst.relative {
                let run = Some(forest.chords[chord]);
                worst = Worst { run, closure: *closure, relative };
            }
            if late && closure.abs() <= ROUNDING * scale {
                // Over a flat law even the last digit of a sum would move the flow without end.
                *closure = 0.0;
            }
        }
        if work.shift > 0.0 {
            // What a step in time leaves open says nothing about the laws themselves.
            return closed;
        }
        work.worst = worst;
        if work.history.len() == work.history.capacity() {
            work.history.remove(0);
        }
        let Worst { closure: closure_pa, relative, .. } = worst;
        work.history.push(Residual { closure_pa, relative, change_kg_s: 0.0 });
        closed
    }

    fn factor(&mut self) -> Result<bool, crate::dense::Singular> {
        let forest = self.forests.current();
        let runs = self.graph.runs;
        let (slopes, cross) = (&self.work.slopes[..runs], &self.work.cross);
        let dominant = is_diagonally_dominant(slopes, &self.couplings, cross, &mut self.work.sizes);
        let result = self.system.factor(forest, slopes, &self.couplings, cross, dominant);
        self.work.factored = result.is_ok();
        result
    }

    /// The same where some loop has no slope at all: pumps side by side on the flat of their curves.
    /// Each such loop is given a slope of its own, on its chord, with which its closure calls for a
    /// step as large as the largest flow. Flows then leave the flat, or stay where nothing moves them,
    /// which is so where all loops are closed.
    fn factor_regularised(&mut self, closed: bool) -> Result<bool, crate::dense::Singular> {
        if self.system.is_nodal() {
            return Err(crate::dense::Singular);
        }
        let forest = self.forests.current();
        let (work, runs) = (&mut self.work, self.graph.runs);
        let flow = largest(&work.flows[..runs]).max(LEAST_STEP_KG_S);
        // The change is made anew from the step.
        work.change[..runs].copy_from_slice(&work.slopes[..runs]);
        for (chord, (&run, closure)) in
            forest.chords.iter().zip(&mut self.system.closures).enumerate()
        {
            let added = (closure.abs() / flow).max(LEAST_SLOPE);
            let parts = forest.loop_parts(chord).iter();
            let stiffest = parts.map(|part| work.slopes[part.index].abs()).fold(0.0, f64::max);
            if stiffest <= FLAT * added {
                work.change[run] += added;
                if closed {
                    *closure = 0.0;
                }
            }
        }
        let slopes = &work.change[..runs];
        self.system.factor(forest, slopes, &self.couplings, &work.cross, false)
    }

    /// Spreads the step over the runs: the largest flow and the largest change of one.
    fn size_step(&mut self) -> (f64, f64) {
        let forest = self.forests.current();
        self.system.change(forest, &mut self.work.change);
        let runs = self.graph.runs;
        (largest(&self.work.flows[..runs]), largest(&self.work.change[..runs]))
    }

    /// The last full step, too small for the laws to be asked again: falls follow their slopes.
    fn take_last_step(&mut self) {
        self.system.saved.copy_from_slice(&self.system.flows);
        self.move_to(1.0);
        let work = &mut self.work;
        for run in 0..self.graph.runs {
            work.falls[run] += work.slopes[run] * work.change[run];
        }
        for (&(of, on), cross) in self.couplings.iter().zip(&work.cross) {
            work.falls[of] += cross * work.change[on];
        }
    }

    /// Goes the share `t` of the step from the saved loop flows.
    fn move_to(&mut self, t: f64) {
        let forest = self.forests.current();
        let system = &mut self.system;
        for ((flow, saved), step) in system.flows.iter_mut().zip(&system.saved).zip(&system.step) {
            *flow = saved + t * step;
        }
        system.edge_flows(forest, &self.work.base, &mut self.work.flows);
    }

    /// Fall along the step, Σ F dq, at the share `t` of it.
    fn probe(&mut self, laws: &mut impl Laws, t: f64) -> Result<f64, Reason> {
        self.move_to(t);
        self.evaluate(laws)?;
        self.close();
        Ok(self.system.along_step())
    }

    /// Takes the step, or as much of it as leaves the fall along it at no more than the `allowed`
    /// share of its size, with the sign turned. For monotone laws that fall grows along the step,
    /// and the zero that it passes through is the lowest point of a convex function.
    fn line_search(
        &mut self,
        laws: &mut impl Laws,
        small: bool,
        allowed: f64,
    ) -> Result<(), Fault> {
        self.system.saved.copy_from_slice(&self.system.flows);
        let before = self.system.along_step();
        if before >= 0.0 && !small {
            return Err(Fault::NoDescent);
        }
        let after = self.probe(laws, 1.0)?;
        if small || after <= allowed * before.abs() {
            return Ok(());
        }
        let enough = OVERSHOOT * before.abs();
        let (mut low, mut high) = ((0.0, before), (1.0, after));
        for trial in 0..TRIALS {
            // A kink of many decades draws the secant to one end; halving now and then frees it.
            let width = high.0 - low.0;
            let secant = low.1 / (low.1 - high.1);
            let part = if trial % 3 == 2 { 0.5 } else { secant.clamp(0.01, 0.9) };
            let t = low.0 + part * width;
            let fall = self.probe(laws, t)?;
            if fall.abs() <= enough {
                return Ok(());
            }
            if fall < 0.0 {
                low = (t, fall);
            } else {
                high = (t, fall);
            }
        }
        // A jump: stand on its far side, where the slope is that of the steep branch.
        self.probe(laws, high.0)?;
        Ok(())
    }
}
