//! What answers say, as sections: each file makes those of one subject out of numbers that were worked
//! out before.

pub mod air;
pub mod assumptions;
pub mod beside;
pub mod bodies;
pub mod cautions;
pub mod chance;
pub mod changed;
pub mod charge;
pub mod check;
pub mod circuit;
pub mod compare;
pub mod conditions;
pub mod cycle;
pub mod day;
mod eased;
pub mod failures;
pub mod gauges;
pub mod grid;
pub mod happened;
pub mod learn;
pub mod ledger;
pub mod levers;
mod names;
pub mod pulls;
pub mod pumps;
pub mod sheets;
pub mod size;
pub mod story;
pub mod survey;
pub mod uncertainty;
pub mod verdict;
pub mod why;

pub(crate) use circuit::is_piece;
pub use names::names;

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, CoolantSpec};
use coolwright_models::fluids::{Base, Coolant};
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Quantity, Results};
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::Uncertainty;

use crate::answer::kinds::can_stand;
use crate::answer::{Cell, Lay, Section, Sentence, Value};
use crate::say;

/// A state of a case: what it is, the numbers it was solved with, and what came out.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// The numbers it was solved with.
    pub values: &'a Values,
    /// What came out.
    pub results: &'a Results,
    /// What that may be off by, where that was asked for.
    pub uncertainty: Option<&'a Uncertainty>,
}

impl<'a> Scene<'a> {
    /// A result, SI; nothing where there is no such number, as of what has no steady state, or where none can
    /// be like this.
    fn of(&self, id: Id, quantity: &'static Quantity) -> Option<f64> {
        let air = self.results.of(Id::Site, &q::AMBIENT);
        self.results.of(id, quantity).filter(|value| can_stand(quantity.kind, *value, air))
    }

    /// A result as it is shown.
    pub fn at(&self, id: Id, quantity: &'static Quantity) -> Value {
        self.of(id, quantity).map(|si| Value::of(quantity.kind, si)).into()
    }

    /// A result in a cell.
    fn cell(&self, id: Id, quantity: &'static Quantity) -> Cell {
        self.at(id, quantity).into()
    }

    /// A result in a cell, with what it may be off by.
    fn within(&self, id: Id, quantity: &'static Quantity) -> Cell {
        let cell = self.cell(id, quantity);
        cell.within(self.off(id, quantity)).between(self.bounds(id, quantity))
    }

    /// Least and most of a result that does not follow in a straight line, SI.
    fn bounds(&self, id: Id, quantity: &'static Quantity) -> Option<[f64; 2]> {
        self.of(id, quantity)?;
        self.uncertainty.and_then(|uncertainty| uncertainty.bounds(id, quantity))
    }

    /// What a result may be off by, SI.
    fn off(&self, id: Id, quantity: &'static Quantity) -> Option<f64> {
        self.of(id, quantity)?;
        self.uncertainty.and_then(|uncertainty| uncertainty.of(id, quantity))
    }

    /// A share as a whole percentage.
    fn percent(&self, id: Id, quantity: &'static Quantity) -> Value {
        self.of(id, quantity).map(|share| Value::percent(share, 0)).into()
    }

    /// The path of a thing.
    fn address(&self, id: Id) -> String {
        self.ready.model.address(id)
    }

    fn circuit(&self, c: usize) -> &'a Circuit {
        &self.ready.model.circuits[c]
    }

    /// The coolant of a circuit at these numbers.
    fn coolant(&self, c: usize) -> Option<Coolant> {
        self.circuit(c).coolant.liquid(self.values).ok()
    }
}

/// The title of a case.
pub fn title(ready: &Ready) -> Section {
    let section = Section::plain("title");
    if ready.title.is_empty() { section } else { section.say(&ready.title, Lay::Lines) }
}

/// What was noted about the case while it was read.
pub fn notes(ready: &Ready) -> Section {
    Section::new("notes", "Notes")
        .detail()
        .points(ready.notes.iter().map(|note| Sentence::spoken(note)))
}

/// The coolant of a circuit in words.
fn coolant_words(ready: &Ready, values: &Values, circuit: usize) -> Sentence {
    let (base, share) = match &ready.model.circuits[circuit].coolant {
        CoolantSpec::Mixture { base, share } => (base, values.get(*share)),
        CoolantSpec::Table(table) => return say!("`{liquid}`", liquid = &table.name),
    };
    let share = Value::of(Kind::Fraction, share);
    match base {
        Base::Water => "water".into(),
        Base::EthyleneGlycol => say!("water with {share} ethylene glycol by volume", share = share),
        Base::PropyleneGlycol => {
            say!("water with {share} propylene glycol by volume", share = share)
        }
    }
}
