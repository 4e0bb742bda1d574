//! A model that is solved again and again: networks, layout, catalogue, tables and all room for the
//! work are made once. A study, an influence, a sweep or a fit keeps one for each thread.
//!
//! What an instance answers depends on what it is asked only, to the last bit, never on what it was
//! asked before.

use std::sync::Arc;

use coolwright_solver::integrate::{Integrator, SteadySearch};

use crate::ids::Id;
use crate::lifts::LiftRoom;
use crate::model::Model;
use crate::results::quantities::BOIL_MARGIN;
use crate::results::{self, Catalogue, Results, record};
use crate::simulate::{Flows, Offset, Simulator};
use crate::slots::Values;
use crate::solve::SolveError;
use crate::sway::Moments;

/// A model with all that is needed to solve it many times. After its first use nothing more is
/// allocated by a point or a cycle, as long as coolants keep their shares, every circuit has a steady state
/// and nothing fails.
#[derive(Debug)]
pub struct Instance<'m> {
    model: &'m Model,
    made: Option<Made<'m>>,
    /// Laws that are off, and how many times their offset, from the next use on.
    off: Vec<(Offset, f64)>,
    /// Whether cycles are followed as closely as a fit needs, not as closely as a verdict does.
    pub(crate) is_coarse: bool,
    pub(crate) room: Room,
}

/// What is made from a model with its first numbers.
#[derive(Debug)]
pub(crate) struct Made<'m> {
    pub(crate) simulator: Simulator<'m>,
    pub(crate) search: Option<SteadySearch>,
    pub(crate) lifts: LiftRoom,
    pub(crate) integrator: Option<Integrator>,
    pub(crate) catalogue: Arc<Catalogue>,
    /// Room for reading results.
    reading: results::Room,
    /// Column of each circuit's margin against boiling.
    pub(crate) boil_margins: Vec<Option<usize>>,
}

/// Room for answers and for the work between.
#[derive(Debug, Default)]
pub(crate) struct Room {
    pub(crate) point: crate::point::Solution,
    pub(crate) cycle: crate::cycle::CycleRoom,
    /// States at the start.
    pub(crate) start: Vec<f64>,
    /// Circuits found to boil.
    pub(crate) boiling: Vec<usize>,
}

/// Where a search for a steady state starts: at a point close by.
#[derive(Clone, Copy, Debug)]
pub struct Start<'a> {
    /// Its states.
    pub states: &'a [f64],
    /// Its flows.
    pub flows: &'a Flows,
}

impl<'m> Instance<'m> {
    /// An instance of a model. Everything is made when it is solved for the first time.
    pub fn new(model: &'m Model) -> Self {
        Self { model, made: None, off: Vec::new(), is_coarse: false, room: Room::default() }
    }

    /// The same for fits: a cycle is followed to some hundredths of a kelvin, and looked at once a step.
    #[must_use]
    pub fn coarse(self) -> Self {
        Self { is_coarse: true, ..self }
    }

    /// The model.
    pub fn model(&self) -> &'m Model {
        self.model
    }

    /// The simulator as the last point or cycle left it; `None` before the first.
    pub fn simulator(&self) -> Option<&Simulator<'m>> {
        self.made.as_ref().map(|made| &made.simulator)
    }

    /// What the results of the model are.
    ///
    /// # Errors
    /// When the numbers are out of range.
    pub fn catalogue(&mut self, values: &Values) -> Result<Arc<Catalogue>, SolveError> {
        Ok(self.begin(values)?.0.catalogue.clone())
    }

    /// The simulator with the given numbers, evaluated at the states of a point at rest.
    ///
    /// # Errors
    /// When the numbers are out of range or flows do not come to rest.
    pub fn at(
        &mut self,
        values: &Values,
        states: &[f64],
    ) -> Result<&mut Simulator<'m>, SolveError> {
        let (made, _) = self.begin_rest(values)?;
        let simulator = &mut made.simulator;
        let evaluated = simulator.evaluate(states);
        evaluated.map_err(|error| SolveError::unsettled(&simulator.setup, error))?;
        Ok(simulator)
    }

    /// Keeps moments of the cycles that are followed from now on ([`crate::sway`]).
    pub fn keep_moments(&mut self) {
        let moments = &mut self.room.cycle.moments;
        *moments = moments
            .take()
            .filter(|moments| !moments.is_brief())
            .or_else(|| Some(Moments::default()));
    }

    /// Keeps of the cycles that are followed from now on no more than where their laws leave their ranges, at the
    /// moments that [`Instance::keep_moments`] would keep.
    pub fn keep_warnings(&mut self) {
        self.room.cycle.moments = Some(Moments::brief());
    }

    /// The moments of the last cycle; `None` where none were to be kept.
    pub fn moments(&self) -> Option<&Moments> {
        self.room.cycle.moments.as_ref()
    }

    /// What has been made; only after a first use.
    pub(crate) fn made_mut(&mut self) -> &mut Made<'m> {
        self.made.as_mut().expect("an instance that has been used")
    }

    /// Puts laws off by so many times their offsets, for whatever is asked from now on; none where
    /// nothing is given.
    pub fn off_by(&mut self, off: &[(Offset, f64)]) {
        self.off.clear();
        self.off.extend_from_slice(off);
    }

    /// As [`Instance::begin`], for a steady state rather than the way to it.
    pub(crate) fn begin_rest(
        &mut self,
        values: &Values,
    ) -> Result<(&mut Made<'m>, &mut Room), SolveError> {
        let (made, room) = self.begin(values)?;
        made.simulator.setup.at_rest = true;
        Ok((made, room))
    }

    /// Sets the simulator up with the given numbers, as if it had just been made.
    pub(crate) fn begin(
        &mut self,
        values: &Values,
    ) -> Result<(&mut Made<'m>, &mut Room), SolveError> {
        let model = self.model;
        let Self { made, room, off, .. } = self;
        if let Some(made) = made {
            made.simulator.begin(values).map_err(SolveError::Prepare)?;
        } else {
            let simulator = Simulator::new(model, values.clone()).map_err(SolveError::Prepare)?;
            *made = Some(Made::of(simulator));
        }
        let made = made.as_mut().expect("made above");
        let setup = &mut made.simulator.setup;
        for (offset, times) in off {
            setup.offsets.add(&setup.layout, offset, *times);
        }
        room.start.resize(made.simulator.setup.layout.states, 0.0);
        Ok((made, room))
    }
}

impl<'m> Made<'m> {
    fn of(simulator: Simulator<'m>) -> Self {
        let catalogue = simulator.catalogue().clone();
        let circuits = 0..simulator.setup.model.circuits.len();
        let margin = |c| catalogue.place(Id::Circuit(c), &BOIL_MARGIN);
        let boil_margins = circuits.map(margin).collect();
        let reading = results::Room::of(&simulator);
        Self {
            simulator,
            search: None,
            lifts: LiftRoom::default(),
            integrator: None,
            catalogue,
            reading,
            boil_margins,
        }
    }

    /// Reads all results at the temperatures `y`, at which the model has been settled.
    pub(crate) fn read(&mut self, y: &[f64], results: &mut Results) {
        if !Arc::ptr_eq(&self.catalogue, &results.catalogue) {
            results.catalogue = self.catalogue.clone();
        }
        results.values.clear();
        record(&self.simulator, y, &mut self.reading, &mut results.values);
    }

    /// The least margin against boiling in a circuit, K, among results.
    pub(crate) fn boil_margin(&self, values: &[f64], circuit: usize) -> Option<f64> {
        self.boil_margins[circuit].map(|column| values[column])
    }
}
