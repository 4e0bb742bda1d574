//! The laws of parts with their numbers, in words that a reader can check.

use std::collections::BTreeMap;

use coolwright_models::explain::explain;
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::laws::card::Applied;

use super::State;
use crate::answer::drawing::LawDrawn;

/// The laws of every part of a state.
#[derive(Default)]
pub(super) struct LawBook {
    of_parts: BTreeMap<Id, Vec<LawDrawn>>,
    all: BTreeMap<&'static str, LawDrawn>,
}

impl LawBook {
    /// Of all parts; empty where the state cannot be set up again.
    pub(super) fn of(instance: &mut Instance<'_>, state: &State<'_>) -> Self {
        let mut book = Self::default();
        if let Ok(simulator) = instance.at(state.values, &state.point.states) {
            for explained in explain(simulator) {
                let drawn = law(&explained.law);
                book.all.entry(explained.law.card.key).or_insert_with(|| drawn.clone());
                if matches!(explained.id, Id::Part(..)) {
                    book.of_parts.entry(explained.id).or_default().push(drawn);
                }
            }
        }
        book
    }

    /// Every law, once, in the order of their keys.
    pub(super) fn all(&self) -> Vec<LawDrawn> {
        self.all.values().cloned().collect()
    }

    /// Those of a part.
    pub(super) fn get(&self, id: Id) -> Vec<LawDrawn> {
        self.of_parts.get(&id).cloned().unwrap_or_default()
    }
}

fn law(applied: &Applied) -> LawDrawn {
    let card = applied.card;
    let numbers = applied.numbers().into_iter();
    let numbers = numbers.filter_map(|(symbol, number)| {
        number.map(|number| (symbol.sign, number, symbol.unit, symbol.means))
    });
    let left: Vec<&str> = applied.outside().map(|(range, _)| range.of).collect();
    let ranges = card.ranges.iter();
    LawDrawn {
        name: card.name,
        formulas: card.steps.iter().map(|step| format!("{} = {}", step.sets, step.is)).collect(),
        numbers: numbers.collect(),
        ranges: ranges.map(|r| (r.of, r.least, r.most, left.contains(&r.of))).collect(),
        source: card.source,
    }
}
