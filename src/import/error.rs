//! Why a list could not be taken in at all.

use std::fmt::Display;

use thiserror::Error;

use super::MOST_ROWS;
use crate::document::{few, nearest};

/// The most words that are listed to choose from.
pub(super) const FEW: usize = 20;

/// Why a list could not be taken in at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct ImportError {
    /// What is wrong, and where.
    pub message: String,
    /// What would mend it.
    pub help: String,
}

impl ImportError {
    pub(super) fn new(message: impl Display, help: impl Display) -> Self {
        Self {
            message: message.to_string(),
            help: help.to_string(),
        }
    }

    /// More rows than are read, from a line on.
    pub(super) fn too_many(name: &str, line: usize, rows: usize) -> Self {
        Self::new(
            format_args!(
                "{name}:{line}:1: {rows} rows are more than the {MOST_ROWS} that are read"
            ),
            "keep what is near the event",
        )
    }

    /// A word that is not among those that are known.
    pub(super) fn unknown(kind: &str, word: &str, known: &[&str]) -> Self {
        let help = match nearest(word, known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("there is {}", few(known, FEW)),
        };
        Self::new(format_args!("there is no {kind} `{word}`"), help)
    }
}
