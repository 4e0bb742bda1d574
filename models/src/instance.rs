//! A model that is solved again and again: networks, layout, catalogue, tables and all room for the
//! work are made once. A study, an influence, a sweep or a fit keeps one for each thread.
//!
//! What an instance answers depends on what it is asked only, to the last bit, never on what it was
//! asked before.

use std::sync::Arc;

use coolwright_solver::integrate::{Integrator, SteadySearch};

use crate::model::Model;
use crate::point::settle;
use crate::results::{Catalogue, Results, record};
use crate::simulate::{Flows, Simulator};
use crate::slots::Values;
use crate::solve::SolveError;

/// A model with all that is needed to solve it many times. After its first use nothing more is
/// allocated by a point or a cycle, as long as coolants keep their shares and nothing fails.
#[derive(Debug)]
pub struct Instance<'m> {
    model: &'m Model,
    made: Option<Made<'m>>,
    pub(crate) room: Room,
}

/// What is made from a model with its first numbers.
#[derive(Debug)]
pub(crate) struct Made<'m> {
    pub(crate) simulator: Simulator<'m>,
    pub(crate) search: Option<SteadySearch>,
    pub(crate) integrator: Option<Integrator>,
    pub(crate) catalogue: Option<Arc<Catalogue>>,
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
        Self { model, made: None, room: Room::default() }
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
    /// When the numbers are out of range or flows do not come to rest.
    pub fn catalogue(&mut self, values: &Values) -> Result<Arc<Catalogue>, SolveError> {
        let (made, room) = self.begin(values)?;
        made.simulator.start_into(&mut room.start);
        settle(&mut made.simulator, &room.start)?;
        Ok(made.catalogue(&room.start))
    }

    /// Sets the simulator up with the given numbers, as if it had just been made.
    pub(crate) fn begin(
        &mut self,
        values: &Values,
    ) -> Result<(&mut Made<'m>, &mut Room), SolveError> {
        let model = self.model;
        let Self { made, room, .. } = self;
        let made = match made {
            Some(made) => {
                let begun = made.simulator.begin(values);
                begun.map_err(|error| SolveError::prepare(model, error))?;
                made
            }
            None => {
                let simulator = Simulator::new(model, values.clone());
                let simulator = simulator.map_err(|error| SolveError::prepare(model, error))?;
                made.insert(Made {
                    simulator,
                    search: None,
                    integrator: None,
                    catalogue: None,
                    boil_margins: Vec::new(),
                })
            }
        };
        room.start.resize(made.simulator.setup.layout.states, 0.0);
        Ok((made, room))
    }
}

impl Made<'_> {
    /// The catalogue, made at the temperatures `y` where it has not been made yet.
    pub(crate) fn catalogue(&mut self, y: &[f64]) -> Arc<Catalogue> {
        if let Some(catalogue) = &self.catalogue {
            return catalogue.clone();
        }
        let mut made = Catalogue::default();
        record(&self.simulator, y, &mut made);
        let circuits = &self.simulator.setup.model.circuits;
        let margin =
            |circuit: &crate::circuit::Circuit| made.find(&format!("{}:boil_margin", circuit.name));
        self.boil_margins = circuits.iter().map(margin).collect();
        let made = Arc::new(made);
        self.simulator.catalogue = Some(made.clone());
        self.catalogue = Some(made.clone());
        made
    }

    /// Reads all results at the temperatures `y`, at which the model has been settled.
    pub(crate) fn read(&mut self, y: &[f64], results: &mut Results) {
        let catalogue = self.catalogue(y);
        if !Arc::ptr_eq(&catalogue, &results.catalogue) {
            results.catalogue = catalogue;
        }
        results.values.clear();
        record(&self.simulator, y, &mut results.values);
    }

    /// The least margin against boiling in a circuit, K, among results.
    pub(crate) fn boil_margin(&self, values: &[f64], circuit: usize) -> Option<f64> {
        self.boil_margins[circuit].map(|column| values[column])
    }
}
