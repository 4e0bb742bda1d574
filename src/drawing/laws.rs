//! The laws of parts with their numbers, in words that a reader can check.

use std::collections::BTreeMap;

use coolwright_models::explain::explain;
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::laws::card::Applied;

use super::State;
use crate::answer::drawing::LawDrawn;

/// The laws of every part of a state.
pub(super) struct LawBook(BTreeMap<Id, Vec<LawDrawn>>);

impl LawBook {
    /// Of all parts; empty where the state cannot be set up again.
    pub(super) fn of(instance: &mut Instance<'_>, state: &State<'_>) -> Self {
        let mut book: BTreeMap<Id, Vec<LawDrawn>> = BTreeMap::new();
        if let Ok(simulator) = instance.at(state.values, &state.point.states) {
            for explained in explain(simulator) {
                if matches!(explained.id, Id::Part(..)) {
                    book.entry(explained.id).or_default().push(law(&explained.law));
                }
            }
        }
        Self(book)
    }

    /// Those of a part.
    pub(super) fn get(&self, id: Id) -> Vec<LawDrawn> {
        self.0.get(&id).cloned().unwrap_or_default()
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
