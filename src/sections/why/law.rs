//! A law at its place, with its numbers.

use coolwright_models::laws::card::Applied;

use super::digits;
use crate::answer::{Cell, Form, Lay, Section, Sentence, Table, Value};
use crate::say;
use crate::words::units::kind_of;

/// A law at its place: formulas, numbers, range, source, spread.
pub(super) fn of_law(law: &Applied) -> Section {
    let card = law.card;
    let mut table = Table::new()
        .words("sign", "sign")
        .values("value", "value")
        .broken_words("means", "what it is", 58)
        .mixed();
    for (symbol, number) in law.numbers() {
        let Some(number) = number else { continue };
        table.line([
            symbol.sign.into(),
            in_unit(symbol.sign, symbol.unit, number),
            symbol.means.into(),
        ]);
    }
    let formulas = card.steps.iter().map(|step| format!("{} = {}", step.sets, step.is));
    let mut section =
        Section::new("laws", say!("Law there: {name}", name = card.name)).of(card.key);
    for formula in formulas {
        section = section.say(formula, Lay::Inset);
    }
    section = section.table(table);
    for range in card.ranges {
        let out = law.outside().any(|(left, _)| left.of == range.of);
        let here = if out { "; left here" } else { "" };
        let unit = card.symbols.iter().find(|symbol| symbol.sign == range.of);
        let unit = unit.map_or("1", |symbol| symbol.unit);
        section = section.say(
            say!(
                "published for {sign} from {least} to {most}{here}",
                sign = range.of,
                least = in_unit(range.of, unit, range.least).value,
                most = in_unit(range.of, unit, range.most).value,
                here = here
            ),
            Lay::Inset,
        );
    }
    if !card.conditions.is_empty() {
        section = section.say(Sentence::spoken(card.conditions), Lay::Paragraph);
    }
    if let Some(spread) = card.spread {
        section = section.say(
            say!("may be off by {by} ({source})", by = spread.half_width, source = spread.source),
            Lay::Paragraph,
        );
    }
    section.say(say!("source: {source}", source = card.source), Lay::Paragraph)
}

/// A number of a law in the unit of the answer where its unit is that of a kind, else in SI units.
fn in_unit(sign: &str, unit: &'static str, si: f64) -> Cell {
    match kind_of(sign, unit) {
        Some(kind) => Value::formed(kind, si, Form::Full).into(),
        None => say!("{number} {unit}", number = digits(si), unit = unit).into(),
    }
}
