//! Texts written by the types that are read: a reader that has no text, and writes down what would satisfy whoever asks.
//!
//! It is a `serde` deserializer. A type asks it for a struct of these fields, a list, a quantity of this kind; it writes some
//! of the fields, some items, some quantity, and hands back a value that fits, so that the type goes on asking. Fields that
//! are not written are asked for all the same, silently: a type may need them.

use coolwright_cases::case;
use coolwright_cases::quantity::Kind;
use serde::Deserialize;
use serde::de::value::StrDeserializer;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, MapAccess, SeqAccess, VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;

use crate::common::Random;
use crate::corpus::Corpus;

/// No text becomes longer by far, bytes.
const LONGEST: usize = 20_000;

/// A text that a type asks for.
pub(crate) fn written<T: for<'de> Deserialize<'de>>(
    random: &mut Random,
    corpus: &Corpus,
) -> String {
    let mut pen = Pen { random, corpus, text: String::new(), silent: 0, depth: 0, field: "" };
    // Whatever it makes of what it was given, the text is written.
    let _ = T::deserialize(&mut pen);
    pen.text
}

struct Pen<'a> {
    random: &'a mut Random,
    corpus: &'a Corpus,
    text: String,
    /// Within how many things that are not written.
    silent: usize,
    depth: usize,
    /// The field that is written.
    field: &'static str,
}

/// What a type says that is not satisfied.
type Unfit = serde::de::value::Error;

impl Pen<'_> {
    fn put(&mut self, text: &str) {
        if self.silent == 0 {
            self.text.push_str(text);
        }
    }

    /// Whether something is written that may be left out: less the deeper it stands.
    fn wants(&mut self) -> bool {
        let share = [0.7, 0.7, 0.6, 0.6, 0.5, 0.4, 0.3].get(self.depth).copied().unwrap_or(0.2);
        self.silent == 0 && self.text.len() < LONGEST && self.random.chance(share)
    }

    /// How many items a list or map gets.
    fn count(&mut self) -> usize {
        if self.silent > 0 || self.text.len() > LONGEST { 0 } else { self.random.below(4) }
    }

    fn name(&mut self) -> String {
        self.random.one_of(&self.corpus.names).clone()
    }

    /// A value as cases have it in this field, or any.
    fn usual(&mut self) -> String {
        let of_field = self.corpus.values.get(self.field).filter(|_| self.random.chance(0.8));
        match of_field {
            Some(values) => self.random.one_of(values).clone(),
            None => format!("\"{}\"", self.random.one_of(&self.corpus.literals)),
        }
    }

    /// A quantity with its unit.
    fn quantity(&mut self, kind: Option<Kind>) {
        let text = match kind {
            Some(kind) if self.random.chance(0.4) => {
                case::written(kind, self.random.decades(1e-6, 1e6))
            }
            _ => self.usual(),
        };
        self.put(&text);
    }

    /// The fields of a block.
    fn fields<'de, V: Visitor<'de>>(
        &mut self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.put("(");
        self.depth += 1;
        let field = self.field;
        let value =
            visitor.visit_map(Fields { pen: self, names: fields, next: 0, is_silent: false });
        self.field = field;
        self.depth -= 1;
        self.put(")");
        value
    }
}

/// The kind of quantity that a private name of the reader stands for.
fn kind_of(marker: &str) -> Option<Kind> {
    let name = marker.strip_prefix("$coolwright::quantity::")?;
    Kind::ALL.iter().copied().find(|kind| format!("{kind:?}") == name)
}

macro_rules! numbers {
    ($($deserialize:ident $visit:ident $number:expr;)*) => {
        $(fn $deserialize<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
            let text = self.usual();
            self.put(&text);
            visitor.$visit($number)
        })*
    };
}

impl<'de> Deserializer<'de> for &mut Pen<'_> {
    type Error = Unfit;

    numbers! {
        deserialize_bool visit_bool true;
        deserialize_i8 visit_i8 1;
        deserialize_i16 visit_i16 1;
        deserialize_i32 visit_i32 1;
        deserialize_i64 visit_i64 1;
        deserialize_u8 visit_u8 1;
        deserialize_u16 visit_u16 1;
        deserialize_u32 visit_u32 1;
        deserialize_u64 visit_u64 1;
        deserialize_f32 visit_f32 1.0;
        deserialize_f64 visit_f64 1.0;
        deserialize_char visit_char 'x';
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        let text = self.usual();
        self.put(&text);
        visitor.visit_str("x")
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        let text =
            if self.random.chance(0.3) { format!("\"{}\"", self.name()) } else { self.usual() };
        self.put(&text);
        visitor.visit_str("x")
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        self.deserialize_str(visitor)
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        let text = self.usual();
        self.put(&text);
        visitor.visit_unit()
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        // What is written is chosen with the field.
        if self.silent > 0 { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        match name {
            "$coolwright::Names" => {
                let left = self.count();
                self.put("{");
                self.depth += 1;
                let value = visitor.visit_map(Named { pen: self, left });
                self.depth -= 1;
                self.put("}");
                value
            }
            _ if name.starts_with('$') => visitor.visit_seq(Placed { pen: self, name, next: 0 }),
            _ => visitor.visit_newtype_struct(self),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        let left = self.count();
        self.put("[");
        let value = visitor.visit_seq(Items { pen: self, left });
        self.put("]");
        value
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        left: usize,
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.put("(");
        let value = visitor.visit_seq(Items { pen: self, left });
        self.put(")");
        value
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        // Without its name a block may stand as well.
        if self.random.chance(0.9) {
            self.put(name);
        }
        self.fields(fields, visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        let variant = *self.random.one_of(variants);
        self.put(variant);
        visitor.visit_enum(Chosen { pen: self, variant })
    }

    forward_to_deserialize_any! {
        i128 u128 bytes byte_buf unit_struct tuple_struct map identifier ignored_any
    }
}

/// The fields of a block, one after the other.
struct Fields<'p, 'a> {
    pen: &'p mut Pen<'a>,
    names: &'static [&'static str],
    next: usize,
    is_silent: bool,
}

impl<'de> MapAccess<'de> for Fields<'_, '_> {
    type Error = Unfit;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Unfit> {
        let Some(&field) = self.names.get(self.next) else { return Ok(None) };
        self.next += 1;
        self.is_silent = !self.pen.wants();
        self.pen.field = field;
        if !self.is_silent {
            self.pen.put(field);
            self.pen.put(": ");
        }
        seed.deserialize(StrDeserializer::new(field)).map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Unfit> {
        self.pen.silent += usize::from(self.is_silent);
        let value = seed.deserialize(&mut *self.pen);
        self.pen.silent -= usize::from(self.is_silent);
        if !self.is_silent {
            self.pen.put(", ");
        }
        value
    }
}

/// Things by their names.
struct Named<'p, 'a> {
    pen: &'p mut Pen<'a>,
    left: usize,
}

impl<'de> MapAccess<'de> for Named<'_, '_> {
    type Error = Unfit;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Unfit> {
        if self.left == 0 {
            return Ok(None);
        }
        self.left -= 1;
        let name = self.pen.name();
        self.pen.put(&format!("\n\"{name}\": "));
        // The key is written; what the type makes of it is not.
        self.pen.silent += 1;
        let key = seed.deserialize(&mut *self.pen);
        self.pen.silent -= 1;
        key.map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Unfit> {
        let value = seed.deserialize(&mut *self.pen);
        self.pen.put(", ");
        value
    }
}

/// The items of a list or a tuple.
struct Items<'p, 'a> {
    pen: &'p mut Pen<'a>,
    left: usize,
}

impl<'de> SeqAccess<'de> for Items<'_, '_> {
    type Error = Unfit;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Unfit> {
        if self.left == 0 {
            return Ok(None);
        }
        self.left -= 1;
        let item = seed.deserialize(&mut *self.pen);
        if self.left > 0 {
            self.pen.put(", ");
        }
        item.map(Some)
    }
}

/// A value with its place, as the reader's own types ask for one: the value, file, start, end, a flag.
struct Placed<'p, 'a> {
    pen: &'p mut Pen<'a>,
    name: &'static str,
    next: usize,
}

impl<'de> SeqAccess<'de> for Placed<'_, '_> {
    type Error = Unfit;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Unfit> {
        self.next += 1;
        if self.next == 1 && self.name == "$coolwright::Spanned" {
            return seed.deserialize(&mut *self.pen).map(Some);
        }
        if self.next == 1 {
            self.pen.quantity(kind_of(self.name));
        }
        // None of these is written.
        let value = match self.next {
            1 => seed.deserialize(Plain(self.name)),
            _ => seed.deserialize(Plain("a number")),
        };
        value.map(Some)
    }
}

/// A value that fits whoever asks.
struct Plain(&'static str);

impl<'de> Deserializer<'de> for Plain {
    type Error = Unfit;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_str(self.0)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_f64(1.0)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_u32(0)
    }

    fn deserialize_u64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_u64(0)
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_bool(false)
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u128 f32 char str string bytes byte_buf option unit_struct newtype_struct seq tuple
        tuple_struct map struct enum identifier ignored_any
    }
}

/// A variant that was chosen.
struct Chosen<'p, 'a> {
    pen: &'p mut Pen<'a>,
    variant: &'static str,
}

impl<'de, 'p, 'a> EnumAccess<'de> for Chosen<'p, 'a> {
    type Error = Unfit;
    type Variant = Inside<'p, 'a>;

    fn variant_seed<V: DeserializeSeed<'de>>(
        self,
        seed: V,
    ) -> Result<(V::Value, Inside<'p, 'a>), Unfit> {
        Ok((seed.deserialize(StrDeserializer::new(self.variant))?, Inside(self.pen)))
    }
}

/// What stands in a variant.
struct Inside<'p, 'a>(&'p mut Pen<'a>);

impl<'de> VariantAccess<'de> for Inside<'_, '_> {
    type Error = Unfit;

    fn unit_variant(self) -> Result<(), Unfit> {
        Ok(())
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Unfit> {
        self.0.put("(");
        let value = seed.deserialize(&mut *self.0);
        self.0.put(")");
        value
    }

    fn tuple_variant<V: Visitor<'de>>(self, left: usize, visitor: V) -> Result<V::Value, Unfit> {
        self.0.put("(");
        let value = visitor.visit_seq(Items { pen: &mut *self.0, left });
        self.0.put(")");
        value
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.0.fields(fields, visitor)
    }
}
