//! The project's own files, for the tests that read them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Every file below a folder of the project: its path from that folder, with `/` between, and its text.
pub(crate) fn files_in(folder: &str) -> BTreeMap<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = BTreeMap::new();
    let mut open = vec![root.clone()];
    while let Some(folder) = open.pop() {
        for path in entries(&folder) {
            if path.is_dir() {
                open.push(path);
            } else if let Ok(text) = fs::read_to_string(&path) {
                found.insert(below(&root, &path), text);
            }
        }
    }
    assert!(!found.is_empty(), "there is nothing in {folder}");
    found
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    match fs::read_dir(folder) {
        Ok(entries) => entries.flatten().map(|entry| entry.path()).collect(),
        Err(error) => panic!("{} cannot be read: {error}", folder.display()),
    }
}

fn below(root: &Path, path: &Path) -> String {
    let parts = path
        .strip_prefix(root)
        .unwrap_or(path)
        .components()
        .map(|part| part.as_os_str().to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}

/// Whether a file has an ending, as `rs`.
pub(crate) fn is_kind(path: &str, ending: &str) -> bool {
    Path::new(path).extension().is_some_and(|one| one == ending)
}
