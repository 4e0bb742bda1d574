//! What happens between steps, at a moment: switches change, machines stop and go, ice is put in.

use super::Setup;
use super::governed::STANDS;
use super::simulator::Simulator;
use crate::cycle::Refilled;
use crate::results::shown_within_step;
use crate::switch::Felt;

impl Simulator<'_> {
    /// What a switch feels has crossed where it changes: whether it is on now.
    pub fn switch(&mut self, switch: usize, rising: bool) -> bool {
        let spec = &self.setup.model.switches[switch];
        let on = rising == spec.goes_on_rising(&self.setup.values);
        self.modes.set(switch, on);
        self.apply_modes();
        on
    }

    /// The first switch that stands beyond its next bound at the states `y`, changed; and whether it is on now.
    pub fn switch_beyond(&mut self, y: &[f64]) -> Option<(usize, bool)> {
        let mut felt = std::mem::take(&mut self.felt);
        self.felt_into(y, &mut felt);
        let model = self.setup.model;
        let beyond = model.switches.iter().zip(&felt).enumerate().find(|(switch, (spec, felt))| {
            spec.changes(&self.setup.values, self.modes.is_on(*switch), **felt)
        });
        let found = beyond.map(|(switch, _)| (switch, !self.modes.is_on(switch)));
        self.felt = felt;
        if let Some((switch, on)) = found {
            self.modes.set(switch, on);
            self.apply_modes();
        }
        found
    }

    /// From a time on, s, some machines are stopped and others go: those that run on begin to.
    pub fn note_stops(&mut self, now_s: f64) {
        if self.modes.timers() > 0 {
            self.modes.note(self.setup.model, now_s);
            self.apply_modes();
        }
    }

    /// A machine has run on for its time; which it is, and since when, s.
    pub fn stop(&mut self, timer: usize) -> Option<(usize, f64)> {
        let stopped = self.modes.stop(timer);
        self.apply_modes();
        stopped
    }

    /// Sets every switch as a start at the temperatures `y` finds it.
    pub fn start_switches(&mut self, y: &[f64]) {
        let mut felt = std::mem::take(&mut self.felt);
        self.felt_into(y, &mut felt);
        for ((switch, spec), felt) in self.setup.model.switches.iter().enumerate().zip(&felt) {
            self.modes.set(switch, spec.starts_on(&self.setup.values, *felt));
        }
        self.felt = felt;
        self.apply_modes();
    }

    /// What each switch feels, SI; no number where flows do not come to rest.
    pub(super) fn felt_into(&mut self, y: &[f64], out: &mut [f64]) {
        let model = self.setup.model;
        if model.switches.iter().any(|switch| model.feels_flows(switch)) && self.settle(y).is_err()
        {
            return out.fill(f64::NAN);
        }
        let mut room = std::mem::take(&mut self.gauge_room);
        for (switch, out) in model.switches.iter().zip(out) {
            *out = match switch.feels {
                Felt::Gauge(gauge) if model.feels_flows(switch) => {
                    shown_within_step(self, y, &mut room, gauge)
                }
                feels => self.setup.felt_k(&self.settled, y, feels),
            };
        }
        self.gauge_room = room;
    }

    pub(super) fn apply_modes(&mut self) {
        let Setup { model, values, commanded, .. } = &mut self.setup;
        self.modes.apply(model, values);
        for (commanded, governor) in commanded.iter_mut().zip(&model.governors) {
            *commanded = values.get(model.machines[governor.machine].speed);
        }
    }

    /// Governed machines turn as fast as the states `y` say, and all find the voltages that these tell.
    pub(super) fn govern(&mut self, y: &[f64]) {
        let Setup { model, values, layout, .. } = &mut self.setup;
        for (governor, governed) in model.governors.iter().zip(&layout.governed) {
            let speed = if y[governed.state] < STANDS { 0.0 } else { y[governed.state] };
            values.set(model.machines[governor.machine].speed, speed);
        }
        for sagging in &layout.sagging {
            let supply = &model.supplies[sagging.supply];
            if let Some(sag) = supply.sag {
                let found_v = sag.found_v(values, y[sagging.state]);
                values.set(supply.voltage, found_v);
            }
        }
    }

    /// Fills tanks with as much ice as they had at the start; what it displaces is drawn off as warm as the tank is. The
    /// heat that comes in by that, J.
    pub(crate) fn refill(
        &mut self,
        (tanks, at_s): (&[(usize, usize, usize)], f64),
        y: &mut [f64],
        told: &mut Vec<Refilled>,
    ) -> f64 {
        if tanks.is_empty() {
            return 0.0;
        }
        let before = self.stores(y).sum();
        let layout = self.setup.layout.clone();
        for owner in &layout.owners {
            let tank = layout.parts[owner.part].at;
            if !tanks.contains(&tank) {
                continue;
            }
            let (temperature_k, left) = (y[owner.coolant], y[owner.first]);
            let own = self.setup.own(owner);
            own.start(&self.setup.values, temperature_k, &mut y[owner.states()]);
            let ice_kg = y[owner.first] - left;
            let density = self.setup.prepared.coolants[tank.0].density(temperature_k);
            told.push(Refilled { tank, at_s, ice_kg, coolant_m3: ice_kg / density });
        }
        self.stores(y).sum() - before
    }

    /// Sets governed speeds to where they rest at the temperatures `y`, as a machine stands before a cycle begins.
    pub(crate) fn start_speeds(&self, y: &mut [f64]) {
        self.setup.governed_at_rest(&self.settled, y);
    }
}
