//! Why a scenario could not be understood.

use std::fmt;

use crate::document::{Faults, SourceError};

/// A scenario that could not be understood: its place and cure are kept for every single fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScenarioError {
    /// Nothing of the file could be read.
    Unreadable(SourceError),
    /// The faults of the scenario, and of each file it names.
    Faulty(Vec<Faults>),
}

impl ScenarioError {
    /// Every fault with its line, coloured for a terminal.
    pub fn coloured(&self) -> String {
        match self {
            Self::Unreadable(error) => error.to_string(),
            Self::Faulty(files) => joined(files.iter().map(Faults::coloured)),
        }
    }
}

impl fmt::Display for ScenarioError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(error) => error.fmt(f),
            Self::Faulty(files) => f.write_str(&joined(files.iter().map(Faults::to_string))),
        }
    }
}

impl std::error::Error for ScenarioError {}

impl From<SourceError> for ScenarioError {
    fn from(error: SourceError) -> Self {
        Self::Unreadable(error)
    }
}

/// The faults of several files, a blank line between them.
fn joined(files: impl Iterator<Item = String>) -> String {
    files.collect::<Vec<_>>().join("\n\n")
}
