//! Some of the results of a model, read again and again.

use std::sync::Arc;

use super::record::record;
use super::{Catalogue, Quantity, Recorder, Room};
use crate::ids::Id;
use crate::laws::cushion::Content;
use crate::simulate::Simulator;

/// The results at some places of a catalogue, and the room to read them without allocating.
#[derive(Debug)]
pub struct Selection {
    catalogue: Arc<Catalogue>,
    /// Things of which something is selected, in order.
    things: Vec<Id>,
    /// For each result that is offered while these things are read, one after the other, its column.
    /// Which are offered, and in which order, depends on the model and on the things only.
    columns: Vec<Option<usize>>,
    room: Room,
}

impl Selection {
    /// Selects the results at the given places of a catalogue of the model of a simulator, in the
    /// order given, each once.
    ///
    /// # Panics
    /// When there is no entry at one of the places.
    pub fn of(simulator: &Simulator<'_>, catalogue: &Catalogue, places: &[usize]) -> Self {
        Self::all(simulator, Arc::new(catalogue.only(places)))
    }

    /// Selects everything in a catalogue of the model of a simulator.
    pub fn all(simulator: &Simulator<'_>, catalogue: Arc<Catalogue>) -> Self {
        let mut things: Vec<Id> = catalogue.entries().iter().map(|entry| entry.id).collect();
        things.sort_unstable();
        things.dedup();
        let mut room = Room::of(simulator);
        let mut plan = Plan { catalogue: &catalogue, things: &things, columns: Vec::new() };
        record(simulator, &simulator.start(), &mut room, &mut plan);
        let columns = plan.columns;
        Self { catalogue, things, columns, room }
    }

    /// What is read, in the order of the columns.
    pub fn catalogue(&self) -> &Arc<Catalogue> {
        &self.catalogue
    }

    /// What the caps of circuits have kept in, by circuit, in the state that was read last.
    pub fn contents(&self) -> impl Iterator<Item = Option<Content>> + '_ {
        self.room.circuits.iter().map(|room| room.held.content())
    }

    /// Gauge pressures of the gas in the closed tanks of circuits, by circuit, in the state that was read last, Pa.
    pub fn gas_pa(&self) -> impl Iterator<Item = Option<f64>> + '_ {
        self.room.circuits.iter().map(|room| room.held.gas_pa())
    }

    /// Reads the selected results off a model that has been evaluated at the temperatures `y`: `row`
    /// gets one number for each. Nothing is allocated, and of a thing of which nothing is selected
    /// nothing is worked out.
    ///
    /// # Panics
    /// When `row` is shorter than the selection.
    pub fn read(&mut self, simulator: &Simulator<'_>, y: &[f64], row: &mut [f64]) {
        let Self { things, columns, room, .. } = self;
        record(simulator, y, room, &mut Row { things, columns: columns.iter(), numbers: row });
    }
}

/// Finds the column of each result that is offered.
struct Plan<'a> {
    catalogue: &'a Catalogue,
    things: &'a [Id],
    columns: Vec<Option<usize>>,
}

impl Recorder for Plan<'_> {
    fn wants(&self, id: Id) -> bool {
        self.things.binary_search(&id).is_ok()
    }

    fn put(&mut self, id: Id, quantity: &'static Quantity, _value: f64) {
        self.columns.push(self.catalogue.place(id, quantity));
    }
}

/// Takes each result that is offered into its column.
struct Row<'a> {
    things: &'a [Id],
    columns: std::slice::Iter<'a, Option<usize>>,
    numbers: &'a mut [f64],
}

impl Recorder for Row<'_> {
    fn wants(&self, id: Id) -> bool {
        self.things.binary_search(&id).is_ok()
    }

    fn put(&mut self, _id: Id, _quantity: &'static Quantity, value: f64) {
        if let Some(Some(column)) = self.columns.next() {
            self.numbers[*column] = value;
        }
    }
}
