//! Stand-ins for values that could not be read, so that the rest of a text can be checked.
//!
//! They are never used for anything else: a log with an error in it refuses the whole text.

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, IntoDeserializer, MapAccess, SeqAccess,
    VariantAccess, Visitor,
};

use super::access::Located;
use super::error::ReadError;
use super::source::Span;
use crate::quantity::Asked;

/// Makes up a value of any type: zero, empty, absent, or the first variant.
#[derive(Clone, Copy)]
pub(super) struct StandIn {
    depth: u8,
}

/// A type that holds itself would be made up without end.
const DEEPEST: u8 = 16;

impl StandIn {
    pub(super) fn new() -> Self {
        Self { depth: 0 }
    }

    fn deeper(self) -> Result<Self, ReadError> {
        if self.depth >= DEEPEST {
            return Err(ReadError::StandIn);
        }
        Ok(Self { depth: self.depth + 1 })
    }
}

/// Whatever goes wrong in a stand-in is not the fault of the text.
fn quiet<T>(result: Result<T, ReadError>) -> Result<T, ReadError> {
    result.map_err(|_| ReadError::StandIn)
}

macro_rules! made_up {
    ($($method:ident $visit:ident($value:expr),)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
            quiet(visitor.$visit($value))
        }
    )*};
}

impl<'de> Deserializer<'de> for StandIn {
    type Error = ReadError;

    made_up! {
        deserialize_bool visit_bool(false),
        deserialize_i8 visit_i64(1),
        deserialize_i16 visit_i64(1),
        deserialize_i32 visit_i64(1),
        deserialize_i64 visit_i64(1),
        deserialize_u8 visit_u64(1),
        deserialize_u16 visit_u64(1),
        deserialize_u32 visit_u64(1),
        deserialize_u64 visit_u64(1),
        deserialize_f32 visit_f64(f64::NAN),
        deserialize_f64 visit_f64(f64::NAN),
        deserialize_char visit_char('?'),
        deserialize_str visit_str(""),
        deserialize_string visit_str(""),
        deserialize_bytes visit_bytes(&[]),
        deserialize_byte_buf visit_bytes(&[]),
        deserialize_identifier visit_str(""),
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_unit())
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_unit())
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_unit())
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_unit())
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_none())
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let inner = self.deeper()?;
        let nowhere = Span::default();
        match name {
            super::spanned::SPANNED | super::spanned::QUANTITY => {
                quiet(visitor.visit_seq(Located::new(inner, nowhere, false)))
            }
            super::spanned::RAW => {
                quiet(visitor.visit_seq(Located::new(().into_deserializer(), nowhere, false)))
            }
            super::map::NAMES => self.deserialize_map(visitor),
            _ if Asked::from_marker(name).is_some() => {
                let value = f64::NAN.into_deserializer();
                quiet(visitor.visit_seq(Located::new(value, nowhere, false)))
            }
            _ => quiet(visitor.visit_newtype_struct(inner)),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_seq(Parts { inner: self, left: 0, fields: &[] }))
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_seq(Parts { inner: self.deeper()?, left: length, fields: &[] }))
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_map(Parts { inner: self, left: 0, fields: &[] }))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        quiet(visitor.visit_map(Parts { inner: self.deeper()?, left: 0, fields }))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        let first = variants.first().ok_or(ReadError::StandIn)?;
        quiet(visitor.visit_enum(FirstVariant { inner: self.deeper()?, name: first }))
    }
}

/// As many made-up parts as asked for.
struct Parts {
    inner: StandIn,
    left: usize,
    fields: &'static [&'static str],
}

impl<'de> SeqAccess<'de> for Parts {
    type Error = ReadError;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        if self.left == 0 {
            return Ok(None);
        }
        self.left -= 1;
        seed.deserialize(self.inner).map(Some)
    }
}

impl<'de> MapAccess<'de> for Parts {
    type Error = ReadError;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, ReadError> {
        let Some((first, rest)) = self.fields.split_first() else { return Ok(None) };
        self.fields = rest;
        seed.deserialize(IntoDeserializer::<ReadError>::into_deserializer(*first)).map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, ReadError> {
        seed.deserialize(self.inner)
    }
}

struct FirstVariant {
    inner: StandIn,
    name: &'static str,
}

impl<'de> EnumAccess<'de> for FirstVariant {
    type Error = ReadError;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), ReadError> {
        let name = IntoDeserializer::<ReadError>::into_deserializer(self.name);
        Ok((seed.deserialize(name)?, self))
    }
}

impl<'de> VariantAccess<'de> for FirstVariant {
    type Error = ReadError;

    fn unit_variant(self) -> Result<(), ReadError> {
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, ReadError> {
        seed.deserialize(self.inner)
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        self.inner.deserialize_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, ReadError> {
        self.inner.deserialize_struct("", fields, visitor)
    }
}
