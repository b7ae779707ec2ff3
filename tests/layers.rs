//! The flow is one way: a stage uses only stages above it in `src/lib.rs`. The order of the `pub mod` lines there is the
//! only list.

use std::collections::BTreeMap;

mod tree;

/// The stages, first to last, as `lib.rs` declares them.
fn stages(lib: &str) -> Vec<&str> {
    lib.lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect()
}

/// The stage a file belongs to: its folder, or its own name; none for `lib.rs` and the programs.
fn stage_of(path: &str) -> Option<&str> {
    let first = path.split('/').next()?;
    (first != "lib.rs" && first != "bin").then(|| first.strip_suffix(".rs").unwrap_or(first))
}

/// How many modules deep a file's own module lies below the root of the crate.
fn depth_of(path: &str) -> usize {
    let parts = path.split('/').count();
    if path.ends_with("/mod.rs") {
        parts - 1
    } else {
        parts
    }
}

/// The word a text begins with.
fn first_word(text: &str) -> &str {
    let end = text
        .find(|letter: char| !letter.is_alphanumeric() && letter != '_')
        .unwrap_or(text.len());
    &text[..end]
}

/// What a line of code names at the root of the crate: by `crate::`, or by climbing all the way up with `super::`.
fn named_at_root(line: &str, depth: usize) -> Vec<&str> {
    let by_name = line
        .match_indices("crate::")
        .map(|(at, path)| &line[at + path.len()..]);
    let climbs = line.match_indices("super::").filter_map(|(at, _)| {
        let is_the_first = !line[..at].ends_with("super::");
        let past = line[at..].trim_start_matches("super::");
        let steps = (line.len() - at - past.len()) / "super::".len();
        (is_the_first && steps >= depth).then_some(past)
    });
    by_name
        .map(|rest| {
            if rest.starts_with('{') {
                "{"
            } else {
                first_word(rest)
            }
        })
        .chain(climbs.map(first_word))
        .collect()
}

/// Every import that points the wrong way, as `file:line`, and what is wrong with it.
fn wrong_ways(lib: &str, files: &BTreeMap<String, String>) -> Vec<String> {
    let stages = stages(lib);
    let rank = |name: &str| stages.iter().position(|stage| *stage == name);
    let mut found = Vec::new();
    for (path, text) in files.iter().filter(|(path, _)| tree::is_kind(path, "rs")) {
        let Some(stage) = stage_of(path) else {
            continue;
        };
        let Some(own) = rank(stage) else {
            found.push(format!("{path}: `{stage}` is no stage of lib.rs"));
            continue;
        };
        for (index, line) in text.lines().enumerate() {
            if line.trim_start().starts_with("//") {
                continue;
            }
            for name in named_at_root(line, depth_of(path)) {
                let place = format!("{path}:{}", index + 1);
                if name == "{" {
                    found.push(format!(
                        "{place}: one `use` line a stage, no group over stages"
                    ));
                } else if rank(name).is_some_and(|other| other > own) {
                    found.push(format!("{place}: `{stage}` comes before `{name}`"));
                }
            }
        }
    }
    found
}

#[test]
fn no_stage_uses_one_below_it() {
    let files = tree::files_in("src");
    let lib = files.get("lib.rs").map_or("", String::as_str);
    assert!(stages(lib).len() > 10, "{:?}", stages(lib));
    let found = wrong_ways(lib, &files);
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn an_import_that_points_the_wrong_way_is_noticed_however_it_is_written() {
    let lib = "//! A map.\n\npub mod first;\n\npub mod second;\n\npub mod third;\n";
    let noticed = |path: &str, line: &str| {
        let files = BTreeMap::from([(path.to_owned(), format!("//! Why.\n\n{line}\n"))]);
        wrong_ways(lib, &files)
    };
    for (path, line) in [
        ("first.rs", "use crate::second::Thing;"),
        ("second/mod.rs", "use crate::third::{One, Other};"),
        ("second/part.rs", "    let thing = crate::third::make();"),
        (
            "second/part.rs",
            "fn one(_: &crate::first::A, _: &crate::third::B) {}",
        ),
        ("first.rs", "use super::second::Thing;"),
        ("second/part.rs", "use super::super::third::Thing;"),
        ("first.rs", "use crate::{second, third};"),
        ("fourth.rs", "use crate::first::Thing;"),
    ] {
        let found = noticed(path, line);
        assert_eq!(found.len(), 1, "{path}: {line}: {found:?}");
        assert!(found[0].starts_with(path), "{found:?}");
    }
    for (path, line) in [
        ("second.rs", "use crate::first::Thing;"),
        ("second/part.rs", "use crate::second::Other;"),
        ("second/part.rs", "use super::third::Thing;"),
        ("third/part/deep.rs", "use super::super::second::Thing;"),
        ("first.rs", "/// Told by [`third`](crate::third)."),
        ("bin/program/main.rs", "use crate::third::Thing;"),
    ] {
        let found = noticed(path, line);
        assert!(found.is_empty(), "{path}: {line}: {found:?}");
    }
}
