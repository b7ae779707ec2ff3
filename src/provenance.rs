//! Where a value came from: the user's line, a profile, a rule pack or a sourced default.

use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// How well a figure is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Read in the published text itself.
    Published,
    /// Read in somebody else's quotation or reprint of the published text.
    SecondHand,
    /// Worked out by arithmetic, enumeration or a general library.
    Computed,
    /// A habit of the trade without one published source.
    CommonPractice,
    /// Recalled, not read; the source named is where it is believed to be.
    Memory,
    /// A choice made for this program, with its reason.
    Choice,
}

impl Standing {
    /// All standings with the word that stands for each in data files.
    pub const ALL: [(&'static str, Self); 6] = [
        ("published", Self::Published),
        ("second-hand", Self::SecondHand),
        ("computed", Self::Computed),
        ("common-practice", Self::CommonPractice),
        ("memory", Self::Memory),
        ("choice", Self::Choice),
    ];
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Published => "published",
            Self::SecondHand => "published, read second-hand",
            Self::Computed => "computed",
            Self::CommonPractice => "common practice",
            Self::Memory => "from memory",
            Self::Choice => "our choice",
        })
    }
}

/// Who says so, and how well that is known.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Authority {
    /// The document, or the reason.
    pub text: Arc<str>,
    /// How well it is known.
    pub standing: Standing,
}

impl fmt::Display for Authority {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.text, self.standing)
    }
}

/// Where a value came from.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Origin {
    /// The user wrote it; the text says where (`race.yaml, line 31`).
    Said(Arc<str>),
    /// A radio profile holds it.
    Profile {
        /// The profile's id.
        profile: Arc<str>,
        /// The profile's own source for the figure.
        authority: Authority,
    },
    /// A rule pack holds it.
    Pack {
        /// The pack's id.
        pack: Arc<str>,
        /// The pack's own source for the entry.
        authority: Authority,
    },
    /// Nobody said it; a default was taken.
    Default(Authority),
}

impl Origin {
    /// Where it came from in a few words; the whole source stands in the budget and under `--show-defaults`.
    pub fn brief(&self) -> String {
        match self {
            Self::Said(place) => place.to_string(),
            Self::Profile { profile, authority } => {
                format!("profile {profile}, {}", authority.standing)
            }
            Self::Pack { pack, authority } => format!("pack {pack}, {}", authority.standing),
            Self::Default(authority) => format!("default, {}", authority.standing),
        }
    }
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Said(place) => write!(f, "stated in {place}"),
            Self::Profile { profile, authority } => write!(f, "profile {profile}: {authority}"),
            Self::Pack { pack, authority } => write!(f, "rule pack {pack}: {authority}"),
            Self::Default(authority) => write!(f, "default: {authority}"),
        }
    }
}

/// A value that remembers where it came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Where it came from.
    pub origin: Origin,
}

impl<T> Sourced<T> {
    /// A value and its origin.
    pub const fn new(value: T, origin: Origin) -> Self {
        Self { value, origin }
    }

    /// The same origin for a value worked out from this one.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Sourced<U> {
        Sourced {
            value: change(self.value),
            origin: self.origin,
        }
    }

    /// Whether the user stated it, so that it need not be listed as assumed.
    pub const fn is_stated(&self) -> bool {
        matches!(self.origin, Origin::Said(_))
    }
}

impl<T> Deref for Sourced<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}
