//! Values that know where they stand.

use std::fmt;
use std::marker::PhantomData;
use std::ops::Deref;

use serde::de::{Deserialize, Deserializer, SeqAccess, Visitor};

use super::source::{FileId, Span};

/// The name under which [`Spanned`] asks the reader for a place.
pub(super) const SPANNED: &str = "$coolwright::Spanned";
/// The name under which [`Raw`] asks the reader for a place.
pub(super) const RAW: &str = "$coolwright::Raw";

/// The name under which [`quantity`] asks the reader for a text.
pub(super) const QUANTITY: &str = "$coolwright::Quantity";

/// A value and the place where it stands in its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// A value with its place.
    pub const fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }

    /// The same place with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned { value: change(self.value), span: self.span }
    }
}

impl<T> Deref for Spanned<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.value
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Spanned<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (value, span, _) = located(SPANNED, "a value", deserializer)?;
        Ok(Self { value, span })
    }
}

/// A quantity of a kind that only another place tells, as it is written: a text, or a number without a unit.
struct Written(Spanned<String>);

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (value, span, _) = located(QUANTITY, "a quantity", deserializer)?;
        Ok(Self(Spanned { value, span }))
    }
}

/// Reads a quantity of a kind that only another place tells.
pub(crate) fn quantity<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<Spanned<String>>, D::Error> {
    Ok(Option::<Written>::deserialize(deserializer)?.map(|written| written.0))
}

/// Reads a quantity of a kind that only another place tells, which must be there.
pub(crate) fn written<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Spanned<String>, D::Error> {
    Ok(Written::deserialize(deserializer)?.0)
}

/// An address, and such a quantity for it.
type Setting = (Spanned<String>, Spanned<String>);

/// Reads addresses with such quantities.
pub(crate) fn settings<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Vec<Setting>, D::Error> {
    let list = Vec::<(Spanned<String>, Written)>::deserialize(deserializer)?;
    Ok(list.into_iter().map(|(address, written)| (address, written.0)).collect())
}

/// Any value at all, not read: only the place of its text. For edits of other parts of a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Raw {
    /// Where the value stands.
    pub span: Span,
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let ((), span, _) = located(RAW, "any value", deserializer)?;
        Ok(Self { span })
    }
}

/// Asks the reader, by a private name, for a value with its place and a flag.
pub(crate) fn located<'de, T: Deserialize<'de>, D: Deserializer<'de>>(
    marker: &'static str,
    expecting: &'static str,
    deserializer: D,
) -> Result<(T, Span, bool), D::Error> {
    let visitor = LocatedVisitor { expecting, value: PhantomData };
    deserializer.deserialize_newtype_struct(marker, visitor)
}

struct LocatedVisitor<T> {
    expecting: &'static str,
    value: PhantomData<T>,
}

impl<'de, T: Deserialize<'de>> Visitor<'de> for LocatedVisitor<T> {
    type Value = (T, Span, bool);

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.expecting)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut parts: A) -> Result<Self::Value, A::Error> {
        let short = || serde::de::Error::custom("only the case reader knows places");
        let value = parts.next_element()?.ok_or_else(short)?;
        let file: u32 = parts.next_element()?.ok_or_else(short)?;
        let start: usize = parts.next_element()?.ok_or_else(short)?;
        let end: usize = parts.next_element()?.ok_or_else(short)?;
        let flag: bool = parts.next_element()?.ok_or_else(short)?;
        Ok((value, Span::new(FileId(file), start, end), flag))
    }
}
