//! A row of a table, a placemark or a feature: named texts, and where it stands.

use std::collections::BTreeSet;
use std::rc::Rc;

/// One of the things that a list holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Record {
    /// The line it begins in; 1 where its reader knows none.
    pub(super) line: u64,
    /// What reports call it: `line 12`, `placemark 3`.
    pub(super) place: String,
    /// What it says, by column or property.
    /// A column's name is held once, however many rows there are.
    pub(super) fields: Vec<(Rc<str>, String)>,
    /// What makes it useless as a whole.
    pub(super) fault: Option<String>,
}

/// What the fields of some records are called, each name once.
pub(super) fn names(records: &[Record]) -> BTreeSet<&str> {
    let fields = records.iter().flat_map(|record| &record.fields);
    fields.map(|(name, _)| name.as_ref()).collect()
}

impl Record {
    /// A record that says nothing yet.
    pub(super) fn new(place: String, line: u64) -> Self {
        Self {
            line,
            place,
            fields: Vec::new(),
            fault: None,
        }
    }

    /// Adds a field.
    pub(super) fn put(&mut self, name: &str, text: String) {
        self.fields.push((Rc::from(name), text));
    }

    /// The text of a field; an empty one says nothing.
    pub(super) fn field(&self, name: &str) -> Option<&str> {
        self.fields
            .iter()
            .find(|(known, _)| **known == *name)
            .map(|(_, text)| text.trim())
            .filter(|text| !text.is_empty())
    }
}

/// A record that could not be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Skipped {
    /// The line its record begins in.
    pub(super) line: u64,
    /// What reports call it.
    pub(super) place: String,
    /// Why it could not be used.
    pub(super) reason: String,
}

impl Skipped {
    /// A record with the reason.
    pub(super) fn new(record: &Record, reason: String) -> Self {
        Self {
            line: record.line,
            place: record.place.clone(),
            reason,
        }
    }
}
