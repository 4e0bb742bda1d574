//! Room for a cycle, kept from one to the next.

use std::sync::Arc;

use super::Columns;
use super::history::History;
use super::program::Ramps;
use crate::ids::Id;
use crate::inputs::Ramp;
use crate::instance::Made;
use crate::laws::cushion::Content;
use crate::results::Selection;
use crate::results::quantities::BOIL_MARGIN;
use crate::slots::{Slot, Values};
use crate::sway::Moments;
use crate::watch::{Watch, Watching};
use crate::waypoint::Waypoint;

/// Room for a cycle, kept from one to the next.
#[derive(Debug, Default)]
pub(crate) struct CycleRoom {
    pub(crate) history: History,
    /// What is recorded: `None` before the first cycle.
    pub(super) recording: Option<Recording>,
    pub(super) numbers: Values,
    pub(super) states: Vec<f64>,
    pub(super) row: Vec<f64>,
    /// What caps have kept in, by circuit, at the look underway.
    pub(super) contents: Vec<Option<Content>>,
    /// What the gas in closed tanks stood at, Pa gauge.
    pub(super) gas_pa: Vec<Option<f64>>,
    /// The row of a look, while times around it are asked for.
    pub(super) looked: Vec<f64>,
    pub(super) crossed: Vec<f64>,
    /// Ends of the stretches of a phase, s.
    pub(super) ends: Vec<f64>,
    /// What a stretch writes, and what goes along a ramp in it.
    pub(super) writes: Vec<(Slot, f64)>,
    pub(super) ramps: Vec<Ramp>,
    /// What goes along a ramp since the phase began.
    pub(super) of_phase: Ramps,
    /// The bounds that are watched, and where their values stand in a row.
    pub(crate) watching: Watching,
    pub(super) watched_columns: Vec<usize>,
    /// Moments that are kept, where that was asked for.
    pub(crate) moments: Option<Moments>,
    /// Where the next cycle is taken up, and the phase at whose begin it is kept for others.
    pub(crate) taken_up: Option<Box<Waypoint>>,
    pub(crate) keep_at: Option<usize>,
    pub(crate) kept: Option<Box<Waypoint>>,
}

/// What a cycle records, and what it watches beside.
#[derive(Debug)]
pub(super) struct Recording {
    /// The places asked for; `None` where all are recorded.
    places: Option<Vec<usize>>,
    /// The places that are watched.
    watched: Vec<usize>,
    /// The columns asked for, then margins against boiling and what is watched where they are not among
    /// them.
    pub(super) selection: Selection,
    /// Column of each circuit's margin against boiling.
    pub(super) boil_margins: Vec<Option<usize>>,
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
    pub(super) fn asked(&mut self) -> (Option<Box<Waypoint>>, Option<usize>) {
        self.kept = None;
        (self.taken_up.take(), self.keep_at.take())
    }

    /// Makes an empty history of the columns asked for.
    pub(super) fn begin(
        &mut self,
        made: &Made<'_>,
        columns: Columns<'_>,
        watches: &[Watch],
        start: &[f64],
    ) {
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
