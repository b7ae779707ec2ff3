//! A list of neighbours from a table, or of places from a map, as a part of a scenario.
//!
//! A list may come from anybody: what it holds is bounded, and every entry is read by the scenario's own reader before it
//! is handed on.

mod columns;
mod entry;
mod error;
mod geojson;
mod kml;
mod proof;
mod record;
mod table;

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::document::{Source, few};
use crate::quantity::{Length, Position};

use columns::Columns;
use entry::{Around, Entry};
use record::{Record, Skipped};

pub use error::ImportError;

/// A list with more rows is no list of neighbours.
pub const MOST_ROWS: usize = 100_000;

/// Columns or properties: more than any list has.
pub const MOST_COLUMNS: usize = 1_000;

/// So many skipped rows are told one by one.
const TOLD: usize = 100;

/// From more rows on that are skipped for the same reason, they are told together.
const ALIKE: usize = 10;

/// How a list is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A table with a heading (RFC 4180, also with other delimiters).
    Csv,
    /// Placemarks of a map (OGC 12-007).
    Kml,
    /// Features of a map (RFC 7946).
    Geojson,
}

impl Kind {
    /// How a file of a name is written, by its ending; else a table.
    pub fn of_name(name: &str) -> Self {
        let ending = name.rsplit('.').next().unwrap_or("").to_lowercase();
        match ending.as_str() {
            "kml" => Self::Kml,
            "geojson" | "json" => Self::Geojson,
            _ => Self::Csv,
        }
    }
}

/// The unit of a frequency that carries none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Unit {
    /// Megahertz.
    #[default]
    Mhz,
    /// Kilohertz.
    Khz,
    /// Hertz.
    Hz,
}

impl Unit {
    const fn name(self) -> &'static str {
        match self {
            Self::Mhz => "MHz",
            Self::Khz => "kHz",
            Self::Hz => "Hz",
        }
    }
}

/// What is made of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shape {
    /// Entries of `in_use:` for a scenario.
    #[default]
    InUse,
    /// Places of `sites:` for a scenario.
    Sites,
    /// A table that `in_use: [{from: …}]` reads as it stands.
    Csv,
}

/// How a list is to be read.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wanted<'a> {
    /// `key=column`: which column holds which key; those that are named like the key where there is none.
    pub columns: &'a [String],
    /// `key=text`: what holds for every row that does not say otherwise.
    pub set: &'a [String],
    /// The unit of frequencies that carry none.
    pub unit: Unit,
    /// What separates the columns of a table; the likeliest where it is not said.
    pub delimiter: Option<&'a str>,
    /// Take only what is so near to a place.
    pub circle: Option<(Position, Length)>,
    /// What to make.
    pub shape: Shape,
}

/// What a list came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// The part of a scenario, or the table.
    pub page: String,
    /// How many rows were taken, and which were not and why.
    pub report: String,
}

/// Reads a list and makes of it what can be used.
///
/// # Errors
/// The list cannot be read, names no column that is a key, or holds nothing that can be used.
pub fn import(source: &Source, kind: Kind, wanted: &Wanted) -> Result<Imported, ImportError> {
    let columns = Columns::new(wanted.columns, wanted.set, wanted.shape)?;
    let records = match kind {
        Kind::Csv => table::records(source, wanted.delimiter)?,
        Kind::Kml => kml::records(source)?,
        Kind::Geojson => geojson::records(source)?,
    };
    columns.suit(&records, source.name())?;
    let around = Around {
        unit: wanted.unit.name(),
        circle: wanted.circle,
        shape: wanted.shape,
    };
    let (taken, skipped) = take(&records, &columns, &around);
    let report = report(records.len(), taken.len(), &skipped, source.name());
    if taken.is_empty() {
        let names: Vec<&str> = record::names(&records).into_iter().collect();
        let line = skipped.first().map_or(1, |first| first.line);
        return Err(ImportError::new(
            format_args!("{}:{line}:1: {}", source.name(), report.trim_end()),
            format_args!(
                "the list has {}; say which is which with --columns, and see --set and --unit",
                few(&names, error::FEW)
            ),
        ));
    }
    let page = match wanted.shape {
        Shape::Csv => entry::table(&taken),
        shape => commented(&report) + &entry::list(shape, &taken),
    };
    Ok(Imported { page, report })
}

/// What can be used, and what cannot with the reason.
fn take(records: &[Record], columns: &Columns, around: &Around) -> (Vec<Entry>, Vec<Skipped>) {
    let mut taken = Vec::new();
    let mut skipped = Vec::new();
    for record in records {
        match Entry::of(record, columns, around) {
            Ok(entry) => taken.push(entry),
            Err(reason) => skipped.push(Skipped::new(record, reason)),
        }
    }
    entry::tell_apart(&mut taken);
    // What the scenario's own reader refuses is no use in a scenario.
    let refused = proof::refused(around.shape, &taken);
    let mut sound = Vec::new();
    for (index, entry) in taken.into_iter().enumerate() {
        match refused.get(&index) {
            None => sound.push(entry),
            Some(reason) => skipped.push(Skipped {
                line: entry.line,
                place: entry.place,
                reason: reason.clone(),
            }),
        }
    }
    skipped.sort_by_key(|one| one.line);
    (sound, skipped)
}

/// What was taken, and what was not and why.
fn report(all: usize, taken: usize, skipped: &[Skipped], name: &str) -> String {
    let mut text = format!("{taken} of {all} rows of {name} taken");
    if skipped.is_empty() {
        return text + "\n";
    }
    text += ", skipped:\n";
    let mut alike: BTreeMap<&str, Vec<&Skipped>> = BTreeMap::new();
    for one in skipped {
        alike.entry(&one.reason).or_default().push(one);
    }
    let is_told = |one: &&Skipped| {
        alike
            .get(one.reason.as_str())
            .is_none_or(|same| same.len() <= ALIKE)
    };
    let single: Vec<&Skipped> = skipped.iter().filter(is_told).collect();
    for one in single.iter().take(TOLD) {
        let _ = writeln!(text, "  {}: {}", one.place, one.reason);
    }
    if single.len() > TOLD {
        let _ = writeln!(text, "  and {} more", single.len() - TOLD);
    }
    for (reason, same) in alike
        .iter()
        .filter(|(_, same)| same.len() > ALIKE)
        .take(TOLD)
    {
        let first = same.first().map_or("", |one| &one.place);
        let _ = writeln!(text, "  {} rows, {first} the first: {reason}", same.len());
    }
    text
}

/// A text as comments of YAML.
fn commented(text: &str) -> String {
    let lines = text.lines().flat_map(|line| ["# ", line, "\n"]);
    lines.collect()
}
