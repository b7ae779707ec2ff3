//! From the bytes of a scenario, and of the files it names, to a plan.

use std::io;

use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::defaults::Defaults;
use super::desk::{Desk, Stated};
use super::error::ScenarioError;
use super::plan::Plan;
use super::resolve::resolve;
use super::words::ScenarioWords;
use crate::document::{self, Source};

/// Where the files that a scenario names are found. The library opens none itself.
pub trait Files {
    /// The bytes of the file at a path as the scenario writes it, relative to the scenario.
    ///
    /// # Errors
    /// The file cannot be read.
    fn read(&self, path: &str) -> io::Result<Vec<u8>>;
}

/// No files: for a scenario that stands alone.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoFiles;

impl Files for NoFiles {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Err(io::Error::new(
            io::ErrorKind::NotFound,
            "no other files can be read here",
        ))
    }
}

/// Reads a scenario; `name` is what the user knows it by.
///
/// # Errors
/// Everything that is wrong with it and with the files it names, all at once.
pub fn read(name: &str, bytes: &[u8], files: &dyn Files) -> Result<Plan, ScenarioError> {
    let source = Source::new(name, bytes)?;
    let reading = document::read::<ScenarioWords>(&source);
    let mut desk = Desk::new(reading.faults);
    let defaults = Defaults::built_in().map_err(ScenarioError::Faulty)?;
    let plan = reading
        .value
        .as_ref()
        .map(|words| resolve(words, &source, &defaults, files, &mut desk));
    let assumed = desk.close().map_err(ScenarioError::Faulty)?;
    match plan {
        Some(plan) => Ok(Plan {
            defaults: assumed,
            ..plan
        }),
        // Words that are no scenario at all have been told as a fault of the file.
        None => Err(ScenarioError::Faulty(Vec::new())),
    }
}

/// The schema of a scenario's file.
pub fn schema(generator: &mut SchemaGenerator) -> Schema {
    ScenarioWords::json_schema(generator)
}

/// A file that the scenario names; what keeps it from being read is told where it is named.
pub(super) fn named_file(
    path: &Stated<String>,
    files: &dyn Files,
    desk: &mut Desk,
) -> Option<Source> {
    match files.read(&path.value) {
        Ok(bytes) => match Source::new(&path.value, &bytes) {
            Ok(source) => Some(source),
            Err(error) => {
                desk.tell(path.spot, error.to_string());
                None
            }
        },
        Err(error) => {
            desk.tell_with_help(
                path.spot,
                format!("`{}` cannot be read: {error}", path.value),
                "a path is counted from the folder of the scenario",
            );
            None
        }
    }
}
