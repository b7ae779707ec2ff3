//! The record, and the rule by which it may change.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

const HEAD: &str = "# What scripts and files rest on; DEVELOPERS.md says how it may change.";

/// Everything that somebody may rest on, a line each, in sections.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Record {
    version: String,
    sections: BTreeMap<String, BTreeSet<String>>,
}

impl Record {
    pub(crate) fn new(version: &str) -> Self {
        Self {
            version: version.to_owned(),
            sections: BTreeMap::new(),
        }
    }

    pub(crate) fn add(&mut self, section: &str, line: String) {
        let lines = self.sections.entry(section.to_owned()).or_default();
        lines.insert(line);
    }

    pub(crate) fn read(text: &str) -> Self {
        let mut record = Self::new("");
        let mut section = "";
        for line in text.lines().filter(|line| !line.is_empty()) {
            if let Some(version) = line.strip_prefix("version ") {
                record.version = version.to_owned();
            } else if let Some(name) = line.strip_prefix("== ") {
                section = name;
            } else if !line.starts_with('#') {
                record.add(section, line.to_owned());
            }
        }
        record
    }

    /// What the way from this record to the next one lacks: a higher version, a higher number of an output that lost
    /// something, or a word in the changes.
    pub(crate) fn faults(&self, next: &Self, changes: &str) -> Vec<String> {
        let mut faults = Vec::new();
        let (before, after) = (self.lines(), next.lines());
        let gone: Vec<_> = before.difference(&after).collect();
        let new: Vec<_> = after.difference(&before).collect();
        // A first record has nothing to keep to.
        if before.is_empty() || (gone.is_empty() && new.is_empty()) {
            return faults;
        }
        if numbers(&next.version).cmp(&numbers(&self.version)) != Ordering::Greater {
            faults.push(format!(
                "what scripts rest on differs from version {}, and this is version {}: it needs a higher one",
                self.version, next.version
            ));
        }
        for &&(section, line) in &gone {
            if let Some((output, number)) = section.rsplit_once('/') {
                let is_higher = next.sections.keys().any(|known| {
                    known
                        .rsplit_once('/')
                        .is_some_and(|(name, now)| name == output && numbers(now) > numbers(number))
                });
                if !is_higher {
                    faults.push(format!(
                        "{section} no longer has `{line}`: its number must go up"
                    ));
                }
            }
        }
        let told = told(changes, &next.version);
        for &&(section, line) in gone.iter().chain(&new) {
            let word = word(line);
            if !told.contains(&format!("`{word}`")) {
                faults.push(format!(
                    "docs/changes.md has no `{word}` under {}: {section}: {line}",
                    next.version
                ));
            }
        }
        faults
    }

    fn lines(&self) -> BTreeSet<(&str, &str)> {
        let sections = self.sections.iter();
        sections
            .flat_map(|(name, lines)| lines.iter().map(move |line| (name.as_str(), line.as_str())))
            .collect()
    }
}

impl fmt::Display for Record {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(formatter, "{HEAD}\n\nversion {}", self.version)?;
        for (name, lines) in &self.sections {
            writeln!(formatter, "\n== {name}")?;
            for line in lines {
                writeln!(formatter, "{line}")?;
            }
        }
        Ok(())
    }
}

/// The numbers of a version, to be compared one by one.
fn numbers(version: &str) -> Vec<u64> {
    version
        .split('.')
        .map(|part| part.parse().unwrap())
        .collect()
}

/// What the changes say under the heading of a version.
fn told<'a>(changes: &'a str, version: &str) -> &'a str {
    let heading = format!("\n## {version}\n");
    let Some((_, rest)) = changes.split_once(&heading) else {
        return "";
    };
    rest.split("\n## ").next().unwrap_or(rest)
}

/// The word of a line that a reader of the changes looks for: the last part of a key's path, an option, an id, a code.
fn word(line: &str) -> &str {
    let path = line.split(": ").next().unwrap_or(line);
    let last = path.rsplit(['.', ' ']).next().unwrap_or(path);
    last.trim_end_matches("[]").trim_end_matches("{}")
}

const BEFORE: &str = "version 0.1.0

== check/1
findings[].margin_db: number
verdict: string

== commands
check --fail-on: caution conflict never
";

#[test]
fn a_key_that_goes_needs_a_higher_number_a_version_and_a_word() {
    let before = Record::read(BEFORE);
    assert_eq!(before.faults(&before, ""), Vec::<String>::new());
    let changes = "# Changes\n\n## 0.2.0\n\n- `margin_db` is no more.\n\n## 0.1.0\n\n- `verdict`\n";
    let without = BEFORE.replace("findings[].margin_db: number\n", "");
    let count = |text: &str| before.faults(&Record::read(text), changes).len();
    assert_eq!(count(&without), 3, "all three are missing");
    let later = without.replace("0.1.0", "0.2.0");
    assert_eq!(count(&later), 1, "only the number is missing");
    // The number moves every line of the section; each is to be told.
    let numbered = later.replace("check/1", "check/2");
    let faults = before.faults(&Record::read(&numbered), changes);
    assert!(
        faults.iter().all(|fault| fault.contains("`verdict`")),
        "{faults:?}"
    );
}

#[test]
fn a_key_that_comes_needs_a_version_and_a_word_but_no_number() {
    let before = Record::read(BEFORE);
    let more = BEFORE.replace(
        "verdict: string",
        "verdict: string\nfindings[].chance: number",
    );
    let faults = |text: &str, changes| before.faults(&Record::read(text), changes);
    assert_eq!(faults(&more, "## 0.1.0\n").len(), 2);
    let later = more.replace("0.1.0", "0.2.0");
    assert_eq!(faults(&later, "\n## 0.2.0\n\n- `chance`\n").len(), 0);
    assert_eq!(
        faults(&later, "\n## 0.2.0\n\n\n## 0.1.0\n- `chance`\n").len(),
        1
    );
}

#[test]
fn an_option_that_takes_other_words_is_a_change() {
    let before = Record::read(BEFORE);
    let other = BEFORE
        .replace("caution conflict never", "conflict never")
        .replace("0.1.0", "0.10.0");
    let faults = before.faults(&Record::read(&other), "");
    assert_eq!(faults.len(), 2, "{faults:?}");
    assert!(
        faults[0].contains("`--fail-on`"),
        "a word, and no version: 10 is above 1: {faults:?}"
    );
}
