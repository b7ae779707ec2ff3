//! A pack's file, and why it could not be used.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use thiserror::Error;

use super::pack::Pack;
use super::translate::Translator;
use super::words::PackWords;
use crate::document::{self, Fault, Faults, Place, Source, SourceError};

/// Entries of a pack; the largest built-in one has some hundreds.
const MOST_ENTRIES: usize = 10_000;

/// Why a pack could not be used.
#[derive(Debug, Error)]
pub enum LawError {
    /// The file is no text.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// The file is text, but not a pack.
    #[error("{0}")]
    Faults(Faults),
    /// No pack has this name.
    #[error("no rule pack is called `{name}`; there are {known}, or name a file")]
    UnknownPack {
        /// The name asked for.
        name: String,
        /// The names there are.
        known: String,
    },
    /// No pack knows this licence.
    #[error("none of the rule packs {packs} knows a licence `{name}`; they know {known}")]
    UnknownLicence {
        /// The licence asked for.
        name: String,
        /// The packs that were asked.
        packs: String,
        /// The licences they know.
        known: String,
    },
}

/// Reads a pack from the bytes of a file; `name` is what the user knows the file by.
///
/// # Errors
/// The file is no text, or it holds faults: all of them are told.
pub fn read(name: &str, bytes: &[u8]) -> Result<Pack, LawError> {
    let source = Source::new(name, bytes)?;
    let reading = document::read::<PackWords>(&source);
    let mut faults = reading.faults;
    let words = reading.value;
    if let Some(count) = words
        .as_ref()
        .map(PackWords::entries)
        .filter(|&count| count > MOST_ENTRIES)
    {
        let fault = Fault::new(
            Place::default(),
            format!("the pack has {count} entries: at most {MOST_ENTRIES} are read"),
        );
        faults.add(fault.help("keep what holds where the event is"));
        return Err(LawError::Faults(faults));
    }
    let pack = words.map(|words| Translator::new(&words, &mut faults).pack(&words));
    match pack {
        Some(pack) => faults.or_value(pack).map_err(LawError::Faults),
        None => Err(LawError::Faults(faults)),
    }
}

/// The schema of a pack's file.
pub fn schema(generator: &mut SchemaGenerator) -> Schema {
    PackWords::json_schema(generator)
}
