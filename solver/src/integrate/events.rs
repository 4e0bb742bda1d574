//! Crossings of switch functions, located on the interpolant.

use super::{Integrator, Outcome, System};
use crate::roots;

/// Points of a step at which signs are compared.
const LOOKS: usize = 4;

/// Signs of the switch functions so far, and storage to look at them.
#[derive(Clone, Debug, Default)]
pub(super) struct Events {
    known: bool,
    /// Sign that each function had last when it was not zero; zero before it had one.
    signs: Vec<f64>,
    values: Vec<f64>,
    state: Vec<f64>,
}

impl Events {
    pub(super) fn new(switches: usize, states: usize) -> Self {
        Self {
            known: false,
            signs: vec![0.0; switches],
            values: vec![0.0; switches],
            state: vec![0.0; states],
        }
    }

    pub(super) fn forget(&mut self) {
        self.known = false;
    }

    /// Takes the signs of the present values where there were none.
    fn adopt(&mut self) {
        for (sign, value) in self.signs.iter_mut().zip(&self.values) {
            if *sign == 0.0 && *value != 0.0 {
                *sign = value.signum();
            }
        }
    }

    fn has_crossed(&self, switch: usize) -> bool {
        self.signs[switch] * self.values[switch] < 0.0
    }

    fn note(&mut self, switch: usize) -> Outcome {
        self.signs[switch] = -self.signs[switch];
        Outcome::Crossed { switch, rising: self.signs[switch] > 0.0 }
    }
}

impl Integrator {
    /// Signs at the start of a call. A switch that crossed together with the one reported last
    /// is reported now.
    pub(super) fn begin_events(&mut self, system: &mut impl System) -> Option<Outcome> {
        let events = &mut self.events;
        if events.signs.is_empty() {
            return None;
        }
        system.switch_values(self.time, &self.state, &mut events.values);
        if !events.known {
            events.known = true;
            events.signs.fill(0.0);
        }
        let crossed = (0..events.signs.len()).find(|switch| events.has_crossed(*switch));
        if let Some(switch) = crossed {
            return Some(events.note(switch));
        }
        events.adopt();
        None
    }

    /// Looks for the first crossing in the last step, and goes back to it.
    pub(super) fn find_crossing(&mut self, system: &mut impl System) -> Option<Outcome> {
        if self.events.signs.is_empty() {
            return None;
        }
        for look in 1..=LOOKS {
            let (from, to) = ((look - 1) as f64 / LOOKS as f64, look as f64 / LOOKS as f64);
            self.look(system, to);
            let switches = 0..self.events.signs.len();
            let mut first: Option<(f64, usize)> = None;
            for switch in switches {
                if self.events.has_crossed(switch) {
                    let theta = self.locate(system, switch, from, to);
                    if first.is_none_or(|(before, _)| theta < before) {
                        first = Some((theta, switch));
                    }
                    self.look(system, to);
                }
            }
            if let Some((theta, switch)) = first {
                if theta < 1.0 {
                    self.cut(theta);
                }
                return Some(self.events.note(switch));
            }
            self.events.adopt();
        }
        None
    }

    /// Values of the switch functions at the part `theta` of the last step.
    fn look(&mut self, system: &mut impl System, theta: f64) {
        let mut state = std::mem::take(&mut self.events.state);
        let t = if theta < 1.0 {
            self.interpolate_within(theta, &mut state);
            self.last.begin + theta * self.last.length
        } else {
            state.copy_from_slice(&self.state);
            self.time
        };
        system.switch_values(t, &state, &mut self.events.values);
        self.events.state = state;
    }

    /// A point just beyond the crossing of a switch between two parts of the step.
    fn locate(&mut self, system: &mut impl System, switch: usize, from: f64, to: f64) -> f64 {
        let sign = self.events.signs[switch];
        // To the spacing of times, or a billionth of the step.
        let spacing = 4.0 * f64::EPSILON * self.time.abs() / self.last.length;
        let root = roots::bracketed(
            |theta| {
                self.look(system, theta);
                sign * self.events.values[switch]
            },
            from,
            to,
            spacing.max(1e-9),
        );
        match root {
            // Beyond the crossing the function has its new sign.
            Ok(root) => root.x.max(root.opposite),
            // It jumps at the start of the bracket, or is no number: the end will do.
            Err(_) => to,
        }
    }
}
