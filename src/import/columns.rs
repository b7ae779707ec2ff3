//! Which column or property holds which key.

use super::ImportError;
use super::Shape;
use super::error::FEW;
use super::record::{Record, names};
use crate::document::few;

/// The keys of an entry that a list can fill, in the order they are written.
pub(super) const KEYS: [&str; 18] = [
    "name",
    "service",
    "mode",
    "output",
    "input",
    "shift",
    "frequency",
    "erp",
    "eirp",
    "power",
    "at",
    "latitude",
    "longitude",
    "distance",
    "antenna",
    "ground",
    "tone",
    "duty",
];

/// The keys of a site that a list can fill.
const SITE_KEYS: [&str; 5] = ["name", "at", "latitude", "longitude", "ground"];

/// For each key, where its text is found.
#[derive(Debug)]
pub(super) struct Columns {
    /// Key, and the columns that are joined for it; none where headings are taken as they are.
    stated: Option<Vec<(&'static str, Vec<String>)>>,
    /// Key and text that hold for every row.
    set: Vec<(&'static str, String)>,
    keys: &'static [&'static str],
}

impl Columns {
    /// Reads what `--columns` and `--set` say.
    pub(super) fn new(
        columns: &[String],
        set: &[String],
        shape: Shape,
    ) -> Result<Self, ImportError> {
        let keys: &'static [&'static str] = match shape {
            Shape::Sites => &SITE_KEYS,
            Shape::InUse | Shape::Csv => &KEYS,
        };
        let pairs = |words: &[String]| -> Result<Vec<(&'static str, String)>, ImportError> {
            words.iter().map(|word| pair(word, keys)).collect()
        };
        let stated = pairs(columns)?;
        let stated: Vec<_> = stated
            .into_iter()
            .map(|(key, text)| (key, text.split('+').map(str::to_owned).collect()))
            .collect();
        Ok(Self {
            stated: (!stated.is_empty()).then_some(stated),
            set: pairs(set)?,
            keys,
        })
    }

    /// Whether the columns that were named are there at all.
    pub(super) fn suit(&self, records: &[Record], list: &str) -> Result<(), ImportError> {
        let names = names(records);
        for (_, columns) in self.stated.iter().flatten() {
            for column in columns {
                if !names.contains(column.as_str()) {
                    let names: Vec<&str> = names.into_iter().collect();
                    return Err(ImportError::unknown("column", column, &names));
                }
            }
        }
        let is_known = |key: &str| names.contains(key);
        if self.stated.is_none() && !self.keys.iter().any(|key| is_known(key)) {
            let names: Vec<&str> = names.into_iter().collect();
            return Err(ImportError::new(
                format_args!("{list}:1:1: no column of the list is named like a key of a scenario"),
                format_args!(
                    "say which is which, as in `--columns \"frequency={}\"`; the list has: {}",
                    names.first().copied().unwrap_or("mhz"),
                    few(&names, FEW)
                ),
            ));
        }
        Ok(())
    }

    /// What a record says of a key, or what holds for every row.
    pub(super) fn text(&self, key: &str, record: &Record) -> Option<String> {
        if !self.keys.contains(&key) {
            return None;
        }
        let own = match &self.stated {
            Some(stated) => match stated.iter().find(|(known, _)| *known == key) {
                Some((_, columns)) => joined(record, columns),
                // A place that the map itself gives needs no column.
                None => record
                    .field(key)
                    .filter(|_| key.ends_with("itude"))
                    .map(str::to_owned),
            },
            None => record.field(key).map(str::to_owned),
        };
        own.or_else(|| {
            let set = self.set.iter().find(|(known, _)| *known == key);
            set.map(|(_, text)| text.clone())
        })
    }
}

/// The texts of several columns, one after the other.
fn joined(record: &Record, columns: &[String]) -> Option<String> {
    let texts: Vec<&str> = columns
        .iter()
        .filter_map(|column| record.field(column))
        .collect();
    (!texts.is_empty()).then(|| texts.join(" "))
}

/// Reads `key=text`.
fn pair(word: &str, keys: &'static [&'static str]) -> Result<(&'static str, String), ImportError> {
    let Some((key, text)) = word.split_once('=') else {
        return Err(ImportError::new(
            format_args!("`{word}` is no `key=…`"),
            format_args!("use one of the keys {}", keys.join(", ")),
        ));
    };
    let key = key.trim();
    keys.iter()
        .find(|known| **known == key)
        .map(|known| (*known, text.trim().to_owned()))
        .ok_or_else(|| ImportError::unknown("key", key, keys))
}
