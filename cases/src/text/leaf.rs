//! Single values and the checks of names, fields and keys. Nothing here fails: what is wrong is
//! logged, and a stand-in goes on.

use std::collections::BTreeMap;

use super::nearest::{did_you_mean, listed, quoted};
use super::reader::Reader;
use super::tree::{Entry, Field, Node, Value};
use crate::diagnostic::Problem;
use crate::file::{counted, field_called, field_of, kind_called};
use crate::quantity::{self, Asked};

/// A finite number; NaN after a complaint.
pub(super) fn number(reader: Reader<'_>) -> f64 {
    let Value::Number(text) = &reader.node.value else {
        let help = match reader.node.value {
            Value::Text(_) => Some("this number has no unit: write it without quotes".to_owned()),
            _ => None,
        };
        reader.wrong("a number", help);
        return f64::NAN;
    };
    match ron::from_str::<f64>(text) {
        Ok(number) if number.is_finite() => number,
        _ => {
            let message = format!("{} is not a finite number", quoted(text));
            reader.log(Problem::error(reader.node.span, message));
            f64::NAN
        }
    }
}

/// A whole number within a range; one after a complaint.
pub(super) fn integer(reader: Reader<'_>, (least, most): (i128, i128)) -> i128 {
    let expected = format!("a whole number from {least} to {most}");
    let Value::Number(text) = &reader.node.value else {
        reader.wrong(&expected, None);
        return 1;
    };
    let signed = ron::from_str::<i64>(text).map(i128::from);
    let number = signed.or_else(|_| ron::from_str::<u64>(text).map(i128::from));
    match number {
        Ok(number) if (least..=most).contains(&number) => number,
        _ => {
            reader.wrong(&expected, None);
            1
        }
    }
}

pub(super) fn text(reader: Reader<'_>) -> &str {
    match &reader.node.value {
        Value::Text(text) => text,
        Value::Word(word) => {
            reader.wrong("a text in quotes", Some(format!("write {:?}", word.text)));
            ""
        }
        Value::Number(number) => {
            let help = format!("write \"{number}\" in quotes, with its unit if it has one");
            reader.wrong("a text in quotes", Some(help));
            ""
        }
        _ => {
            reader.wrong("a text in quotes", None);
            ""
        }
    }
}

/// A text, or a number as it is written.
pub(super) fn text_or_number(reader: Reader<'_>) -> &str {
    match &reader.node.value {
        Value::Number(number) => number,
        _ => text(reader),
    }
}

/// The value in SI and the flag for a mass flow, when `marker` is the name of a quantity.
pub(super) fn quantity(reader: Reader<'_>, marker: &str) -> Option<(f64, bool)> {
    let asked = Asked::from_marker(marker)?;
    let result = match &reader.node.value {
        Value::Text(text) => quantity::parse_asked(asked, text),
        Value::Number(text) => quantity::parse_bare(asked, text),
        _ => {
            let help = format!("for example {}", asked.examples());
            reader.wrong(&format!("{} in quotes", asked.name()), Some(help));
            return Some((f64::NAN, false));
        }
    };
    Some(result.unwrap_or_else(|error| {
        let problem = Problem::error(reader.node.span, error.message);
        reader.log(error.help.into_iter().fold(problem, Problem::help));
        (f64::NAN, false)
    }))
}

/// The entries of a map without doubled keys and, if `named`, without unfit names; both logged.
pub(super) fn sound_entries<'a>(
    reader: Reader<'a>,
    entries: &'a [Entry],
    named: bool,
) -> Vec<(&'a Node, &'a Node)> {
    let mut seen: BTreeMap<String, &Node> = BTreeMap::new();
    let mut sound = Vec::new();
    for Entry { key, value } in entries {
        if named && !is_fit_name(reader.child(key)) {
            continue;
        }
        let shown = key_text(key);
        if let Some(first) = seen.get(&shown) {
            reader.log(doubled(key, first, &shown));
        } else {
            seen.insert(shown, key);
            sound.push((key, value));
        }
    }
    sound
}

fn doubled(key: &Node, first: &Node, shown: &str) -> Problem {
    Problem::error(key.span, format!("{} is given twice", quoted(shown)))
        .label("again here")
        .also(first.span, "first here")
}

/// A key as text, so that equal keys give equal texts.
fn key_text(key: &Node) -> String {
    match &key.value {
        Value::Text(text) | Value::Number(text) => text.clone(),
        Value::Word(word) => word.text.clone(),
        Value::Char(c) => c.to_string(),
        other => format!("{other:?}"),
    }
}

fn is_fit_name(reader: Reader<'_>) -> bool {
    let Value::Text(name) = &reader.node.value else {
        let help = reader.node.name().map(|word| format!("write {:?}", word.text));
        reader.wrong("a name in quotes", help);
        return false;
    };
    let unfit = name.chars().find(|&c| !(c.is_alphanumeric() || c == '_' || c == '-'));
    let message = match unfit {
        None if !name.is_empty() => return true,
        None => "this name is empty".to_owned(),
        Some(c) => format!("{} does not belong in a name", quoted(&c.to_string())),
    };
    let help = "names are made of letters, digits, `_` and `-`";
    reader.log(Problem::error(reader.node.span, message).help(help));
    false
}

/// The fields that the type knows, each once; the others are logged.
pub(super) fn sound_fields<'a>(
    reader: Reader<'a>,
    name: &str,
    fields: &'a [Field],
    known: &'static [&'static str],
) -> Vec<(&'static str, &'a Node)> {
    let mut sound: Vec<(&'static str, &Node)> = Vec::new();
    let mut first: BTreeMap<&str, &Field> = BTreeMap::new();
    let mut unknown = 0;
    for field in fields {
        let key = &field.key;
        if let Some(before) = first.get(key.text.as_str()) {
            let message = format!("{} is given twice", quoted(&key.text));
            let problem = Problem::error(key.span, message).label("again here");
            reader.log(problem.also(before.key.span, "first here"));
            continue;
        }
        first.insert(&key.text, field);
        if let Some(field_name) = known.iter().find(|&&field| field == key.text) {
            sound.push((field_name, &field.value));
        } else {
            unknown += 1;
            reader.log(unknown_field(field, name, known, unknown <= HINTED));
        }
    }
    sound
}

/// So many unknown fields of a block get a hint, which is looked for among all that are known: nobody reads more.
const HINTED: usize = 100;

fn unknown_field(field: &Field, name: &str, known: &[&str], hinted: bool) -> Problem {
    let key = &field.key;
    let message = format!("`{name}` has no field {}", quoted(&key.text));
    if !hinted {
        return Problem::error(key.span, message);
    }
    let fields = if known.is_empty() {
        format!("`{name}` has no fields at all")
    } else {
        format!("its fields are: {}", listed(known))
    };
    let near = || did_you_mean(&key.text, known.iter().copied());
    let called = || field_called(&key.text, known);
    Problem::error(key.span, message)
        .help_if(field_of(name, &key.text).or_else(near).or_else(called))
        .help(fields)
}

pub(super) fn struct_help(node: &Node, name: &str) -> Option<String> {
    match &node.value {
        Value::Map(_) => {
            Some(format!("write `{name}(field: …)`: round brackets, names without quotes"))
        }
        Value::Word(_) => Some(format!("write `{name}(…)`")),
        _ => None,
    }
}

/// Values where each should stand behind the name of its field. Which fields are meant cannot be known: the
/// first ones are shown.
pub(super) fn unnamed_values(node: &Node, name: &str, items: &[Node], known: &[&str]) -> Problem {
    let shown = |item: &Node| match &item.value {
        Value::Text(text) => format!("{:?}", cut(text)),
        Value::Number(text) => cut(text),
        Value::Bool(value) => value.to_string(),
        Value::Word(word) => cut(&word.text),
        _ => "…".to_owned(),
    };
    let named = known.iter().zip(items).map(|(field, item)| format!("{field}: {}", shown(item)));
    let form = named.collect::<Vec<_>>().join(", ");
    let word = node.name().map_or("", |word| word.text.as_str());
    Problem::error(node.head(), format!("each value of `{name}(…)` needs the name of its field"))
        .help(format!("write `{word}({form})`, if that is what you mean"))
        .help(format!("its fields are: {}", listed(known)))
}

/// Foreign text in a form that is shown, cut to a length that fits a line.
fn cut(text: &str) -> String {
    text.chars().take(40).filter(|c| !c.is_control()).collect()
}

/// Whether the name in front of a block may stand there. A near miss is logged and let through,
/// so that the fields are looked at too.
pub(super) fn check_name(reader: Reader<'_>, name: &str) -> bool {
    let Some(word) = reader.node.name().filter(|word| !reader.bare && word.text != name) else {
        return true;
    };
    // A word alone is no block; the complaint about that says enough.
    if let Value::Word(_) = reader.node.value {
        return true;
    }
    let near = did_you_mean(&word.text, [name]);
    let let_through = near.is_some();
    let message = format!("expected `{name}(…)`, found {}", reader.node.describe());
    reader.log(Problem::error(word.span, message).help_if(near));
    let_through
}

/// The variant that a plain number stands for.
pub(super) fn counted_variant(reader: Reader<'_>, kind: &str) -> Option<&'static str> {
    match &reader.node.value {
        Value::Number(number) | Value::Text(number) => counted(kind, number)?.ok(),
        _ => None,
    }
}

/// What to write where a variant stands in quotes with its brackets.
fn unquoted_variant(text: &str, variants: &[&str]) -> Option<String> {
    let (name, _) = text.split_once('(')?;
    let known = variants.contains(&name.trim()) && text.trim_end().ends_with(')');
    known.then(|| format!("write {} without the quotes", quoted(text)))
}

/// Whether the node names one of the variants.
pub(super) fn check_variant(
    reader: Reader<'_>,
    kind: &str,
    variants: &'static [&'static str],
) -> bool {
    let list = format!("possible here: {}", listed(variants));
    let Some(word) = reader.node.name() else {
        let meant = match &reader.node.value {
            Value::Text(text) if variants.contains(&text.as_str()) => {
                Some(format!("write {} without the quotes", quoted(text)))
            }
            Value::Number(text) | Value::Text(text) => counted(kind, text)
                .and_then(Result::err)
                .or_else(|| unquoted_variant(text, variants)),
            _ => None,
        };
        reader.wrong("a name with what belongs to it", Some(meant.unwrap_or(list)));
        return false;
    };
    if variants.contains(&word.text.as_str()) {
        return true;
    }
    let problem = Problem::error(word.span, format!("{} is not known here", quoted(&word.text)));
    let near = || did_you_mean(&word.text, variants.iter().copied());
    reader.log(problem.help_if(kind_called(kind, &word.text).or_else(near)).help(list));
    false
}

pub(super) fn check_unit_variant(reader: Reader<'_>) {
    if let Value::Word(_) = reader.node.value {
        return;
    }
    let name = reader.node.name().map_or("", |word| word.text.as_str());
    let message = format!("nothing belongs in brackets after `{name}`");
    let help = format!("write `{name}`, without brackets");
    reader.log(Problem::error(reader.node.head(), message).help(help));
}

pub(super) fn variant_lacks_content(reader: Reader<'_>, fields: &[&str]) {
    let name = reader.node.name().map_or("", |word| word.text.as_str());
    let message = format!("`{name}` needs brackets with what belongs to it");
    let help = match fields {
        [] => format!("write `{name}(…)`"),
        [first, ..] => format!("write `{name}({first}: …)`; its fields are: {}", listed(fields)),
    };
    reader.log(Problem::error(reader.node.head(), message).help(help));
}
