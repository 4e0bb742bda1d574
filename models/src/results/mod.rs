//! Results: one catalogue of everything that was worked out, and the numbers in its order.
//!
//! Text, tables, limits and programs all read the same catalogue. An entry is found by its address:
//! the path of the thing, a colon, and the name of the quantity, as in `charge/feed/pump:flow`.

mod boiling;
mod charge;
mod exchangers;
mod gauges;
mod pumps;
pub mod quantities;
mod record;
mod room;
mod selection;
mod tank;
mod walls;

pub use boiling::{Boiling, Where, boiling};
pub(crate) use gauges::shown_within_step;
pub use quantities::Quantity;
pub use record::record;
pub use room::Room;
pub use selection::Selection;
pub(crate) use tank::shut_in;
pub(crate) use walls::{Piece, boiling_points, pieces};

use std::sync::{Arc, OnceLock};

use foldhash::fast::FixedState;
use indexmap::IndexMap;

use crate::ids::Id;
use crate::model::Model;
use crate::parts::HeatPartner;
use crate::simulate::Simulator;

/// One entry of the catalogue.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The thing.
    pub id: Id,
    /// What of it.
    pub quantity: &'static Quantity,
    /// Path of the thing and name of the quantity.
    pub address: String,
}

/// Everything that a model has results for, in a fixed order.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    entries: Vec<Entry>,
    /// The entries of each thing: number of the quantity, and place. A large model has millions of entries, but a few
    /// dozen of each thing.
    things: IndexMap<Id, Vec<(usize, usize)>, FixedState>,
    /// The body or the core that a part leads through.
    through: IndexMap<Id, Id, FixedState>,
    /// The things of each path, made when first asked for.
    by_path: OnceLock<IndexMap<Box<str>, Vec<usize>, FixedState>>,
}

impl Catalogue {
    /// Everything that there are results for of a model that has been set up; made anew, while
    /// [`Simulator::catalogue`] keeps it.
    pub fn of(simulator: &Simulator<'_>) -> Self {
        let mut names =
            Names { model: simulator.setup.model, catalogue: Self::default(), last: None };
        record(simulator, &simulator.start(), &mut Room::of(simulator), &mut names);
        names.catalogue
    }

    /// The entries in their order.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The place of a quantity of a thing.
    pub fn place(&self, id: Id, quantity: &'static Quantity) -> Option<usize> {
        self.things
            .get(&id)?
            .iter()
            .find(|(number, _)| *number == quantity.number)
            .map(|(_, place)| *place)
    }

    /// The place of an address, as a reader writes it.
    pub fn find(&self, address: &str) -> Option<usize> {
        let (path, name) = address.rsplit_once(':')?;
        let things = self.by_path.get_or_init(|| self.paths()).get(path)?;
        let mut places = things.iter().rev().flat_map(|&thing| &self.things[thing]);
        let named = |(_, place): &&(usize, usize)| self.entries[*place].quantity.name == name;
        places.find(named).map(|(_, place)| *place)
    }

    /// The address at which that to which a part belongs has a result of the same name: its run, else the body or
    /// core that it leads through. For `main/loop/hose:flow` that is `main/loop:flow`.
    pub fn of_whole(&self, address: &str) -> Option<&str> {
        let (path, name) = address.rsplit_once(':')?;
        let things = self.by_path.get_or_init(|| self.paths()).get(path)?;
        let ids =
            things.iter().filter_map(|&thing| self.things.get_index(thing)).map(|(id, _)| *id);
        let wholes = ids.flat_map(|id| {
            let run = if let Id::Part(c, r, _) = id { Some(Id::Run(c, r)) } else { None };
            run.into_iter().chain(self.through.get(&id).copied())
        });
        let places = wholes.filter_map(|whole| self.things.get(&whole)).flatten();
        let mut entries = places.map(|(_, place)| &self.entries[*place]);
        entries.find(|entry| entry.quantity.name == name).map(|entry| entry.address.as_str())
    }

    /// The things of each path.
    fn paths(&self) -> IndexMap<Box<str>, Vec<usize>, FixedState> {
        let mut paths: IndexMap<Box<str>, Vec<usize>, FixedState> = IndexMap::default();
        for (thing, entries) in self.things.values().enumerate() {
            let first = entries.first().map(|(_, place)| self.entries[*place].address.as_str());
            if let Some((path, _)) = first.and_then(|address| address.rsplit_once(':')) {
                paths.entry(path.into()).or_default().push(thing);
            }
        }
        paths
    }

    /// Some of the entries, in the order given, each once.
    ///
    /// # Panics
    /// When there is no entry at one of the places.
    #[must_use]
    pub fn only(&self, places: &[usize]) -> Self {
        let mut some = Self::default();
        for &place in places {
            let entry = &self.entries[place];
            if some.place(entry.id, entry.quantity).is_none() {
                some.add(entry.clone());
            }
        }
        some
    }

    fn add(&mut self, entry: Entry) {
        let place = self.entries.len();
        let known = self.things.entry(entry.id).or_default();
        known.retain(|(number, _)| *number != entry.quantity.number);
        known.push((entry.quantity.number, place));
        self.by_path = OnceLock::new();
        self.entries.push(entry);
    }
}

/// The numbers of one state of a model, in the order of its catalogue.
#[derive(Clone, Debug, Default)]
pub struct Results {
    /// What they are.
    pub catalogue: Arc<Catalogue>,
    /// The numbers, SI.
    pub values: Vec<f64>,
}

impl Results {
    /// Reads all results off a model that has been evaluated at the temperatures `y`.
    pub fn read(simulator: &Simulator<'_>, y: &[f64]) -> Self {
        let catalogue = simulator.catalogue().clone();
        let mut values = Vec::with_capacity(catalogue.entries.len());
        record(simulator, y, &mut Room::of(simulator), &mut values);
        Self { catalogue, values }
    }

    /// These results with others behind them.
    #[must_use]
    pub fn joined(&self, other: &Self) -> Self {
        let mut catalogue = Catalogue::clone(&self.catalogue);
        for entry in &other.catalogue.entries {
            catalogue.add(entry.clone());
        }
        let values = self.values.iter().chain(&other.values).copied().collect();
        Self { catalogue: Arc::new(catalogue), values }
    }

    /// A quantity of a thing, SI; `None` where there is no such result.
    pub fn of(&self, id: Id, quantity: &'static Quantity) -> Option<f64> {
        self.catalogue.place(id, quantity).map(|place| self.values[place])
    }

    /// The number at an address.
    pub fn get(&self, address: &str) -> Option<f64> {
        self.catalogue.find(address).map(|index| self.values[index])
    }
}

/// A mass flow below this is rounding, kg/s: what stands has no direction, and is read as if it went along its run.
const REST_KG_S: f64 = 1e-12;

/// Whether a mass flow goes along its run, kg/s.
pub(crate) fn is_forward(flow_kg_s: f64) -> bool {
    flow_kg_s > -REST_KG_S
}

/// Takes the results of a model one by one, always in the same order.
pub trait Recorder {
    /// Whether anything of a thing is wanted; what is not need not be worked out.
    fn wants(&self, _id: Id) -> bool {
        true
    }

    /// Takes one number: whose it is, which quantity of it, and its value.
    fn put(&mut self, id: Id, quantity: &'static Quantity, value: f64);
}

/// Takes the names only.
struct Names<'m> {
    model: &'m Model,
    catalogue: Catalogue,
    /// The thing that was named last, and its path.
    last: Option<(Id, String)>,
}

impl Recorder for Names<'_> {
    fn put(&mut self, id: Id, quantity: &'static Quantity, _value: f64) {
        if self.last.as_ref().is_none_or(|(last, _)| *last != id) {
            self.last = Some((id, self.model.address(id)));
            if let Some(whole) = through(self.model, id) {
                self.catalogue.through.insert(id, whole);
            }
        }
        let path = self.last.as_ref().map_or("", |(_, path)| path);
        let address = [path, ":", quantity.name].concat();
        self.catalogue.add(Entry { id, quantity, address });
    }
}

/// The body or the core that a part leads through.
fn through(model: &Model, id: Id) -> Option<Id> {
    let Id::Part(c, r, p) = id else { return None };
    Some(match model.circuits[c].runs[r].parts[p].part.partner()? {
        HeatPartner::Body(body) => Id::Body(body),
        HeatPartner::Core(core) => Id::Core(core),
    })
}

/// Takes the numbers only.
impl Recorder for Vec<f64> {
    fn put(&mut self, _id: Id, _quantity: &'static Quantity, value: f64) {
        self.push(value);
    }
}

/// Takes names and numbers at once.
pub(crate) struct Entries<'m> {
    names: Names<'m>,
    values: Vec<f64>,
}

impl<'m> Entries<'m> {
    /// Nothing yet.
    pub(crate) fn of(model: &'m Model) -> Self {
        Self {
            names: Names { model, catalogue: Catalogue::default(), last: None },
            values: Vec::new(),
        }
    }

    /// What was taken.
    pub(crate) fn results(self) -> Results {
        Results { catalogue: Arc::new(self.names.catalogue), values: self.values }
    }
}

impl Recorder for Entries<'_> {
    fn put(&mut self, id: Id, quantity: &'static Quantity, value: f64) {
        self.names.put(id, quantity, value);
        self.values.push(value);
    }
}
