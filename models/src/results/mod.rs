//! Results: one catalogue of everything that was worked out, and the numbers in its order.
//!
//! Text, tables, limits and programs all read the same catalogue. An entry is found by its address:
//! the path of the thing, a colon, and the name of the quantity, as in `charge/feed/pump:flow`.

mod gauges;
mod pumps;
pub mod quantities;
mod record;
mod tank;

pub use quantities::{Measure, Quantity};
pub use record::record;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use crate::simulate::Simulator;

/// One entry of the catalogue.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Path of the thing and name of the quantity.
    pub address: String,
    /// What is meant.
    pub quantity: &'static Quantity,
}

/// Everything that a model has results for, in a fixed order.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    entries: Vec<Entry>,
    index: BTreeMap<String, usize>,
}

impl Catalogue {
    /// The entries in their order.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Some of the entries, in the order given.
    #[must_use]
    pub fn only(&self, columns: &[usize]) -> Self {
        let entries: Vec<Entry> = columns.iter().map(|&at| self.entries[at].clone()).collect();
        let place = |(at, entry): (usize, &Entry)| (entry.address.clone(), at);
        let index = entries.iter().enumerate().map(place).collect();
        Self { entries, index }
    }

    /// The place of an address.
    pub fn find(&self, address: &str) -> Option<usize> {
        self.index.get(address).copied()
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
    pub fn of(simulator: &Simulator<'_>, y: &[f64]) -> Self {
        let catalogue = simulator.catalogue.clone().unwrap_or_else(|| {
            let mut catalogue = Catalogue::default();
            record(simulator, y, &mut catalogue);
            Arc::new(catalogue)
        });
        let mut values = Vec::with_capacity(catalogue.entries.len());
        record(simulator, y, &mut values);
        Self { catalogue, values }
    }

    /// These results with others behind them.
    #[must_use]
    pub fn joined(&self, other: &Self) -> Self {
        let mut catalogue = Catalogue::clone(&self.catalogue);
        for entry in &other.catalogue.entries {
            catalogue.index.insert(entry.address.clone(), catalogue.entries.len());
            catalogue.entries.push(entry.clone());
        }
        let values = self.values.iter().chain(&other.values).copied().collect();
        Self { catalogue: Arc::new(catalogue), values }
    }

    /// The number at an address.
    pub fn get(&self, address: &str) -> Option<f64> {
        self.catalogue.find(address).map(|index| self.values[index])
    }
}

/// Takes the results of a model one by one, always in the same order.
pub trait Recorder {
    /// Takes one number: the path of the thing, which quantity of it, and its value.
    fn put(&mut self, path: fmt::Arguments<'_>, quantity: &'static Quantity, value: f64);
}

/// Takes the addresses only.
impl Recorder for Catalogue {
    fn put(&mut self, path: fmt::Arguments<'_>, quantity: &'static Quantity, _value: f64) {
        let address = format!("{path}:{}", quantity.name);
        self.index.insert(address.clone(), self.entries.len());
        self.entries.push(Entry { address, quantity });
    }
}

/// Takes the numbers only.
impl Recorder for Vec<f64> {
    fn put(&mut self, _path: fmt::Arguments<'_>, _quantity: &'static Quantity, value: f64) {
        self.push(value);
    }
}
