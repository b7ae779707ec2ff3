//! Tables computed once by general-purpose libraries; each file's head names the package, its version and the call.

use std::str::FromStr;

use quietpair::physics::geodesic::course;
use quietpair::physics::path::{self, Environment, PathEnd, PathGeometry, Polarisation};
use quietpair::quantity::{Frequency, Length, Position};

/// The rows of a table, each field read as asked.
fn rows(name: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(format!("tests/reference/{name}.csv"))
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    let rows: Vec<Vec<String>> = reader
        .records()
        .flatten()
        .map(|row| row.iter().map(str::to_owned).collect())
        .collect();
    assert!(rows.len() > 8, "{name} has only {} rows", rows.len());
    rows
}

fn read<T: FromStr>(row: &[String], index: usize) -> T {
    row.get(index)
        .and_then(|field| field.parse().ok())
        .unwrap_or_else(|| panic!("field {index} of {row:?}"))
}

fn level_path(megahertz: i64, metres: f64, heights: [f64; 2]) -> PathGeometry {
    PathGeometry {
        frequency: Frequency::hz(megahertz * 1_000_000),
        distance: Length::metres(metres),
        ends: heights.map(|height| PathEnd {
            antenna: Length::metres(height),
            ground: Length::metres(0.0),
        }),
        polarisation: Polarisation::Vertical,
        environment: Environment::Open,
        obstacle: None,
    }
}

fn loss(id: &str, path: &PathGeometry) -> f64 {
    let model = path::ALL.iter().find(|model| model.id == id);
    model
        .and_then(|model| (model.loss)(path))
        .unwrap_or_else(|| panic!("{id} says nothing"))
        .loss
        .as_db()
}

#[test]
fn free_space_agrees_with_another_library() {
    for row in rows("free_space") {
        let path = level_path(read(&row, 0), read(&row, 1), [10.0, 10.0]);
        let expected: f64 = read(&row, 2);
        assert!(
            (loss("free-space", &path) - expected).abs() < 1e-4,
            "{row:?}"
        );
    }
}

#[test]
fn diffraction_over_a_smooth_earth_agrees_with_another_library() {
    for row in rows("smooth_earth") {
        let polarisation = match row.get(4).map(String::as_str) {
            Some("horizontal") => Polarisation::Horizontal,
            _ => Polarisation::Vertical,
        };
        let path = PathGeometry {
            polarisation,
            ..level_path(
                read(&row, 0),
                read::<f64>(&row, 3) * 1e3,
                [read(&row, 1), read(&row, 2)],
            )
        };
        let found = loss("smooth-earth", &path) - loss("free-space", &path);
        let expected: f64 = read(&row, 5);
        assert!((found - expected).abs() < 0.01, "{row:?}: {found}");
    }
}

#[test]
fn distance_and_bearing_agree_with_another_library() {
    for row in rows("geodesic") {
        let place = |at| Position::degrees(read(&row, at), read(&row, at + 1)).ok();
        let (Some(from), Some(to)) = (place(0), place(2)) else {
            panic!("{row:?} names no places");
        };
        let found = course(from, to);
        let (metres, bearing): (f64, f64) = (read(&row, 4), read(&row, 5));
        assert!(
            (found.distance.as_metres() - metres).abs() < 1e-3,
            "{row:?}: {found:?}"
        );
        assert!(
            (found.bearing.as_degrees() - bearing).abs() < 1e-6,
            "{row:?}: {found:?}"
        );
    }
}
