//! Every card says what its law is, in symbols that it explains, and every law has a card.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use coolwright_models::laws::card::{Applied, Card, Outside};
use coolwright_models::laws::cards::ALL;
use coolwright_models::laws::formula::{self, FUNCTIONS};

use super::nomenclature::nomenclature;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

#[test]
fn formulas_stand_in_symbols_that_the_card_explains() {
    for card in ALL {
        let key = card.key;
        let known: BTreeSet<&str> = card.symbols.iter().map(|symbol| symbol.sign).collect();
        assert_eq!(known.len(), card.symbols.len(), "{key}: a symbol stands twice");
        // Properties of a coolant have no formula that fits on a card.
        let first = card.steps.first().map(|step| step.sets);
        let gives = (!key.starts_with("coolant.")).then_some(card.gives().sign);
        assert_eq!(first, gives, "{key}: the first formula gives the result");
        let mut used: BTreeSet<String> = BTreeSet::new();
        for step in card.steps {
            assert!(known.contains(step.sets), "{key}: {} is not explained", step.sets);
            used.insert(step.sets.to_owned());
            for name in formula::names(step.is) {
                if FUNCTIONS.contains(&name.as_str()) || name == "π" {
                    continue;
                }
                assert!(known.contains(name.as_str()), "{key}: {name} is not explained");
                used.insert(name);
            }
            formula::value(step.is, &|_| Some(0.7))
                .unwrap_or_else(|error| panic!("{key}: {} is no formula {error}", step.is));
        }
        used.extend(card.ranges.iter().map(|range| range.of.to_owned()));
        for symbol in card.symbols {
            assert!(used.contains(symbol.sign), "{key}: nothing asks for {}", symbol.sign);
        }
        for range in card.ranges {
            assert!(known.contains(range.of), "{key}: {} is not explained", range.of);
            assert!(range.least < range.most || range.outside == Outside::OtherLaw, "{key}");
        }
    }
}

/// SI units only, and what each law holds for and comes from.
#[test]
fn cards_are_filled_in() {
    let units = [
        "1",
        "m",
        "m²",
        "m³",
        "m/s",
        "m/s²",
        "m²/s",
        "m³/s",
        "kg/s",
        "kg/m³",
        "kg/(m²·s)",
        "Pa",
        "Pa·s",
        "Pa·s/kg",
        "Pa·kg/m³",
        "rad",
        "rad/s",
        "W",
        "W/K",
        "K/W",
        "W/(m·K)",
        "m²·K/W",
        "W/(m²·K⁴)",
        "W/(m²·K)",
        "W/m²",
        "s",
        "W/(m²·K³)",
        "N/m",
        "J/(kg·K)",
        "J/kg",
        "K",
        "V",
        "A",
        "Ω",
    ];
    let mut keys = BTreeSet::new();
    for card in ALL {
        assert!(keys.insert(card.key), "{} stands twice", card.key);
        for symbol in card.symbols {
            assert!(units.contains(&symbol.unit), "{}: unit {}", card.key, symbol.unit);
            assert!(symbol.means.len() > 3, "{}: {}", card.key, symbol.sign);
        }
        assert!(!card.name.is_empty() && !card.conditions.is_empty() && !card.source.is_empty());
        let sources = [Some(card.source), card.spread.map(|spread| spread.source)];
        for source in sources.into_iter().flatten() {
            for nobody in ["handout", "notes", "open ", "lecture", "any textbook", "trade table"] {
                assert!(!source.contains(nobody), "{}: {source}", card.key);
            }
        }
        if let Some(spread) = &card.spread {
            for (sign, number) in spread.numbers {
                assert!(*number > 0.0 && spread.half_width.contains(sign), "{}: {sign}", card.key);
            }
        }
    }
}

/// The page of all cards, in the tree.
#[test]
fn nomenclature_is_that_of_the_cards() {
    let (path, want) = (folder("NOMENCLATURE.md"), nomenclature());
    if std::env::var_os("WRITE_NOMENCLATURE").is_some() {
        std::fs::write(&path, &want).expect("the page can be written");
    }
    let got = std::fs::read_to_string(&path).unwrap_or_default();
    let differs = got.lines().zip(want.lines()).find(|(got, want)| got != want);
    assert!(
        got == want,
        "models/NOMENCLATURE.md is not that of the cards, first at {differs:?}; write it anew with \
         WRITE_NOMENCLATURE=1 cargo test -p coolwright-models nomenclature"
    );
}

/// A card works out what it says: the pipe of Cengel & Cimbala, example 8-3 (96.5 kPa as printed).
#[test]
fn a_law_explains_itself_with_its_numbers() {
    let card: &Card = &coolwright_models::laws::cards::friction::ROUND;
    let given = [
        ("m", 5.994),
        ("ρ", 999.0),
        ("μ", 1.138e-3),
        ("D", 0.05),
        ("L", 60.0),
        ("k", 2e-6),
        ("K", 0.0),
    ];
    let law = Applied::fall(card, &given);
    let fall = law.result().expect("all numbers are there");
    assert!((fall / 96.5e3 - 1.0).abs() < 0.01, "{fall} Pa");
    assert_eq!(law.outside().count(), 0);
    let text = law.written(&card.steps[4], |number| format!("{number:.4}"));
    assert_eq!(text, "4·|5.9940|/(π·0.0500·0.0011)");
    let rough = Applied::fall(card, &[("D", 0.01), ("k", 1e-3)]);
    let (range, number) = rough.outside().next().expect("it is too rough");
    assert!(range.of == "ε" && (number - 0.1).abs() < 1e-12, "{range:?} {number}");
    assert_eq!(rough.result(), None);
}

/// The text of all sources of the crate, without comments, tests and cards.
fn code(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder of sources")
        .map(|entry| entry.expect("a readable folder").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            if !path.ends_with("cards") {
                code(&path, found);
            }
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a source");
        let text = text.split("#[cfg(test)]").next().unwrap_or_default();
        let lines = text.lines().filter(|line| !line.trim_start().starts_with("//"));
        found.push((path, lines.map(|line| format!("{line}\n")).collect()));
    }
}

/// How often a word stands in a text.
fn count(text: &str, word: &str) -> usize {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|found| *found == word).count()
}

/// Every public function of a file of laws stands on a card, and something calls it; every name on a card
/// stands in the code.
#[test]
fn every_law_is_on_a_card_and_something_calls_it() {
    let mut files = Vec::new();
    code(&folder("src"), &mut files);
    let on_cards: BTreeSet<&str> = ALL.iter().flat_map(|card| card.code.iter().copied()).collect();
    let (mut without, mut uncalled) = (Vec::new(), Vec::new());
    let mut laws = 0;
    for (path, text) in &files {
        let own = path.strip_prefix(folder("src")).is_ok_and(|path| path.starts_with("laws"));
        let tool = ["card.rs", "formula.rs", "elementary.rs", "pipes.rs"];
        if !own || tool.iter().any(|name| path.ends_with(name)) {
            continue;
        }
        for line in text.lines() {
            let Some(rest) = line.strip_prefix("pub fn ") else { continue };
            let name = rest.split(['(', '<']).next().unwrap_or_default();
            laws += 1;
            if !on_cards.contains(name) {
                without.push(name.to_owned());
            }
            let imports = |text: &str| -> String {
                text.lines().filter(|line| !line.starts_with("pub use")).collect()
            };
            let calls: usize = files.iter().map(|(_, text)| count(&imports(text), name)).sum();
            if calls < 2 {
                uncalled.push(name.to_owned());
            }
        }
    }
    assert!(laws > 40, "only {laws} laws found");
    assert!(without.is_empty(), "on no card: {without:?}");
    assert!(uncalled.is_empty(), "nothing calls: {uncalled:?}");
    let all: String = files.iter().map(|(_, text)| text.as_str()).collect();
    let unknown: Vec<_> = on_cards.iter().filter(|name| count(&all, name) == 0).collect();
    assert!(unknown.is_empty(), "on a card, but not in the code: {unknown:?}");
}
