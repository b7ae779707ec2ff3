//! The placemarks of a map in KML (OGC 12-007).

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::record::Record;
use crate::failure::Failure;

/// Deeper nesting is no map.
const DEEPEST: usize = 64;

/// Every placemark, with its name, description, extended data and the place of its point.
pub(super) fn records(text: &str) -> Result<Vec<Record>, Failure> {
    let mut reader = Reader::from_str(text);
    let mut walk = Walk::default();
    loop {
        let event = reader.read_event().map_err(|error| {
            let at = usize::try_from(reader.error_position()).unwrap_or(usize::MAX);
            let line = text.get(..at).unwrap_or(text).matches('\n').count() + 1;
            Failure::input(format_args!("line {line} of the list is no XML: {error}"))
                .hint("is it a KML file? One that ends in .kmz has to be unpacked first")
        })?;
        match event {
            Event::Eof if walk.open.is_empty() && walk.is_kml => return Ok(walk.records),
            Event::Eof if walk.is_kml => return Err(Failure::input("the list ends in the middle")),
            Event::Eof => {
                return Err(
                    Failure::input("the list is no KML").hint("its outermost element is `kml`")
                );
            }
            Event::DocType(_) => {
                return Err(Failure::input(
                    "the list declares a document type, which KML does not",
                )
                .hint("take the <!DOCTYPE …> out if you trust the file"));
            }
            Event::Start(element) => walk.open(&element)?,
            Event::Empty(element) => {
                walk.open(&element)?;
                walk.close();
            }
            Event::End(_) => walk.close(),
            Event::Text(piece) => walk.text += &piece,
            Event::CData(piece) => walk.text += &piece,
            Event::GeneralRef(name) => {
                let name: &str = &name;
                walk.text +=
                    &quick_xml::escape::unescape(&format!("&{name};")).map_err(Failure::input)?;
            }
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
    }
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
    fn open(&mut self, element: &BytesStart<'_>) -> Result<(), Failure> {
        let name = element.local_name().as_ref().to_owned();
        self.is_kml |= self.open.is_empty() && name == "kml";
        match name.as_str() {
            "Placemark" => {
                let number = self.records.len() as u64 + 1;
                self.placemark = Some(Record::new("placemark", number));
            }
            "Data" | "SimpleData" => {
                let named = element.try_get_attribute("name").map_err(Failure::input)?;
                self.data = named.map_or_else(String::new, |named| named.value.into_owned());
            }
            _ => {}
        }
        self.open.push(name);
        self.text.clear();
        if self.open.len() > DEEPEST {
            return Err(Failure::input(format_args!(
                "the list is nested more than {DEEPEST} deep"
            )));
        }
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
            ("Placemark", "name" | "description") => record.fields.push((name, text)),
            ("Data", "value") | (_, "SimpleData") => {
                record.fields.push((std::mem::take(&mut self.data), text));
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
            record
                .fields
                .push(("latitude".to_owned(), latitude.to_owned()));
            record
                .fields
                .push(("longitude".to_owned(), longitude.to_owned()));
        }
        _ => record.fault = Some("its point has no two coordinates".to_owned()),
    }
}
