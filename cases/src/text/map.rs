//! A map of named things that keeps the order of the file.

use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};

use super::spanned::Spanned;

/// The name under which [`Map`] asks the reader for checked names.
pub(super) const NAMES: &str = "$coolwright::Names";

/// Things by name, in the order of the file. Names are letters, digits, `_` and `-`.
///
/// When it is read, entries that fail are logged and left out, so that all others are checked too.
#[derive(Clone, Debug, PartialEq)]
pub struct Map<V> {
    entries: Vec<(Spanned<String>, V)>,
    places: BTreeMap<String, usize>,
}

impl<V> Default for Map<V> {
    fn default() -> Self {
        Self { entries: Vec::new(), places: BTreeMap::new() }
    }
}

impl<V> Map<V> {
    /// An empty map.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds an entry at the end.
    ///
    /// # Errors
    /// Gives key and value back when the name is taken.
    pub fn insert(&mut self, key: Spanned<String>, value: V) -> Result<(), (Spanned<String>, V)> {
        if self.places.contains_key(&key.value) {
            return Err((key, value));
        }
        self.places.insert(key.value.clone(), self.entries.len());
        self.entries.push((key, value));
        Ok(())
    }

    /// The thing of that name.
    pub fn get(&self, name: &str) -> Option<&V> {
        self.position(name).map(|index| &self.entries[index].1)
    }

    /// The place of a name in the order of the file, from zero.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.places.get(name).copied()
    }

    /// Key and value at a place in the order of the file.
    pub fn get_index(&self, index: usize) -> Option<(&Spanned<String>, &V)> {
        self.entries.get(index).map(|(key, value)| (key, value))
    }

    /// The key of that name, with the place where it stands.
    pub fn key(&self, name: &str) -> Option<&Spanned<String>> {
        self.position(name).map(|index| &self.entries[index].0)
    }

    /// Whether there is a thing of that name.
    pub fn contains(&self, name: &str) -> bool {
        self.places.contains_key(name)
    }

    /// How many entries there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there are no entries.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Keys and values in the order of the file.
    pub fn iter(
        &self,
    ) -> impl ExactSizeIterator<Item = (&Spanned<String>, &V)> + DoubleEndedIterator {
        self.entries.iter().map(|(key, value)| (key, value))
    }

    /// Names in the order of the file.
    pub fn names(&self) -> impl ExactSizeIterator<Item = &str> + DoubleEndedIterator {
        self.entries.iter().map(|(key, _)| key.value.as_str())
    }

    /// Keys and values in the order of the file; the values may be changed.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = (&Spanned<String>, &mut V)> {
        self.entries.iter_mut().map(|(key, value)| (&*key, value))
    }

    /// Values in the order of the file.
    pub fn values(&self) -> impl ExactSizeIterator<Item = &V> + DoubleEndedIterator {
        self.entries.iter().map(|(_, value)| value)
    }
}

impl<V> IntoIterator for Map<V> {
    type Item = (Spanned<String>, V);
    type IntoIter = std::vec::IntoIter<Self::Item>;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.into_iter()
    }
}

impl<'a, V> IntoIterator for &'a Map<V> {
    type Item = (&'a Spanned<String>, &'a V);
    type IntoIter = std::iter::Map<
        std::slice::Iter<'a, (Spanned<String>, V)>,
        fn(&'a (Spanned<String>, V)) -> Self::Item,
    >;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.iter().map(|(key, value)| (key, value))
    }
}

impl<'de, V: Deserialize<'de>> Deserialize<'de> for Map<V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_newtype_struct(NAMES, MapVisitor(PhantomData))
    }
}

struct MapVisitor<V>(PhantomData<V>);

impl<'de, V: Deserialize<'de>> Visitor<'de> for MapVisitor<V> {
    type Value = Map<V>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a map `{\"name\": …}`")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = access.next_key::<Spanned<String>>()? {
            // The reader has logged why a value failed; the others still deserve a look.
            if let Ok(value) = access.next_value::<V>() {
                // The reader has dropped doubled keys already.
                let _ = map.insert(key, value);
            }
        }
        Ok(map)
    }
}
