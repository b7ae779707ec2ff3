//! Why a value was not what the program asked for, before it is known where that is.

use std::fmt;

use serde::de::{self, Expected, Unexpected};

use super::fault::Fault;
use super::source::Place;

/// The longest list of known words that is shown.
const FEW: usize = 40;

/// Words that are compared with one that is not known; more are no choice for anybody.
const COMPARED: usize = 1_000;

/// Why reading a value came to nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Refusal {
    /// The fault has been told already.
    Told,
    /// The fault has been told, and reading once more will get past it.
    Again,
    /// A key that must be there is not.
    Missing(&'static str),
    /// Something to tell.
    Because {
        place: Option<Place>,
        message: String,
        help: Option<String>,
    },
}

impl Refusal {
    /// A refusal that has no place yet.
    pub(super) fn because(message: impl Into<String>) -> Self {
        Self::Because {
            place: None,
            message: message.into(),
            help: None,
        }
    }

    /// The wrong kind of value.
    pub(super) fn expected(wanted: &dyn fmt::Display, found: &str) -> Self {
        // Where serde's own readers speak of strings and sequences, a planner would not.
        let wanted = match wanted.to_string().as_str() {
            "a string" => "a text".to_owned(),
            "a sequence" => "a list".to_owned(),
            "a map" => "a mapping".to_owned(),
            other => other.to_owned(),
        };
        Self::because(format!("expected {wanted}, found {found}"))
    }

    /// The same with a line on how to mend it.
    pub(super) fn help(self, text: &str) -> Self {
        match self {
            Self::Because { place, message, .. } => Self::Because {
                place,
                message,
                help: Some(text.to_owned()),
            },
            other => other,
        }
    }

    /// The same, at a place if it had none.
    pub(super) fn at(self, here: Place) -> Self {
        match self {
            Self::Because {
                place,
                message,
                help,
            } => Self::Because {
                place: place.or(Some(here)),
                message,
                help,
            },
            other => other,
        }
    }

    /// What is to be told of it at `here`, if it has not been told.
    pub(super) fn fault(self, here: Place) -> Option<Fault> {
        match self {
            Self::Told | Self::Again => None,
            Self::Missing(name) => Some(
                Fault::new(here, format!("the key `{name}` is missing here"))
                    .help(format!("add `{name}:` with its value")),
            ),
            Self::Because {
                place,
                message,
                help,
            } => {
                let fault = Fault::new(place.unwrap_or(here), message);
                Some(match help {
                    Some(help) => fault.help(help),
                    None => fault,
                })
            }
        }
    }
}

/// An unknown word: the nearest known one, or all of them when they are few.
pub(super) fn unknown(kind: &str, word: &str, known: &[&str]) -> (String, Option<String>) {
    let message = match nearest(word, known) {
        Some(near) => format!("unknown {kind} {}; did you mean `{near}`?", quoted(word)),
        None => format!("unknown {kind} {}", quoted(word)),
    };
    let help = (!known.is_empty() && known.len() <= FEW)
        .then(|| format!("known here: {}", known.join(", ")));
    (message, help)
}

/// The known word that a slip of the finger may have turned into `word`.
pub fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let length = word.chars().count();
    // Comparing costs the product of both lengths, and no known word is that long.
    if length > 64 {
        return None;
    }
    let most = (length / 3).max(1);
    // The distance is no less than what the lengths differ by.
    let is_alike = |candidate: &&&str| candidate.chars().count().abs_diff(length) <= most;
    known
        .iter()
        .filter(is_alike)
        .take(COMPARED)
        .map(|&candidate| {
            let distance =
                strsim::damerau_levenshtein(&word.to_lowercase(), &candidate.to_lowercase());
            (distance, candidate)
        })
        .filter(|&(distance, _)| distance < length && distance <= most)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

/// Words in a row to choose from, not without end.
pub fn few(words: &[&str], most: usize) -> String {
    let shown = words.iter().take(most).copied().collect::<Vec<_>>();
    match words.len().saturating_sub(most) {
        _ if words.is_empty() => "none".to_owned(),
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}

/// A text as it is quoted in a message.
pub(super) fn quoted(text: &str) -> String {
    if text.chars().nth(40).is_some() {
        let head: String = text.chars().take(40).collect();
        format!("`{head}…`")
    } else {
        format!("`{text}`")
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Told | Self::Again => f.write_str("told already"),
            Self::Missing(name) => write!(f, "the key `{name}` is missing"),
            Self::Because { message, .. } => f.write_str(message),
        }
    }
}

impl std::error::Error for Refusal {}

impl de::Error for Refusal {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::because(message.to_string())
    }

    fn invalid_type(found: Unexpected<'_>, wanted: &dyn Expected) -> Self {
        let found = match found {
            Unexpected::Str(text) => quoted(text),
            Unexpected::Seq => "a list".to_owned(),
            Unexpected::Map => "a mapping".to_owned(),
            Unexpected::Unit | Unexpected::Option => "nothing".to_owned(),
            other => other.to_string(),
        };
        Self::expected(&wanted, &found)
    }

    fn invalid_value(found: Unexpected<'_>, wanted: &dyn Expected) -> Self {
        Self::invalid_type(found, wanted)
    }

    fn invalid_length(length: usize, wanted: &dyn Expected) -> Self {
        Self::expected(&wanted, &format!("a list of {length}"))
    }

    fn unknown_variant(word: &str, known: &'static [&'static str]) -> Self {
        let (message, help) = unknown("value", word, known);
        Self::Because {
            place: None,
            message,
            help,
        }
    }

    fn unknown_field(word: &str, known: &'static [&'static str]) -> Self {
        let (message, help) = unknown("key", word, known);
        Self::Because {
            place: None,
            message,
            help,
        }
    }

    fn missing_field(name: &'static str) -> Self {
        Self::Missing(name)
    }
}
