//! A case driven by a log: what its gauges show for given numbers.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use coolwright_cases::case::Change;
use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{Columns, History, Phase, Program};
use coolwright_models::inputs::Track;
use coolwright_models::instance::Instance;
use coolwright_models::slots::Slot;
use coolwright_models::solve::SolveError;

use crate::ask::Case;
use crate::ask::case::Built;
use crate::ask::cycle::phases_of;
use crate::refusal::Refusal;
use crate::sections::learn::Along;
use crate::study::learn::fitting::Predict;
use crate::study::learn::series::means;
use crate::study::sheets::plans;

/// A column that drives the model.
#[derive(Clone, Debug)]
pub(super) struct Drive {
    /// The address of the number that it drives.
    pub(super) address: String,
    /// Time in s and value, SI, at the corners.
    pub(super) points: Vec<[f64; 2]>,
    /// How far that is off what was logged.
    pub(super) along: Along,
}

/// A number at its address, SI.
pub(super) type At = (String, f64);

/// What a case is followed through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Through {
    /// The log.
    Log,
    /// All steps of the stand card, one after the other.
    Card,
    /// One of them alone.
    Step(usize),
    /// Its own duty cycle.
    Duty,
}

/// A case driven by a log.
pub(super) struct Driven<'a> {
    /// What it is followed through, where that is not the log.
    pub(super) through: Through,
    pub(super) case: &'a Case,
    pub(super) built: &'a Built<'a>,
    pub(super) drives: Vec<Drive>,
    /// Stretches of the log: name and length, s.
    pub(super) phases: Vec<(String, f64)>,
    /// Numbers that are the same in every try: how warm it was at the start.
    pub(super) fixed: Vec<At>,
    /// Addresses of the numbers that are tried.
    pub(super) numbers: Vec<String>,
    /// Addresses of the results that are wanted.
    pub(super) results: Vec<String>,
    /// By result the stretches over which its mean is wanted, and by how much its clock is behind, s.
    pub(super) windows: Vec<(Vec<[f64; 2]>, f64)>,
    /// How often it was followed.
    pub(super) followed: AtomicUsize,
    /// Instances that are at rest.
    pub(super) pool: Mutex<Vec<Instance<'a>>>,
}

/// The slots that a drive writes: what sets a machine does not undo that it is stopped.
fn slots(ready: &Ready, address: &str) -> Vec<Slot> {
    let entry = ready.addresses.get(address);
    let own = entry.iter().flat_map(|entry| entry.slots.iter().copied());
    own.map(|slot| {
        let machines = &ready.model.machines;
        let set = machines.iter().find(|machine| machine.command.own == slot);
        set.map_or(slot, |machine| machine.command.instead)
    })
    .collect()
}

impl<'a> Driven<'a> {
    /// The same case, followed through the same.
    pub(super) fn again(&self) -> Driven<'a> {
        Driven {
            through: self.through,
            case: self.case,
            built: self.built,
            drives: self.drives.clone(),
            phases: self.phases.clone(),
            fixed: self.fixed.clone(),
            numbers: self.numbers.clone(),
            results: self.results.clone(),
            windows: self.windows.clone(),
            followed: AtomicUsize::new(0),
            pool: Mutex::new(Vec::new()),
        }
    }

    /// The same case followed through something else, or with other results.
    pub(super) fn with(
        &self,
        through: Through,
        fixed: Vec<At>,
        shown: Vec<(String, Vec<[f64; 2]>)>,
    ) -> Driven<'a> {
        let (results, windows): (Vec<String>, Vec<_>) = shown.into_iter().unzip();
        let windows = windows.into_iter().map(|windows| (windows, 0.0)).collect();
        Driven { through, fixed, results, windows, ..self.again() }
    }
}

impl Driven<'_> {
    /// What is followed.
    fn program(&self, ready: &Ready) -> Program {
        let steps = || plans(ready).into_iter().map(|plan| plan.phase());
        match self.through {
            Through::Log => self.log(ready),
            Through::Card => Program { phases: steps().collect(), ..Program::default() },
            Through::Step(k) => {
                Program { phases: steps().skip(k).take(1).collect(), ..Program::default() }
            }
            Through::Duty => Program {
                phases: phases_of(ready),
                tracks: ready.duty.tracks.clone(),
                watches: Vec::new(),
            },
        }
    }

    /// The log: in one stretch, as every other begins the integration anew.
    fn log(&self, ready: &Ready) -> Program {
        let time_s = self.phases.iter().map(|(_, time_s)| time_s).sum();
        let phases = vec![Phase { name: "log".to_owned(), time_s, ..Phase::default() }];
        let track = |drive: &Drive| {
            let track = Track::table(drive.points.clone());
            slots(ready, &drive.address).into_iter().map(move |slot| (slot, track.clone()))
        };
        Program {
            phases,
            tracks: self.drives.iter().flat_map(track).collect(),
            watches: Vec::new(),
        }
    }

    /// Places of the results in a catalogue.
    fn places(&self, find: impl Fn(&str) -> Option<usize>) -> Vec<usize> {
        self.results.iter().filter_map(|address| find(address)).collect()
    }

    /// The case followed through the log with numbers.
    ///
    /// # Errors
    /// When it cannot be solved.
    pub(super) fn follow(&self, numbers: &[f64]) -> Result<History, Refusal> {
        self.followed.fetch_add(1, Ordering::Relaxed);
        let tried = self.numbers.iter().cloned().zip(numbers.iter().copied());
        let all: Vec<At> = self.fixed.iter().cloned().chain(tried).collect();
        let ready = &self.built.ready;
        let entry = |(address, _): &At| ready.addresses.get(address);
        let in_slots =
            all.iter().filter_map(entry).all(coolwright_cases::lower::Address::has_slots);
        if in_slots {
            let writes: Vec<(&str, f64)> = all.iter().map(|(a, si)| (a.as_str(), *si)).collect();
            let mut values = ready.model.values.clone();
            ready.model.write(&mut values, &ready.slots_of(&writes));
            if ready.model.fits(&values) {
                let taken = self.pool.lock().ok().and_then(|mut pool| pool.pop());
                let mut instance = taken.unwrap_or_else(|| Instance::new(&ready.model).coarse());
                let places = self.places(|address| self.built.catalogue.find(address));
                let program = self.program(ready);
                let history =
                    instance.follow(&values, &program, Columns::Only(&places), &mut |_| true);
                let history = history.cloned();
                if let Ok(mut pool) = self.pool.lock() {
                    pool.push(instance);
                }
                return history.map_err(|error: SolveError| self.built.unsolved(&error));
            }
        }
        self.follow_anew(&all)
    }

    /// The same where a number changes how the model is made.
    fn follow_anew(&self, all: &[At]) -> Result<History, Refusal> {
        let known = |(address, si): &At| {
            let entry = self.built.ready.addresses.get(address)?;
            Some(Change::number(address, entry.kind, *si))
        };
        let changes: Vec<Change> = all.iter().filter_map(known).collect();
        let built = self.case.built_with(&changes)?;
        let places = self.places(|address| built.catalogue.find(address));
        let program = self.program(&built.ready);
        let mut instance = Instance::new(&built.ready.model).coarse();
        let values = &built.ready.model.values;
        let history = instance.follow(values, &program, Columns::Only(&places), &mut |_| true);
        history.cloned().map_err(|error| built.unsolved(&error))
    }

    /// By result its means over its stretches.
    pub(super) fn shown(&self, history: &History) -> Option<Vec<Vec<f64>>> {
        self.late(history, 0.0)
    }

    /// The same where all that drives comes so much later, s.
    pub(super) fn late(&self, history: &History, late_s: f64) -> Option<Vec<Vec<f64>>> {
        if history.boiled.is_some() {
            return None;
        }
        let one = |(address, (windows, behind)): (&String, &(Vec<[f64; 2]>, f64))| {
            let column = history.catalogue.find(address)?;
            let values: Vec<f64> = history.rows.iter().map(|row| row[column]).collect();
            Some(means(&history.times_s, &values, windows, *behind + late_s))
        };
        self.results.iter().zip(&self.windows).map(one).collect()
    }
}

impl Predict for Driven<'_> {
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>> {
        let history = self.follow(numbers).ok()?;
        let shown = self.shown(&history)?;
        shown.iter().flatten().all(|value| value.is_finite()).then_some(shown)
    }
}
