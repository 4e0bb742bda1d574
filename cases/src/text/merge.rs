//! One tree made of several files.

use super::nearest::quoted;
use super::tree::{Field, Node, Tree, Value};
use crate::diagnostic::{Problem, Problems};

impl Tree {
    /// Takes over the fields of an included file's outermost block. Maps that both have are
    /// joined entry by entry and lists are joined end to end; what is given in both is logged
    /// with both places. The name of the other block is not looked at.
    pub fn absorb(&mut self, other: Tree, problems: &mut Problems) {
        let Some(theirs) = fields_of(other.root, problems) else { return };
        if let Value::Tuple { name, items } = &mut self.root.value
            && items.is_empty()
        {
            self.root.value = Value::Struct { name: name.take(), fields: Vec::new() };
        }
        let Value::Struct { fields: ours, .. } = &mut self.root.value else { return };
        for field in theirs {
            match ours.iter_mut().find(|own| own.key.text == field.key.text) {
                None => ours.push(field),
                Some(own) => join(own, field, problems),
            }
        }
    }
}

fn fields_of(root: Node, problems: &mut Problems) -> Option<Vec<Field>> {
    let head = root.head();
    match root.value {
        Value::Struct { fields, .. } => Some(fields),
        Value::Tuple { items, .. } if items.is_empty() => Some(Vec::new()),
        _ => {
            let message = "an included file holds fields in round brackets";
            problems
                .push(Problem::error(head, message).help("for example `Parts(pump_curves: {…})`"));
            None
        }
    }
}

fn join(own: &mut Field, other: Field, problems: &mut Problems) {
    match (&mut own.value.value, other.value.value) {
        // Doubled keys stay in: the reader reports them with both places.
        (Value::Map(ours), Value::Map(theirs)) => ours.extend(theirs),
        (Value::List(ours), Value::List(theirs)) => ours.extend(theirs),
        _ => problems.push(
            Problem::error(other.key.span, format!("{} is given twice", quoted(&other.key.text)))
                .label("again here")
                .also(own.key.span, "first here"),
        ),
    }
}
