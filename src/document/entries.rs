//! A mapping whose keys are the user's own names.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};

use super::said::Said;

/// Names with what they stand for, in the order of the file; no name is there twice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entries<T>(Vec<(Said<String>, Said<T>)>);

impl<T> Entries<T> {
    /// Each name with its value.
    pub fn iter(&self) -> impl Iterator<Item = (&Said<String>, &Said<T>)> {
        self.0.iter().map(|(name, value)| (name, value))
    }
}

impl<T> Default for Entries<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> IntoIterator for Entries<T> {
    type Item = (Said<String>, Said<T>);
    type IntoIter = std::vec::IntoIter<Self::Item>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Entries<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(EntriesVisitor(PhantomData))
    }
}

struct EntriesVisitor<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for EntriesVisitor<T> {
    type Value = Entries<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a mapping of names")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Entries<T>, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = map.next_entry()? {
            entries.push(entry);
        }
        Ok(Entries(entries))
    }
}

impl<T: JsonSchema> JsonSchema for Entries<T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        BTreeMap::<String, T>::schema_name()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        BTreeMap::<String, T>::json_schema(generator)
    }
}
