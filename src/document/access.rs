//! The ways into a value: the entries of a list, the keys of a mapping, a named choice, a value with its place.

use std::rc::Rc;
use std::slice;

use serde::Deserializer;
use serde::de::{
    DeserializeSeed, EnumAccess, IntoDeserializer, MapAccess, SeqAccess, VariantAccess, Visitor,
};

use super::read::Reader;
use super::refusal::Refusal;
use super::tree::{Entry, Node};

/// Times a value is read again to find every key that is missing in it.
const ATTEMPTS: usize = 16;

/// The entries of a list.
pub(super) struct List<'t> {
    reader: Reader<'t>,
    rest: slice::Iter<'t, Rc<Node>>,
}

impl<'t> List<'t> {
    pub(super) fn new(reader: Reader<'t>, nodes: &'t [Rc<Node>]) -> Self {
        Self {
            reader,
            rest: nodes.iter(),
        }
    }

    /// How many have not been read.
    pub(super) fn left(&self) -> usize {
        self.rest.len()
    }
}

impl<'de> SeqAccess<'de> for &mut List<'_> {
    type Error = Refusal;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Refusal> {
        match self.rest.next() {
            Some(node) => seed.deserialize(self.reader.of(node)).map(Some),
            None => Ok(None),
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left())
    }
}

/// The entries of a mapping, and after them the keys that are known to be missing.
pub(super) struct Fields<'t> {
    reader: Reader<'t>,
    entries: std::vec::IntoIter<&'t Entry>,
    lacking: std::vec::IntoIter<&'static str>,
    value: Option<&'t Node>,
    stand_in: &'t Node,
}

impl<'t> Fields<'t> {
    pub(super) fn new(
        reader: Reader<'t>,
        entries: Vec<&'t Entry>,
        lacking: Vec<&'static str>,
        stand_in: &'t Node,
    ) -> Self {
        Self {
            reader,
            entries: entries.into_iter(),
            lacking: lacking.into_iter(),
            value: None,
            stand_in,
        }
    }
}

impl<'de> MapAccess<'de> for Fields<'_> {
    type Error = Refusal;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Refusal> {
        if let Some((key, value)) = self.entries.next() {
            self.value = Some(value);
            return seed.deserialize(self.reader.of(key)).map(Some);
        }
        self.value = Some(self.stand_in);
        match self.lacking.next() {
            Some(name) => seed.deserialize(name.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Refusal> {
        let node = self.value.take().unwrap_or(self.stand_in);
        seed.deserialize(self.reader.of(node))
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.entries.len() + self.lacking.len())
    }
}

/// A word out of a set, alone or as the one key of a mapping.
pub(super) struct Choice<'t> {
    pub(super) name: Reader<'t>,
    pub(super) value: Option<Reader<'t>>,
}

impl<'de, 't> EnumAccess<'de> for Choice<'t> {
    type Error = Refusal;
    type Variant = Chosen<'t>;

    fn variant_seed<S: DeserializeSeed<'de>>(
        self,
        seed: S,
    ) -> Result<(S::Value, Chosen<'t>), Refusal> {
        let chosen = seed.deserialize(self.name)?;
        Ok((chosen, Chosen(self.value)))
    }
}

/// What goes with the word, if anything does.
pub(super) struct Chosen<'t>(Option<Reader<'t>>);

impl<'t> Chosen<'t> {
    fn value(self) -> Result<Reader<'t>, Refusal> {
        self.0.ok_or_else(|| {
            Refusal::because("this word needs a value: write a colon and the value after it")
        })
    }
}

impl<'de> VariantAccess<'de> for Chosen<'_> {
    type Error = Refusal;

    fn unit_variant(self) -> Result<(), Refusal> {
        match self.0 {
            None => Ok(()),
            Some(_) => Err(Refusal::because(
                "this word stands alone: take the value after it out",
            )),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Refusal> {
        seed.deserialize(self.value()?)
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        self.value()?.deserialize_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Refusal> {
        self.value()?.deserialize_struct("", known, visitor)
    }
}

/// A value with its place: two numbers, then the value, which is asked for as long as the hint is not zero.
pub(super) struct SaidParts<'t> {
    reader: Reader<'t>,
    numbers: std::array::IntoIter<usize, 2>,
    told: usize,
    attempts: usize,
}

impl<'t> SaidParts<'t> {
    pub(super) fn new(reader: Reader<'t>) -> Self {
        let place = reader.node.place;
        Self {
            reader,
            numbers: [place.start, place.end].into_iter(),
            told: reader.desk.told(),
            attempts: ATTEMPTS,
        }
    }
}

impl<'de> SeqAccess<'de> for SaidParts<'_> {
    type Error = Refusal;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Refusal> {
        if let Some(number) = self.numbers.next() {
            return seed.deserialize(number.into_deserializer()).map(Some);
        }
        if self.attempts < ATTEMPTS {
            self.reader.desk.forget(self.told);
        }
        if self.reader.desk.is_full() {
            self.attempts = 0;
            return Ok(None);
        }
        match seed.deserialize(self.reader) {
            Ok(value) => {
                self.attempts = 0;
                Ok(Some(value))
            }
            Err(Refusal::Again) => {
                self.attempts = self.attempts.saturating_sub(1);
                Ok(None)
            }
            Err(refusal) => {
                self.attempts = 0;
                if let Some(fault) = refusal.fault(self.reader.node.place) {
                    self.reader.desk.tell(fault);
                }
                Ok(None)
            }
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.attempts)
    }
}
