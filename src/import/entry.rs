//! What one record comes to in a scenario.

use std::collections::BTreeMap;

use crate::physics::geodesic::course;
use crate::quantity::{Frequency, Length, Offset, Position};

use super::Shape;
use super::columns::{Columns, KEYS};
use super::record::Record;

/// A longer text is no name and no value.
const LONGEST: usize = 200;

/// What holds for every record.
pub(super) struct Around {
    /// The unit of frequencies that carry none.
    pub(super) unit: &'static str,
    /// Where records are wanted from, and how near.
    pub(super) circle: Option<(Position, Length)>,
    /// What is written.
    pub(super) shape: Shape,
}

/// An entry as it will stand in the scenario.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    /// The line or number of its record.
    pub(super) line: u64,
    /// What reports call it.
    pub(super) place: String,
    /// Keys and texts in the order they are written.
    values: Vec<(&'static str, String)>,
    at: Option<Position>,
}

impl Entry {
    /// Reads a record, or says why it is of no use.
    pub(super) fn of(record: &Record, columns: &Columns, around: &Around) -> Result<Self, String> {
        if let Some(fault) = &record.fault {
            return Err(fault.clone());
        }
        let at = position(record, columns)?;
        if let Some((middle, within)) = around.circle {
            let at = at.ok_or("it has no position, so how near it is cannot be told")?;
            if course(middle, at).distance > within {
                return Err(format!("farther than {within} from {middle}"));
            }
        }
        let mut values = Vec::new();
        for key in KEYS {
            let Some(text) = columns.text(key, record) else {
                continue;
            };
            if text.chars().count() > LONGEST {
                return Err(format!("its {key} is longer than {LONGEST} characters"));
            }
            match key {
                "at" | "latitude" | "longitude" | "shift" => {}
                "output" | "input" | "frequency" if around.shape != Shape::Sites => {
                    values.push((key, frequency(&text, around.unit)?.digits()));
                }
                _ => values.push((key, text)),
            }
        }
        if let Some(shift) = columns.text("shift", record) {
            shifted(&mut values, &shift, around.unit)?;
        }
        let has = |key: &str| values.iter().any(|(known, _)| *known == key);
        match around.shape {
            Shape::Sites if at.is_none() => return Err("it has no position".to_owned()),
            Shape::Sites if !has("name") => return Err("it has no name".to_owned()),
            Shape::Sites => {}
            _ if !(has("frequency") || has("output") || has("input")) => {
                return Err("it has no frequency".to_owned());
            }
            _ => {}
        }
        Ok(Self {
            line: record.line,
            place: record.place.clone(),
            values,
            at,
        })
    }

    /// The entry in a line of YAML.
    fn yaml(&self, shape: Shape) -> String {
        let mut cells: Vec<String> = self
            .values
            .iter()
            .filter(|(key, _)| shape != Shape::Sites || *key != "name")
            .map(|(key, text)| match *key {
                "output" | "input" | "frequency" => format!("{key}: {text}"),
                _ => format!("{key}: {}", quoted(text)),
            })
            .collect();
        if let Some(at) = self.at {
            cells.push(format!("at: [{:.5}, {:.5}]", at.latitude(), at.longitude()));
        }
        let cells = cells.join(", ");
        match shape {
            Shape::Sites => format!("  {}: {{{cells}}}\n", quoted(self.name())),
            _ => format!("  - {{{cells}}}\n"),
        }
    }

    fn name(&self) -> &str {
        let name = self.values.iter().find(|(key, _)| *key == "name");
        name.map_or("", |(_, name)| name)
    }

    fn rename(&mut self, to: String) {
        if let Some((_, name)) = self.values.iter_mut().find(|(key, _)| *key == "name") {
            *name = to;
        }
    }
}

/// A text in quotation marks: what JSON may hold between them, YAML may too.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn position(record: &Record, columns: &Columns) -> Result<Option<Position>, String> {
    let parse = |text: &str| {
        text.parse::<Position>()
            .map(Some)
            .map_err(|error| error.to_string())
    };
    if let Some(at) = columns.text("at", record) {
        return parse(&at);
    }
    match (
        columns.text("latitude", record),
        columns.text("longitude", record),
    ) {
        (Some(latitude), Some(longitude)) => parse(&format!("{latitude}, {longitude}")),
        (None, None) => Ok(None),
        _ => Err("a position needs both latitude and longitude: write both, or neither".to_owned()),
    }
}

fn with_unit(text: &str, unit: &str) -> String {
    if text.ends_with(|last: char| last.is_ascii_digit()) {
        format!("{text} {unit}")
    } else {
        text.to_owned()
    }
}

fn frequency(text: &str, unit: &str) -> Result<Frequency, String> {
    with_unit(text, unit)
        .parse()
        .map_err(|error| format!("{error}"))
}

/// The input of a repeater whose list states how far it lies from the output, or the output where the list has the input.
fn shifted(
    values: &mut Vec<(&'static str, String)>,
    shift: &str,
    unit: &str,
) -> Result<(), String> {
    let stated = |key: &str| values.iter().position(|(known, _)| *known == key);
    let (output, input) = (stated("output"), stated("input"));
    let (Some(known), None) = (output.or(input), output.and(input)) else {
        return if output.is_some() {
            Ok(())
        } else {
            Err("a shift needs an output that it is counted from".to_owned())
        };
    };
    let shift: Offset = with_unit(shift, unit)
        .parse()
        .map_err(|error| format!("{error}"))?;
    let there = frequency(values.get(known).map_or("", |(_, text)| text), "MHz")?;
    let (at, missing, found) = if output.is_some() {
        (known + 1, "input", there + shift)
    } else {
        (known, "output", there - shift)
    };
    if found <= Frequency::hz(0) {
        return Err(format!(
            "shifted by {shift} its {missing} would be below zero"
        ));
    }
    values.insert(at, (missing, found.digits()));
    Ok(())
}

/// Numbers the entries that bear the same name.
pub(super) fn tell_apart(entries: &mut [Entry]) {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for entry in entries {
        let name = entry.name().to_owned();
        if name.is_empty() {
            continue;
        }
        let count = seen.entry(name.clone()).or_default();
        *count += 1;
        if *count > 1 {
            entry.rename(format!("{name} ({count})"));
        }
    }
}

/// The entries as a part of a scenario, one a line.
pub(super) fn list(shape: Shape, entries: &[Entry]) -> String {
    let head = match shape {
        Shape::Sites => "sites:\n",
        Shape::InUse | Shape::Csv => "in_use:\n",
    };
    let lines = entries.iter().map(|entry| entry.yaml(shape));
    std::iter::once(head.to_owned()).chain(lines).collect()
}

/// The entries as a table whose headings are the keys.
pub(super) fn table(entries: &[Entry]) -> String {
    let keys = KEYS.iter().filter(|key| !["at", "shift"].contains(key));
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut is_whole = writer.write_record(keys.clone()).is_ok();
    for entry in entries {
        let cells = keys.clone().map(|key| match (*key, entry.at) {
            ("latitude", Some(at)) => format!("{:.5}", at.latitude()),
            ("longitude", Some(at)) => format!("{:.5}", at.longitude()),
            _ => {
                let value = entry.values.iter().find(|(known, _)| known == key);
                value.map_or_else(String::new, |(_, text)| text.clone())
            }
        });
        is_whole &= writer.write_record(cells).is_ok();
    }
    // Writing to memory does not fail; if it ever did, half a table would be worse than none.
    match writer.into_inner() {
        Ok(bytes) if is_whole => String::from_utf8(bytes).unwrap_or_default(),
        _ => String::new(),
    }
}
