//! Answers for people: the verdict first, then the few numbers behind it, then detail.

mod air;
mod check;
mod circuit;
mod compare;
mod cycle;
mod doubt;
mod gauges;
mod point;
mod pumps;
mod stuck;
mod survey;

pub use check::check;
pub use compare::{Column, compare};
pub use cycle::{CycleAnswer, cycle};
pub use point::{PointAnswer, point};
pub use stuck::{LOOK, stuck};

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::fluids::Base;
use coolwright_models::inputs;
use coolwright_models::results::Results;
use coolwright_models::slots::Values;

use super::Style;
use super::table::{Table, broken};
use crate::study::{Influence, kind_of};

/// How many assumptions are printed one by one.
const MOST_ASSUMPTIONS: usize = 12;
/// An assumption that moves nothing by more than this share of what matters is summed up.
const LEAST_WEIGHT: f64 = 0.02;

/// The numbers of a state, shown by address.
struct Shown<'a> {
    style: &'a Style,
    results: &'a Results,
}

impl Shown<'_> {
    /// The number at an address, SI.
    fn value(&self, path: &str, name: &str) -> Option<f64> {
        self.results.get(&format!("{path}:{name}"))
    }

    /// A number of the same kind as that at an address, with its unit.
    fn alike(&self, path: &str, name: &str, si: f64) -> String {
        let index = self.results.catalogue.find(&format!("{path}:{name}"));
        index.map_or_else(
            || "-".to_owned(),
            |index| {
                let kind = kind_of(self.results.catalogue.entries()[index].quantity.measure);
                self.style.quantity(kind, si)
            },
        )
    }

    /// The number at an address with its unit; a dash where there is none.
    fn at(&self, path: &str, name: &str) -> String {
        let Some(index) = self.results.catalogue.find(&format!("{path}:{name}")) else {
            return "-".to_owned();
        };
        let kind = kind_of(self.results.catalogue.entries()[index].quantity.measure);
        self.style.quantity(kind, self.results.values[index])
    }
}

/// A share as a whole percentage.
fn percent(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |v| format!("{:.0} %", 100.0 * v))
}

/// A heading with its table; nothing where the table is empty.
fn section(title: &str, table: Table) -> String {
    if table.is_empty() { String::new() } else { format!("\n{title}\n{}", table.render()) }
}

/// The conditions of an answer in one line.
fn conditions(style: &Style, ready: &Ready, values: &Values, which: &str) -> String {
    let model = &ready.model;
    let get = |slot| values.get(slot);
    let input = |name| model.inputs.value(values, name);
    let mut line = format!(
        "At {which}{}{}, {}, air {}, {} above sea level, humidity {}",
        match input(inputs::POWER) {
            0.0 => String::new(),
            power => format!(": {}", style.quantity(Kind::Power, power)),
        },
        match input(inputs::ENGINE_SPEED) {
            0.0 => String::new(),
            speed => format!(", engine at {}", style.quantity(Kind::RotationalSpeed, speed)),
        },
        match input(inputs::ROAD_SPEED) {
            0.0 => "standing still".to_owned(),
            speed => style.quantity(Kind::Speed, speed),
        },
        style.quantity(Kind::Temperature, get(model.site.temperature)),
        style.quantity(Kind::Distance, get(model.site.altitude)),
        style.quantity(Kind::Fraction, get(model.site.humidity)),
    );
    line.push('\n');
    line
}

/// The coolant of a circuit in words.
fn coolant(style: &Style, ready: &Ready, circuit: usize, values: &Values) -> String {
    let spec = ready.model.circuits[circuit].coolant;
    let share = style.quantity(Kind::Fraction, values.get(spec.share));
    match spec.base {
        Base::Water => "water".to_owned(),
        Base::EthyleneGlycol => format!("water with {share} ethylene glycol by volume"),
        Base::PropyleneGlycol => format!("water with {share} propylene glycol by volume"),
    }
}

/// A list under a heading.
fn list(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{title}\n");
    for line in lines {
        text.push_str(&hanging(line));
    }
    text
}

/// What was assumed, the most influential first, with what it could change.
fn assumptions(style: &Style, ready: &Ready, influences: &[Influence]) -> String {
    if influences.is_empty() {
        return String::new();
    }
    let mut table = Table::new(&["<assumed", "value", "<could be", "<then this moves", "<by"]);
    let shown = influences.iter().take_while(|i| i.weight >= LEAST_WEIGHT).count();
    let shown = shown.min(MOST_ASSUMPTIONS);
    for influence in &influences[..shown] {
        let assumption = &ready.assumptions[influence.assumption];
        let quantity = |si| style.quantity(assumption.kind, si);
        let (low, high) = assumption.range;
        let largest = influence.change.iter().flatten().fold(0.0_f64, |most, c| most.max(c.abs()));
        let by = influence.change.map(|change| match change {
            // What is lost in the rounding of the search is no change.
            Some(c) if c.abs() < NO_CHANGE * largest => style.change(influence.kind, 0.0),
            Some(c) => style.change(influence.kind, c),
            None => "no answer".to_owned(),
        });
        let many = match assumption.addresses.len() {
            1 => String::new(),
            n => format!(" ({n} places)"),
        };
        table.row([
            broken(&format!("{}{many}", assumption.what), 40),
            quantity(assumption.value),
            format!("{} to {}", quantity(low), quantity(high)),
            influence.address.clone(),
            format!("{} to {}", by[0], by[1]),
        ]);
    }
    let mut text = section(
        "Assumed, because the case does not say (by what it could change; `check` says why)",
        table,
    );
    let rest: Vec<&str> =
        influences[shown..].iter().map(|i| ready.assumptions[i.assumption].what).collect();
    if !rest.is_empty() {
        if shown == 0 {
            text.push_str("\nAssumed, because the case does not say\n");
        }
        text.push_str(&wrapped(&format!("Of little influence here: {}.", rest.join("; ")), 2));
    }
    text
}

/// A change smaller than this share of that at the other end of the range counts as none.
const NO_CHANGE: f64 = 1e-4;

/// A point of a list, broken at 110 columns.
fn hanging(line: &str) -> String {
    format!("  - {}\n", broken(line, 106).replace('\n', "\n    "))
}

/// A paragraph wrapped at 100 columns, set in from the left.
fn wrapped(text: &str, indent: usize) -> String {
    let mut lines = String::new();
    let mut line = " ".repeat(indent);
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > 100 && line.trim() != "" {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = " ".repeat(indent);
        }
        line.push_str(word);
        line.push(' ');
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines
}

/// The usual cautions, in short.
const CAUTION: &str = "\nEstimates, to be checked on a stand. Hot coolant under pressure scalds: never \
                       open a hot cap.\n";
