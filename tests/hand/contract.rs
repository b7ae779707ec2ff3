//! What scripts and files rest on is on record, and changes only with a new version and a line in `docs/changes.md`.
//!
//! `QUIETPAIR_WRITE=1 cargo test --test hand contract` records it anew, once the rule is kept.

use std::fs;

use super::root;

mod inventory;
mod record;

use record::Record;

const FILE: &str = "tests/contract.txt";

#[test]
fn what_scripts_rest_on_changes_only_with_a_version_and_a_word_in_the_changes() {
    let now = inventory::take(env!("CARGO_PKG_VERSION"));
    let path = root().join(FILE);
    let recorded = Record::read(&fs::read_to_string(&path).unwrap());
    let changes = fs::read_to_string(root().join("docs/changes.md")).unwrap();
    let faults = recorded.faults(&now, &changes);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    if std::env::var_os("QUIETPAIR_WRITE").is_some() {
        fs::write(&path, now.to_string()).unwrap();
    }
    let recorded = fs::read_to_string(&path).unwrap();
    assert!(
        recorded == now.to_string(),
        "the change keeps the rule; QUIETPAIR_WRITE=1 records it"
    );
}
