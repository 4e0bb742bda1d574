//! What a duty cycle would become with other numbers, or with laws that are off, to first order.
//!
//! To follow a whole cycle anew for each of a hundred small changes takes a hundred times as long. Here
//! the cycle is followed once, and its state y, rates f and Jacobian J are kept at some moments. A changed
//! model then differs by s from moment to moment, h apart, as a linearly implicit Euler step says:
//!
//! ```text
//! (I − h J) ds = h (f_changed(y + s) − f(y)),   s ← s + ds
//! ```
//!
//! with the flows, films and air of the changed model settled for each f. Where all stands still this is
//! Newton's method, so a state held long enough is that of the changed model exactly. Two things are
//! left out: switches change when they did in the cycle kept, and what happens between two moments is
//! not seen.
//!
//! Flows are off from those kept by about as much as at the moment before, so a search starts there, and one
//! step of Newton's method mostly ends it (`Settled::settle_by_steps_below`).

use coolwright_solver::integrate::System;
use coolwright_solver::sparse::Sparse;

use crate::cycle::{Program, Ramps, Rows};
use crate::instance::Instance;
use crate::results::Selection;
use crate::simulate::{Flows, Setup, Simulator, Standing};
use crate::slots::{Slot, Values};
use crate::solve::SolveError;
use crate::uncertainty::{Term, evaluate, terms};
use crate::warnings::{Warning, warnings};

/// About how many moments of a cycle are kept.
const MOMENTS: f64 = 160.0;
/// Least number of moments of a phase.
const LEAST_OF_PHASE: f64 = 4.0;
/// By how much the time since a phase began grows from one moment to the next at first.
const GROWTH: f64 = 1.5;
/// How close moments stand at least, in shares of how far they stand apart at most.
const CLOSEST: f64 = 0.25;

/// How long a law is taken to have been off where it is only glanced at, s.
const LONG_S: f64 = 300.0;
/// Share of a ramp at which a source gives a fifth of what it goes to from rest: what it needs has to move from there on.
const BEGUN: f64 = 0.2;

/// A step of Newton's method for the flows is the last where it is smaller than this share of the largest
/// flow. The method converges quadratically, so what is left open is of the order of its square.
const LAST_STEP: f64 = 1e-5;

/// A duty cycle at one moment.
#[derive(Clone, Debug)]
struct Moment {
    at_s: f64,
    phase: usize,
    states: Vec<f64>,
    rates: Vec<f64>,
    jacobian: Vec<f64>,
    standing: Standing,
    flows: Flows,
    terms: Vec<Term>,
}

/// A duty cycle as it was at some moments.
#[derive(Clone, Debug, Default)]
pub struct Moments {
    kept: Vec<Moment>,
    warnings: Vec<(f64, Warning)>,
    met: Vec<(usize, Warning)>,
    /// Whether only what they warn of is kept.
    brief: bool,
    /// The phase and the time of the last one, s.
    last: Option<(usize, f64)>,
    /// Phase now followed, when it began, and how far apart its moments are at most.
    phase: usize,
    from_s: f64,
    apart_s: f64,
    /// Until when it has hardly begun to go where it sets things, s.
    begun_s: f64,
}

impl Moments {
    /// Moments of which only what they warn of is kept: nothing can sway them.
    pub(crate) fn brief() -> Self {
        Self { brief: true, ..Self::default() }
    }

    /// Whether only what they warn of is kept.
    pub(crate) fn is_brief(&self) -> bool {
        self.brief
    }

    /// How many moments there are.
    pub fn len(&self) -> usize {
        self.kept.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.kept.is_empty()
    }

    /// The phase of each moment.
    pub fn phases(&self) -> impl Iterator<Item = usize> + '_ {
        self.kept.iter().map(|moment| moment.phase)
    }

    /// Where the laws left their ranges at one of them, and when that was first, s; each kind and place once, of a
    /// coolant the farthest out.
    pub fn warnings(&self) -> &[(f64, Warning)] {
        &self.warnings
    }

    /// The same with the phases in which they were met: each kind and place once in each of them.
    pub fn met(&self) -> &[(usize, Warning)] {
        &self.met
    }

    /// Forgets all.
    pub(crate) fn clear(&mut self) {
        self.kept.clear();
        self.last = None;
        self.warnings.clear();
        self.met.clear();
    }

    /// A phase begins, one of so many.
    pub(crate) fn begin_phase(
        &mut self,
        (phase, of): (usize, usize),
        [from_s, to_s]: [f64; 2],
        ramp_s: f64,
    ) {
        let count = (MOMENTS / of as f64).max(LEAST_OF_PHASE);
        (self.phase, self.from_s, self.apart_s) = (phase, from_s, (to_s - from_s) / count);
        self.begun_s = from_s + BEGUN * ramp_s;
    }

    /// Whether the time is due for another moment: at the start of a phase, then at times since that grow
    /// by a factor, then evenly.
    pub(crate) fn is_due(&self, at_s: f64) -> bool {
        let last = self.last.filter(|(phase, _)| *phase == self.phase);
        let Some((_, last_s)) = last else { return true };
        let grown = ((last_s - self.from_s) * (GROWTH - 1.0)).max(CLOSEST * self.apart_s);
        at_s - last_s >= grown.min(self.apart_s) * (1.0 - 1e-9)
    }

    /// Keeps the model as it was evaluated last, at the states `y`.
    pub(crate) fn keep(&mut self, simulator: &mut Simulator<'_>, at_s: f64, y: &[f64]) {
        self.last = Some((self.phase, at_s));
        self.warn(simulator, at_s, y);
        if self.brief {
            return;
        }
        let mut flows = Flows::default();
        simulator.settled.flows_into(&mut flows);
        let rates = simulator.last_rates().to_vec();
        let terms = terms(simulator);
        let standing = simulator.modes.standing().clone();
        let mut jacobian = vec![0.0; simulator.setup.layout.pattern.len()];
        simulator.jacobian_into(y, &mut jacobian);
        let states = y.to_vec();
        let phase = self.phase;
        let moment = Moment { at_s, phase, states, rates, jacobian, standing, flows, terms };
        self.kept.push(moment);
    }

    /// Notes where laws are outside their ranges.
    fn warn(&mut self, simulator: &Simulator<'_>, at_s: f64, y: &[f64]) {
        for warning in warnings(simulator, y) {
            // What a ramp brings up from rest moves as the heat comes.
            if matches!(warning, Warning::Still { .. }) && at_s < self.begun_s {
                continue;
            }
            let here =
                |(phase, known): &(usize, Warning)| *phase == self.phase && known.is_like(&warning);
            if !self.met.iter().rev().any(here) {
                self.met.push((self.phase, warning.clone()));
            }
            match self.warnings.iter_mut().find(|(_, known)| known.is_like(&warning)) {
                Some((_, known)) => known.worsen(&warning),
                None => self.warnings.push((at_s, warning)),
            }
        }
    }

    /// Every law that is off at some moment, each once, in a fixed order.
    pub fn laws(&self) -> Vec<Term> {
        let mut found: Vec<Term> = Vec::new();
        for moment in &self.kept {
            for term in &moment.terms {
                if !found.iter().any(|known| known.is_same_law(term)) {
                    found.push(*term);
                }
            }
        }
        found
    }
}

/// A change of a model.
#[derive(Clone, Debug)]
pub enum Sway<'a> {
    /// Other numbers.
    Numbers(&'a Values),
    /// One law is off by a share of what it may be off by at each moment.
    Law(&'a Term, f64),
}

/// What stays the same from one change of a cycle to the next.
#[derive(Debug)]
pub struct Course<'a> {
    values: &'a Values,
    program: &'a Program,
    moments: &'a Moments,
    /// I − h J of each moment, factored; nothing where no time passes.
    matrices: Vec<Option<Sparse>>,
    /// A matrix of their pattern.
    blank: Sparse,
}

impl<'a> Course<'a> {
    /// The course of a cycle that was followed with the given numbers.
    pub fn of(
        instance: &Instance<'_>,
        values: &'a Values,
        program: &'a Program,
        moments: &'a Moments,
    ) -> Option<Self> {
        let simulator = instance.simulator()?;
        let blank = simulator.matrix().ok()?;
        let mut matrices = Vec::with_capacity(moments.len());
        let mut before = 0.0;
        for moment in &moments.kept {
            let h = moment.at_s - before;
            before = moment.at_s;
            let mut matrix = blank.clone();
            let factored = h > 0.0 && matrix.factor(-h, &moment.jacobian, 1.0).is_ok();
            matrices.push(factored.then_some(matrix));
        }
        Some(Self { values, program, moments, matrices, blank })
    }

    /// What is needed to glance at one moment: the selected results there.
    ///
    /// # Errors
    /// As [`Course::swayed`].
    pub fn glancing(
        &self,
        instance: &mut Instance<'_>,
        moment: usize,
        selection: &mut Selection,
    ) -> Result<Glancing, SolveError> {
        let kept = &self.moments.kept[moment];
        let mut matrix = self.blank.clone();
        let matrix = matrix.factor(-LONG_S, &kept.jacobian, 1.0).is_ok().then_some(matrix);
        let mut glancing = Glancing { moment, matrix, row: Vec::new() };
        glancing.row = self.at_glance(instance, &glancing, None, selection)?;
        Ok(glancing)
    }

    /// What a law that is off by a share of its offset changes at one moment, had it been off for five
    /// minutes: a row of the selected results, less those of the moment as it was. This tells which laws
    /// matter.
    ///
    /// # Errors
    /// As [`Course::swayed`].
    pub fn glance(
        &self,
        instance: &mut Instance<'_>,
        at: &Glancing,
        law: (&Term, f64),
        selection: &mut Selection,
    ) -> Result<Vec<f64>, SolveError> {
        let mut row = self.at_glance(instance, at, Some(law), selection)?;
        row.iter_mut().zip(&at.row).for_each(|(now, was)| *now -= was);
        Ok(row)
    }

    fn at_glance(
        &self,
        instance: &mut Instance<'_>,
        at: &Glancing,
        law: Option<(&Term, f64)>,
        selection: &mut Selection,
    ) -> Result<Vec<f64>, SolveError> {
        let moment = &self.moments.kept[at.moment];
        let (made, _) = instance.begin(self.values)?;
        let mut swaying = Swaying::of(&mut made.simulator, self.values);
        swaying.conditions(self.program, moment)?;
        swaying.states.copy_from_slice(&moment.states);
        if let Some((law, share)) = law {
            swaying.off = Some(vec![0.0; moment.states.len()]);
            swaying.at_s = moment.at_s - LONG_S;
            swaying.put_off(moment, &Sway::Law(law, share));
            swaying.step(moment, at.matrix.as_ref())?;
        }
        evaluate(swaying.simulator, &swaying.states)?;
        let mut row = vec![0.0; selection.catalogue().entries().len()];
        selection.read(swaying.simulator, &swaying.states, &mut row);
        made.simulator.setup.offsets.clear();
        Ok(row)
    }

    /// Follows the course with a change, as far as the last moment that `read` asks for, by number; gives a
    /// row of the selected results for each of those.
    ///
    /// # Errors
    /// When the numbers are out of range or flows do not come to rest.
    pub fn swayed(
        &self,
        instance: &mut Instance<'_>,
        sway: &Sway<'_>,
        (selection, read): (&mut Selection, &dyn Fn(usize) -> bool),
    ) -> Result<Rows, SolveError> {
        let values = match sway {
            Sway::Numbers(values) => *values,
            Sway::Law(..) => self.values,
        };
        let (made, _) = instance.begin(values)?;
        let mut swaying = Swaying::of(&mut made.simulator, values);
        let mut row = vec![0.0; selection.catalogue().entries().len()];
        let mut rows = Rows::of_width(row.len());
        let own = matches!(sway, Sway::Numbers(_)).then(|| self.blank.clone());
        swaying.matrix = own;
        let count = (0..self.moments.len()).rev().find(|&k| read(k)).map_or(0, |last| last + 1);
        let moments = self.moments.kept.iter().zip(&self.matrices);
        for (k, (moment, matrix)) in moments.take(count).enumerate() {
            swaying.conditions(self.program, moment)?;
            swaying.put_off(moment, sway);
            swaying.step(moment, matrix.as_ref())?;
            if read(k) {
                evaluate(swaying.simulator, &swaying.states)?;
                selection.read(swaying.simulator, &swaying.states, &mut row);
                rows.push(&row);
            }
        }
        made.simulator.setup.offsets.clear();
        Ok(rows)
    }
}

/// One moment at which laws are glanced at.
#[derive(Debug)]
pub struct Glancing {
    moment: usize,
    /// I − h J with an h of five minutes, factored.
    matrix: Option<Sparse>,
    /// The selected results there.
    row: Vec<f64>,
}

/// A changed model underway.
struct Swaying<'a, 'm> {
    simulator: &'a mut Simulator<'m>,
    values: &'a Values,
    /// Its numbers at this moment, and what is written for that.
    numbers: Values,
    writes: Vec<(Slot, f64)>,
    /// What is on its way since the phase began.
    ramps: Ramps,
    phase: Option<usize>,
    /// When the last moment was, s.
    at_s: f64,
    /// Its flows in the cycle that was kept.
    flows: Option<&'a Flows>,
    states: Vec<f64>,
    /// Its states less those of the cycle that was kept; `None` before the start.
    off: Option<Vec<f64>>,
    step: Vec<f64>,
    /// Room for its own Jacobian where that may differ much, and for a matrix of its pattern.
    jacobian: Vec<f64>,
    matrix: Option<Sparse>,
    room: Vec<f64>,
}

impl<'a, 'm> Swaying<'a, 'm> {
    fn of(simulator: &'a mut Simulator<'m>, values: &'a Values) -> Self {
        simulator.settled.settle_by_steps_below(LAST_STEP);
        let states = simulator.start();
        let step = vec![0.0; states.len()];
        let numbers = values.clone();
        Self {
            simulator,
            values,
            numbers,
            writes: Vec::new(),
            ramps: Ramps::default(),
            phase: None,
            at_s: 0.0,
            flows: None,
            states,
            off: None,
            step,
            jacobian: Vec::new(),
            matrix: None,
            room: Vec::new(),
        }
    }

    /// Writes what holds at a moment, with the switches as they were then.
    fn conditions(&mut self, program: &Program, moment: &'a Moment) -> Result<(), SolveError> {
        let moves = !program.tracks.is_empty() || !self.ramps.underway.is_empty();
        if self.phase != Some(moment.phase) || moves {
            if self.phase != Some(moment.phase) {
                self.refilled(&program.phases[moment.phase].refills);
                let model = (self.simulator.setup.model, self.values);
                let from_s = program.phases[..moment.phase].iter().map(|phase| phase.time_s).sum();
                self.ramps.find(model, (&program.phases, moment.phase), from_s);
            }
            self.phase = Some(moment.phase);
            self.writes.clone_from(&program.phases[moment.phase].sets);
            let on_their_way = self.ramps.underway.iter();
            self.writes.extend(on_their_way.map(|ramp| (ramp.slot, ramp.at(moment.at_s))));
            let now =
                program.tracks.iter().map(|(slot, track)| (*slot, track.around(moment.at_s)[1]));
            self.writes.extend(now);
            self.numbers.copy_from(self.values);
            self.simulator.setup.model.write_running(&mut self.numbers, &self.writes);
            self.simulator.set_values(&self.numbers).map_err(SolveError::Prepare)?;
            self.simulator.settled.start_from(&moment.flows);
        } else if let Some(before) = self.flows {
            self.simulator.settled.start_moved(before, &moment.flows);
        }
        self.flows = Some(&moment.flows);
        self.simulator.stand(&moment.standing);
        Ok(())
    }

    /// A phase begins with tanks filled with as much ice as the other course has by then.
    fn refilled(&mut self, tanks: &[(usize, usize, usize)]) {
        let Some(off) = self.off.as_mut().filter(|_| !tanks.is_empty()) else { return };
        let layout = &self.simulator.setup.layout;
        for owner in layout.owners.iter().filter(|o| tanks.contains(&layout.parts[o.part].at)) {
            off[owner.states()].fill(0.0);
        }
    }

    /// Puts the law off that is to be, by what it may be off by at this moment.
    fn put_off(&mut self, moment: &Moment, sway: &Sway<'_>) {
        let Setup { offsets, layout, .. } = &mut self.simulator.setup;
        offsets.clear();
        if let Sway::Law(law, share) = sway {
            let here = moment.terms.iter().filter(|term| term.is_same_law(law));
            here.for_each(|term| offsets.add(layout, &term.offset, *share));
        }
    }

    /// Goes from the last moment to this one.
    fn step(&mut self, moment: &Moment, kept: Option<&Sparse>) -> Result<(), SolveError> {
        let mut off = self.off.take().unwrap_or_else(|| {
            let pairs = self.states.iter().zip(&moment.states);
            let mut off: Vec<f64> = pairs.map(|(own, kept)| own - kept).collect();
            // A governed machine begins where it rests, at the numbers of either, and so does a voltage.
            let layout = &self.simulator.setup.layout;
            for governed in &layout.governed {
                off[governed.state] = 0.0;
            }
            for sagging in &layout.sagging {
                off[sagging.state] = 0.0;
            }
            off
        });
        let h = moment.at_s - self.at_s;
        self.at_s = moment.at_s;
        add(&mut self.states, &moment.states, &off);
        if let Some(kept) = kept {
            evaluate(self.simulator, &self.states)?;
            let rates = self.simulator.last_rates().iter().zip(&moment.rates);
            self.step.iter_mut().zip(rates).for_each(|(ds, (now, was))| *ds = h * (now - was));
            self.solve(h, kept);
            off.iter_mut().zip(&self.step).for_each(|(off, ds)| *off += ds);
            add(&mut self.states, &moment.states, &off);
        }
        self.off = Some(off);
        Ok(())
    }

    /// Solves for the step. Other numbers may change stores, and with them the Jacobian by any factor: they
    /// have their own. A law that is a little off takes that of the cycle that was kept.
    fn solve(&mut self, h: f64, kept: &Sparse) {
        let Some(own) = &mut self.matrix else {
            kept.solve_in(&mut self.step, &mut self.room);
            return;
        };
        self.jacobian.resize(self.simulator.setup.layout.pattern.len(), 0.0);
        self.simulator.jacobian_into(&self.states, &mut self.jacobian);
        if own.factor(-h, &self.jacobian, 1.0).is_ok() {
            own.solve(&mut self.step);
        } else {
            kept.solve_in(&mut self.step, &mut self.room);
        }
    }
}

fn add(sum: &mut [f64], a: &[f64], b: &[f64]) {
    sum.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (a, b))| *sum = a + b);
}
