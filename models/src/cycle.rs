//! The duty cycle: a model followed in time through its phases.

use std::sync::Arc;

use coolwright_solver::integrate::{Absolute, Failure, Integrator, Outcome, Settings, Statistics};

use crate::ids::Id;
use crate::inputs::{Ramp, Track};
use crate::instance::{Instance, Made};
use crate::laws::cushion::{Content, NORMAL_M3};
use crate::model::Model;
use crate::point::settle;
use crate::results::quantities::BOIL_MARGIN;
use crate::results::{Boiling, Catalogue, Selection, boiling};
use crate::simulate::Border;
use crate::slots::{Slot, Values};
use crate::solve::SolveError;
use crate::sway::Moments;
use crate::watch::{Watch, Watched, Watching, located};
use crate::waypoint::Waypoint;

/// A stretch of time in which what the vehicle does stays the same.
#[derive(Clone, Debug, Default)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// How long, s.
    pub time_s: f64,
    /// Numbers that it writes.
    pub sets: Vec<(Slot, f64)>,
    /// Tanks that get ice as it begins, so that they hold as much as at the start: circuit, run, part.
    pub refills: Vec<(usize, usize, usize)>,
}

/// What a cycle follows: phases one after the other, and numbers that go over time.
#[derive(Clone, Debug, Default)]
pub struct Program {
    /// Phases one after the other. They divide what is told of the cycle.
    pub phases: Vec<Phase>,
    /// Numbers over the time since the start; they count before what the phases set. Where two write
    /// one number the later counts.
    pub tracks: Vec<(Slot, Track)>,
    /// Bounds on results whose crossings are located on the way ([`History::watched`]).
    pub watches: Vec<Watch>,
}

impl Program {
    /// Phases alone: in each hold the numbers that it sets, and nothing goes over time.
    pub fn of_phases(phases: &[Phase]) -> Self {
        Self { phases: phases.to_vec(), ..Self::default() }
    }
}

/// Phases and tracks of a program.
#[derive(Clone, Copy)]
struct Course<'a> {
    phases: &'a [Phase],
    tracks: &'a [(Slot, Track)],
    watches: &'a [Watch],
}

impl Course<'_> {
    /// Writes the times between `from` and `to` at which a track jumps or bends, and `to`, s.
    fn ends_into(&self, from: f64, to: f64, ends: &mut Vec<f64>) {
        let corners = self.tracks.iter().flat_map(|(_, track)| track.corners());
        ends.clear();
        ends.extend(corners.filter(|at| *at > from && *at < to));
        ends.sort_unstable_by(f64::total_cmp);
        ends.dedup();
        ends.push(to);
    }

    /// Whether a number jumps at a time, s.
    fn jumps(&self, time: f64) -> bool {
        self.tracks
            .iter()
            .map(|(_, track)| track.around(time))
            .any(|[a, b]| a.total_cmp(&b).is_ne())
    }
}

/// A phase that has been followed.
#[derive(Clone, Debug, Default)]
pub struct PhaseHistory {
    /// Its name.
    pub name: String,
    /// When it began and ended, s.
    pub from_s: f64,
    /// See `from_s`.
    pub to_s: f64,
    /// Its first row, and the one after its last.
    pub rows: std::ops::Range<usize>,
    /// Heat that crossed the border of the model in it, J.
    pub border: Border,
    /// Heat that the model held more at its end than at its start, J; what was put in as it began does not count.
    pub stored_j: f64,
    /// Heat that came in with what was put in as it began, J: with ice less than nothing.
    pub put_in_j: f64,
}

impl PhaseHistory {
    /// What the audit leaves open, J: heat in less heat out less heat stored.
    pub fn open_j(&self) -> f64 {
        let Border { bodies, pumps, cores, outside } = &self.border;
        let sum = |x: &[f64]| x.iter().sum::<f64>();
        sum(bodies) + sum(pumps) + sum(outside) - sum(cores) - self.stored_j
    }
}

/// Where the coolant began to boil in bulk, beyond which the model no longer holds.
#[derive(Clone, Copy, Debug)]
pub struct Boiled {
    /// The circuit.
    pub circuit: usize,
    /// When, s: located like a switch.
    pub at_s: f64,
    /// Where in it, how hot and at which pressure.
    pub place: Boiling,
}

/// A switch that went on or off.
#[derive(Clone, Copy, Debug)]
pub struct Switched {
    /// Which of the model's switches.
    pub switch: usize,
    /// When, s.
    pub at_s: f64,
    /// Whether it went on.
    pub on: bool,
}

/// A machine that ran on after a switch or a phase had stopped it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RanOn {
    /// Which of the model's machines.
    pub machine: usize,
    /// When it was stopped, s.
    pub from_s: f64,
    /// When it stood, s; `None` where it still ran as the cycle ended.
    pub to_s: Option<f64>,
}

/// Ice that was put into a tank as a phase began.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refilled {
    /// The tank: circuit, run, part.
    pub tank: (usize, usize, usize),
    /// When, s.
    pub at_s: f64,
    /// Ice put in, kg.
    pub ice_kg: f64,
    /// Coolant drawn off for it, m³, as warm as the tank was.
    pub coolant_m3: f64,
}

/// A stretch of time in which something went out or came in through a cap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapOpening {
    /// The circuit.
    pub circuit: usize,
    /// When it opened, s: the last time at which it was seen shut.
    pub from_s: f64,
    /// When it had shut again, s.
    pub to_s: f64,
    /// Whether it opened outwards; else it let air in.
    pub is_out: bool,
    /// Gas that went out or air that came in, m³ at 15 °C and 101.325 kPa.
    pub gas_m3: f64,
    /// Coolant that went out, m³.
    pub coolant_m3: f64,
}

/// Less gas than this, m³ at 15 °C, is rounding: a thousandth of a millilitre.
const NO_GAS_M3: f64 = 1e-9;

/// Notes what has gone through a cap between two times, as part of an opening that is underway where
/// there is one.
fn note_opening(
    history: &mut History,
    (circuit, [from_s, to_s]): (usize, [f64; 2]),
    [before, now]: [Content; 2],
) {
    let coolant_m3 = now.lost_m3 - before.lost_m3;
    let out_m3 = NORMAL_M3 * (now.gas_out - before.gas_out);
    let in_m3 = NORMAL_M3 * (now.gas_in - before.gas_in);
    let (is_out, gas_m3) = if in_m3 > out_m3 { (false, in_m3) } else { (true, out_m3) };
    if gas_m3 < NO_GAS_M3 && coolant_m3 <= 0.0 {
        return;
    }
    let mut known = history.openings.iter_mut().rev();
    let goes_on = |known: &&mut CapOpening| {
        known.circuit == circuit && known.is_out == is_out && known.to_s >= from_s
    };
    if let Some(known) = known.find(goes_on) {
        known.to_s = to_s;
        known.gas_m3 += gas_m3;
        known.coolant_m3 += coolant_m3;
        return;
    }
    history.openings.push(CapOpening { circuit, from_s, to_s, is_out, gas_m3, coolant_m3 });
}

/// A duty cycle that has been followed.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// What the columns are.
    pub catalogue: Arc<Catalogue>,
    /// When, s. At the end of a phase there are two rows of the same time: the phase's last instant
    /// and the next one's first.
    pub times_s: Vec<f64>,
    /// The results in the order of the catalogue, one row a time.
    pub rows: Rows,
    /// The phases.
    pub phases: Vec<PhaseHistory>,
    /// Whether and where the coolant boiled.
    pub boiled: Option<Boiled>,
    /// What switched, and when.
    pub switched: Vec<Switched>,
    /// What ran on after it was stopped, in the order in which it stood.
    pub ran_on: Vec<RanOn>,
    /// Ice that was put in, and when.
    pub refilled: Vec<Refilled>,
    /// What went through caps, and when.
    pub openings: Vec<CapOpening>,
    /// What became of each bound that was watched.
    pub watched: Vec<Watched>,
    /// All states at the end.
    pub states: Vec<f64>,
    /// What the integration cost.
    pub statistics: Statistics,
}

/// Most rows between steps: a step longer than the whole cycle over this is sampled within.
const SAMPLES: f64 = 1200.0;

/// Error tolerated per step: relative, and in K (for states of other kinds times their scale).
const RELATIVE: f64 = 2e-6;
/// See [`RELATIVE`].
const ABSOLUTE: f64 = 5e-4;

/// A search for flows ends with a step of Newton's method below this share of the largest flow: what it then
/// leaves is about the square of that.
const LAST_STEP: f64 = 1e-5;

/// How many times as much error is tolerated where a cycle is followed for a fit.
const COARSE: f64 = 8.0;
/// How many times as far apart its rows are then.
const SPARSE: f64 = 3.0;

/// A switch that changes more often than this at one time, for each switch that there is, never rests.
const MOST_AT_ONCE: usize = 4;

/// Which results a cycle records.
#[derive(Clone, Copy, Debug)]
pub enum Columns<'a> {
    /// All of them.
    All,
    /// Those at these places of the instance's catalogue ([`Instance::catalogue`]); the history has
    /// a catalogue of its own with these only.
    Only(&'a [usize]),
}

/// Follows a model through phases, from its start temperatures, and records all results. `watch` is
/// told the time after each step and may end it by returning `false`.
///
/// Whoever follows a model many times keeps an [`Instance`] and asks that.
///
/// # Errors
/// As [`Instance::cycle`].
pub fn duty_cycle(
    model: &Model,
    values: &Values,
    phases: &[Phase],
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    let mut instance = Instance::new(model);
    instance.cycle(values, phases, Columns::All, watch)?;
    Ok(std::mem::take(&mut instance.room.cycle.history))
}

/// Follows a model through a program, from its start temperatures, as [`duty_cycle`] does. Steps end
/// where a track jumps or bends.
///
/// # Errors
/// As [`Instance::cycle`].
pub fn follow(
    model: &Model,
    values: &Values,
    program: &Program,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<History, SolveError> {
    let mut instance = Instance::new(model);
    instance.follow(values, program, Columns::All, watch)?;
    Ok(std::mem::take(&mut instance.room.cycle.history))
}

impl Instance<'_> {
    /// Follows the model through phases, from its start temperatures. `watch` is told the time after
    /// each step and may end it by returning `false`.
    ///
    /// # Errors
    /// When the numbers are out of range, flows do not come to rest,
    /// the integration fails, or `watch` ends it.
    ///
    /// # Panics
    /// When a column is not in the catalogue.
    pub fn cycle(
        &mut self,
        values: &Values,
        phases: &[Phase],
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        self.run(values, Course { phases, tracks: &[], watches: &[] }, columns, watch)
    }

    /// Follows the model through a program, as [`Instance::cycle`] does. Steps end where a track jumps
    /// or bends.
    ///
    /// # Errors
    /// As [`Instance::cycle`].
    ///
    /// # Panics
    /// When a column is not in the catalogue.
    pub fn follow(
        &mut self,
        values: &Values,
        program: &Program,
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        let Program { phases, tracks, watches } = program;
        self.run(values, Course { phases, tracks, watches }, columns, watch)
    }

    fn run(
        &mut self,
        values: &Values,
        course: Course<'_>,
        columns: Columns<'_>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<&History, SolveError> {
        let coarse = self.is_coarse;
        let more = if coarse { COARSE } else { 1.0 };
        // Asked of this cycle, whatever becomes of it.
        let (taken_up, keep_at) = self.room.cycle.asked();
        let (made, room) = self.begin(values)?;
        made.simulator.start_into(&mut room.start);
        made.simulator.start_switches(&room.start);
        settle(&mut made.simulator, &room.start)?;
        if made.integrator.is_none() {
            let scales = made.simulator.scales();
            let absolute = scales.iter().map(|scale| more * ABSOLUTE * scale).collect();
            let settings = Settings {
                relative: more * RELATIVE,
                absolute: Absolute::Each(absolute),
                ..Settings::default()
            };
            let integrator = Integrator::new(&made.simulator, settings);
            let failed = |failure| SolveError::Cycle { at_s: 0.0, failure };
            made.integrator = Some(integrator.map_err(failed)?);
        }
        let cycle = &mut room.cycle;
        cycle.begin(made, columns, course.watches, &room.start);
        made.simulator.settled.settle_by_steps_below(LAST_STEP);
        let Made { integrator, .. } = made;
        let mut integrator = integrator.take().expect("made above");
        integrator.forget();
        let total: f64 = course.phases.iter().map(|phase| phase.time_s).sum();
        let sample_s = total / SAMPLES * if coarse { SPARSE } else { 1.0 };
        let first = match taken_up {
            Some(waypoint) => {
                let first = (waypoint.phase, waypoint.at_s);
                waypoint.restore((&mut made.simulator, &mut integrator), cycle);
                first
            }
            None => (0, 0.0),
        };
        let at_once = 0;
        let mut following = Following { made, integrator, sample_s, coarse, at_once, room: cycle };
        let followed = following.phases((values, course), (first, keep_at), watch);
        let Following { made, integrator, room: cycle, .. } = following;
        cycle.history.statistics = integrator.statistics();
        cycle.history.watched.clone_from(&cycle.watching.watched);
        made.integrator = Some(integrator);
        followed.map(|()| &cycle.history)
    }
}

/// Room for a cycle, kept from one to the next.
#[derive(Debug, Default)]
pub(crate) struct CycleRoom {
    pub(crate) history: History,
    /// What is recorded: `None` before the first cycle.
    recording: Option<Recording>,
    numbers: Values,
    states: Vec<f64>,
    row: Vec<f64>,
    /// What caps have kept in, by circuit, at the look underway.
    contents: Vec<Option<Content>>,
    /// What the gas in closed tanks stood at, Pa gauge.
    gas_pa: Vec<Option<f64>>,
    /// The row of a look, while times around it are asked for.
    looked: Vec<f64>,
    crossed: Vec<f64>,
    /// Ends of the stretches of a phase, s.
    ends: Vec<f64>,
    /// What a stretch writes, and what goes along a ramp in it.
    writes: Vec<(Slot, f64)>,
    ramps: Vec<Ramp>,
    /// The bounds that are watched, and where their values stand in a row.
    pub(crate) watching: Watching,
    watched_columns: Vec<usize>,
    /// Moments that are kept, where that was asked for.
    pub(crate) moments: Option<Moments>,
    /// Where the next cycle is taken up, and the phase at whose begin it is kept for others.
    pub(crate) taken_up: Option<Box<Waypoint>>,
    pub(crate) keep_at: Option<usize>,
    pub(crate) kept: Option<Box<Waypoint>>,
}

/// What a cycle records, and what it watches beside.
#[derive(Debug)]
struct Recording {
    /// The places asked for; `None` where all are recorded.
    places: Option<Vec<usize>>,
    /// The places that are watched.
    watched: Vec<usize>,
    /// The columns asked for, then margins against boiling and what is watched where they are not among
    /// them.
    selection: Selection,
    /// Column of each circuit's margin against boiling.
    boil_margins: Vec<Option<usize>>,
}

impl Recording {
    fn of(made: &Made<'_>, columns: Columns<'_>, watches: &[Watch]) -> Self {
        let Made { simulator, catalogue, boil_margins, .. } = made;
        let watched: Vec<usize> = watches.iter().map(|watch| watch.place).collect();
        let (places, selection) = match columns {
            Columns::All => (None, Selection::all(simulator, catalogue.clone())),
            Columns::Only(places) => {
                let beside = boil_margins.iter().flatten().chain(&watched);
                let all: Vec<usize> = places.iter().chain(beside).copied().collect();
                (Some(places.to_vec()), Selection::of(simulator, catalogue, &all))
            }
        };
        let margin = |c| selection.catalogue().place(Id::Circuit(c), &BOIL_MARGIN);
        let boil_margins = (0..boil_margins.len()).map(margin).collect();
        Self { places, watched, selection, boil_margins }
    }

    fn records(&self, columns: Columns<'_>, watches: &[Watch]) -> bool {
        let watched = self.watched.iter().eq(watches.iter().map(|watch| &watch.place));
        watched
            && match columns {
                Columns::All => self.places.is_none(),
                Columns::Only(places) => self.places.as_deref() == Some(places),
            }
    }
}

impl CycleRoom {
    /// What was asked of the next cycle: where it is taken up, and at which phase it is kept.
    fn asked(&mut self) -> (Option<Box<Waypoint>>, Option<usize>) {
        self.kept = None;
        (self.taken_up.take(), self.keep_at.take())
    }

    /// Makes an empty history of the columns asked for.
    fn begin(&mut self, made: &Made<'_>, columns: Columns<'_>, watches: &[Watch], start: &[f64]) {
        let history = &mut self.history;
        let recording = self.recording.as_ref();
        if !recording.is_some_and(|recording| recording.records(columns, watches)) {
            self.recording = Some(Recording::of(made, columns, watches));
            history.catalogue = match columns {
                Columns::All => made.catalogue.clone(),
                Columns::Only(places) => Arc::new(made.catalogue.only(places)),
            };
        }
        self.watching.begin(watches);
        self.moments.iter_mut().for_each(Moments::clear);
        self.watched_columns.clear();
        if let Some(recording) = &self.recording {
            let selected = recording.selection.catalogue();
            self.row.resize(selected.entries().len(), 0.0);
            self.watched_columns.extend(watches.iter().map(|watch| {
                let entry = &made.catalogue.entries()[watch.place];
                selected.place(entry.id, entry.quantity).expect("what is watched is selected")
            }));
        }
        history.rows.clear(history.catalogue.entries().len());
        history.times_s.clear();
        history.switched.clear();
        history.ran_on.clear();
        history.refilled.clear();
        history.openings.clear();
        history.boiled = None;
        history.states.clear();
        history.states.extend_from_slice(start);
        self.states.resize(start.len(), 0.0);
    }
}

/// Rows of equally many numbers, one after the other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rows {
    width: usize,
    count: usize,
    numbers: Vec<f64>,
}

impl Rows {
    /// No rows yet, each to have so many numbers.
    pub(crate) fn of_width(width: usize) -> Self {
        Self { width, ..Self::default() }
    }

    fn clear(&mut self, width: usize) {
        self.numbers.clear();
        (self.width, self.count) = (width, 0);
    }

    /// Adds a row; of a longer one what does not fit is left out.
    pub(crate) fn push(&mut self, row: &[f64]) {
        self.numbers.extend_from_slice(&row[..self.width]);
        self.count += 1;
    }

    /// How many rows there are.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The rows one after the other.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &[f64]> + ExactSizeIterator + Clone {
        (0..self.count).map(|row| &self[row])
    }

    /// The last row.
    pub fn last(&self) -> Option<&[f64]> {
        self.count.checked_sub(1).map(|row| &self[row])
    }
}

impl std::ops::Index<usize> for Rows {
    type Output = [f64];

    fn index(&self, row: usize) -> &[f64] {
        &self.numbers[row * self.width..(row + 1) * self.width]
    }
}

/// A duty cycle underway.
struct Following<'a, 'm> {
    made: &'a mut Made<'m>,
    integrator: Integrator,
    sample_s: f64,
    /// Whether a step is looked at at its end only.
    coarse: bool,
    /// How often something has switched since the last step.
    at_once: usize,
    room: &'a mut CycleRoom,
}

impl Following<'_, '_> {
    /// Follows all phases from the first one given and its begin, s, until coolant boils. How it stands where the phase
    /// `keep_at` begins is kept.
    fn phases(
        &mut self,
        (values, course): (&Values, Course<'_>),
        ((first, mut from_s), keep_at): ((usize, f64), Option<usize>),
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), SolveError> {
        let mut followed = first;
        for phase in &course.phases[first..] {
            if keep_at == Some(followed) {
                let here = (&self.made.simulator, &self.integrator);
                let waypoint = Waypoint::of((followed, from_s), here, self.room);
                self.room.kept = Some(Box::new(waypoint));
            }
            self.phase((values, course), phase, (followed, from_s), watch)?;
            followed += 1;
            if self.room.history.boiled.is_some() {
                break;
            }
            from_s += phase.time_s;
        }
        self.room.history.phases.truncate(followed);
        let late = self.made.simulator.modes.run_on();
        let late = late.map(|(machine, from_s)| RanOn { machine, from_s, to_s: None });
        self.room.history.ran_on.extend(late);
        self.room.watching.end(self.integrator.time());
        Ok(())
    }

    fn phase(
        &mut self,
        (values, course): (&Values, Course<'_>),
        phase: &Phase,
        (index, from_s): (usize, f64),
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), SolveError> {
        let to_s = from_s + phase.time_s;
        course.ends_into(from_s, to_s, &mut self.room.ends);
        self.conditions(values, &phase.sets, course.tracks, [from_s, self.room.ends[0]])?;
        let first_row = self.room.history.rows.len();
        let mut states = std::mem::take(&mut self.room.history.states);
        self.switch_over((index, from_s), &states)?;
        if index == 0 {
            self.made.simulator.start_speeds(&mut states);
        }
        let put_in = {
            let refilled = &mut self.room.history.refilled;
            self.made.simulator.refill((&phase.refills, from_s), &mut states, refilled)
        };
        let stored = self.made.simulator.stored_j(&states);
        self.room.crossed.clear();
        self.room.crossed.extend_from_slice(self.integrator.audits());
        self.integrator.restart(from_s, &states);
        self.room.watching.phase(index, from_s);
        if let Some(moments) = &mut self.room.moments {
            moments.begin_phase(index, course.phases.len(), [from_s, to_s]);
        }
        let row = self.jumped(from_s, &states);
        self.keep_moment(from_s, &states);
        self.room.history.states = states;
        row?;
        self.stretch(self.room.ends[0], watch)?;
        for next in 1..self.room.ends.len() {
            if self.room.history.boiled.is_some() {
                break;
            }
            let [from, to] = [self.room.ends[next - 1], self.room.ends[next]];
            self.conditions(values, &phase.sets, course.tracks, [from, to])?;
            if course.jumps(from) {
                self.row_now()?;
            }
            self.stretch(to, watch)?;
        }
        self.finish(phase, index, (from_s, to_s), first_row, [stored, put_in]);
        Ok(())
    }

    /// A phase begins: switches that what it sets puts beyond where they change, change.
    fn switch_over(
        &mut self,
        (index, at_s): (usize, f64),
        states: &[f64],
    ) -> Result<(), SolveError> {
        self.at_once = 0;
        while let Some((switch, on)) = self.made.simulator.switch_beyond(states) {
            self.count_switch(switch, at_s)?;
            self.made.simulator.note_stops(at_s);
            if index > 0 {
                self.room.history.switched.push(Switched { switch, at_s, on });
            }
        }
        Ok(())
    }

    /// Counts how often something switches at one time.
    ///
    /// # Errors
    /// When it is too often.
    fn count_switch(&mut self, switch: usize, at_s: f64) -> Result<(), SolveError> {
        let Model { switches, machines, .. } = self.made.simulator.setup.model;
        self.at_once += 1;
        if self.at_once <= MOST_AT_ONCE * switches.len() {
            return Ok(());
        }
        Err(SolveError::Chatters { machine: machines[switches[switch].drives[0]].id, at_s })
    }

    /// Other numbers hold from now on, some of them on their way: those of a stretch of time within a
    /// phase that sets `sets`, and what follows from them.
    fn conditions(
        &mut self,
        values: &Values,
        sets: &[(Slot, f64)],
        tracks: &[(Slot, Track)],
        [from, to]: [f64; 2],
    ) -> Result<(), SolveError> {
        let CycleRoom { numbers, writes, ramps, .. } = &mut *self.room;
        writes.clear();
        writes.extend_from_slice(sets);
        ramps.clear();
        for (slot, track) in tracks {
            let (start, end) = (track.around(from)[1], track.around(to)[0]);
            writes.push((*slot, start));
            ramps.retain(|ramp| ramp.slot != *slot);
            if start.total_cmp(&end).is_ne() {
                ramps.push(Ramp { slot: *slot, from: [from, start], to: [to, end] });
            }
        }
        numbers.copy_from(values);
        let simulator = &mut self.made.simulator;
        simulator.setup.model.write_running(numbers, writes);
        simulator.set_ramped(numbers, ramps).map_err(SolveError::Prepare)?;
        simulator.note_stops(from);
        Ok(())
    }

    /// Goes on to a time within a phase; not where coolant has boiled.
    fn stretch(&mut self, to_s: f64, watch: &mut dyn FnMut(f64) -> bool) -> Result<(), SolveError> {
        while self.room.history.boiled.is_none() {
            let before_s = self.integrator.time();
            let outcome = self.integrator.step_towards(&mut self.made.simulator, to_s);
            let outcome = outcome.map_err(|failure| self.failed(failure))?;
            // What crosses together is reported one after the other, of one step.
            if self.integrator.time() > before_s {
                self.sample()?;
                self.at_once = 0;
            }
            self.moment_at_step(matches!(outcome, Some(Outcome::Reached)))?;
            if !watch(self.integrator.time()) {
                return Err(SolveError::Interrupted);
            }
            match outcome {
                Some(Outcome::Reached) => break,
                Some(Outcome::Crossed { switch, rising }) => self.switch(switch, rising)?,
                None => {}
            }
        }
        Ok(())
    }

    /// Keeps the end of the last step as a moment, where one is due or the phase ends.
    fn moment_at_step(&mut self, phase_ends: bool) -> Result<(), SolveError> {
        let at_s = self.integrator.time();
        let due = self.room.moments.as_ref().is_some_and(|m| phase_ends || m.is_due(at_s));
        if !due || self.room.history.boiled.is_some() {
            return Ok(());
        }
        self.made.simulator.set_time(at_s).map_err(SolveError::Prepare)?;
        settle(&mut self.made.simulator, self.integrator.state())?;
        let states = self.integrator.state().to_vec();
        self.keep_moment(at_s, &states);
        Ok(())
    }

    /// Keeps the model as it was evaluated last as a moment, where that was asked for.
    fn keep_moment(&mut self, at_s: f64, states: &[f64]) {
        if let Some(moments) = &mut self.room.moments {
            moments.keep(&mut self.made.simulator, at_s, states);
        }
    }

    /// Writes what the phase came to, into the place that an earlier cycle has left where there is
    /// one. `stored` is the heat that the states held at its start, J, `put_in` what came in then.
    fn finish(
        &mut self,
        phase: &Phase,
        index: usize,
        (from_s, to_s): (f64, f64),
        first_row: usize,
        [stored, put_in]: [f64; 2],
    ) {
        let history = &mut self.room.history;
        history.states.copy_from_slice(self.integrator.state());
        for (then, now) in self.room.crossed.iter_mut().zip(self.integrator.audits()) {
            *then = now - *then;
        }
        if history.phases.len() == index {
            history.phases.push(PhaseHistory::default());
        }
        let known = &mut history.phases[index];
        known.name.clone_from(&phase.name);
        known.from_s = from_s;
        known.to_s = history.boiled.map_or(to_s, |boiled| boiled.at_s);
        known.rows = first_row..history.rows.len();
        known.border.clone_from(&self.made.simulator.rates.border);
        known.border.fill(&self.room.crossed);
        known.put_in_j = put_in;
        known.stored_j = self.made.simulator.stored_j(&history.states) - stored;
    }

    /// A switch changes, or a machine has run on for its time; a second row of the same time shows what that did.
    fn switch(&mut self, crossed: usize, rising: bool) -> Result<(), SolveError> {
        let at_s = self.integrator.time();
        let switches = self.made.simulator.setup.model.switches.len();
        if crossed < switches {
            self.count_switch(crossed, at_s)?;
            let simulator = &mut self.made.simulator;
            let on = simulator.switch(crossed, rising);
            simulator.note_stops(at_s);
            self.room.history.switched.push(Switched { switch: crossed, at_s, on });
        } else {
            // That its time is over is no event of its own once it has been seen.
            let stopped = self.made.simulator.stop(crossed - switches);
            let Some((machine, from_s)) = stopped else { return Ok(()) };
            self.room.history.ran_on.push(RanOn { machine, from_s, to_s: Some(at_s) });
        }
        self.row_now()
    }

    /// Another row of the present time.
    fn row_now(&mut self) -> Result<(), SolveError> {
        let at_s = self.integrator.time();
        let mut states = std::mem::take(&mut self.room.states);
        states.copy_from_slice(self.integrator.state());
        let row = self.jumped(at_s, &states);
        self.room.states = states;
        row
    }

    fn failed(&mut self, failure: Failure) -> SolveError {
        match self.made.simulator.failure.take() {
            Some(unsettled) => SolveError::unsettled(&self.made.simulator.setup, unsettled),
            None => SolveError::Cycle { at_s: self.integrator.time(), failure },
        }
    }

    /// Rows for the last step: its end, and times within it where it is long. A step without rows within
    /// is looked at in its middle, so that nothing dips below a bound and comes back unseen.
    fn sample(&mut self) -> Result<(), SolveError> {
        let (begin, end) = self.integrator.last_step();
        let pieces = ((end - begin) / self.sample_s).ceil().max(1.0);
        let (looks, rows) = if pieces > 1.0 || self.coarse { (pieces, 1.0) } else { (2.0, 2.0) };
        self.room.watching.step();
        let (mut k, mut before) = (1.0, begin);
        while k <= looks && self.room.history.boiled.is_none() {
            let at = if k < looks { begin + (end - begin) * k / looks } else { end };
            self.within(at)?;
            if let Some((circuit, at_s)) = self.boils(before, at) {
                return self.boiled(circuit, [before, at_s]);
            }
            self.keep();
            if k % rows < 0.5 {
                self.push(at);
            }
            self.look(at);
            self.pass([before, at]);
            before = at;
            k += 1.0;
        }
        Ok(())
    }

    /// Reads the results at a time within the last step.
    fn within(&mut self, at_s: f64) -> Result<(), SolveError> {
        let mut y = std::mem::take(&mut self.room.states);
        self.integrator.interpolate(at_s, &mut y);
        let read = self.read(at_s, &y);
        self.room.states = y;
        read
    }

    /// The value in a column at a time within the last step; `None` where there is no answer.
    fn value_at(&mut self, column: usize, at_s: f64) -> Option<f64> {
        self.within(at_s).ok().map(|()| self.room.row[column])
    }

    /// The columns of the margins against boiling, by circuit.
    fn boil_columns(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let margins = self.room.recording.iter().flat_map(|recording| &recording.boil_margins);
        margins.enumerate().filter_map(|(circuit, column)| column.map(|column| (circuit, column)))
    }

    /// Whether the results read last lie beyond boiling: the circuit that boils first, and when. The
    /// results of that time are then those read last.
    fn boils(&mut self, before: f64, at_s: f64) -> Option<(usize, f64)> {
        let beyond = |&(_, column): &(usize, usize)| self.room.row[column] < 0.0;
        if !self.boil_columns().any(|found| beyond(&found)) {
            return None;
        }
        let beyond: Vec<(usize, usize)> = self.boil_columns().filter(beyond).collect();
        let mut first: Option<(usize, f64)> = None;
        for (circuit, column) in beyond {
            let at = located(&mut |at| self.value_at(column, at), before..at_s);
            if first.is_none_or(|(_, known)| at < known) {
                first = Some((circuit, at));
            }
        }
        let (_, at) = first?;
        let _ = self.within(at);
        first
    }

    /// The coolant boils: the cycle ends here, with the state of this time.
    fn boiled(&mut self, circuit: usize, [before_s, at_s]: [f64; 2]) -> Result<(), SolveError> {
        self.within(at_s)?;
        self.keep();
        self.push(at_s);
        self.look(at_s);
        self.pass([before_s, at_s]);
        self.integrator.go_back(at_s);
        let mut states = std::mem::take(&mut self.room.states);
        states.copy_from_slice(self.integrator.state());
        let read = self.read(at_s, &states);
        let place = boiling(&self.made.simulator, &states, circuit);
        self.room.states = states;
        self.room.history.boiled = Some(Boiled { circuit, at_s, place });
        read
    }

    /// Results where something has jumped: a row, and what boils or is broken there from now on.
    fn jumped(&mut self, at_s: f64, y: &[f64]) -> Result<(), SolveError> {
        self.read(at_s, y)?;
        self.keep();
        self.push(at_s);
        self.pass([at_s, at_s]);
        let CycleRoom { watching, row, watched_columns, .. } = &mut *self.room;
        watching.jump(at_s, |watch| row[watched_columns[watch]]);
        let boils = self.boil_columns().find(|&(_, column)| self.room.row[column] < 0.0);
        if let Some((circuit, _)) = boils {
            let place = boiling(&self.made.simulator, y, circuit);
            self.room.history.boiled = Some(Boiled { circuit, at_s, place });
        }
        Ok(())
    }

    /// Shows the results read last to what is watched.
    fn look(&mut self, at_s: f64) {
        if self.room.watching.is_empty() {
            return;
        }
        let mut watching = std::mem::take(&mut self.room.watching);
        let mut row = std::mem::take(&mut self.room.looked);
        row.clone_from(&self.room.row);
        let columns = std::mem::take(&mut self.room.watched_columns);
        let value = |watch: usize| row[columns[watch]];
        watching.look(at_s, value, &mut |watch, at| self.value_at(columns[watch], at));
        self.room.watching = watching;
        self.room.looked = row;
        self.room.watched_columns = columns;
    }

    /// Reads the results at a time and state into the row.
    fn read(&mut self, at_s: f64, y: &[f64]) -> Result<(), SolveError> {
        self.made.simulator.set_time(at_s).map_err(SolveError::Prepare)?;
        settle(&mut self.made.simulator, y)?;
        let CycleRoom { recording, row, .. } = &mut *self.room;
        let recording = recording.as_mut().expect("a cycle begins with what it records");
        recording.selection.read(&self.made.simulator, y, row);
        Ok(())
    }

    /// Keeps what caps have kept in at the results read last, while other times are asked for.
    fn keep(&mut self) {
        let CycleRoom { recording, contents, gas_pa, .. } = &mut *self.room;
        contents.clear();
        contents.extend(recording.iter().flat_map(|recording| recording.selection.contents()));
        gas_pa.clear();
        gas_pa.extend(recording.iter().flat_map(|recording| recording.selection.gas_pa()));
    }

    /// Time goes on between two looks: caps remember what has gone through them.
    fn pass(&mut self, times_s: [f64; 2]) {
        let CycleRoom { history, contents, gas_pa, .. } = &mut *self.room;
        self.made.simulator.gas_pa.clone_from(gas_pa);
        let known = &mut self.made.simulator.contents;
        for (circuit, &content) in contents.iter().enumerate() {
            let before = known[circuit].unwrap_or_default();
            if let Some(now) = content {
                note_opening(history, (circuit, times_s), [before, now]);
            }
            known[circuit] = content;
        }
    }

    /// Records the results read last.
    fn push(&mut self, at_s: f64) {
        let CycleRoom { history, row, .. } = &mut *self.room;
        history.times_s.push(at_s);
        history.rows.push(row);
    }
}
