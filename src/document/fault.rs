//! What is wrong with a file: every fault with its place, all of them together.

use std::fmt;

use super::bounds::MOST_FAULTS;
use super::excerpt;
use super::source::{Place, Source};

/// The longest message that is shown whole; a text of the user's may be quoted in it.
const LONGEST_MESSAGE: usize = 400;

/// One thing wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Where it is.
    pub place: Place,
    /// What was found and what was expected.
    pub message: String,
    /// How to mend it, where that can be told.
    pub help: Option<String>,
    /// Other places that matter, with what stands there.
    pub also: Vec<(Place, String)>,
}

impl Fault {
    /// A fault at a place; control characters in the message are made visible.
    pub fn new(place: Place, message: impl AsRef<str>) -> Self {
        Self {
            place,
            message: harmless(message.as_ref()),
            help: None,
            also: Vec::new(),
        }
    }

    /// The same fault with a line on how to mend it.
    pub fn help(mut self, help: impl AsRef<str>) -> Self {
        self.help = Some(harmless(help.as_ref()));
        self
    }

    /// The same fault pointing at another place too.
    pub fn also(mut self, place: Place, label: impl AsRef<str>) -> Self {
        self.also.push((place, harmless(label.as_ref())));
        self
    }
}

/// A text that is safe to print: no control characters, and not without end.
fn harmless(text: &str) -> String {
    let mut safe = String::new();
    for (count, character) in text.chars().enumerate() {
        if count == LONGEST_MESSAGE {
            safe.push('…');
            break;
        }
        if character.is_control() || is_direction_mark(character) {
            safe.extend(character.escape_unicode());
        } else {
            safe.push(character);
        }
    }
    safe
}

/// Whether a character turns the direction of what follows it, which could disguise a line.
pub(super) const fn is_direction_mark(character: char) -> bool {
    matches!(character, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}')
}

/// Everything found wrong with one source.
///
/// Its `Display` shows each fault with its line, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults {
    source: Source,
    list: Vec<Fault>,
}

impl Faults {
    /// No faults yet.
    pub fn new(source: &Source) -> Self {
        Self {
            source: source.clone(),
            list: Vec::new(),
        }
    }

    /// Adds a fault; one that is there already stays single, and past some thousands none is kept.
    pub fn add(&mut self, fault: Fault) {
        if self.list.len() >= MOST_FAULTS {
            return;
        }
        if let Err(at) = self.list.binary_search(&fault) {
            self.list.insert(at, fault);
        }
    }

    /// Adds a fault that is told in one sentence.
    pub fn push(&mut self, place: Place, message: impl AsRef<str>) {
        self.add(Fault::new(place, message));
    }

    /// Every fault, in the order of the file.
    pub fn list(&self) -> &[Fault] {
        &self.list
    }

    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The source they are about.
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// `value` if nothing is wrong.
    ///
    /// # Errors
    /// The faults, if there are any.
    pub fn or_value<T>(self, value: T) -> Result<T, Self> {
        if self.is_empty() {
            Ok(value)
        } else {
            Err(self)
        }
    }

    /// Each fault with its line, coloured for a terminal.
    pub fn coloured(&self) -> String {
        excerpt::coloured(&self.source, &self.list)
    }
}

impl Extend<Fault> for Faults {
    fn extend<I: IntoIterator<Item = Fault>>(&mut self, faults: I) {
        self.list.extend(faults);
        self.list.sort();
        self.list.dedup();
        self.list.truncate(MOST_FAULTS);
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&excerpt::plain(&self.source, &self.list))
    }
}

impl std::error::Error for Faults {}
