//! Cards of laws: what a law is, as data.
//!
//! Every law in use has one: its formulas, their symbols with units, the range in which it was
//! published or measured, its source, and what it may be off by. A card can be read out (the
//! nomenclature is made from all of them), and applied to the numbers of a place ([`Applied`]): it then
//! works its formulas out, says what is outside its range, and shows the numbers put in.
//!
//! Formulas hold in SI units, so the numbers put into them are SI, whatever units a reader wants.

use super::formula;
use super::uncertainty::Law;

/// A law, as data.
#[derive(Debug, PartialEq)]
pub struct Card {
    /// Its name in answers and in the nomenclature: `friction.round`.
    pub key: &'static str,
    /// What it is, in words.
    pub name: &'static str,
    /// Its formulas: first that of what it gives, then those of what the first needs.
    pub steps: &'static [Step],
    /// All symbols of the formulas, what it gives first.
    pub symbols: &'static [Symbol],
    /// Between which numbers it was published or measured.
    pub ranges: &'static [Range],
    /// What else must hold for it, in words.
    pub conditions: &'static str,
    /// Who published it: author, year, journal and page. Where nobody did, that stands here.
    pub source: &'static str,
    /// What it may be off by; `None` where nothing is known of that, or where it is exact.
    pub spread: Option<Spread>,
    /// The functions of this crate that follow it, as they stand in the code.
    pub code: &'static [&'static str],
}

/// One formula of a law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The symbol that it gives.
    pub sets: &'static str,
    /// What that is: see [`super::formula`].
    pub is: &'static str,
}

/// A symbol of a law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// As it stands in the formulas.
    pub sign: &'static str,
    /// Its SI unit; 1 where it is a ratio or a number.
    pub unit: &'static str,
    /// What it means.
    pub means: &'static str,
}

/// Between which numbers a law holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The symbol.
    pub of: &'static str,
    /// The least number.
    pub least: f64,
    /// The largest number.
    pub most: f64,
    /// What is done outside, and whether it is worth a word.
    pub outside: Outside,
}

/// What happens where a law is asked outside its range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outside {
    /// The formula is used all the same, and may be wrong: a warning says so.
    Warn,
    /// A warning of its own, with advice, stands for it.
    OwnWarning,
    /// Another law takes over, or is blended in.
    OtherLaw,
    /// It is used all the same, and no warning is raised.
    Fine,
}

/// What a law may be off by, by the spread of published values or of measurements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Whose errors are alike: see [`crate::uncertainty`].
    pub law: Law,
    /// The half width, in words and symbols.
    pub half_width: &'static str,
    /// The numbers in it.
    pub numbers: &'static [(&'static str, f64)],
    /// Where they come from.
    pub source: &'static str,
}

impl Card {
    /// The symbol of what it gives.
    pub const fn gives(&self) -> &Symbol {
        &self.symbols[0]
    }

    /// The range of one of its symbols.
    ///
    /// # Panics
    /// When it has none.
    pub fn range(&self, sign: &str) -> &Range {
        self.ranges.iter().find(|range| range.of == sign).expect("the symbol has a range")
    }
}

/// Beyond an end by less than this share of it a number is still at it: rounding, and what a step of a cycle leaves open.
const AT_AN_END: f64 = 1e-3;

impl Range {
    /// Whether a number lies in it.
    pub fn holds(&self, number: f64) -> bool {
        (self.least..=self.most).contains(&number)
    }

    /// Whether a number lies in it, or beyond an end by less than is shown of it.
    pub fn nearly_holds(&self, number: f64) -> bool {
        let slack = |end: f64, other: f64| {
            let size = if end == 0.0 { other.abs().min(1.0) } else { end.abs() };
            if size.is_finite() { AT_AN_END * size } else { 0.0 }
        };
        let (least, most) = (self.least, self.most);
        number >= least - slack(least, most) && number <= most + slack(most, least)
    }
}

/// A law with the numbers of a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// The law.
    pub card: &'static Card,
    /// How often what it gives enters the fall of its part: 1 for a fall, −1 for a rise, the number of
    /// bends for a bend, 0 for what is no fall.
    pub times: f64,
    given: Vec<(&'static str, f64)>,
}

impl Applied {
    /// A law whose result is the fall of its part, or one of the falls that add up to it.
    pub fn fall(card: &'static Card, given: &[(&'static str, f64)]) -> Self {
        Self { card, times: 1.0, given: given.to_vec() }
    }

    /// A law whose result is no fall.
    pub fn other(card: &'static Card, given: &[(&'static str, f64)]) -> Self {
        Self { card, times: 0.0, given: given.to_vec() }
    }

    /// The same law, entering the fall so many times.
    #[must_use]
    pub fn times(self, times: f64) -> Self {
        Self { times, ..self }
    }

    /// The number of a symbol: as given, or by its formula. `None` where neither is there.
    pub fn number(&self, sign: &str) -> Option<f64> {
        if let Some((_, number)) = self.given.iter().find(|(known, _)| *known == sign) {
            return Some(*number);
        }
        let step = self.card.steps.iter().find(|step| step.sets == sign)?;
        formula::value(step.is, &|name| self.number(name)).ok()
    }

    /// What the law gives here, by its formulas.
    pub fn result(&self) -> Option<f64> {
        self.number(self.card.gives().sign)
    }

    /// All symbols with their numbers, in the order of the card.
    pub fn numbers(&self) -> Vec<(&'static Symbol, Option<f64>)> {
        self.card.symbols.iter().map(|symbol| (symbol, self.number(symbol.sign))).collect()
    }

    /// A formula of the card with its numbers put in, each written by `number`.
    pub fn written(&self, step: &Step, number: impl Fn(f64) -> String) -> String {
        formula::written(step.is, |name| self.number(name).map(&number))
    }

    /// The ranges that it is outside of, with the number that is.
    pub fn outside(&self) -> impl Iterator<Item = (&'static Range, f64)> + '_ {
        self.card.ranges.iter().filter_map(|range| Some((range, self.beyond(range)?)))
    }

    /// The number that a range of its card is on, where that is outside the range.
    pub fn beyond(&self, range: &Range) -> Option<f64> {
        self.number(range.of).filter(|number| !range.holds(*number))
    }
}

/// A symbol, short enough for a table of them.
pub(crate) const fn sym(sign: &'static str, unit: &'static str, means: &'static str) -> Symbol {
    Symbol { sign, unit, means }
}

/// A formula, short enough for a table of them.
pub(crate) const fn step(sets: &'static str, is: &'static str) -> Step {
    Step { sets, is }
}

/// A range outside of which a warning is due.
pub(crate) const fn within(of: &'static str, least: f64, most: f64) -> Range {
    Range { of, least, most, outside: Outside::Warn }
}

/// Symbols that many laws share.
pub(crate) mod common {
    use super::{Symbol, sym};

    pub(crate) const FALL: Symbol = sym("Δp", "Pa", "fall of total pressure along the run");
    pub(crate) const FLOW: Symbol = sym("m", "kg/s", "mass flow along the run, signed");
    pub(crate) const DENSITY: Symbol = sym("ρ", "kg/m³", "density of the coolant there");
    pub(crate) const VISCOSITY: Symbol = sym("μ", "Pa·s", "dynamic viscosity of the coolant there");
    pub(crate) const BORE: Symbol = sym("D", "m", "bore");
    pub(crate) const LENGTH: Symbol = sym("L", "m", "length");
    pub(crate) const ROUGHNESS: Symbol = sym("k", "m", "roughness height of the wall");
    pub(crate) const REYNOLDS: Symbol = sym("Re", "1", "Reynolds number");
    pub(crate) const FACTOR: Symbol = sym("f", "1", "Darcy friction factor");
    pub(crate) const CONDUCTIVITY: Symbol = sym("λ", "W/(m·K)", "conductivity of the coolant");
    pub(crate) const HEAT_CAPACITY: Symbol = sym("c", "J/(kg·K)", "heat capacity of the coolant");
    pub(crate) const PRANDTL: Symbol = sym("Pr", "1", "Prandtl number");
    pub(crate) const NUSSELT: Symbol = sym("Nu", "1", "Nusselt number");
    pub(crate) const GRAVITY: Symbol = sym("g", "m/s²", "acceleration of gravity");
    pub(crate) const FILM: Symbol = sym("h", "W/(m²·K)", "film coefficient");
}
