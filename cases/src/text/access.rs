//! How a reader hands out the parts of a block.

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, IntoDeserializer, MapAccess, SeqAccess,
    VariantAccess, Visitor,
};

use super::dummy::StandIn;
use super::error::ReadError;
use super::leaf;
use super::reader::Reader;
use super::source::Span;
use super::tree::{Node, Value};

pub(super) struct Items<'a> {
    pub(super) reader: Reader<'a>,
    pub(super) left: std::slice::Iter<'a, Node>,
    /// Whether as many values must come as there are.
    pub(super) fixed: bool,
}

impl<'de> SeqAccess<'de> for Items<'_> {
    type Error = ReadError;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        let (context, fixed) = (self.reader.context, self.fixed);
        let node = self.left.find(|node| fixed || !context.is_hopeless(node));
        node.map(|node| self.reader.child(node).seed(seed)).transpose()
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left.len())
    }
}

pub(super) struct Entries<'a> {
    pub(super) reader: Reader<'a>,
    pub(super) left: std::vec::IntoIter<(&'a Node, &'a Node)>,
    pub(super) value: Option<&'a Node>,
}

impl<'de> MapAccess<'de> for Entries<'_> {
    type Error = ReadError;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        let Some((key, value)) = self.left.next() else { return Ok(None) };
        self.value = Some(value);
        self.reader.child(key).seed(seed).map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, ReadError> {
        let node = self.value.take().ok_or(ReadError::StandIn)?;
        self.reader.child(node).seed(seed)
    }
}

pub(super) struct Fields<'a> {
    pub(super) reader: Reader<'a>,
    pub(super) left: std::vec::IntoIter<(&'static str, Option<&'a Node>)>,
    pub(super) value: Option<&'a Node>,
    /// The field that the value belongs to.
    pub(super) field: &'static str,
}

impl<'de> MapAccess<'de> for Fields<'_> {
    type Error = ReadError;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        let Some((key, value)) = self.left.next() else { return Ok(None) };
        (self.field, self.value) = (key, value);
        seed.deserialize(IntoDeserializer::<ReadError>::into_deserializer(key)).map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, ReadError> {
        match self.value.take() {
            Some(node) => Reader { field: self.field, ..self.reader.child(node) }.seed(seed),
            None => seed.deserialize(StandIn::new()),
        }
    }
}

pub(super) struct Variant<'a>(pub(super) Reader<'a>);

impl<'de> EnumAccess<'de> for Variant<'_> {
    type Error = ReadError;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), ReadError> {
        let name = self.0.node.name().map_or("", |word| word.text.as_str());
        let key = IntoDeserializer::<ReadError>::into_deserializer(name);
        Ok((seed.deserialize(key)?, self))
    }
}

impl<'de> VariantAccess<'de> for Variant<'_> {
    type Error = ReadError;

    fn unit_variant(self) -> Result<(), ReadError> {
        leaf::check_unit_variant(self.0);
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, ReadError> {
        let reader = self.0;
        match &reader.node.value {
            Value::Tuple { items, .. } if items.len() == 1 => reader.child(&items[0]).seed(seed),
            Value::Tuple { .. } | Value::Struct { .. } => {
                // `Tank(volume: …)` for a variant that holds a struct: the name is the variant's.
                Reader { bare: true, ..reader }.seed(seed)
            }
            _ => {
                leaf::variant_lacks_content(reader, &[]);
                seed.deserialize(StandIn::new())
            }
        }
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        if let Value::Word(_) = &self.0.node.value {
            leaf::variant_lacks_content(self.0, &[]);
            return StandIn::new().deserialize_tuple(length, visitor);
        }
        self.0.visit_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let name = self.0.node.name().map_or("", |word| word.text.as_str());
        if let Value::Word(_) = &self.0.node.value {
            leaf::variant_lacks_content(self.0, fields);
            return StandIn::new().deserialize_struct("", fields, visitor);
        }
        self.0.visit_fields(name, fields, visitor)
    }
}

/// A value, the parts of its span and a flag, one after the other.
pub(super) struct Located<D> {
    value: Option<D>,
    span: Span,
    flag: bool,
    step: u8,
}

impl<D> Located<D> {
    pub(super) fn new(value: D, span: Span, flag: bool) -> Self {
        Self { value: Some(value), span, flag, step: 0 }
    }
}

impl<'de, D: Deserializer<'de, Error = ReadError>> SeqAccess<'de> for Located<D> {
    type Error = ReadError;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        self.step += 1;
        match (self.step, self.value.take()) {
            (1, Some(value)) => seed.deserialize(value),
            (2, _) => seed.deserialize(self.span.file.0.into_deserializer()),
            (3, _) => seed.deserialize(self.span.start.into_deserializer()),
            (4, _) => seed.deserialize(self.span.end.into_deserializer()),
            (5, _) => seed.deserialize(self.flag.into_deserializer()),
            _ => return Ok(None),
        }
        .map(Some)
    }
}
