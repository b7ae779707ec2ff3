//! What differs between two packs: two editions, or a local file and its forerunner.

use std::collections::BTreeMap;

use super::entry::Entry;
use super::pack::Pack;

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    /// Only the second has it.
    Added(Entry),
    /// Only the first has it.
    Removed(Entry),
    /// Both have it, and they do not say the same.
    Changed {
        /// As the first has it.
        before: Entry,
        /// As the second has it.
        after: Entry,
    },
}

/// Every difference, in the order of the entries' names.
pub fn compare(before: &Pack, after: &Pack) -> Vec<Difference> {
    let by_name = |pack: &Pack| -> BTreeMap<String, Entry> {
        pack.entries()
            .into_iter()
            .map(|entry| (entry.id.clone(), entry))
            .collect()
    };
    let (mut old, new) = (by_name(before), by_name(after));
    let mut found: BTreeMap<String, Difference> = BTreeMap::new();
    for (id, after) in new {
        match old.remove(&id) {
            None => {
                found.insert(id, Difference::Added(after));
            }
            Some(before) if before != after => {
                found.insert(id, Difference::Changed { before, after });
            }
            Some(_) => {}
        }
    }
    found.extend(
        old.into_iter()
            .map(|(id, entry)| (id, Difference::Removed(entry))),
    );
    found.into_values().collect()
}
