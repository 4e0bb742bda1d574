//! Modes: what is on, what is off, and what runs on after it was stopped, beside the states.
//!
//! The rates are a function of time, states and modes. A mode changes only at a located crossing, at the end
//! of a located time or where a phase begins, never within a step; between its two bounds a switch remembers
//! what it was.

use crate::model::Model;
use crate::slots::{Slot, Values};

/// What is on and what runs on at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// For each switch of the model, whether it is on.
    on: Vec<bool>,
    /// Of each machine that runs on after it was stopped.
    late: Vec<Late>,
}

/// A machine that runs on after it was stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Late {
    /// Which of the model's machines.
    machine: usize,
    /// How long it does so, s.
    lasts: Slot,
    /// The speed that it had.
    speed: f64,
    /// Since when and until when it does, s; `None` where it does not.
    runs_on: Option<[f64; 2]>,
}

/// The modes of a model.
#[derive(Clone, Debug)]
pub struct Modes {
    standing: Standing,
    /// The numbers as commanded, with every switch on.
    commanded: Values,
}

impl Modes {
    /// Every switch on, and nothing that was stopped before.
    pub fn all_on(model: &Model, commanded: Values) -> Self {
        let machines = model.machines.iter().enumerate();
        let late = machines.filter_map(|(machine, spec)| {
            let lasts = spec.command.run_on?;
            Some(Late { machine, lasts, speed: 0.0, runs_on: None })
        });
        let on = vec![true; model.switches.len()];
        Self { standing: Standing { on, late: late.collect() }, commanded }
    }

    /// Other numbers are commanded; the modes stay.
    pub fn command(&mut self, commanded: &Values) {
        self.commanded.copy_from(commanded);
    }

    /// Begins anew, with every switch on.
    pub fn begin(&mut self) {
        self.standing.on.fill(true);
        self.standing.late.iter_mut().for_each(|late| (late.speed, late.runs_on) = (0.0, None));
    }

    /// How it stands.
    pub fn standing(&self) -> &Standing {
        &self.standing
    }

    /// Takes over how it stood.
    pub fn stand(&mut self, standing: &Standing) {
        self.standing.clone_from(standing);
    }

    /// Whether a switch is on.
    pub fn is_on(&self, switch: usize) -> bool {
        self.standing.on[switch]
    }

    /// Sets a switch.
    pub fn set(&mut self, switch: usize, on: bool) {
        self.standing.on[switch] = on;
    }

    /// How many machines run on at times.
    pub fn timers(&self) -> usize {
        self.standing.late.len()
    }

    /// Notes which machines are stopped from a time on, s, and which go again: what was stopped runs on as fast as it
    /// ran. What has failed does not.
    pub fn note(&mut self, model: &Model, now_s: f64) {
        let Self { standing: Standing { on, late }, commanded } = self;
        for late in late {
            let machine = &model.machines[late.machine];
            let mut switches = model.switches.iter().zip(on.iter());
            let is_off = switches.any(|(switch, on)| !on && switch.drives.contains(&late.machine));
            let wanted = if is_off { 0.0 } else { commanded.get(machine.speed) };
            let lasts = commanded.get(late.lasts);
            if commanded.get(machine.command.own) <= 0.0 || lasts <= 0.0 {
                (late.speed, late.runs_on) = (0.0, None);
            } else if wanted > 0.0 {
                (late.speed, late.runs_on) = (wanted, None);
            } else if late.speed > 0.0 && late.runs_on.is_none() {
                late.runs_on = Some([now_s, now_s + lasts]);
            }
        }
    }

    /// A machine has run on for its time; which it is, and since when, s. `None` where it did not.
    pub fn stop(&mut self, timer: usize) -> Option<(usize, f64)> {
        let late = &mut self.standing.late[timer];
        late.speed = 0.0;
        late.runs_on.take().map(|[since_s, _]| (late.machine, since_s))
    }

    /// The machines that run on, and since when, s.
    pub fn run_on(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let late = self.standing.late.iter();
        late.filter_map(|late| late.runs_on.map(|[since_s, _]| (late.machine, since_s)))
    }

    /// Writes the numbers with the modes applied: machines whose switch is off have speed zero, those that run on the
    /// speed that they had.
    pub fn apply(&self, model: &Model, values: &mut Values) {
        values.copy_from(&self.commanded);
        for (switch, on) in model.switches.iter().zip(&self.standing.on) {
            if !on {
                switch.drives.iter().for_each(|&m| values.set(model.machines[m].speed, 0.0));
            }
        }
        for late in self.standing.late.iter().filter(|late| late.runs_on.is_some()) {
            values.set(model.machines[late.machine].speed, late.speed);
        }
    }

    /// Some numbers are commanded anew, and what follows from them.
    pub fn write(&mut self, model: &Model, writes: &[(Slot, f64)]) {
        model.write_running(&mut self.commanded, writes);
    }

    /// The numbers as commanded, with every switch on.
    pub fn commanded(&self) -> &Values {
        &self.commanded
    }

    /// For each switch, a number that crosses zero where the switch changes: what it feels less where it changes next.
    /// `felt` comes with what each feels.
    pub fn crossings(&self, model: &Model, values: &Values, felt: &mut [f64]) {
        for ((switch, &on), felt) in model.switches.iter().zip(&self.standing.on).zip(felt) {
            let next = if on { switch.off } else { switch.on };
            *felt -= values.get(next);
        }
    }

    /// For each machine that runs on at times, a number that rises through zero at the end of that.
    pub fn ends(&self, time_s: f64, out: &mut [f64]) {
        for (late, out) in self.standing.late.iter().zip(out) {
            *out = late.runs_on.map_or(-1.0, |[_, until_s]| time_s - until_s);
        }
    }
}
