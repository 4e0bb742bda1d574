//! Quantities inside words, for readers of any units.
//!
//! A text for people holds a quantity in braces, with its kind: `{Mass 5 kg}`, or `{Mass 5}` in SI. Whoever shows
//! the text puts it in units of the reader. `{units Mass}` stands for the units that can be written,
//! `{examples Mass}` for quoted examples, `{one Mass}` for one of them.

use coolwright_models::kind::Kind;

use super::kind::about;
use super::parse::{Asked, parse_asked};
use super::show::{UnitSystem, show};
use super::units::{self, UNITS, Unit};

/// A piece of a text for people.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spoken<'a> {
    /// Words as they stand.
    Words(&'a str),
    /// A quantity: its kind and its value, SI.
    Quantity(Kind, f64),
    /// Something that lists how a quantity is written.
    Ways(Way, Asked),
}

/// How a quantity can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// All units.
    Units,
    /// Quoted examples.
    Examples,
    /// One example without quotes.
    One,
}

/// A quantity as it stands in a text for people.
pub fn spoken(kind: Kind, si: f64) -> String {
    format!("{{{kind:?} {si}}}")
}

/// The pieces of a text for people, in their order. Braces that hold no quantity are words.
pub fn pieces(text: &str) -> Vec<Spoken<'_>> {
    let mut pieces = Vec::new();
    let (mut from, mut at) = (0, 0);
    while let Some(open) = text[at..].find('{').map(|k| at + k) {
        let Some(close) = text[open..].find('}').map(|k| open + k) else { break };
        if let Some(piece) = piece(&text[open + 1..close]) {
            if from < open {
                pieces.push(Spoken::Words(&text[from..open]));
            }
            pieces.push(piece);
            (from, at) = (close + 1, close + 1);
        } else {
            at = open + 1;
        }
    }
    if from < text.len() {
        pieces.push(Spoken::Words(&text[from..]));
    }
    pieces
}

/// What stands between two braces, where it is a quantity.
fn piece(inside: &str) -> Option<Spoken<'static>> {
    let (first, rest) = inside.split_once(' ')?;
    let way = match first {
        "units" => Some(Way::Units),
        "examples" => Some(Way::Examples),
        "one" => Some(Way::One),
        _ => None,
    };
    if let Some(way) = way {
        return Asked::named(rest).map(|asked| Spoken::Ways(way, asked));
    }
    let Some(Asked::Kind(kind)) = Asked::named(first) else { return None };
    let si = match rest.parse() {
        Ok(si) => si,
        Err(_) => parse_asked(Asked::Kind(kind), rest).ok()?.0,
    };
    Some(Spoken::Quantity(kind, si))
}

/// A text for people with its quantities in the units of one system.
pub fn in_units(text: &str, system: UnitSystem) -> String {
    let pieces = pieces(text).into_iter().map(|piece| match piece {
        Spoken::Words(words) => words.to_owned(),
        Spoken::Quantity(kind, si) => show(kind, si, system).to_string(),
        Spoken::Ways(way, asked) => ways(way, asked, system),
    });
    pieces.collect()
}

/// How a quantity can be written by a reader of one system. In SI, which says nothing about what the
/// reader writes, that is every way.
pub fn ways(way: Way, asked: Asked, system: UnitSystem) -> String {
    match way {
        Way::Units => {
            let (own, others): (Vec<&Unit>, Vec<&Unit>) = UNITS
                .iter()
                .filter(|unit| asked.takes_unit(unit))
                .partition(|unit| unit.belongs_to(system));
            let listed = |units: &[&Unit]| {
                units.iter().map(|unit| unit.symbol).collect::<Vec<_>>().join(", ")
            };
            // Who asks for US units reads no metric ones.
            let others = match system {
                _ if others.is_empty() => String::new(),
                UnitSystem::Us => "; metric ones too".to_owned(),
                UnitSystem::Metric | UnitSystem::Si => format!("; US ones: {}", listed(&others)),
            };
            format!("{}{others}", listed(&own))
        }
        Way::Examples => {
            let quoted =
                examples(asked, system).into_iter().map(|example| format!("\"{example}\""));
            quoted.collect::<Vec<_>>().join(" or ")
        }
        Way::One => examples(asked, system).first().copied().unwrap_or_default().to_owned(),
    }
}

fn examples(asked: Asked, system: UnitSystem) -> Vec<&'static str> {
    let all: &[&str] = match asked {
        Asked::Kind(kind) => about(kind).examples,
        Asked::Flow => &["45 L/min", "12 gpm", "0.3 kg/s", "40 lb/min"],
        Asked::AirFlow => &["1.6 kg/s", "210 lb/min", "3400 m³/h", "2000 cfm"],
    };
    let belongs = |example: &&&str| {
        let unit = example.trim_start_matches(|c: char| "0123456789./ ".contains(c));
        // A pressure says what it is counted from: psig, psia.
        let unit = units::find(unit).or_else(|| units::find(unit.trim_end_matches(['a', 'g'])));
        unit.is_none_or(|unit| unit.belongs_to(system))
    };
    let own: Vec<&str> = all.iter().filter(belongs).copied().collect();
    if own.is_empty() { all.to_vec() } else { own }
}
