//! States that a component has of its own, beside the temperatures of its coolant and metal: the ice
//! in a tank, the opening of a thermostat that lags, the lag of a gauge.
//!
//! Such a component writes how its states move once, as [`Moves`], and says with [`Own`] where they
//! start. Layout, rates, Jacobian, stored heat and results follow from that; nothing else knows of it.

use std::fmt::Debug;

use coolwright_solver::scalar::{Dual, Scalar};

use crate::results::quantities::Quantity;
use crate::slots::Values;

/// A state that a component declares.
#[derive(Debug)]
pub struct OwnState {
    /// What it is, in words: "ice".
    pub words: &'static str,
    /// The result that tells it, if one does.
    pub quantity: Option<&'static Quantity>,
    /// Least value that means something: below it results tell this.
    pub least: f64,
    /// What is small for it, in its own unit, as 1 K is for a temperature: the error that is tolerated
    /// goes with it.
    pub scale: f64,
    /// Whether the fall of its part goes with it, and with that every flow of its circuit. Such a state goes
    /// from 0 to 1, and what it does works against what moves it: so it has one place at rest.
    pub moves_flows: bool,
}

/// What a component sees where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a, S> {
    /// The numbers of the model.
    pub values: &'a Values,
    /// Its states.
    pub own: &'a [S],
    /// Temperature of its coolant, or of the coolant before it where it holds none, K.
    pub temperature_k: S,
    /// Enthalpy of that coolant, J/kg.
    pub enthalpy: S,
    /// Mass flow along the run; at a junction that through it, kg/s.
    pub flow_kg_s: f64,
    /// Whether a steady state is sought, rather than the way to it.
    pub at_rest: bool,
}

/// Where a component sees its coolant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Feels {
    /// Where it stands in its run.
    #[default]
    Here,
    /// At the junction where its run starts.
    Start,
    /// At the junction where its run ends.
    End,
}

/// What follows from the states of a component.
#[derive(Debug)]
pub struct Motion<'a, S> {
    /// Rate of each state, per second.
    pub rates: &'a mut [S],
    /// Heat into the coolant seen, W. Beside what it holds at its own temperature: coolant that comes
    /// in cold takes heat to be warmed.
    pub heat_w: S,
}

/// How the states of a component move, written once over any scalar.
pub trait Moves {
    /// Writes the rates and the heat; both come as zeros.
    fn motion<S: Scalar>(&self, seen: &Seen<'_, S>, out: &mut Motion<'_, S>);
}

/// The same behind a pointer: with and without derivatives.
pub trait MovesAt {
    /// The motion in plain numbers.
    fn motion_at(&self, seen: &Seen<'_, f64>, out: &mut Motion<'_, f64>);
    /// The motion with the derivative with respect to what is varied.
    fn motion_and_slopes(&self, seen: &Seen<'_, Dual<1>>, out: &mut Motion<'_, Dual<1>>);
}

impl<T: Moves> MovesAt for T {
    fn motion_at(&self, seen: &Seen<'_, f64>, out: &mut Motion<'_, f64>) {
        self.motion(seen, out);
    }

    fn motion_and_slopes(&self, seen: &Seen<'_, Dual<1>>, out: &mut Motion<'_, Dual<1>>) {
        self.motion(seen, out);
    }
}

/// A component with states of its own.
pub trait Own: MovesAt + Debug + Send + Sync {
    /// What they are; at most [`MOST_OWN`].
    fn states(&self) -> &'static [OwnState];

    /// Where they start, with the coolant at a temperature in K.
    fn start(&self, values: &Values, temperature_k: f64, own: &mut [f64]);

    /// Where a search for a steady state starts: as at the start, unless they must end elsewhere.
    fn start_of_rest(&self, _values: &Values, _own: &mut [f64]) {}

    /// What a result tells of one of its states.
    fn told(&self, _state: usize, value: f64) -> f64 {
        value
    }

    /// Where it sees its coolant.
    fn feels(&self) -> Feels {
        Feels::Here
    }

    /// Coolant by which the cell that it sees holds more than its volume's worth, kg: below zero where it
    /// displaces some.
    fn coolant_kg(&self, _values: &Values, _own: &[f64]) -> f64 {
        0.0
    }

    /// Heat that its states hold, J, against 0 °C; without that of [`Own::coolant_kg`].
    fn stored_j(&self, _values: &Values, _own: &[f64]) -> f64 {
        0.0
    }
}

/// Most states that one component has of its own.
pub const MOST_OWN: usize = 2;
