//! How each result comes about: its formula, and the results, numbers and properties that go into it.
//!
//! One step at a time: what goes into a result has reasons of its own, down to the numbers of the case. A formula is
//! written in the signs of what goes into it, in the form of [`crate::laws::formula`], so that it can be worked out
//! and compared. What the equations of a circuit give together, flows and temperatures, has no formula of its own;
//! a balance stands for it, an equation whose sides are equal where the state is solved.

mod air;
mod bodies;
mod charge;
mod circuit;
mod gauges;
mod parts;
mod pumps;

use crate::explain::Explained;
use crate::fluids::Coolant;
use crate::ids::Id;
use crate::kind::Kind;
use crate::laws::formula;
use crate::results::{Quantity, Results};
use crate::simulate::Simulator;
use crate::slots::Slot;

/// How a result comes about.
#[derive(Clone, Debug, Default)]
pub struct Reason {
    /// What it follows from.
    pub comes: Comes,
    /// What goes into it.
    pub inputs: Vec<Input>,
}

/// What a result follows from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Comes {
    /// A formula in the signs of its inputs.
    Formula(String),
    /// A law at its place, by its place among those explained.
    Law(usize),
    /// An equation that is found with others: both its sides, in the signs of its inputs.
    Balance([String; 2]),
    /// All equations together; the inputs are those that it hangs on directly.
    #[default]
    Together,
}

/// Something that goes into a result.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its sign in the formula.
    pub sign: String,
    /// What it is.
    pub from: Origin,
    /// Its kind.
    pub kind: Kind,
    /// Its value, SI.
    pub value: f64,
}

/// What goes into a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Another result.
    Result(Id, &'static Quantity),
    /// A number of the model.
    Number(Slot),
    /// A property of a medium there, or a constant.
    Property(&'static str),
}

impl Reason {
    /// The value of a formula in the signs of the inputs; `None` where it cannot be worked out.
    pub fn work(&self, formula: &str) -> Option<f64> {
        let of = |sign: &str| self.inputs.iter().find(|i| i.sign == sign).map(|i| i.value);
        formula::value(formula, &of).ok()
    }

    /// A formula with its numbers put in, each written by `number`.
    pub fn written(&self, formula: &str, number: impl Fn(f64) -> String) -> String {
        let of = |sign: &str| self.inputs.iter().find(|i| i.sign == sign);
        formula::written(formula, |sign| of(sign).map(|input| number(input.value)))
    }
}

/// A law gives a result where it is as close as this to it, relative.
const SAME: f64 = 1e-9;

/// How a result of a settled state comes about. `laws` are those of the state, by [`crate::explain::explain`] and
/// [`crate::explain::pressures`].
pub fn reason(
    simulator: &Simulator<'_>,
    results: &Results,
    laws: &[Explained],
    (id, quantity): (Id, &'static Quantity),
) -> Reason {
    let mut writer = Writer { simulator, results, laws, id, reason: Reason::default() };
    match id {
        Id::Site | Id::Supply(_) => writer.site(quantity),
        Id::Circuit(c) => writer.circuit(c, quantity),
        Id::Run(c, r) => writer.run((c, r), quantity),
        Id::Part(c, r, p) => writer.part((c, r, p), quantity),
        Id::Group(c, g) => writer.group((c, g), quantity),
        Id::Junction(c, j) => writer.junction((c, j), quantity),
        Id::Body(body) => writer.body(body, quantity),
        Id::Core(core) => writer.core(core, quantity),
        Id::AirPath(a) => writer.air_path(a, quantity),
        Id::Lane(a, w) => writer.lane((a, w), quantity),
        Id::Fan(a, f) => writer.fan((a, f), quantity),
        Id::ChargeAir(a) => writer.charge_air(a, quantity),
        Id::Stage(a, s) => writer.stage((a, s), quantity),
        Id::Gauge(g) => writer.gauge(g, quantity),
        Id::Rise(r) => writer.rise(r),
    }
    if writer.reason.comes == Comes::Together {
        writer.by_law(quantity);
    }
    writer.reason
}

/// Writes the reason of one result.
struct Writer<'a> {
    simulator: &'a Simulator<'a>,
    results: &'a Results,
    laws: &'a [Explained],
    id: Id,
    reason: Reason,
}

impl Writer<'_> {
    /// A result of a thing goes in; whether there is one with a value.
    fn result(&mut self, sign: &str, id: Id, quantity: &'static Quantity) -> bool {
        let value = self.results.of(id, quantity).filter(|value| !value.is_nan());
        if let Some(value) = value {
            self.put(sign, Origin::Result(id, quantity), quantity.kind, value);
        }
        value.is_some()
    }

    /// Another result of the same thing goes in.
    fn own(&mut self, sign: &str, quantity: &'static Quantity) -> bool {
        self.result(sign, self.id, quantity)
    }

    /// A number of the model goes in.
    fn number(&mut self, sign: &str, slot: Slot, kind: Kind) {
        let value = self.simulator.setup.values.get(slot);
        self.put(sign, Origin::Number(slot), kind, value);
    }

    /// The share of glycol in the coolant of a circuit goes in, where it is a mixture.
    fn share_of_glycol(&mut self, circuit: usize) {
        if let Some((_, share)) = self.simulator.setup.model.circuits[circuit].coolant.mixture() {
            self.number("x", share, Kind::Fraction);
        }
    }

    /// A property or a constant goes in.
    fn property(&mut self, sign: &str, what: &'static str, (kind, value): (Kind, f64)) {
        self.put(sign, Origin::Property(what), kind, value);
    }

    /// The density of a circuit's coolant at a temperature goes in.
    fn density(&mut self, sign: &str, circuit: usize, temperature_k: f64) {
        let density = self.coolant(circuit).density(temperature_k);
        self.property(
            sign,
            "density of the coolant at its temperature there",
            (Kind::Density, density),
        );
    }

    fn put(&mut self, sign: &str, from: Origin, kind: Kind, value: f64) {
        self.reason.inputs.push(Input { sign: sign.to_owned(), from, kind, value });
    }

    fn coolant(&self, circuit: usize) -> &Coolant {
        &self.simulator.setup.prepared.coolants[circuit]
    }

    /// It follows from a formula.
    fn is(&mut self, formula: &str) {
        self.reason.comes = Comes::Formula(formula.to_owned());
    }

    /// It is what the last input is.
    fn same(&mut self) {
        if let Some(last) = self.reason.inputs.last() {
            self.reason.comes = Comes::Formula(last.sign.clone());
        }
    }

    /// It is the sum of all inputs so far, or another function of them.
    fn all(&mut self, joins: Joins) {
        let signs: Vec<&str> = self.reason.inputs.iter().map(|input| input.sign.as_str()).collect();
        let Some((first, rest)) = signs.split_first() else { return };
        let of_two = |function: &str| {
            rest.iter().fold((*first).to_owned(), |all, next| format!("{function}({all}; {next})"))
        };
        self.reason.comes = Comes::Formula(match joins {
            Joins::Sum => signs.join(" + "),
            Joins::Most => of_two("max"),
            Joins::Least => of_two("min"),
        });
    }

    /// It is what a law at its place gives, where one does.
    fn by_law(&mut self, quantity: &'static Quantity) {
        let Some(value) = self.results.of(self.id, quantity) else { return };
        // What a law gives is worked out of its text, so only those of the place are asked.
        let near = |given: f64| (given - value).abs() <= SAME * value.abs();
        let gives = |law: &Explained| law.id == self.id && law.law.result().is_some_and(near);
        if let Some(law) = self.laws.iter().position(gives).filter(|_| value != 0.0) {
            self.reason.comes = Comes::Law(law);
        }
    }
}

/// How inputs are put together.
#[derive(Clone, Copy)]
enum Joins {
    Sum,
    Most,
    Least,
}

/// A sign with the number of a thing below its line, from 1.
fn sub(sign: &str, number: usize) -> String {
    let digits = number.to_string();
    let below = digits.chars().filter_map(|digit| char::from_u32('₀' as u32 + digit.to_digit(10)?));
    sign.chars().chain(below).collect()
}
