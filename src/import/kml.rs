//! The placemarks of a map in KML (OGC 12-007).

use std::fmt::Display;

use quick_xml::Reader;
use quick_xml::events::attributes::AttrError;
use quick_xml::events::{BytesStart, Event};

use super::record::Record;
use super::{ImportError, MOST_COLUMNS, MOST_ROWS};
use crate::document::Source;

/// Deeper nesting is no map.
const DEEPEST: usize = 64;

/// Every placemark, with its name, description, extended data and the place of its point.
pub(super) fn records(source: &Source) -> Result<Vec<Record>, ImportError> {
    let mut reader = Reader::from_str(source.text());
    let mut walk = Walk::default();
    loop {
        // Where the next element begins, should it be wrong.
        let here = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let wrong = |at: usize, message: &dyn Display, help: &str| {
            let at = at.min(source.text().len());
            let (line, column) = (source.line(at), source.column(at));
            let name = source.name();
            ImportError::new(format_args!("{name}:{line}:{column}: {message}"), help)
        };
        let event = reader.read_event().map_err(|error| {
            let at = usize::try_from(reader.error_position()).unwrap_or(usize::MAX);
            wrong(at, &format_args!("the list is no XML: {error}"), NO_XML)
        })?;
        let no_xml =
            |error: &dyn Display| wrong(here, &format_args!("the list is no XML: {error}"), NO_XML);
        match event {
            Event::Eof if walk.open.is_empty() && walk.is_kml => return Ok(walk.records),
            Event::Eof if walk.is_kml => {
                let open = walk.open.last().map_or("", String::as_str);
                let message = format_args!("the list ends inside `{}`", short(open));
                return Err(wrong(
                    here,
                    &message,
                    "save the map again: its end is missing",
                ));
            }
            Event::Eof => {
                let message = &"the list is no KML";
                return Err(wrong(
                    0,
                    message,
                    "use a file whose outermost element is `kml`",
                ));
            }
            Event::DocType(_) => {
                return Err(wrong(
                    here,
                    &"the list declares a document type, which KML does not",
                    "take the <!DOCTYPE …> out if you trust the file",
                ));
            }
            Event::Start(element) => walk
                .open(&element, source.line(here) as u64)
                .map_err(|error| no_xml(&error))?,
            Event::Empty(element) => {
                walk.open(&element, source.line(here) as u64)
                    .map_err(|error| no_xml(&error))?;
                walk.close();
            }
            Event::End(_) => walk.close(),
            Event::Text(piece) => walk.text += &piece,
            Event::CData(piece) => walk.text += &piece,
            Event::GeneralRef(name) => {
                let name: &str = &name;
                walk.text += &quick_xml::escape::unescape(&format!("&{name};"))
                    .map_err(|error| no_xml(&error))?;
            }
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
        if walk.open.len() > DEEPEST {
            let message = format_args!("the list is nested more than {DEEPEST} deep");
            return Err(wrong(
                here,
                &message,
                "no map needs that; take elements out",
            ));
        }
        if walk.records.len() > MOST_ROWS {
            let line = source.line(here);
            return Err(ImportError::too_many(
                source.name(),
                line,
                walk.records.len(),
            ));
        }
    }
}

/// What mends a file that is no XML.
const NO_XML: &str =
    "use a KML file as the map wrote it; one that ends in .kmz has to be unpacked first";

/// The name of an element, not without end.
fn short(name: &str) -> String {
    name.chars().take(40).collect()
}

/// Where in the map the reader is.
#[derive(Debug, Default)]
struct Walk {
    records: Vec<Record>,
    is_kml: bool,
    /// The elements that are open, outermost first.
    open: Vec<String>,
    /// The text since the last beginning or end.
    text: String,
    /// The placemark that is open.
    placemark: Option<Record>,
    /// The name of the data that is open.
    data: String,
}

impl Walk {
    fn open(&mut self, element: &BytesStart<'_>, line: u64) -> Result<(), AttrError> {
        let name = element.local_name().as_ref().to_owned();
        self.is_kml |= self.open.is_empty() && name == "kml";
        match name.as_str() {
            "Placemark" => {
                let number = self.records.len() as u64 + 1;
                self.placemark = Some(Record::new(format!("placemark {number}"), line));
            }
            "Data" | "SimpleData" => {
                let named = element.try_get_attribute("name")?;
                self.data = named.map_or_else(String::new, |named| named.value.into_owned());
            }
            _ => {}
        }
        self.open.push(name);
        self.text.clear();
        Ok(())
    }

    fn close(&mut self) {
        let name = self.open.pop().unwrap_or_default();
        let text = std::mem::take(&mut self.text).trim().to_owned();
        let around = self.open.last().map_or("", String::as_str);
        if name == "Placemark" {
            self.records.extend(self.placemark.take());
            return;
        }
        let Some(record) = &mut self.placemark else {
            return;
        };
        match (around, name.as_str()) {
            _ if record.fields.len() >= MOST_COLUMNS => {}
            ("Placemark", "name" | "description") => record.put(&name, text),
            ("Data", "value") | (_, "SimpleData") => {
                record.put(&std::mem::take(&mut self.data), text);
            }
            ("Point", "coordinates") => place(record, &text),
            (shape @ ("LineString" | "LinearRing"), "coordinates") => {
                record.fault = Some(format!("it is a {shape}, not a point"));
            }
            _ => {}
        }
    }
}

/// Longitude stands first, then latitude, then perhaps a height.
fn place(record: &mut Record, text: &str) {
    let mut numbers = text.split(',').map(str::trim);
    match (numbers.next(), numbers.next()) {
        (Some(longitude), Some(latitude)) => {
            record.put("latitude", latitude.to_owned());
            record.put("longitude", longitude.to_owned());
        }
        _ => record.fault = Some("its point has no two coordinates".to_owned()),
    }
}
