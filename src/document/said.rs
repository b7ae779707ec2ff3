//! A value as the user said it: with its place, and without stopping the reading when it is wrong.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, SeqAccess, Visitor};

use super::source::Place;

/// The name by which the reader of a document knows a [`Said`].
pub(super) const SAID: &str = "$said";

/// A value with its place in the file; without the value where that was wrong, which the faults of the file then tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Said<T> {
    value: Option<T>,
    place: Place,
}

impl<T> Said<T> {
    /// A value that stands at a place.
    pub const fn new(value: T, place: Place) -> Self {
        Self {
            value: Some(value),
            place,
        }
    }

    /// The value, unless it was wrong.
    pub const fn value(&self) -> Option<&T> {
        self.value.as_ref()
    }

    /// The value itself, unless it was wrong.
    pub fn into_value(self) -> Option<T> {
        self.value
    }

    /// Where it stands.
    pub const fn place(&self) -> Place {
        self.place
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Said<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_tuple_struct(SAID, 3, SaidVisitor(PhantomData))
    }
}

struct SaidVisitor<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for SaidVisitor<T> {
    type Value = Said<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value with its place")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut parts: A) -> Result<Said<T>, A::Error> {
        let start = parts.next_element()?.unwrap_or_default();
        let end = parts.next_element()?.unwrap_or(start);
        let mut value = None;
        // The value is asked for again where another attempt finds the next missing key.
        while value.is_none() && parts.size_hint() != Some(0) {
            value = parts.next_element()?;
        }
        Ok(Said {
            value,
            place: Place { start, end },
        })
    }
}

/// The schema of the value: a place is not written. A text may be written as a number, since it is read as it stands, and
/// truth as `yes` or `no`, which is what other readers of YAML take for a text.
impl<T: JsonSchema> JsonSchema for Said<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }

    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let schema = T::json_schema(generator);
        let Some(object) = schema.as_object().filter(|object| object.len() == 1) else {
            return schema;
        };
        match object.get("type").and_then(|kind| kind.as_str()) {
            Some("string") => json_schema!({"type": ["string", "number"]}),
            Some("boolean") => json_schema!({"enum": [true, false, "yes", "no"]}),
            _ => schema,
        }
    }
}
