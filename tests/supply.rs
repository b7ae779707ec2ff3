//! What comes in from elsewhere: one registry, each crate with its reason, two versions of one only where that is known.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

fn file(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The packages of the lock file: name, version, and whether it is from a registry with a checksum.
fn locked() -> Vec<(String, String, bool)> {
    let lock = file("Cargo.lock");
    let packages = lock.split("[[package]]").skip(1);
    packages
        .map(|package| {
            let value = |key: &str| {
                let line = package.lines().find_map(|line| line.strip_prefix(key));
                line.map(|value| value.trim_start_matches(" = ").trim_matches('"').to_owned())
            };
            let is_pinned = value("source").is_some_and(|source| source.starts_with("registry+"))
                && value("checksum").is_some_and(|sum| sum.len() == 64);
            (value("name").unwrap(), value("version").unwrap(), is_pinned)
        })
        .collect()
}

#[test]
fn every_package_is_from_a_registry_and_has_its_checksum() {
    let loose: Vec<String> = locked()
        .into_iter()
        .filter(|(name, _, is_pinned)| !is_pinned && name != "quietpair")
        .map(|(name, ..)| name)
        .collect();
    assert!(loose.is_empty(), "{loose:?}");
}

#[test]
fn two_versions_of_one_package_are_those_that_are_known() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, version, _) in locked() {
        versions.entry(name).or_default().insert(version);
    }
    let twice: BTreeSet<String> = versions
        .into_iter()
        .filter(|(_, versions)| versions.len() > 1)
        .map(|(name, _)| name)
        .collect();
    let policy = file("deny.toml");
    let known: BTreeSet<String> = policy
        .lines()
        .filter_map(|line| line.trim().strip_prefix("{ crate = \""))
        .filter_map(|rest| rest.split('@').next())
        .map(str::to_owned)
        .collect();
    assert_eq!(twice, known);
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = file("Cargo.toml");
    let guide = file("DEVELOPERS.md");
    let (_, reasons) = guide
        .split_once("## Dependencies, each with its reason")
        .unwrap();
    let named: BTreeSet<&str> = reasons
        .lines()
        .skip_while(|line| !line.starts_with("| --- "))
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .filter_map(|line| line.split('|').nth(1))
        .flat_map(|crates| crates.split(','))
        .map(str::trim)
        .collect();
    let sections = manifest.split("\n[").filter(|section| {
        section.starts_with("dependencies]") || section.starts_with("dev-dependencies]")
    });
    let wanted: BTreeSet<&str> = sections
        .flat_map(str::lines)
        .filter_map(|line| line.split_once(" = "))
        .map(|(name, _)| name)
        .collect();
    assert!(wanted.len() > 20, "{wanted:?}");
    assert_eq!(named, wanted);
}
