//! Changes to a tree before it is read: values replaced, added or removed by their path.

use super::nearest::{did_you_mean, quoted};
use super::source::{Sources, Span};
use super::spanned::Spanned;
use super::syntax;
use super::tree::{Entry, Field, Node, Tree, Value, Word};
use crate::diagnostic::{Problem, Problems};

/// One step from a block to a value in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PathStep {
    /// The field of a struct or the key of a map.
    Name(String),
    /// The place in a list or in round brackets, from zero.
    Index(usize),
}

/// A change of one value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The way from the outermost block to the value.
    pub path: Vec<PathStep>,
    /// Where the address stands, for complaints about it.
    pub at: Span,
    /// Where the text of the new value stands; `None` removes the value.
    pub value: Option<Span>,
}

impl Edit {
    /// Where one step of the path stands in the text of the address; all of that where it is not written there.
    fn place(&self, sources: &Sources, step: usize) -> Span {
        let PathStep::Name(name) = &self.path[step] else { return self.at };
        let again = self.path[step + 1..].iter().filter(|later| *later == &self.path[step]);
        name_in(sources, self.at, name, again.count()).unwrap_or(self.at)
    }
}

/// The place of a name within the text of an address, the last of that name but `again` more behind it.
pub(crate) fn name_in(sources: &Sources, at: Span, name: &str, again: usize) -> Option<Span> {
    let text = sources.slice(at);
    let pieces = text.split(['"', '/', ':']).scan(0, |next, piece| {
        let start = *next;
        *next += piece.len() + 1;
        Some((start, piece))
    });
    let found: Vec<usize> =
        pieces.filter(|(_, piece)| *piece == name).map(|(start, _)| start).collect();
    let start = at.start + *found.iter().rev().nth(again)?;
    Some(Span { start, end: start + name.len(), ..at })
}

impl Tree {
    /// Makes one change. A value that is not there yet is added, as long as the block that holds
    /// it exists. Returns whether the change was made; if not, the reason is logged.
    pub fn apply(&mut self, sources: &Sources, edit: &Edit, problems: &mut Problems) -> bool {
        match self.try_apply(sources, edit) {
            Ok(()) => true,
            Err(problem) => {
                problems.push(*problem);
                false
            }
        }
    }

    /// Whether there is a value at a path.
    pub fn contains(&self, path: &[PathStep]) -> bool {
        self.find(path).is_some()
    }

    /// The place of the value at a path.
    pub fn span_of(&self, path: &[PathStep]) -> Option<Span> {
        self.find(path).map(|node| node.span)
    }

    fn find(&self, path: &[PathStep]) -> Option<&Node> {
        path.iter().try_fold(&self.root, |node, step| child(node, step))
    }

    fn try_apply(&mut self, sources: &Sources, edit: &Edit) -> Result<(), Box<Problem>> {
        let Some((last, way)) = edit.path.split_last() else {
            return Err(Problem::error(edit.at, "this address is empty").into());
        };
        let new = match edit.value {
            Some(span) => Some(syntax::parse_part(sources.text(span.file), span)?),
            None => None,
        };
        let mut node = &mut self.root;
        for (k, step) in way.iter().enumerate() {
            if child(node, step).is_none() {
                return Err(not_found(node, step, edit.place(sources, k)).into());
            }
            // The line above has seen the child.
            let Some(next) = child_mut(node, step) else { return Ok(()) };
            node = next;
        }
        let at = edit.place(sources, way.len());
        match new {
            Some(new) => set(node, last, new, at),
            None => remove(node, last, at),
        }
    }
}

/// A text or number that stands at a place, as it reads.
pub(crate) fn plain_text(sources: &Sources, span: Span) -> Option<Spanned<String>> {
    let node = syntax::parse_part(sources.text(span.file), span).ok()?;
    match node.value {
        Value::Text(text) | Value::Number(text) => Some(Spanned::new(text, span)),
        _ => None,
    }
}

fn not_found(node: &Node, step: &PathStep, at: Span) -> Problem {
    let (message, hint) = match step {
        PathStep::Name(name) => {
            let names = names_in(node);
            let message = format!("there is no {} here", quoted(name));
            (message, did_you_mean(name, names.iter().copied()))
        }
        PathStep::Index(index) => (format!("there is no value number {} here", index + 1), None),
    };
    Problem::error(at, message).also(node.head(), "looked for it in this block").help_if(hint)
}

fn names_in(node: &Node) -> Vec<&str> {
    match &holder(node).value {
        Value::Struct { fields, .. } => fields.iter().map(|f| f.key.text.as_str()).collect(),
        Value::Map(entries) => entries.iter().filter_map(entry_name).collect(),
        _ => Vec::new(),
    }
}

fn entry_name(entry: &Entry) -> Option<&str> {
    match &entry.key.value {
        Value::Text(text) | Value::Number(text) => Some(text),
        Value::Word(word) => Some(&word.text),
        _ => None,
    }
}

/// The block that holds the names: `Some(…)` and a variant around one block step aside.
fn holder(node: &Node) -> &Node {
    match &node.value {
        Value::Tuple { name: Some(_), items } if wraps(items) => holder(&items[0]),
        _ => node,
    }
}

fn wraps(items: &[Node]) -> bool {
    matches!(
        items,
        [Node {
            value: Value::Struct { .. } | Value::Map(_) | Value::List(_) | Value::Tuple { .. },
            ..
        }]
    )
}

fn holder_mut(node: &mut Node) -> &mut Node {
    let inside = matches!(&node.value, Value::Tuple { name: Some(_), items } if wraps(items));
    if !inside {
        return node;
    }
    match &mut node.value {
        Value::Tuple { items, .. } => holder_mut(&mut items[0]),
        _ => unreachable!("seen to be a tuple above"),
    }
}

fn child<'n>(node: &'n Node, step: &PathStep) -> Option<&'n Node> {
    match (&holder(node).value, step) {
        (Value::Struct { fields, .. }, PathStep::Name(name)) => {
            fields.iter().find(|field| field.key.text == *name).map(|field| &field.value)
        }
        (Value::Map(entries), PathStep::Name(name)) => {
            entries.iter().find(|e| entry_name(e) == Some(name)).map(|entry| &entry.value)
        }
        (Value::List(items) | Value::Tuple { items, .. }, PathStep::Index(index)) => {
            items.get(*index)
        }
        _ => None,
    }
}

fn child_mut<'n>(node: &'n mut Node, step: &PathStep) -> Option<&'n mut Node> {
    match (&mut holder_mut(node).value, step) {
        (Value::Struct { fields, .. }, PathStep::Name(name)) => {
            fields.iter_mut().find(|field| field.key.text == *name).map(|field| &mut field.value)
        }
        (Value::Map(entries), PathStep::Name(name)) => {
            entries.iter_mut().find(|e| entry_name(e) == Some(name)).map(|e| &mut e.value)
        }
        (Value::List(items) | Value::Tuple { items, .. }, PathStep::Index(index)) => {
            items.get_mut(*index)
        }
        _ => None,
    }
}

fn set(node: &mut Node, step: &PathStep, new: Node, at: Span) -> Result<(), Box<Problem>> {
    if let Some(old) = child_mut(node, step) {
        *old = new;
        return Ok(());
    }
    let target = holder_mut(node);
    match (&mut target.value, step) {
        (Value::Struct { fields, .. }, PathStep::Name(name)) => {
            fields.push(Field { key: Word { text: name.clone(), span: at }, value: new });
        }
        (Value::Map(entries), PathStep::Name(name)) => {
            let key = Node { span: at, value: Value::Text(name.clone()) };
            entries.push(Entry { key, value: new });
        }
        (Value::Tuple { name: block, items }, PathStep::Name(name)) if items.is_empty() => {
            let key = Word { text: name.clone(), span: at };
            let fields = vec![Field { key, value: new }];
            target.value = Value::Struct { name: block.take(), fields };
        }
        (Value::List(items), PathStep::Index(index)) if *index == items.len() => items.push(new),
        _ => return Err(not_found(node, step, at).into()),
    }
    Ok(())
}

fn remove(node: &mut Node, step: &PathStep, at: Span) -> Result<(), Box<Problem>> {
    if child(node, step).is_none() {
        return Err(not_found(node, step, at).into());
    }
    match (&mut holder_mut(node).value, step) {
        (Value::Struct { fields, .. }, PathStep::Name(name)) => {
            fields.retain(|field| field.key.text != *name);
        }
        (Value::Map(entries), PathStep::Name(name)) => {
            entries.retain(|entry| entry_name(entry) != Some(name));
        }
        (Value::List(items) | Value::Tuple { items, .. }, PathStep::Index(index)) => {
            items.remove(*index);
        }
        _ => {}
    }
    Ok(())
}
