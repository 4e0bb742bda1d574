//! A duty cycle underway, phase by phase, step by step.

use coolwright_solver::integrate::{Failure, Integrator, Outcome};

use super::history::{Boiled, PhaseHistory, RanOn, Switched, note_opening};
use super::program::{Course, Phase};
use super::room::CycleRoom;
use crate::inputs::{Ramp, Track};
use crate::instance::Made;
use crate::model::Model;
use crate::point::settle;
use crate::results::boiling;
use crate::simulate::Stores;
use crate::slots::{Slot, Values};
use crate::solve::SolveError;
use crate::watch::located;
use crate::waypoint::Waypoint;

/// A switch that changes more often than this at one time, for each switch that there is, never rests.
const MOST_AT_ONCE: usize = 4;

/// A duty cycle underway.
pub(super) struct Following<'a, 'm> {
    pub(super) made: &'a mut Made<'m>,
    pub(super) integrator: Integrator,
    pub(super) sample_s: f64,
    /// Whether a step is looked at at its end only.
    pub(super) coarse: bool,
    /// How often something has switched since the last step.
    pub(super) at_once: usize,
    pub(super) room: &'a mut CycleRoom,
}

impl Following<'_, '_> {
    /// Follows all phases from the first one given and its begin, s, until coolant boils. How it stands where the phase
    /// `keep_at` begins is kept.
    pub(super) fn phases(
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
        let CycleRoom { of_phase, ends, .. } = &mut *self.room;
        let model = self.made.simulator.setup.model;
        of_phase.find((model, values), (course.phases, index), from_s);
        course.ends_into([from_s, to_s], of_phase, ends);
        self.conditions(values, &phase.sets, course.tracks, [from_s, self.room.ends[0]])?;
        let first_row = self.room.history.rows.len();
        let mut states = std::mem::take(&mut self.room.history.states);
        self.switch_over((index, from_s), &states)?;
        if index == 0 {
            self.made.simulator.start_speeds(&mut states);
            self.made.simulator.rest_voltages(&mut states);
        }
        let put_in = {
            let refilled = &mut self.room.history.refilled;
            self.made.simulator.refill((&phase.refills, from_s), &mut states, refilled)
        };
        let stored = self.made.simulator.stores(&states);
        self.room.crossed.clear();
        self.room.crossed.extend_from_slice(self.integrator.audits());
        self.integrator.restart(from_s, &states);
        self.room.watching.phase(index, from_s);
        if let Some(moments) = &mut self.room.moments {
            let of = (index, course.phases.len());
            moments.begin_phase(of, [from_s, to_s], if index > 0 { phase.ramp_s } else { 0.0 });
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
        self.finish(phase, index, (from_s, to_s), first_row, (stored, put_in));
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
        let CycleRoom { numbers, writes, ramps, of_phase, .. } = &mut *self.room;
        writes.clear();
        writes.extend_from_slice(sets);
        ramps.clear();
        for ramp in &of_phase.underway {
            let [start, end] = [from, to].map(|time| ramp.at(time));
            writes.push((ramp.slot, start));
            if start.total_cmp(&end).is_ne() {
                ramps.push(Ramp { slot: ramp.slot, from: [from, start], to: [to, end] });
            }
        }
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
        (stored, put_in): (Stores, f64),
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
        known.stored = self.made.simulator.stores(&history.states).since(&stored);
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
