//! Every radio that can be named: the built-in ones, and those the user wrote.

use std::borrow::Cow;
use std::collections::BTreeMap;

use thiserror::Error;

use super::complete::complete;
use super::profile::Profile;
use super::stack::{Entry, Stack};
use super::words::ProfileWords;
use crate::document::{Faults, Place, Reading, Said, Source, nearest, read};

/// Why there is no radio of a name.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RadioError {
    /// Nobody wrote such a profile.
    #[error("there is no radio `{id}`{}", suggestion(nearest.as_deref()))]
    Unknown {
        /// The name asked for.
        id: String,
        /// The name that looks most like it.
        nearest: Option<String>,
    },
    /// Its words, or those of a profile it rests on, are wrong.
    #[error("{0}")]
    Faulty(Faults),
}

fn suggestion(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |name| format!("; did you mean `{name}`?"))
}

/// Radios by name. The user's come before the built-in ones of the same name, and rest on these.
#[derive(Debug, Clone, Default)]
pub struct Library {
    written: BTreeMap<String, Entry>,
}

impl Library {
    /// The built-in radios.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds what the user wrote under a name; `place` is where the name stands.
    pub fn add(&mut self, id: &str, place: Place, words: ProfileWords, source: &Source) {
        let entry = Entry {
            id: id.into(),
            place,
            words,
            source: source.clone(),
        };
        self.written.insert(id.to_owned(), entry);
    }

    /// Every name, the built-in ones in their order, then the user's.
    pub fn ids(&self) -> Vec<&str> {
        let built_in = super::ALL.iter().map(|(id, _)| *id);
        let written = self.written.keys().map(String::as_str);
        let is_new = |id: &&str| !super::ALL.iter().any(|(known, _)| known == id);
        built_in.chain(written.filter(is_new)).collect()
    }

    /// The radio of a name, with every figure.
    ///
    /// # Errors
    /// There is none of that name, or what is written of it is wrong or not enough. The faults of a text that was read
    /// with faults are not told again.
    pub fn profile(&self, id: &str) -> Result<Profile, RadioError> {
        let entries = self.chain(id)?;
        let stack = Stack::new(&entries);
        let profile = complete(id, &stack);
        let found = stack.into_faults();
        if let (Some(profile), true) = (profile, found.is_empty()) {
            return Ok(profile);
        }
        // One file's faults at a time: those of the radio itself before those of what it rests on.
        let first = found.iter().map(|(layer, _)| *layer).min().unwrap_or(0);
        let blamed = entries.get(first).ok_or_else(|| self.unknown(id))?;
        // Whole files are compared: once for each entry, not for each fault.
        let of_that_file: Vec<bool> = (entries.iter())
            .map(|entry| entry.source == blamed.source)
            .collect();
        let mut faults = Faults::new(&blamed.source);
        faults.extend(
            found
                .into_iter()
                .filter(|(layer, _)| of_that_file.get(*layer) == Some(&true))
                .map(|(_, fault)| fault),
        );
        Err(RadioError::Faulty(faults))
    }

    /// A radio and those it rests on, one below the other.
    fn chain(&self, id: &str) -> Result<Vec<Entry>, RadioError> {
        let mut entries: Vec<Entry> = Vec::new();
        let top = self.entry(id, false).ok_or_else(|| self.unknown(id))?;
        let mut next = Some(top.into_owned());
        while let Some(entry) = next {
            let own_name = entry.id.to_string();
            let base = entry.words.based_on.as_ref();
            let place = base.map_or(entry.place, Said::place);
            let wanted = base.and_then(Said::value).unwrap_or(&own_name).clone();
            // A user's profile under the name of a built-in one rests on that one, said or not.
            let below_itself = wanted == own_name;
            let is_written = self
                .written
                .get(&own_name)
                .is_some_and(|own| own.source == entry.source);
            let found = if below_itself && !is_written {
                None
            } else {
                self.entry(&wanted, below_itself).map(Cow::into_owned)
            };
            if found.is_none() && !below_itself {
                let message = self.unknown(&wanted).to_string();
                return Err(blame(&entry.source, place, &message));
            }
            // The longest chain that does not come back to itself has every name once, and a built-in below its namesake.
            if entries.len() > super::ALL.len() + self.written.len() {
                let message =
                    "the radio is based on itself by way of others: name another in `based_on`";
                return Err(blame(&entry.source, place, message));
            }
            entries.push(entry);
            next = found;
        }
        Ok(entries)
    }

    /// What is written under a name, or built in.
    fn entry(&self, id: &str, only_built_in: bool) -> Option<Cow<'_, Entry>> {
        if !only_built_in && let Some(entry) = self.written.get(id) {
            return Some(Cow::Borrowed(entry));
        }
        let &(id, text) = super::ALL.iter().find(|(known, _)| *known == id)?;
        let source = Source::new(id, text.as_bytes()).ok()?;
        let words = read(&source).value?;
        Some(Cow::Owned(Entry {
            id: id.into(),
            place: Place::default(),
            words,
            source,
        }))
    }

    fn unknown(&self, id: &str) -> RadioError {
        let known = self.ids();
        RadioError::Unknown {
            id: id.to_owned(),
            nearest: nearest(id, &known).map(str::to_owned),
        }
    }
}

/// A fault of what a profile says it is based on.
fn blame(source: &Source, place: Place, message: &str) -> RadioError {
    let mut faults = Faults::new(source);
    faults.push(place, message);
    RadioError::Faulty(faults)
}

/// Reads a file as a radio, which is known by the file's name without its extension.
pub fn read_profile(source: &Source) -> Reading<Profile> {
    let Reading { value, mut faults } = read::<ProfileWords>(source);
    let name = source.name().rsplit(['/', '\\']).next().unwrap_or("");
    let id = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let profile = value.and_then(|words| {
        let mut library = Library::new();
        library.add(id, Place::default(), words, source);
        match library.profile(id) {
            Ok(profile) => Some(profile),
            Err(RadioError::Faulty(found)) => {
                faults.extend(found.list().iter().cloned());
                None
            }
            Err(error @ RadioError::Unknown { .. }) => {
                faults.push(Place::default(), error.to_string());
                None
            }
        }
    });
    Reading {
        value: profile,
        faults,
    }
}

impl Profile {
    /// The built-in radio of a name.
    ///
    /// # Errors
    /// There is none of that name.
    pub fn built_in(id: &str) -> Result<Self, RadioError> {
        Library::new().profile(id)
    }
}
