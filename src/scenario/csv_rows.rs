//! The rows of a CSV file, each cell with its place.
//!
//! The reader of the `csv` crate tells where a record begins but not where a field does, and a fault must point at the
//! cell; so the fields are split here, by the rules of RFC 4180, and a test holds the two against each other.

use super::crowded::MOST_IN_USE;
use crate::document::{Place, Said, Source};

/// One row: its cells, and where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    /// The cells, quotes taken off and blanks around them too.
    pub(super) cells: Vec<Said<String>>,
    /// The whole row.
    pub(super) place: Place,
}

/// Columns of a file: more than any list has, few enough that a file of delimiters stays small.
const MOST_COLUMNS: usize = 1_000;

/// Why a text is no table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoTable {
    /// A quote is never closed.
    OpenQuote(Place),
    /// More columns than are read.
    TooWide(Place),
    /// More rows than are read.
    TooLong(Place),
}

impl NoTable {
    /// Where it is, what it is, and what to do.
    pub(super) fn tell(self) -> (Place, String, &'static str) {
        match self {
            Self::OpenQuote(place) => (
                place,
                "this quotation mark is never closed".to_owned(),
                "close it, or write it twice where it belongs to the text",
            ),
            Self::TooWide(place) => (
                place,
                format!("this row has more than the {MOST_COLUMNS} columns that are read"),
                "keep the columns that are a key of `in_use`, or say which `delimiter` the file has",
            ),
            Self::TooLong(place) => (
                place,
                format!("this row is beyond the {MOST_IN_USE} that are read"),
                "keep what is near the event, as `quietpair import --near … --within …` does",
            ),
        }
    }
}

/// The rows of a source, without empty ones.
///
/// # Errors
/// A quote that is never closed, more columns or rows than are read.
pub(super) fn rows(source: &Source, delimiter: char) -> Result<Vec<Row>, NoTable> {
    let text = source.text();
    let mut rows = Vec::new();
    let mut cells = Vec::new();
    let mut row_start = 0;
    let mut at = 0;
    while at < text.len() {
        let rest = text.get(at..).unwrap_or("");
        let here = Place {
            start: at,
            end: at + 1,
        };
        let cell = Cell::at(rest, delimiter).ok_or(NoTable::OpenQuote(here))?;
        if cells.len() >= MOST_COLUMNS {
            return Err(NoTable::TooWide(here));
        }
        let place = Place {
            start: at + cell.inside.start,
            end: at + cell.inside.end,
        };
        cells.push(Said::new(cell.text, place));
        at += cell.length;
        let after = text.get(at..).unwrap_or("");
        if let Some(next) = after.strip_prefix(delimiter) {
            at = text.len() - next.len();
            if !next.is_empty() {
                continue;
            }
            let end = Place { start: at, end: at };
            cells.push(Said::new(String::new(), end));
        }
        let row = Row {
            cells: std::mem::take(&mut cells),
            place: Place {
                start: row_start,
                end: at,
            },
        };
        if row
            .cells
            .iter()
            .any(|cell| cell.value().is_some_and(|text| !text.is_empty()))
        {
            // The heading is a row too.
            if rows.len() > MOST_IN_USE {
                return Err(NoTable::TooLong(row.place));
            }
            rows.push(row);
        }
        let after = text.get(at..).unwrap_or("");
        let next = after
            .strip_prefix("\r\n")
            .or_else(|| after.strip_prefix('\n'))
            .or_else(|| after.strip_prefix('\r'))
            .unwrap_or(after);
        at = text.len() - next.len();
        row_start = at;
    }
    Ok(rows)
}

/// One cell at the beginning of a text.
struct Cell {
    text: String,
    /// What the text came from, in bytes from the beginning.
    inside: std::ops::Range<usize>,
    /// Bytes up to the delimiter or the end of the row.
    length: usize,
}

impl Cell {
    /// The first cell; none when its quote is never closed.
    fn at(rest: &str, delimiter: char) -> Option<Self> {
        if let Some(quoted) = rest.strip_prefix('"') {
            let mut text = String::new();
            let mut characters = quoted.char_indices().peekable();
            let closed = loop {
                match characters.next()? {
                    (_, '"') if characters.next_if(|&(_, next)| next == '"').is_some() => {
                        text.push('"');
                    }
                    (end, '"') => break end + 2,
                    (_, other) => text.push(other),
                }
            };
            let after = rest.get(closed..).unwrap_or("");
            let length = closed + end_of_cell(after, delimiter);
            text.push_str(rest.get(closed..length).unwrap_or(""));
            return Some(Self {
                text: text.trim().to_owned(),
                inside: 0..closed,
                length,
            });
        }
        let length = end_of_cell(rest, delimiter);
        let raw = rest.get(..length).unwrap_or("");
        let start = raw.len() - raw.trim_start().len();
        Some(Self {
            text: raw.trim().to_owned(),
            inside: start.min(raw.trim_end().len())..raw.trim_end().len().max(start),
            length,
        })
    }
}

fn end_of_cell(text: &str, delimiter: char) -> usize {
    text.find([delimiter, '\n', '\r']).unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn source(text: &str) -> Option<Source> {
        Source::new("rows.csv", text.as_bytes()).ok()
    }

    #[test]
    fn a_quoted_cell_keeps_its_delimiter_its_quotes_and_its_place() {
        let source = source("mhz,name\r\n145.65,\"Town, \"\"old\"\" one\"\r\n\r\n").unwrap();
        let rows = rows(&source, ',').unwrap();
        assert_eq!(rows.len(), 2);
        let cell = &rows[1].cells[1];
        assert_eq!(cell.value().map(String::as_str), Some("Town, \"old\" one"));
        assert_eq!(source.line(cell.place().start), 2);
        assert_eq!(source.column(cell.place().start), 8);
        assert!(super::rows(&self::source("a,\"b\n").unwrap(), ',').is_err());
    }

    proptest! {
        /// Against the `csv` crate, an independent reader of RFC 4180.
        #[test]
        fn cells_are_those_of_another_reader(
            table in prop::collection::vec(prop::collection::vec("[a-z0-9 ,;\"\n.]{0,6}", 2), 1..6),
        ) {
            let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
            for row in &table {
                writer.write_record(row).unwrap();
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let expected: Vec<Vec<String>> = table
                .iter()
                .map(|row| row.iter().map(|cell| cell.trim().to_owned()).collect::<Vec<_>>())
                .filter(|row: &Vec<String>| row.iter().any(|cell| !cell.is_empty()))
                .collect();
            if let Some(source) = source(&text) {
                let found: Vec<Vec<String>> = rows(&source, ',')
                    .unwrap()
                    .into_iter()
                    .map(|row| row.cells.into_iter().filter_map(Said::into_value).collect())
                    .collect();
                prop_assert_eq!(found, expected);
            }
        }

        #[test]
        fn no_text_makes_it_fail_otherwise_than_by_its_error(text in "\\PC*[\"\r\n,]*\\PC*") {
            if let Some(source) = source(&text) {
                let _ = rows(&source, ',');
            }
        }
    }
}
