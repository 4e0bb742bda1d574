//! A duty cycle taken up where another of the same model stood: what both have in common on their way is
//! followed once.

use coolwright_solver::integrate::Integrator;

use crate::cycle::{CycleRoom, History};
use crate::instance::Instance;
use crate::laws::cushion::Content;
use crate::simulate::{Settled, Simulator, Standing};
use crate::sway::Moments;
use crate::watch::Watching;

/// A duty cycle as it stands where a phase begins.
#[derive(Clone, Debug)]
pub struct Waypoint {
    /// The phase that begins.
    pub(crate) phase: usize,
    /// When, s.
    pub(crate) at_s: f64,
    integrator: Integrator,
    history: History,
    watching: Watching,
    moments: Option<Moments>,
    standing: Standing,
    contents: Vec<Option<Content>>,
    gas_pa: Vec<Option<f64>>,
    settled: Settled,
}

impl Instance<'_> {
    /// Keeps how the next cycle stands where one of its phases begins, for [`Instance::waypoint`].
    pub fn keep_waypoint(&mut self, phase: usize) {
        self.room.cycle.keep_at = Some(phase);
    }

    /// What [`Instance::keep_waypoint`] asked for; `None` where the cycle did not get there.
    pub fn waypoint(&mut self) -> Option<Waypoint> {
        self.room.cycle.kept.take().map(|kept| *kept)
    }

    /// The next cycle is taken up at a waypoint of another one, with the same phases, columns and watches, that went
    /// the same way up to there. What it tells is of the whole cycle.
    pub fn take_up(&mut self, waypoint: &Waypoint) {
        self.room.cycle.taken_up = Some(Box::new(waypoint.clone()));
    }
}

impl Waypoint {
    /// How a cycle stands where a phase begins.
    pub(crate) fn of(
        (phase, at_s): (usize, f64),
        (simulator, integrator): (&Simulator<'_>, &Integrator),
        room: &CycleRoom,
    ) -> Self {
        Self {
            phase,
            at_s,
            integrator: integrator.clone(),
            history: room.history.clone(),
            watching: room.watching.clone(),
            moments: room.moments.clone(),
            standing: simulator.modes.standing().clone(),
            contents: simulator.contents.clone(),
            gas_pa: simulator.gas_pa.clone(),
            settled: simulator.settled.clone(),
        }
    }

    /// Puts a cycle that is about to begin where this one stands.
    pub(crate) fn restore(
        self,
        (simulator, integrator): (&mut Simulator<'_>, &mut Integrator),
        room: &mut CycleRoom,
    ) {
        *integrator = self.integrator;
        let catalogue = room.history.catalogue.clone();
        room.history = History { catalogue, ..self.history };
        room.watching = self.watching;
        room.moments = self.moments;
        simulator.contents = self.contents;
        simulator.gas_pa = self.gas_pa;
        simulator.settled = self.settled;
        simulator.stand(&self.standing);
    }
}
