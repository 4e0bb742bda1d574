//! Numbers of the case: where each stands, or why it is what it is.

use coolwright_cases::lower::{Address, Assumption, Ready};

use crate::answer::{Form, Lay, Section, Sentence, Table, Value};
use crate::say;
use crate::sections::Scene;

/// A number of the case, and how it is known.
#[derive(Debug)]
pub struct OfNumber<'a> {
    /// Its address.
    pub address: &'a str,
    /// What it is.
    pub entry: &'a Address,
    /// Its value at the moment that is told of, SI.
    pub value: f64,
    /// How it is known.
    pub known: Known,
    /// What sets it instead, where this is not the case as it stands.
    pub instead: Option<Sentence>,
}

/// How a number of the case is known.
#[derive(Clone, Debug)]
pub enum Known {
    /// It is written.
    Written(Written),
    /// It follows from others, by their addresses where they have any, and the assumption that says so.
    Follows {
        /// Those that it follows from.
        from: Vec<String>,
        /// The assumption, by its place among those of the case.
        assumed: Option<usize>,
    },
    /// It is assumed.
    Assumed(usize),
    /// It is what it is where nothing is said: none, shut, whole.
    Usual,
}

/// Where a number is written.
#[derive(Clone, Debug)]
pub struct Written {
    /// The file.
    pub file: String,
    /// The line, from one.
    pub line: usize,
    /// The column, from one.
    pub column: usize,
    /// The line itself.
    pub text: String,
    /// The number as it is written.
    pub word: String,
}

/// Where a number of the case comes from.
pub fn number(scene: &Scene<'_>, of: &OfNumber<'_>) -> Section {
    let head = say!(
        "{address} = {value}, a number of the case",
        address = of.address,
        value = Value::formed(of.entry.kind, of.value, Form::Full)
    );
    let mut section = Section::plain("number").of(of.address).apart().say(head, Lay::Lines);
    section = section.say(Sentence::spoken(&of.entry.what), Lay::Paragraph);
    if let Some(by) = &of.instead {
        let by = by.clone();
        section =
            section.say(say!("set by {by}; in the case as it stands:", by = by), Lay::Paragraph);
    }
    section = match &of.known {
        Known::Written(at) => section
            .say(
                say!(
                    "written in {file}, line {line}, column {column}:",
                    file = &at.file,
                    line = at.line,
                    column = at.column
                ),
                Lay::Inset,
            )
            .say(say!("{text}", text = &at.text), Lay::Inset),
        Known::Follows { from, assumed } => {
            let section = section.say(
                say!("not written: it follows from {from}", from = Value::list(from, ", ")),
                Lay::Paragraph,
            );
            match assumed {
                Some(assumed) => of_assumption(section, &scene.ready.assumptions[*assumed]),
                None => section,
            }
        }
        Known::Assumed(assumed) => of_assumption(section, &scene.ready.assumptions[*assumed]),
        Known::Usual => {
            section.say("not written: what holds where nothing is said", Lay::Paragraph)
        }
    };
    if let Some(reason) = of.entry.role.refusal() {
        section =
            section.say(say!("a phase cannot write it: {reason}", reason = reason), Lay::Paragraph);
    }
    section
}

fn of_assumption(section: Section, of: &Assumption) -> Section {
    let (low, high) = of.range;
    section
        .say(
            say!(
                "assumed ({what}): it could be {low} to {high}",
                what = Value::spoken(of.what),
                low = Value::of(of.kind, low),
                high = Value::of(of.kind, high)
            ),
            Lay::Paragraph,
        )
        .say(say!("because {why}", why = Value::spoken(of.why)), Lay::Paragraph)
}

/// How a number is known, in a few words.
pub fn known(ready: &Ready, known: &Known) -> Value {
    match known {
        Known::Written(at) => {
            say!("{file}:{line}, as {word}", file = &at.file, line = at.line, word = &at.word)
                .into()
        }
        Known::Follows { from, .. } if from.is_empty() => "follows from others".into(),
        Known::Follows { from, .. } => {
            say!("follows from {from}", from = Value::list(from, ", ")).into()
        }
        Known::Assumed(k) => {
            say!("assumed: {what}", what = Value::spoken(ready.assumptions[*k].what)).into()
        }
        Known::Usual => "as where nothing is said".into(),
    }
}

/// The numbers of the case at a thing.
pub fn numbers(scene: &Scene<'_>, path: &str, numbers: &[OfNumber<'_>]) -> Section {
    let mut table = Table::new()
        .words("address", "number")
        .values("value", "value")
        .broken_words("known", "how it is known", 52)
        .mixed();
    for of in numbers {
        let known = match &of.instead {
            Some(by) => say!("set by {by}", by = by.clone()).into(),
            None => known(scene.ready, &of.known),
        };
        let cells = [
            of.address.into(),
            Value::formed(of.entry.kind, of.value, Form::Full).into(),
            known.into(),
        ];
        table.row(of.address, cells);
    }
    Section::new("numbers", say!("Numbers of the case at `{path}`", path = path)).table(table)
}
