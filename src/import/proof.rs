//! Whether the scenario's own reader takes what was made.

use std::collections::BTreeMap;

use crate::scenario::{self, NoFiles, ScenarioError};

use super::Shape;
use super::entry::{self, Entry};

/// The lines before the first entry: two of the scenario, one of the list.
const BEFORE: usize = 3;

/// So many entries are read at a time; a reader sets a bound to what one file may hold.
const AT_A_TIME: usize = 10_000;

/// The entries that no scenario could hold, by their index, with the reason.
pub(super) fn refused(shape: Shape, entries: &[Entry]) -> BTreeMap<usize, String> {
    let mut refused = BTreeMap::new();
    for (part, entries) in entries.chunks(AT_A_TIME).enumerate() {
        let list = entry::list(shape, entries);
        let scenario = format!("event: {{name: list}}\nrules: []\n{list}");
        let Err(ScenarioError::Faulty(files)) =
            scenario::read("list", scenario.as_bytes(), &NoFiles)
        else {
            continue;
        };
        for faults in &files {
            for fault in faults.list() {
                let line = faults.source().line(fault.place.start);
                if let Some(index) = line.checked_sub(BEFORE + 1) {
                    refused
                        .entry(part * AT_A_TIME + index)
                        .or_insert_with(|| fault.message.clone());
                }
            }
        }
    }
    refused
}
