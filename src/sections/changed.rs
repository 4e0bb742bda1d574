//! What each variant changes, what that costs, and which limits it keeps best.

use coolwright_cases::case::Change;
use coolwright_cases::quantity::Kind;

use super::compare::Variant;
use super::levers::change;
use crate::answer::{Cell, Section, Sentence, Table, Value, Verdict};
use crate::say;
use crate::study::Judged;

/// What is changed, and what there is of it.
#[derive(Clone, Debug, Default)]
pub struct Changed {
    /// The addresses with their new values.
    pub changes: Vec<Change>,
    /// What it costs, as the case says.
    pub price: Option<f64>,
    /// All coolant that is filled in, m³.
    pub coolant_m3: Option<f64>,
    /// The most current of the supply, A; nothing where there are several.
    pub current_a: Option<f64>,
}

/// A new value is shown as far as this, in characters.
const SHOWN: usize = 48;
/// A limit that another keeps by no more than this share of its margin is kept as well by both.
const AS_WELL: f64 = 1e-3;

fn is_own(judged: &&Judged) -> bool {
    judged.limit.built_in.is_none()
}

/// By how much a variant keeps a limit that another has too, SI.
fn margin(variant: &Variant, limit: &Judged) -> Option<f64> {
    let same =
        |own: &&Judged| own.limit.name == limit.limit.name && own.limit.bound == limit.limit.bound;
    variant.judged.iter().find(same).filter(|own| own.holds())?.margin()
}

/// The limits of the case that a variant keeps better than all others.
fn keeps_best(variants: &[Variant], k: usize) -> Vec<&str> {
    let of = variants[k].judged.iter().filter(is_own);
    let best = of.filter(|limit| {
        let Some(own) = margin(&variants[k], limit) else { return false };
        let others = variants.iter().enumerate().filter(|(other, _)| *other != k);
        others
            .filter_map(|(_, other)| margin(other, limit))
            .all(|of| of < own - AS_WELL * own.abs())
    });
    best.map(|limit| limit.limit.name.as_str()).collect()
}

/// An address with its new value.
fn words(of: &Change) -> Sentence {
    let text = of.text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = if text.chars().count() > SHOWN {
        format!("{}…", text.chars().take(SHOWN).collect::<String>())
    } else {
        text
    };
    say!("`{address}` {text}", address = &of.address, text = text)
}

/// What each variant changes, a row each.
pub fn changes(variants: &[Variant]) -> Section {
    let mut table = Table::new()
        .words("variant", "variant")
        .broken_words("changes", "what it changes", 40)
        .words("verdict", "so it")
        .numbers("draws", "draws\nmore", Kind::Current)
        .numbers("coolant", "coolant\nmore", Kind::Volume)
        .numbers("price", "price", Kind::Number)
        .broken_words("best", "keeps best", 20)
        .only_filled();
    let Some((base, _)) = variants.split_first() else { return Section::plain("changes") };
    for (k, variant) in variants.iter().enumerate() {
        let (now, was) = (&variant.changed, &base.changed);
        let changes = Value::list(now.changes.iter().map(words), "; ");
        let best = keeps_best(variants, k);
        let best = if best.is_empty() { Value::Nothing } else { Value::list(best, ", ") };
        let cells: [Cell; 7] = [
            Value::from(&variant.name).into(),
            if now.changes.is_empty() { Value::Nothing.into() } else { changes.into() },
            super::verdict::word(variant.verdict).into(),
            change(Kind::Current, [now.current_a, was.current_a]).into(),
            change(Kind::Volume, [now.coolant_m3, was.coolant_m3]).into(),
            now.price.map(|price| Value::of(Kind::Number, price)).into(),
            best.into(),
        ];
        table.line(cells);
    }
    Section::new("changes", "What each changes, and what that costs").support().table(table)
}

/// The smallest change of those that hold and ask for no less: the cheapest where all of them tell a price, else that of the
/// fewest numbers, of those that with the least more current.
pub fn smallest(variants: &[Variant]) -> Option<Sentence> {
    let (base, others) = variants.split_first()?;
    let holds = |variant: &&Variant| {
        variant.verdict == Verdict::Holds && variant.beside.variant_bars.is_empty()
    };
    let all: Vec<&Variant> = others.iter().filter(holds).collect();
    if base.verdict == Verdict::Holds || all.len() < 2 {
        return None;
    }
    // What holds for sure comes before what could turn.
    let is_sure = |variant: &&Variant| {
        variant.beside.is_quiet() && !variant.judged.iter().any(Judged::may_turn)
    };
    let sure: Vec<&Variant> = all.iter().copied().filter(is_sure).collect();
    let how = if sure.is_empty() || sure.len() == all.len() { "" } else { " for sure" };
    let all = if sure.is_empty() { all } else { sure };
    let draws = |variant: &Variant| variant.changed.current_a.unwrap_or(0.0);
    let price = |variant: &Variant| variant.changed.price;
    if all.iter().all(|variant| price(variant).is_some()) {
        let least = all
            .iter()
            .min_by(|a, b| price(a).partial_cmp(&price(b)).unwrap_or(std::cmp::Ordering::Equal))?;
        return Some(say!(
            "The cheapest that holds{how} is `{name}`, for {price}.",
            how = how,
            name = &least.name,
            price = price(least).map(|price| Value::of(Kind::Number, price))
        ));
    }
    let count = |variant: &Variant| variant.changed.changes.len();
    let least =
        all.iter().min_by(|a, b| count(a).cmp(&count(b)).then(draws(a).total_cmp(&draws(b))))?;
    let numbers = match count(least) {
        1 => Sentence::from("one value"),
        n => say!("{count} values", count = n),
    };
    Some(say!(
        "The smallest change that holds{how} is `{name}`: {numbers}.",
        how = how,
        name = &least.name,
        numbers = numbers
    ))
}
