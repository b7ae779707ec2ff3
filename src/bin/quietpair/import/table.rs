//! A table with a heading (RFC 4180, also with other delimiters).

use csv::{ReaderBuilder, StringRecord};

use super::record::Record;
use crate::failure::Failure;

const DELIMITERS: [u8; 4] = *b",;\t|";

/// The rows of a table, each under its headings.
pub(super) fn records(text: &str, delimiter: Option<&str>) -> Result<Vec<Record>, Failure> {
    let delimiter = match delimiter {
        None => likely(text),
        Some("tab") => b'\t',
        Some(word) => match word.as_bytes() {
            [one] if DELIMITERS.contains(one) => *one,
            _ => {
                return Err(Failure::input(format_args!("`{word}` is no delimiter"))
                    .hint("it is one of `,`, `;`, `|` and `tab`"));
            }
        },
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .from_reader(text.as_bytes());
    let headings = reader.headers().map_err(Failure::input)?.clone();
    let mut records = Vec::new();
    for row in reader.records() {
        let row = row.map_err(Failure::input)?;
        if row.iter().any(|cell| !cell.trim().is_empty()) {
            records.push(record(&headings, &row));
        }
    }
    Ok(records)
}

fn record(headings: &StringRecord, row: &StringRecord) -> Record {
    let line = row.position().map_or(0, csv::Position::line);
    let mut record = Record::new("line", line);
    if row.len() != headings.len() {
        record.fault = Some(format!(
            "it has {} cells, the heading has {}",
            row.len(),
            headings.len()
        ));
    }
    let cells = headings.iter().zip(row);
    record.fields = cells
        .map(|(heading, cell)| (heading.trim().to_owned(), cell.trim().to_owned()))
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
