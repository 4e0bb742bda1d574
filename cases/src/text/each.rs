//! Several values in the place of one: `Each(["32 mm", "38 mm"])`.

use super::nearest;
use super::source::{Sources, Span};
use super::syntax;
use super::tree::{Node, Value, Word};
use crate::diagnostic::Problem;

/// The word in front of the list.
const EACH: &str = "Each";

/// One of several values that stand in the place of one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct OneOf {
    /// Where it stands.
    pub(crate) span: Span,
    /// As it reads: a text without its quotation marks; the place in the list, from 1, where it is longer than a name.
    pub(crate) text: String,
}

/// The values that stand at a place; `None` where that holds one value as usual.
///
/// # Errors
/// When `Each` holds no list of values.
pub(crate) fn each(sources: &Sources, span: Span) -> Result<Option<Vec<OneOf>>, Box<Problem>> {
    // What cannot be parsed is told where it is read as a value.
    let Ok(node) = syntax::parse_part(sources.text(span.file), span) else { return Ok(None) };
    let Some(word) = node.name() else { return Ok(None) };
    if word.text != EACH {
        return misspelt(&node, word).map_or(Ok(None), |problem| Err(problem.into()));
    }
    let list = match &node.value {
        Value::Tuple { items, .. } => match &items[..] {
            [Node { value: Value::List(list), .. }] => Some(list),
            _ => None,
        },
        _ => None,
    };
    match list {
        Some(list) if !list.is_empty() => {
            Ok(Some((1..).zip(list).map(|(place, node)| one(sources, node, place)).collect()))
        }
        _ => Err(Problem::error(span, "`Each` holds a list of values")
            .label("no list with values in it")
            .help("for example `Each([\"32 mm\", \"38 mm\"])`: one variant of each")
            .into()),
    }
}

/// That a word in front of a list of values is close to the one that is meant.
fn misspelt(node: &Node, word: &Word) -> Option<Problem> {
    let holds_list = matches!(
        &node.value,
        Value::Tuple { items, .. } if matches!(&items[..], [Node { value: Value::List(_), .. }])
    );
    let is_near = word.text.eq_ignore_ascii_case(EACH) || nearest(&word.text, [EACH]).is_some();
    (holds_list && is_near).then(|| {
        Problem::error(word.span, format!("`{}` is no word for several values", word.text))
            .label("not known")
            .help(format!("did you mean `{EACH}`?"))
    })
}

/// Values that are longer than this, in signs, are told by their place.
const LONGEST: usize = 24;

fn one(sources: &Sources, node: &Node, place: usize) -> OneOf {
    let Span { file, start, end } = node.span;
    let text = match &node.value {
        Value::Text(text) => text.as_str(),
        _ => sources.text(file).get(start..end).unwrap_or_default(),
    };
    let is_short = text.chars().count() <= LONGEST && !text.contains(['\n', '\r']);
    let text = if is_short { text.to_owned() } else { place.to_string() };
    OneOf { span: node.span, text }
}
