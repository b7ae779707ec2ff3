//! Rows of a CSV file as the words of entries, by the columns that the user names.

use std::cell::Cell;
use std::fmt::Display;
use std::str::FromStr;

use super::csv_rows::{self, Row};
use super::desk::{Desk, FileId, Spot, Stated};
use super::names;
use super::read::{Files, named_file};
use super::words::{ColumnWords, InUseWords};
use crate::document::Said;
use crate::quantity::{Position, QuantityError};

/// What one row says.
pub(super) struct RowWords {
    /// The file it is in.
    pub(super) file: FileId,
    /// Where it is.
    pub(super) spot: Spot,
    /// What it says.
    pub(super) words: InUseWords,
    /// Whether every cell could be read.
    pub(super) is_whole: bool,
}

/// The rows of the file that an entry names; everything wrong with them is told.
pub(super) fn rows(shared: &InUseWords, files: &dyn Files, desk: &mut Desk) -> Vec<RowWords> {
    let Some(path) = Stated::in_scenario(shared.from.as_ref()) else {
        return Vec::new();
    };
    let delimiter = match Stated::in_scenario(shared.delimiter.as_ref()) {
        None => ',',
        Some(word) => match (word.value.as_str(), word.value.chars().next()) {
            ("tab", _) => '\t',
            (one, Some(only)) if one.len() == only.len_utf8() && ",;|\t".contains(only) => only,
            _ => {
                desk.tell(
                    word.spot,
                    format!(
                        "`{}` is no delimiter; use one of `,`, `;`, `|` and `tab`",
                        word.value
                    ),
                );
                return Vec::new();
            }
        },
    };
    let Some(source) = named_file(&path, files, desk) else {
        return Vec::new();
    };
    let file = desk.open(&source);
    let rows = match csv_rows::rows(&source, delimiter) {
        Ok(rows) => rows,
        Err(error) => {
            let (place, message, help) = error.tell();
            desk.tell_with_help(Spot::of(file, place), message, help);
            return Vec::new();
        }
    };
    let Some((header, rows)) = rows.split_first() else {
        return Vec::new();
    };
    if rows.is_empty() {
        desk.tell_with_help(
            path.spot,
            format!("`{}` has a heading but no rows", path.value),
            "write one row for each neighbour, or leave the entry out",
        );
    }
    let columns = Columns::new(shared, header, &path, desk);
    rows.iter()
        .filter_map(|row| {
            let spot = Spot::of(file, row.place);
            if row.cells.len() != header.cells.len() {
                desk.tell_with_help(
                    spot,
                    format!(
                        "this row has {} cells, the heading has {}",
                        row.cells.len(),
                        header.cells.len()
                    ),
                    "write a cell with a delimiter in it in quotation marks, and as many cells as the heading has",
                );
                return None;
            }
            let cells = Cells {
                row,
                file,
                is_whole: Cell::new(true),
            };
            let words = cells.words(&columns, desk);
            Some(RowWords {
                file,
                spot,
                words,
                is_whole: cells.is_whole.get(),
            })
        })
        .collect()
}

/// For each key, the index of its column.
#[derive(Debug, Default)]
struct Columns {
    name: Option<usize>,
    output: Option<usize>,
    input: Option<usize>,
    frequency: Option<usize>,
    mode: Option<usize>,
    service: Option<usize>,
    erp: Option<usize>,
    eirp: Option<usize>,
    power: Option<usize>,
    at: Option<usize>,
    latitude: Option<usize>,
    longitude: Option<usize>,
    distance: Option<usize>,
    antenna: Option<usize>,
    ground: Option<usize>,
    tone: Option<usize>,
    output_tone: Option<usize>,
    hang: Option<usize>,
    time_out: Option<usize>,
    duty: Option<usize>,
}

impl Columns {
    fn new(shared: &InUseWords, header: &Row, path: &Stated<String>, desk: &mut Desk) -> Self {
        let headings: Vec<&str> = header
            .cells
            .iter()
            .map(|cell| cell.value().map_or("", String::as_str))
            .collect();
        let words = shared.columns.as_ref().and_then(Said::value);
        let is_mapped = shared.columns.is_some();
        let mut index = |key: &str, said: &dyn Fn(&ColumnWords) -> &Option<Said<String>>| {
            if !is_mapped {
                // Without a mapping, headings that are keys are taken as such.
                return headings.iter().position(|heading| *heading == key);
            }
            let wanted = Stated::in_scenario(said(words?).as_ref())?;
            let kind = format!("column in {}", path.value);
            names::find(&kind, &wanted, &headings, desk)
        };
        let columns = Self {
            name: index("name", &|words| &words.name),
            output: index("output", &|words| &words.output),
            input: index("input", &|words| &words.input),
            frequency: index("frequency", &|words| &words.frequency),
            mode: index("mode", &|words| &words.mode),
            service: index("service", &|words| &words.service),
            erp: index("erp", &|words| &words.erp),
            eirp: index("eirp", &|words| &words.eirp),
            power: index("power", &|words| &words.power),
            at: index("at", &|words| &words.at),
            latitude: index("latitude", &|words| &words.latitude),
            longitude: index("longitude", &|words| &words.longitude),
            distance: index("distance", &|words| &words.distance),
            antenna: index("antenna", &|words| &words.antenna),
            ground: index("ground", &|words| &words.ground),
            tone: index("tone", &|words| &words.tone),
            output_tone: index("output_tone", &|words| &words.output_tone),
            hang: index("hang", &|words| &words.hang),
            time_out: index("time_out", &|words| &words.time_out),
            duty: index("duty", &|words| &words.duty),
        };
        if !is_mapped
            && columns
                .frequency
                .or(columns.output)
                .or(columns.input)
                .is_none()
        {
            desk.tell_with_help(
                path.spot,
                format!("no heading of `{}` is a frequency", path.value),
                format!(
                    "say which column holds it, as in `columns: {{frequency: {}}}`",
                    headings.first().copied().unwrap_or("mhz")
                ),
            );
        }
        columns
    }
}

/// The cells of one row.
struct Cells<'r> {
    row: &'r Row,
    file: FileId,
    is_whole: Cell<bool>,
}

impl Cells<'_> {
    fn words(&self, columns: &Columns, desk: &mut Desk) -> InUseWords {
        InUseWords {
            name: self.text(columns.name),
            output: self.quantity(columns.output, desk),
            input: self.quantity(columns.input, desk),
            frequency: self.quantity(columns.frequency, desk),
            mode: self.text(columns.mode),
            service: self.text(columns.service),
            erp: self.quantity(columns.erp, desk),
            eirp: self.quantity(columns.eirp, desk),
            power: self.quantity(columns.power, desk),
            at: self.position(columns, desk),
            distance: self.quantity(columns.distance, desk),
            antenna: self.quantity(columns.antenna, desk),
            ground: self.quantity(columns.ground, desk),
            tone: self.text(columns.tone),
            output_tone: self.text(columns.output_tone),
            hang: self.text(columns.hang),
            time_out: self.text(columns.time_out),
            duty: self.text(columns.duty),
            ..InUseWords::default()
        }
    }

    /// The text of a cell; an empty one says nothing.
    fn text(&self, column: Option<usize>) -> Option<Said<String>> {
        let cell = self.row.cells.get(column?)?;
        cell.value()
            .is_some_and(|text| !text.is_empty())
            .then(|| cell.clone())
    }

    fn quantity<T: FromStr<Err = QuantityError>>(
        &self,
        column: Option<usize>,
        desk: &mut Desk,
    ) -> Option<Said<T>> {
        let cell = self.text(column)?;
        self.read(&cell, str::parse, desk)
    }

    fn read<T, E: Display>(
        &self,
        cell: &Said<String>,
        parse: impl FnOnce(&str) -> Result<T, E>,
        desk: &mut Desk,
    ) -> Option<Said<T>> {
        match parse(cell.value()?) {
            Ok(value) => Some(Said::new(value, cell.place())),
            Err(error) => {
                self.is_whole.set(false);
                desk.tell(Spot::of(self.file, cell.place()), error.to_string());
                None
            }
        }
    }

    /// A position in one column, or in one for each coordinate.
    fn position(&self, columns: &Columns, desk: &mut Desk) -> Option<Said<Position>> {
        if let Some(at) = self.quantity(columns.at, desk) {
            return Some(at);
        }
        let latitude = self.text(columns.latitude);
        let longitude = self.text(columns.longitude);
        match (latitude, longitude) {
            (Some(latitude), Some(longitude)) => {
                let both = format!("{}, {}", latitude.value()?, longitude.value()?);
                self.read(&latitude, |_| both.parse::<Position>(), desk)
            }
            (Some(one), None) | (None, Some(one)) => {
                desk.tell(
                    Spot::of(self.file, one.place()),
                    "a position needs both latitude and longitude: write both, or neither",
                );
                None
            }
            (None, None) => None,
        }
    }
}
