//! What texts are made of: the cases of this project, their blocks, their values by the names of their fields.

use std::collections::BTreeMap;
use std::path::Path;

use coolwright_cases::file;

use crate::common::Random;
use crate::generate::written;

/// Texts and pieces of texts.
pub(crate) struct Corpus {
    /// Whole cases, sound and faulty.
    pub(crate) cases: Vec<String>,
    /// Those of them that have no faults.
    pub(crate) sound: Vec<String>,
    /// Parts files.
    pub(crate) parts: Vec<String>,
    /// What stands behind the name of a field, up to the comma.
    pub(crate) values: BTreeMap<String, Vec<String>>,
    /// Texts in quotation marks, without these.
    pub(crate) literals: Vec<String>,
    /// Names of things: keys of maps.
    pub(crate) names: Vec<String>,
    /// Blocks by the word in front of them, from `Hose(` to its bracket.
    blocks: BTreeMap<String, Vec<String>>,
}

/// Where cases lie, under the root.
const FOLDERS: [&str; 7] = [
    "cases",
    "cases/guide",
    "cases/learn",
    "tests/physics/cases",
    "tests/reference/cases",
    "tests/faults",
    "tests/program/cases",
];

impl Corpus {
    pub(crate) fn new() -> Self {
        let mut corpus = Self {
            cases: Vec::new(),
            sound: Vec::new(),
            parts: vec!["Parts()".to_owned()],
            values: BTreeMap::new(),
            literals: Vec::new(),
            names: Vec::new(),
            blocks: BTreeMap::new(),
        };
        for folder in FOLDERS {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
            let mut paths: Vec<_> = std::fs::read_dir(&folder)
                .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
                .map(|entry| entry.expect("an entry").path())
                .filter(|path| path.extension().is_some_and(|end| end == "ron"))
                .collect();
            paths.sort();
            for path in paths {
                let Ok(text) = std::fs::read_to_string(&path) else { continue };
                corpus.add(&text);
            }
        }
        assert!(corpus.cases.len() > 100 && corpus.values.len() > 200, "the cases are not there");
        corpus
    }

    fn add(&mut self, text: &str) {
        for piece in text.split('"').skip(1).step_by(2) {
            self.literals.push(piece.to_owned());
        }
        for (at, _) in text.match_indices('(') {
            let word = word_before(text, at);
            if let Some(end) = closed(text, at).filter(|_| !word.is_empty()) {
                let block = text[at - word.len()..=end].to_owned();
                self.blocks.entry(word.to_owned()).or_default().push(block);
            }
        }
        for (at, _) in text.match_indices(": ") {
            let rest = &text[at + 2..];
            let field = word_before(text, at);
            if field.is_empty() {
                // The key of a map, in quotation marks.
                let name = text[..at].strip_suffix('"').and_then(|head| head.rsplit('"').next());
                self.names.extend(name.map(str::to_owned));
            } else if let Some(value) = value_of(rest) {
                self.values.entry(field.to_owned()).or_default().push(value.to_owned());
            }
        }
        let is = |word: &str| text.lines().any(|line| line.starts_with(word));
        if is("Parts(") {
            self.parts.push(text.to_owned());
        } else {
            // A fault file opens with what must be said of it.
            if !text.starts_with("//!") && text.contains("Case(") {
                self.sound.push(text.to_owned());
            }
            self.cases.push(text.to_owned());
        }
    }

    /// A case in which some blocks are others of the same word, from other cases or written by their types.
    pub(crate) fn with_other_blocks(&self, random: &mut Random) -> String {
        let mut text = random.one_of(&self.sound).clone();
        for _ in 0..=random.below(3) {
            let opens: Vec<usize> = text.match_indices('(').map(|(at, _)| at).collect();
            if opens.is_empty() {
                break;
            }
            let at = *random.one_of(&opens);
            let word = word_before(&text, at).to_owned();
            let (Some(end), Some(blocks)) = (closed(&text, at), self.blocks.get(&word)) else {
                continue;
            };
            let new = if random.chance(0.5) {
                random.one_of(blocks).clone()
            } else {
                self.by_type(random, &word)
            };
            text.replace_range(at - word.len()..=end, &new);
        }
        text
    }

    /// A block of this word as its type reads it; of what has none here, a part.
    fn by_type(&self, random: &mut Random, word: &str) -> String {
        match word {
            "Run" => written::<file::Run>(random, self),
            "Circuit" => written::<file::Circuit>(random, self),
            "Cooler" => written::<file::Cooler>(random, self),
            "Engine" => written::<file::Engine>(random, self),
            "Core" => written::<file::Core>(random, self),
            "AirPath" => written::<file::AirPath>(random, self),
            "Fan" => written::<file::Fan>(random, self),
            "ChargeAir" => written::<file::ChargeAir>(random, self),
            "Duty" => written::<file::Duty>(random, self),
            "Phase" => written::<file::Phase>(random, self),
            "Limit" => written::<file::Limit>(random, self),
            "Variant" => written::<file::Variant>(random, self),
            "Gauge" => written::<file::Gauge>(random, self),
            "Liquid" => written::<file::Liquid>(random, self),
            "PumpCurve" => written::<file::PumpCurve>(random, self),
            "Chance" => written::<file::Chance>(random, self),
            "Site" => written::<file::Site>(random, self),
            "Tee" | "Header" | "Junction" => written::<file::Junction>(random, self),
            _ => written::<file::PartSpec>(random, self),
        }
    }
}

/// The word that ends before a place.
fn word_before(text: &str, at: usize) -> &str {
    let head = &text[..at];
    let start = head
        .rfind(|c: char| !(c.is_ascii_alphanumeric() || c == '_'))
        .map_or(0, |k| k + head[k..].chars().next().map_or(1, char::len_utf8));
    &head[start..]
}

/// Where the bracket at a place is closed. Brackets in quotation marks do not count.
fn closed(text: &str, at: usize) -> Option<usize> {
    let (mut depth, mut quoted) = (0_usize, false);
    for (k, c) in text[at..].char_indices() {
        match c {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => {
                depth = depth.checked_sub(1)?;
                if depth == 0 {
                    return Some(at + k);
                }
            }
            _ => {}
        }
    }
    None
}

/// The value at the beginning of a text: up to the comma or bracket behind it.
fn value_of(text: &str) -> Option<&str> {
    let (mut depth, mut quoted) = (0_usize, false);
    for (k, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' | ',' if !quoted && depth == 0 => {
                return Some(text[..k].trim()).filter(|value| !value.is_empty());
            }
            ')' | ']' | '}' if !quoted => depth -= 1,
            _ => {}
        }
    }
    None
}
