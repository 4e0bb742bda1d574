//! States that move flows, as the lift of a thermostat, brought close to where they rest.
//!
//! All else is steady for each held lift, and what moves it says on which side it rests. A thermostat
//! changes flows many times over within a few kelvins, which is too much for a search that goes straight
//! there.

use coolwright_solver::integrate::SteadySettings;

use crate::instance::Made;
use crate::point::{Failed, settle};

/// Room for the search.
#[derive(Debug, Default)]
pub(crate) struct LiftRoom {
    lifts: Vec<Lift>,
    /// What is held anyway.
    pinned: Vec<usize>,
    /// The last states that were steady.
    kept: Vec<f64>,
}

/// A state that moves flows, and where it rests.
#[derive(Clone, Copy, Debug)]
struct Lift {
    /// Its component, of those with states of their own.
    owner: usize,
    state: usize,
    /// It rests between these.
    between: [f64; 2],
}

impl Lift {
    fn middle(&self) -> f64 {
        0.5 * (self.between[0] + self.between[1])
    }
}

/// How often the range of a lift is halved.
const HALVINGS: usize = 9;
/// First step of a search with another lift held, s.
const HELD_STEP_S: f64 = 30.0;

impl Made<'_> {
    /// Brings all lifts close to where they rest. Whether there are any.
    pub(crate) fn lifts_at_rest(&mut self, states: &mut [f64]) -> Result<bool, Failed> {
        let mut room = std::mem::take(&mut self.lifts);
        self.collect(&mut room);
        let found = if room.lifts.is_empty() {
            Ok(false)
        } else {
            let searched = self.halve(&mut room, states);
            self.simulator.setup.pinned.clone_from(&room.pinned);
            searched
                .and_then(|()| {
                    let settled = settle(&mut self.simulator, states);
                    settled.map_err(|error| Failed::Flows(Box::new(error)))
                })
                .map(|()| true)
        };
        self.lifts = room;
        found
    }

    /// The lifts that are free, and what is held beside them.
    fn collect(&self, room: &mut LiftRoom) {
        let setup = &self.simulator.setup;
        room.lifts.clear();
        for (owner, of) in setup.layout.owners.iter().enumerate() {
            for &(state, _) in &of.columns {
                if !setup.pinned.contains(&state) {
                    room.lifts.push(Lift { owner, state, between: [0.0, 1.0] });
                }
            }
        }
        room.pinned.clone_from(&setup.pinned);
    }

    /// Halves the range of every lift.
    fn halve(&mut self, room: &mut LiftRoom, states: &mut [f64]) -> Result<(), Failed> {
        self.simulator.setup.pinned.extend(room.lifts.iter().map(|lift| lift.state));
        let mut settings = SteadySettings::default();
        let search = self.search.as_mut().expect("made before");
        search.run(&mut self.simulator, states, &settings).map_err(Failed::Search)?;
        settings.first_step_s = HELD_STEP_S;
        room.kept.clear();
        room.kept.extend_from_slice(states);
        for _ in 0..HALVINGS {
            for lift in &mut room.lifts {
                let rate = self.simulator.lift_rate(lift.owner, lift.state, states);
                lift.between[usize::from(rate < 0.0)] = states[lift.state];
                states[lift.state] = lift.middle();
            }
            if room.lifts.iter().all(|lift| lift.between[1] - lift.between[0] <= 0.0) {
                break;
            }
            self.steady(room, states, &settings);
            room.kept.copy_from_slice(states);
        }
        Ok(())
    }

    /// What is steady with the lifts as they are held; where nothing is, it is too hot there, and they are
    /// opened.
    fn steady(&mut self, room: &mut LiftRoom, states: &mut [f64], settings: &SteadySettings) {
        let Made { simulator, search, .. } = self;
        let search = search.as_mut().expect("made before");
        for _ in 0..HALVINGS {
            if search.run(simulator, states, settings).is_ok() {
                return;
            }
            simulator.failure = None;
            simulator.settled.start_anew();
            states.copy_from_slice(&room.kept);
            for lift in &mut room.lifts {
                lift.between[0] = lift.middle();
                states[lift.state] = lift.middle();
            }
        }
    }
}
