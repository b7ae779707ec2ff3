//! From the bytes of a scenario, and of the files it names, to a plan.

use std::io;
use std::path::{Component, Path};

use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::crowded::is_crowded;
use super::defaults::Defaults;
use super::desk::{Desk, MOST_FILES, Stated};
use super::error::ScenarioError;
use super::plan::Plan;
use super::resolve::resolve;
use super::words::ScenarioWords;
use crate::document::{self, LARGEST_FILE, Source};

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
        .filter(|words| !is_crowded(words, &mut desk))
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
///
/// A scenario may come from anybody, so it reaches what lies in its own folder and nothing else.
pub(super) fn named_file(
    path: &Stated<String>,
    files: &dyn Files,
    desk: &mut Desk,
) -> Option<Source> {
    if !stays_below(&path.value) {
        desk.tell_with_help(
            path.spot,
            format!("`{}` lies outside the folder of the scenario", path.value),
            "put the file beside the scenario or into a folder there, and write its path from there",
        );
        return None;
    }
    if !desk.may_read_one_more() {
        desk.tell_with_help(
            path.spot,
            format!("this is more than the {MOST_FILES} files that a scenario may name"),
            "put lists of one kind together into one file",
        );
        return None;
    }
    let (message, help) = match files.read(&path.value) {
        Ok(bytes) if desk.has_room_for(bytes.len()) => match Source::new(&path.value, &bytes) {
            Ok(source) => return Some(source),
            Err(error) => (error.to_string(), "mend that file, or name another"),
        },
        Ok(_) => (
            format!(
                "with `{}` the files that the scenario names go beyond {} MiB",
                path.value,
                LARGEST_FILE / (1024 * 1024)
            ),
            SMALLER,
        ),
        Err(error) => (
            format!("`{}` cannot be read: {error}", path.value),
            match error.kind() {
                io::ErrorKind::FileTooLarge => SMALLER,
                io::ErrorKind::InvalidFilename => {
                    "name a file that holds the text itself; a pipe is read when the command line names it"
                }
                _ => PATHS,
            },
        ),
    };
    desk.tell_with_help(path.spot, message, help);
    None
}

const PATHS: &str = "write the path as it is counted from the folder of the scenario";

const SMALLER: &str = "keep what is near the event, as `quietpair import --near … --within …` does";

/// Whether a path leads neither up nor to a place of its own.
fn stays_below(path: &str) -> bool {
    // Elsewhere a backslash separates folders too.
    let is_one = |path: &str| {
        Path::new(path)
            .components()
            .all(|part| matches!(part, Component::Normal(_) | Component::CurDir))
    };
    is_one(path) && is_one(&path.replace('\\', "/"))
}

#[cfg(test)]
mod tests {
    use super::stays_below;

    #[test]
    fn a_path_stays_in_the_folder_of_the_scenario() {
        for path in ["rows.csv", "./lists/rows.csv", "a..b/rows.csv", "..csv"] {
            assert!(stays_below(path), "{path}");
        }
        for path in [
            "../rows.csv",
            "lists/../../rows.csv",
            "/etc/hostname",
            "..\\rows.csv",
            "\\rows.csv",
        ] {
            assert!(!stays_below(path), "{path}");
        }
    }
}
