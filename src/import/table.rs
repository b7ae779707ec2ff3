//! A table with a heading (RFC 4180, also with other delimiters).

use std::rc::Rc;

use csv::{ReaderBuilder, StringRecord};

use super::record::Record;
use super::{ImportError, MOST_COLUMNS, MOST_ROWS};
use crate::document::Source;

const DELIMITERS: [u8; 4] = *b",;\t|";

/// The rows of a table, each under its headings.
pub(super) fn records(
    source: &Source,
    delimiter: Option<&str>,
) -> Result<Vec<Record>, ImportError> {
    let (name, text) = (source.name(), source.text());
    let delimiter = match delimiter {
        None => likely(text),
        Some("tab") => b'\t',
        Some(word) => match word.as_bytes() {
            [one] if DELIMITERS.contains(one) => *one,
            _ => {
                return Err(ImportError::new(
                    format_args!("`{word}` is no delimiter"),
                    "use one of `,`, `;`, `|` and `tab`",
                ));
            }
        },
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .from_reader(text.as_bytes());
    let unread = |error: csv::Error| {
        let line = error.position().map_or(1, csv::Position::line);
        ImportError::new(
            format_args!("{name}:{line}:1: this is no row of a table: {error}"),
            "write one row a line, a cell with a delimiter or a line break in quotation marks",
        )
    };
    let headings = reader.headers().map_err(unread)?;
    if headings.len() > MOST_COLUMNS {
        return Err(ImportError::new(
            format_args!(
                "{name}:1:1: {} columns are more than the {MOST_COLUMNS} that are read",
                headings.len()
            ),
            "keep the columns that hold a key, or say what separates them with --delimiter",
        ));
    }
    let headings: Vec<Rc<str>> = headings
        .iter()
        .map(|heading| heading.trim().into())
        .collect();
    let mut records = Vec::new();
    for row in reader.records() {
        let row = row.map_err(unread)?;
        if records.len() >= MOST_ROWS {
            let line = row.position().map_or(1, csv::Position::line);
            let line = usize::try_from(line).unwrap_or(1);
            return Err(ImportError::too_many(name, line, records.len() + 1));
        }
        if row.iter().any(|cell| !cell.trim().is_empty()) {
            records.push(record(&headings, &row));
        }
    }
    Ok(records)
}

fn record(headings: &[Rc<str>], row: &StringRecord) -> Record {
    let line = row.position().map_or(0, csv::Position::line);
    let mut record = Record::new(format!("line {line}"), line);
    if row.len() != headings.len() {
        record.fault = Some(format!(
            "it has {} cells, the heading has {}",
            row.len(),
            headings.len()
        ));
    }
    let cells = headings.iter().zip(row);
    record.fields = cells
        .map(|(heading, cell)| (Rc::clone(heading), cell.trim().to_owned()))
        .collect();
    record
}

/// The delimiter that the heading has most of.
fn likely(text: &str) -> u8 {
    let heading = text.lines().next().unwrap_or("");
    let count = |one: u8| heading.matches(char::from(one)).count();
    // Of those that occur equally often the first is taken, and a comma stands first.
    DELIMITERS
        .into_iter()
        .rev()
        .max_by_key(|&one| count(one))
        .unwrap_or(b',')
}
