//! Values in slots: every number of a model stands in one vector and is named by its [`Slot`].
//!
//! A part keeps slots, not numbers. Variants, phases, samples and failures write numbers into the
//! vector; only a change of structure builds a model anew. A [`Reader`] hands the numbers to a law
//! as any [`Scalar`], so the derivative with respect to any slot is at hand.

use coolwright_solver::scalar::Scalar;

use crate::parts::MOST_OWN;

/// The place of one number of a model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slot(u32);

impl Slot {
    /// The index of the slot in [`Values`].
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// All numbers of a model, in SI units.
#[derive(Clone, Debug, Default)]
pub struct Values {
    numbers: Vec<f64>,
    /// Slots that were written and follow from nothing any more, in order.
    written: Vec<Slot>,
    /// Which numbers the write underway has changed; kept so that a write allocates nothing.
    changed: Vec<bool>,
}

impl Values {
    /// Whether all numbers are the same, however they came about.
    pub fn are(&self, other: &Self) -> bool {
        self.numbers == other.numbers
    }

    /// Adds a number and returns its slot.
    ///
    /// # Panics
    /// When there are more than 2³² numbers.
    pub fn add(&mut self, value: f64) -> Slot {
        let slot =
            Slot(u32::try_from(self.numbers.len()).expect("a model has fewer than 2^32 numbers"));
        self.numbers.push(value);
        slot
    }

    /// The number in a slot.
    pub fn get(&self, slot: Slot) -> f64 {
        self.numbers[slot.index()]
    }

    /// Sets a number, and nothing that follows from it.
    pub fn set(&mut self, slot: Slot, value: f64) {
        self.numbers[slot.index()] = value;
    }

    /// Writes a number into a slot that from now on follows from no rule. What follows from it is
    /// left to [`crate::model::Model::write`].
    pub fn write(&mut self, slot: Slot, value: f64) {
        self.set(slot, value);
        if let Err(at) = self.written.binary_search(&slot) {
            self.written.insert(at, slot);
        }
    }

    /// Whether a slot was written, so that it follows from no rule.
    pub fn is_written(&self, slot: Slot) -> bool {
        self.written.binary_search(&slot).is_ok()
    }

    /// Begins a write: nothing is changed yet.
    pub(crate) fn begin_write(&mut self) {
        self.changed.clear();
        self.changed.resize(self.numbers.len(), false);
    }

    /// Notes that the write underway has changed a number.
    pub(crate) fn mark(&mut self, slot: Slot) {
        self.changed[slot.index()] = true;
    }

    /// Whether the write underway has changed a number.
    pub(crate) fn is_changed(&self, slot: Slot) -> bool {
        self.changed[slot.index()]
    }

    /// Takes over the numbers of another set; nothing is allocated where both have as many.
    pub fn copy_from(&mut self, other: &Self) {
        self.numbers.clone_from(&other.numbers);
        self.written.clone_from(&other.written);
    }

    /// How many numbers there are.
    pub fn len(&self) -> usize {
        self.numbers.len()
    }

    /// Whether there are no numbers.
    pub fn is_empty(&self) -> bool {
        self.numbers.is_empty()
    }

    /// A reader of plain numbers: nothing is varied.
    pub fn reader<S: Scalar>(&self) -> Reader<'_, S> {
        Reader { values: self, varied: None, own: [0.0; MOST_OWN] }
    }

    /// A reader in which one slot is varied: it reads as `variable`.
    pub fn varying<S: Scalar>(&self, slot: Slot, variable: S) -> Reader<'_, S> {
        Reader { values: self, varied: Some((slot, variable)), own: [0.0; MOST_OWN] }
    }
}

/// Hands out the numbers of a model as the scalar that a law works in.
#[derive(Clone, Copy, Debug)]
pub struct Reader<'a, S> {
    values: &'a Values,
    varied: Option<(Slot, S)>,
    /// What the part that reads has of its own.
    own: [f64; MOST_OWN],
}

impl<'a, S: Scalar> Reader<'a, S> {
    /// The same for a part with states of its own.
    #[must_use]
    pub fn owning(self, own: [f64; MOST_OWN]) -> Self {
        Self { own, ..self }
    }

    /// A state of the part's own.
    pub fn own(&self, index: usize) -> f64 {
        self.own[index]
    }

    /// The plain numbers behind the reader.
    pub fn values(&self) -> &'a Values {
        self.values
    }

    /// The number in a slot.
    pub fn get(&self, slot: Slot) -> S {
        match self.varied {
            Some((varied, variable)) if varied == slot => variable,
            _ => S::from(self.values.get(slot)),
        }
    }
}
