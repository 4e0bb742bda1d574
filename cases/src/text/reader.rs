//! Reading a tree into a type, with every problem of the tree in the log.

use serde::de::{DeserializeOwned, DeserializeSeed, Deserializer, IntoDeserializer, Visitor};

use super::access::{Entries, Fields, Items, Located, Variant};
use super::dummy::StandIn;
use super::edit::Edit;
use super::error::{Context, ReadError};
use super::leaf;
use super::source::{FileId, Sources};
use super::tree::{Node, Tree, Value};
use crate::diagnostic::{Problem, Problems};
use crate::file::form_of;

/// A tree is read at most so many times to bring all its problems to light.
const READINGS: usize = 100;

/// Reads a text into a type and logs all problems of the text at once.
///
/// What comes back may be used only if no error was logged: where a value was faulty, a stand-in
/// was put in its place so that the reading could go on.
pub fn read<T: DeserializeOwned>(
    sources: &Sources,
    file: FileId,
    problems: &mut Problems,
) -> Option<T> {
    read_with_edits(sources, file, &[], problems)
}

/// The same with values replaced, added or removed before the reading. Problems inside a
/// replacement point at the text of the replacement.
pub fn read_with_edits<T: DeserializeOwned>(
    sources: &Sources,
    file: FileId,
    edits: &[Edit],
    problems: &mut Problems,
) -> Option<T> {
    let mut tree = Tree::parse(sources, file, problems)?;
    for edit in edits {
        tree.apply(sources, edit, problems);
    }
    tree.read(problems)
}

impl Tree {
    /// Reads the tree into a type; see [`read`].
    pub fn read<T: DeserializeOwned>(&self, problems: &mut Problems) -> Option<T> {
        let context = Context::default();
        let reader = Reader { node: &self.root, context: &context, bare: false, field: "" };
        let mut value = None;
        for _ in 0..READINGS {
            value = context.finish(&self.root, T::deserialize(reader)).ok();
            if !context.take_progress() {
                break;
            }
        }
        problems.extend(context.into_problems());
        value
    }
}

/// One node as a serde deserializer.
#[derive(Clone, Copy)]
pub(super) struct Reader<'a> {
    pub(super) node: &'a Node,
    pub(super) context: &'a Context,
    /// The name in front of the block was the name of a variant and is spent.
    pub(super) bare: bool,
    /// The field that it stands in, at whatever depth; empty at the top.
    pub(super) field: &'static str,
}

impl<'a> Reader<'a> {
    pub(super) fn child(self, node: &'a Node) -> Self {
        Self { node, bare: false, ..self }
    }

    pub(super) fn log(self, problem: Problem) {
        self.context.log(problem);
    }

    pub(super) fn finish<T>(self, result: Result<T, ReadError>) -> Result<T, ReadError> {
        self.context.finish(self.node, result)
    }

    fn is_settled(self) -> bool {
        self.context.is_settled(self.node)
    }

    /// Logs that the node is of the wrong type.
    pub(super) fn wrong(self, expected: &str, help: Option<String>) {
        let message = format!("expected {expected}, found {}", self.node.describe());
        let help = help.or_else(|| match self.node.name() {
            Some(word) if word.text == "Some" || word.text == "None" => {
                Some("this value is not optional: write it without `Some`".to_owned())
            }
            _ => None,
        });
        self.log(
            Problem::error(self.node.head(), message).help_if(help).help_if(form_of(self.field)),
        );
    }

    pub(super) fn seed<'de, S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, ReadError> {
        self.finish(seed.deserialize(self))
    }

    fn visit_items<'de, V: Visitor<'de>>(
        self,
        items: &'a [Node],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        self.finish(visitor.visit_seq(Items { reader: self, left: items.iter(), fixed: true }))
    }

    pub(super) fn visit_tuple<'de, V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let expected = format!("{length} values in round brackets");
        match &self.node.value {
            Value::Tuple { items, .. } if items.len() == length => self.visit_items(items, visitor),
            Value::Tuple { items, .. } => {
                let message = format!("expected {expected}, found {}", items.len());
                self.log(Problem::error(self.node.head(), message).help_if(form_of(self.field)));
                StandIn::new().deserialize_tuple(length, visitor)
            }
            Value::List(_) => {
                self.wrong(&expected, Some("write `(…)` instead of `[…]`".to_owned()));
                StandIn::new().deserialize_tuple(length, visitor)
            }
            _ => {
                self.wrong(&expected, None);
                StandIn::new().deserialize_tuple(length, visitor)
            }
        }
    }

    /// Reads the map of a node; `named` asks for texts as keys, fit to be used in an address.
    fn visit_entries<'de, V: Visitor<'de>>(
        self,
        named: bool,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let Value::Map(entries) = &self.node.value else {
            let help = match &self.node.value {
                Value::Struct { .. } => Some("a map is written `{\"name\": …}`"),
                Value::List(_) => Some("each thing in a map has a name: `{\"name\": …}`"),
                Value::Tuple { items, .. } if items.is_empty() => Some("an empty map is `{}`"),
                _ => None,
            };
            self.wrong("a map `{\"name\": …}`", help.map(str::to_owned));
            return StandIn::new().deserialize_map(visitor);
        };
        let entries = leaf::sound_entries(self, entries, named);
        self.finish(visitor.visit_map(Entries {
            reader: self,
            left: entries.into_iter(),
            value: None,
        }))
    }

    /// Reads the fields of a struct or of a variant with fields.
    pub(super) fn visit_fields<'de, V: Visitor<'de>>(
        self,
        name: &str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let fields = match &self.node.value {
            Value::Struct { fields, .. } => leaf::sound_fields(self, name, fields, known),
            Value::Tuple { items, .. } if items.is_empty() => Vec::new(),
            Value::Tuple { items, .. } => {
                self.log(leaf::unnamed_values(self.node, name, items, known));
                return StandIn::new().deserialize_struct("", known, visitor);
            }
            _ => {
                self.wrong(
                    &format!("`{name}(…)` with its fields"),
                    leaf::struct_help(self.node, name),
                );
                return StandIn::new().deserialize_struct("", known, visitor);
            }
        };
        let supplied = self.context.supplied(self.node);
        // A field that fails for good ends the struct, so all others get their turn before it.
        let (last, first): (Vec<_>, Vec<_>) =
            fields.into_iter().partition(|(_, node)| self.context.is_hopeless(node));
        let supplied = supplied.into_iter().map(|key| (key, None));
        let given = |(key, node)| (key, Some(node));
        let all: Vec<_> = first
            .into_iter()
            .map(given)
            .chain(supplied)
            .chain(last.into_iter().map(given))
            .collect();
        self.finish(visitor.visit_map(Fields {
            reader: self,
            left: all.into_iter(),
            value: None,
            field: "",
        }))
    }

    fn visit_located<'de, V: Visitor<'de>, D: Deserializer<'de, Error = ReadError>>(
        self,
        value: D,
        flag: bool,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let located = Located::new(value, self.node.span, flag);
        self.finish(visitor.visit_seq(located))
    }
}

macro_rules! integers {
    ($($method:ident $type:ident,)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
            let range = (i128::from($type::MIN), i128::from($type::MAX));
            let number = leaf::integer(self, range);
            // What does not fit was logged; a one stands in for it.
            match i64::try_from(number) {
                Ok(number) => self.finish(visitor.visit_i64(number)),
                Err(_) => self.finish(visitor.visit_u64(u64::try_from(number).unwrap_or(1))),
            }
        }
    )*};
}

impl<'de> Deserializer<'de> for Reader<'_> {
    type Error = ReadError;

    integers! {
        deserialize_i8 i8, deserialize_i16 i16, deserialize_i32 i32, deserialize_i64 i64,
        deserialize_u8 u8, deserialize_u16 u16, deserialize_u32 u32, deserialize_u64 u64,
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        match &self.node.value {
            Value::Bool(_) => self.deserialize_bool(visitor),
            Value::Number(_) => self.deserialize_f64(visitor),
            Value::Text(_) | Value::Char(_) => self.deserialize_str(visitor),
            Value::Word(word) => self.finish(visitor.visit_str(&word.text)),
            Value::Tuple { items, .. } if items.is_empty() => self.finish(visitor.visit_unit()),
            Value::List(items) | Value::Tuple { items, .. } => self.visit_items(items, visitor),
            Value::Struct { .. } => self.finish(Err(ReadError::Refused(
                "this cannot be read without knowing its type".to_owned(),
            ))),
            Value::Map(_) => self.visit_entries(false, visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        if let Value::Bool(value) = self.node.value {
            return self.finish(visitor.visit_bool(value));
        }
        self.wrong("`true` or `false`", None);
        self.finish(visitor.visit_bool(false))
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.finish(visitor.visit_f64(leaf::number(self)))
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        if let Value::Char(value) = self.node.value {
            return self.finish(visitor.visit_char(value));
        }
        self.wrong("a single character", None);
        self.finish(visitor.visit_char('?'))
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        let text = leaf::text(self);
        self.finish(visitor.visit_str(text))
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.deserialize_str(visitor)
    }

    fn deserialize_bytes<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.deserialize_str(visitor)
    }

    fn deserialize_byte_buf<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        match &self.node.value {
            Value::Word(word) if word.text == "None" => self.finish(visitor.visit_none()),
            _ => {
                let inner = self.child(self.node.unwrapped());
                inner.finish(visitor.visit_some(inner))
            }
        }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        if !matches!(&self.node.value, Value::Tuple { name: None, items } if items.is_empty()) {
            self.wrong("`()`", None);
        }
        self.finish(visitor.visit_unit())
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        if !matches!(&self.node.value, Value::Word(word) if word.text == name) {
            self.wrong(&format!("`{name}`"), None);
        }
        self.finish(visitor.visit_unit())
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        match name {
            super::spanned::SPANNED => self.visit_located(self, false, visitor),
            super::spanned::QUANTITY => {
                let text = leaf::text_or_number(self);
                self.visit_located(text.into_deserializer(), false, visitor)
            }
            super::spanned::RAW => self.visit_located(().into_deserializer(), false, visitor),
            super::map::NAMES if self.is_settled() => StandIn::new().deserialize_map(visitor),
            super::map::NAMES => self.visit_entries(true, visitor),
            _ => match leaf::quantity(self, name) {
                Some((si, flag)) => self.visit_located(si.into_deserializer(), flag, visitor),
                None => self.finish(visitor.visit_newtype_struct(self)),
            },
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        match &self.node.value {
            _ if self.is_settled() => StandIn::new().deserialize_seq(visitor),
            Value::List(items) => self.finish(visitor.visit_seq(Items {
                reader: self,
                left: items.iter(),
                fixed: false,
            })),
            Value::Tuple { name: None, .. } => {
                self.wrong("a list `[…]`", Some("write `[…]` instead of `(…)`".to_owned()));
                StandIn::new().deserialize_seq(visitor)
            }
            _ => {
                self.wrong("a list `[…]`", None);
                StandIn::new().deserialize_seq(visitor)
            }
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        if self.is_settled() {
            return StandIn::new().deserialize_tuple(length, visitor);
        }
        self.visit_tuple(length, visitor)
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        leaf::check_name(self, name);
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        if self.is_settled() {
            return StandIn::new().deserialize_map(visitor);
        }
        self.visit_entries(false, visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        if self.is_settled() || !leaf::check_name(self, name) {
            return StandIn::new().deserialize_struct(name, fields, visitor);
        }
        let spent = self.node.name().filter(|_| self.bare);
        self.visit_fields(spent.map_or(name, |word| word.text.as_str()), fields, visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        if let Some(variant) = leaf::counted_variant(self, name) {
            return self.finish(visitor.visit_enum(variant.into_deserializer()));
        }
        if self.is_settled() || !leaf::check_variant(self, name, variants) {
            return StandIn::new().deserialize_enum(name, variants, visitor);
        }
        self.finish(visitor.visit_enum(Variant(self)))
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        self.deserialize_any(visitor)
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        visitor.visit_unit()
    }
}
