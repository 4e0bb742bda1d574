//! The nomenclature: every card on one page.

use std::fmt::Write;

use coolwright_models::laws::card::{Card, Outside};
use coolwright_models::laws::cards::ALL;

/// The text of `models/NOMENCLATURE.md`.
pub(crate) fn nomenclature() -> String {
    let mut page = String::from(
        "# Nomenclature\n\nEvery law in use, made from the cards in `src/laws/cards`; a test keeps this page \
         true. Units are SI. To write it anew: `WRITE_NOMENCLATURE=1 cargo test -p coolwright-models \
         nomenclature`.\n",
    );
    for card in ALL {
        put(&mut page, card).expect("a text takes what is written to it");
    }
    page
}

fn put(page: &mut String, card: &Card) -> std::fmt::Result {
    writeln!(page, "\n## {} <a id=\"{}\"></a>\n", card.name, card.key)?;
    for step in card.steps {
        writeln!(page, "    {} = {}", step.sets, step.is)?;
    }
    writeln!(page, "\n| symbol | unit | meaning |\n| --- | --- | --- |")?;
    for symbol in card.symbols {
        let sign = symbol.sign.replace('|', "\\|");
        writeln!(page, "| {sign} | {} | {} |", symbol.unit, symbol.means)?;
    }
    writeln!(page)?;
    for range in card.ranges {
        let bounds = match (range.least.is_finite(), range.most.is_finite()) {
            (true, true) => format!("{} from {:.4} to {:.4}", range.of, range.least, range.most),
            (true, false) => format!("{} from {:.4}", range.of, range.least),
            _ => format!("{} up to {:.4}", range.of, range.most),
        };
        let outside = match range.outside {
            Outside::Warn | Outside::OwnWarning => "outside, a warning says so",
            Outside::OtherLaw => "outside, another law takes over or is blended in",
            Outside::Fine => "outside, it is used all the same",
        };
        writeln!(page, "- Range: {bounds}; {outside}.")?;
    }
    writeln!(page, "- Holds for: {}.", card.conditions)?;
    writeln!(page, "- Source: {}.", card.source)?;
    if let Some(spread) = &card.spread {
        let numbers: Vec<String> =
            spread.numbers.iter().map(|(sign, number)| format!("{sign} = {number}")).collect();
        writeln!(
            page,
            "- May be off by: {}; {}. Source: {}.",
            spread.half_width,
            numbers.join(", "),
            spread.source
        )?;
    }
    let code: Vec<String> = card.code.iter().map(|name| format!("`{name}`")).collect();
    writeln!(page, "- In the code: {}.", code.join(", "))
}
