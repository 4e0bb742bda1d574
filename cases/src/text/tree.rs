//! The tree of a text: every node with its place.

use super::source::{FileId, Sources, Span};
use super::syntax;
use crate::diagnostic::Problems;

/// The parsed text of one file, before it is read into a type. It can be edited
/// ([`Tree::apply`]), joined with included files ([`Tree::absorb`]) and read any number of times
/// ([`Tree::read`]).
#[derive(Clone, Debug)]
pub struct Tree {
    pub(super) root: Node,
}

impl Tree {
    /// Parses a whole text. A syntax error is logged and gives `None`.
    pub fn parse(sources: &Sources, file: FileId, problems: &mut Problems) -> Option<Self> {
        match syntax::parse_file(sources, file) {
            Ok(root) => Some(Self { root }),
            Err(problem) => {
                problems.push(*problem);
                None
            }
        }
    }

    /// The place of the value that belongs to the name (of a field, or of an entry of a map) that
    /// stands at a place.
    pub fn value_of_key(&self, key: Span) -> Option<Span> {
        fn find(node: &Node, key: Span) -> Option<Span> {
            match &node.value {
                Value::List(items) | Value::Tuple { items, .. } => {
                    items.iter().find_map(|item| find(item, key))
                }
                Value::Struct { fields, .. } => fields.iter().find_map(|field| {
                    if field.key.span == key {
                        return Some(field.value.span);
                    }
                    find(&field.value, key)
                }),
                Value::Map(entries) => entries.iter().find_map(|entry| {
                    if entry.key.span == key {
                        return Some(entry.value.span);
                    }
                    find(&entry.value, key)
                }),
                _ => None,
            }
        }
        find(&self.root, key)
    }

    /// The place of the outermost value.
    pub fn span(&self) -> Span {
        self.root.span
    }
}

#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) span: Span,
    pub(super) value: Value,
}

#[derive(Clone, Debug)]
pub(super) enum Value {
    Bool(bool),
    /// A number as it was written.
    Number(String),
    Text(String),
    Char(char),
    /// A name on its own: a variant or a struct without content.
    Word(Word),
    List(Vec<Node>),
    Tuple {
        name: Option<Word>,
        items: Vec<Node>,
    },
    Struct {
        name: Option<Word>,
        fields: Vec<Field>,
    },
    Map(Vec<Entry>),
}

#[derive(Clone, Debug)]
pub(super) struct Word {
    pub(super) text: String,
    pub(super) span: Span,
}

#[derive(Clone, Debug)]
pub(super) struct Field {
    pub(super) key: Word,
    pub(super) value: Node,
}

#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: Node,
    pub(super) value: Node,
}

impl Node {
    /// The place to point at when the node as a whole is meant: its name or opening bracket for a
    /// block, all of it otherwise.
    pub(super) fn head(&self) -> Span {
        let opening = Span { end: self.span.start + 1, ..self.span };
        match &self.value {
            Value::Tuple { name, .. } | Value::Struct { name, .. } => {
                name.as_ref().map_or(opening, |word| word.span)
            }
            Value::List(_) | Value::Map(_) => opening,
            _ => self.span,
        }
    }

    /// The name in front of a block, or a name alone.
    pub(super) fn name(&self) -> Option<&Word> {
        match &self.value {
            Value::Tuple { name, .. } | Value::Struct { name, .. } => name.as_ref(),
            Value::Word(word) => Some(word),
            _ => None,
        }
    }

    /// What the node is, for "expected …, found …".
    pub(super) fn describe(&self) -> String {
        use super::nearest::quoted;
        match &self.value {
            Value::Bool(value) => format!("`{value}`"),
            Value::Number(text) => format!("the number {}", quoted(text)),
            Value::Text(text) => format!("the text {}", quoted(text)),
            Value::Char(_) => "a single character".to_owned(),
            Value::Word(word) => format!("the name {}", quoted(&word.text)),
            Value::List(_) => "a list `[…]`".to_owned(),
            Value::Map(_) => "a map `{…}`".to_owned(),
            Value::Tuple { name: Some(word), .. } | Value::Struct { name: Some(word), .. } => {
                let mut shown = quoted(&word.text);
                shown.insert_str(shown.len() - 1, "(…)");
                shown
            }
            Value::Tuple { items, .. } if items.is_empty() => "empty brackets `()`".to_owned(),
            Value::Tuple { .. } => "values in round brackets `(…)`".to_owned(),
            Value::Struct { .. } => "fields in round brackets `(…: …)`".to_owned(),
        }
    }

    /// The content of `Some(…)`, or the node itself.
    pub(super) fn unwrapped(&self) -> &Node {
        match &self.value {
            Value::Tuple { name: Some(word), items } if word.text == "Some" && items.len() == 1 => {
                items[0].unwrapped()
            }
            _ => self,
        }
    }
}
