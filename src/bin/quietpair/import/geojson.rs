//! The point features of a map in GeoJSON (RFC 7946).

use serde_json::Value;

use super::record::Record;
use crate::failure::Failure;

/// Every feature, with its properties and the place of its point.
pub(super) fn records(text: &str) -> Result<Vec<Record>, Failure> {
    // The parser bounds how deep a document may be nested.
    let document: Value = serde_json::from_str(text).map_err(|error| {
        Failure::input(format_args!("the list is no JSON: {error}")).hint("is it a GeoJSON file?")
    })?;
    let features: Vec<&Value> = match text_of(&document, "type") {
        Some("FeatureCollection") => document
            .get("features")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
            .collect(),
        Some("Feature") => vec![&document],
        _ => {
            return Err(
                Failure::input("the list is JSON, but no GeoJSON with features")
                    .hint("at its top stands `\"type\": \"FeatureCollection\"`"),
            );
        }
    };
    Ok((1..)
        .zip(features)
        .map(|(number, one)| record(number, one))
        .collect())
}

fn record(number: u64, feature: &Value) -> Record {
    let mut record = Record::new("feature", number);
    for (name, value) in feature
        .get("properties")
        .and_then(Value::as_object)
        .into_iter()
        .flatten()
    {
        let text = match value {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            Value::Bool(truth) => if *truth { "yes" } else { "no" }.to_owned(),
            Value::Null | Value::Array(_) | Value::Object(_) => continue,
        };
        record.fields.push((name.clone(), text));
    }
    let geometry = feature.get("geometry").unwrap_or(&Value::Null);
    let coordinates = geometry.get("coordinates").and_then(Value::as_array);
    let coordinates = coordinates.map(Vec::as_slice);
    match text_of(geometry, "type") {
        None => {}
        Some("Point") => match coordinates {
            // Longitude stands first (RFC 7946, 3.1.1).
            Some([longitude, latitude, ..]) if longitude.is_number() && latitude.is_number() => {
                record
                    .fields
                    .push(("latitude".to_owned(), latitude.to_string()));
                record
                    .fields
                    .push(("longitude".to_owned(), longitude.to_string()));
            }
            _ => record.fault = Some("its point has no two coordinates".to_owned()),
        },
        Some(other) => {
            let shape: String = other.chars().take(40).collect();
            record.fault = Some(format!("it is a {shape}, not a point"));
        }
    }
    record
}

fn text_of<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value.get(key).and_then(Value::as_str)
}
