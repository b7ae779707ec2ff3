//! The point features of a map in GeoJSON (RFC 7946).

use serde_json::Value;

use super::record::Record;
use super::{ImportError, MOST_COLUMNS, MOST_ROWS};
use crate::document::Source;

/// Every feature, with its properties and the place of its point.
pub(super) fn records(source: &Source) -> Result<Vec<Record>, ImportError> {
    let name = source.name();
    // The parser bounds how deep a document may be nested.
    let document: Value = serde_json::from_str(source.text()).map_err(|error| {
        let (line, column) = (error.line().max(1), error.column().max(1));
        let reason = error.to_string();
        // The place stands in front, as it does elsewhere.
        let reason = reason.split(" at line ").next().unwrap_or("").to_owned();
        ImportError::new(
            format_args!("{name}:{line}:{column}: the list is no JSON: {reason}"),
            "use a GeoJSON file as the map wrote it, or name another kind with --kind",
        )
    })?;
    let features: &[Value] = match text_of(&document, "type") {
        Some("FeatureCollection") => document
            .get("features")
            .and_then(Value::as_array)
            .map_or(&[], Vec::as_slice),
        Some("Feature") => std::slice::from_ref(&document),
        _ => {
            return Err(ImportError::new(
                format_args!("{name}:1:1: the list is JSON, but no GeoJSON with features"),
                "write `\"type\": \"FeatureCollection\"` at its top, with the points under `features`",
            ));
        }
    };
    if features.len() > MOST_ROWS {
        return Err(ImportError::too_many(name, 1, features.len()));
    }
    Ok((1..)
        .zip(features)
        .map(|(number, one)| record(number, one))
        .collect())
}

fn record(number: u64, feature: &Value) -> Record {
    let mut record = Record::new(format!("feature {number}"), 1);
    for (name, value) in feature
        .get("properties")
        .and_then(Value::as_object)
        .into_iter()
        .flatten()
        .take(MOST_COLUMNS)
    {
        let text = match value {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            Value::Bool(truth) => if *truth { "yes" } else { "no" }.to_owned(),
            Value::Null | Value::Array(_) | Value::Object(_) => continue,
        };
        record.put(name, text);
    }
    let geometry = feature.get("geometry").unwrap_or(&Value::Null);
    let coordinates = geometry.get("coordinates").and_then(Value::as_array);
    let coordinates = coordinates.map(Vec::as_slice);
    match text_of(geometry, "type") {
        None => {}
        Some("Point") => match coordinates {
            // Longitude stands first (RFC 7946, 3.1.1).
            Some([longitude, latitude, ..]) if longitude.is_number() && latitude.is_number() => {
                record.put("latitude", latitude.to_string());
                record.put("longitude", longitude.to_string());
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
