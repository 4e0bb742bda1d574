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
pub struct Values(Vec<f64>);

impl Values {
    /// Adds a number and returns its slot.
    ///
    /// # Panics
    /// When there are more than 2³² numbers.
    pub fn add(&mut self, value: f64) -> Slot {
        let slot = Slot(u32::try_from(self.0.len()).expect("a model has fewer than 2^32 numbers"));
        self.0.push(value);
        slot
    }

    /// The number in a slot.
    pub fn get(&self, slot: Slot) -> f64 {
        self.0[slot.index()]
    }

    /// Writes a number into a slot.
    pub fn set(&mut self, slot: Slot, value: f64) {
        self.0[slot.index()] = value;
    }

    /// Takes over the numbers of another set; nothing is allocated where both have as many.
    pub fn copy_from(&mut self, other: &Self) {
        self.0.clone_from(&other.0);
    }

    /// How many numbers there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are no numbers.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
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
