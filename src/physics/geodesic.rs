//! Distance and direction between two places on the earth.

use std::fmt;

use geographiclib_rs::{Geodesic, InverseGeodesic};

use crate::quantity::{Length, Position};

/// A direction, in degrees from true north through east, from 0 up to 360.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing(f64);

impl Bearing {
    /// A direction in degrees, brought into one turn.
    pub fn degrees(value: f64) -> Self {
        let turn = value.rem_euclid(360.0);
        // A tiny negative angle comes out as a full turn.
        Self(if turn < 360.0 { turn } else { 0.0 })
    }

    /// This direction in degrees.
    pub const fn as_degrees(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Bearing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:03.0}°", self.0.round() % 360.0))
    }
}

/// The shortest way between two places: how far, and which way to set out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Length of the geodesic.
    pub distance: Length,
    /// Direction at its start.
    pub bearing: Bearing,
}

/// The geodesic from one place to another on the WGS 84 ellipsoid.
///
/// # Source
/// C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), through the geographiclib port.
///
/// # Example
/// One degree of the equator: 111 319.49 m.
pub fn course(from: Position, to: Position) -> Course {
    let (distance, azimuth, _, _): (f64, f64, f64, f64) = Geodesic::wgs84().inverse(
        from.latitude(),
        from.longitude(),
        to.latitude(),
        to.longitude(),
    );
    Course {
        distance: Length::metres(distance),
        bearing: Bearing::degrees(azimuth),
    }
}

/// The direction of a place from the middle of the earth, on a sphere: what chords are taken between.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spoke([f64; 3]);

impl Spoke {
    /// The spoke to a place.
    pub fn to(at: Position) -> Self {
        let (latitude, longitude) = (at.latitude().to_radians(), at.longitude().to_radians());
        let across = latitude.cos();
        Self([
            across * longitude.cos(),
            across * longitude.sin(),
            latitude.sin(),
        ])
    }
}

/// The straight line between two places through the earth, a little short: never more than the geodesic.
///
/// Taken on the sphere of the polar radius, which lies inside the ellipsoid.
///
/// # Source
/// Spherical geometry; polar radius of WGS 84, 6 356 752 m, less the 1 % by which geographic and geocentric latitude can
/// make it too long.
///
/// # Example
/// One degree of the equator: 109.8 km.
pub fn chord(Spoke(from): Spoke, Spoke(to): Spoke) -> Length {
    let squares: f64 = from
        .into_iter()
        .zip(to)
        .map(|(one, other)| (one - other).powi(2))
        .sum();
    Length::metres(6_356_752.0 * 0.99 * squares.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bearing_is_one_turn_and_shows_three_digits() {
        assert_eq!(Bearing::degrees(-90.0).to_string(), "270°");
        assert_eq!(Bearing::degrees(359.6).to_string(), "000°");
        assert_eq!(Bearing::degrees(-1e-20).to_string(), "000°");
        assert_eq!(Bearing::degrees(7.2).to_string(), "007°");
    }

    #[test]
    fn a_place_is_no_distance_from_itself() {
        let here = Position::degrees(54.4, -0.5).unwrap();
        assert_eq!(course(here, here).distance, Length::metres(0.0));
    }

    #[test]
    fn the_chord_is_never_longer_than_the_geodesic() {
        for from in [(0.0, 0.0), (54.4, -0.5), (-33.0, 151.0), (89.9, 10.0)] {
            for step in [1e-4, 0.01, 0.7, 9.0, 80.0] {
                for (north, east) in [(step, 0.0), (0.0, step), (-step, step)] {
                    let one = Position::degrees(from.0, from.1).unwrap();
                    let to = ((from.0 + north).clamp(-90.0, 90.0), from.1 + east);
                    let Ok(other) = Position::degrees(to.0, to.1) else {
                        continue;
                    };
                    assert!(
                        chord(Spoke::to(one), Spoke::to(other)) <= course(one, other).distance,
                        "{one} {other}"
                    );
                }
            }
        }
    }

    /// The polar radius of WGS 84, less a hundredth; half a turn along the equator is through the middle.
    #[test]
    fn the_chord_is_straight_and_a_hundredth_short() {
        let at = |north: f64, east: f64| Position::degrees(north, east).unwrap();
        let radius = 6_356_752.0 * 0.99;
        for (one, other, radii) in [
            (at(0.0, 0.0), at(0.0, 180.0), 2.0),
            (at(90.0, 0.0), at(-90.0, 0.0), 2.0),
            (at(0.0, 0.0), at(0.0, 90.0), 2.0f64.sqrt()),
            (at(0.0, 10.0), at(90.0, 0.0), 2.0f64.sqrt()),
            (at(45.0, -90.0), at(45.0, 90.0), 2.0f64.sqrt()),
            (at(-30.0, 20.0), at(30.0, 20.0), 1.0),
            (at(60.0, 0.0), at(60.0, 180.0), 1.0),
        ] {
            assert!(
                (chord(Spoke::to(one), Spoke::to(other)).as_metres() - radii * radius).abs() < 1.0,
                "{radii}"
            );
        }
    }

    #[test]
    fn a_whole_turn_is_none() {
        assert_eq!(Bearing::degrees(360.0), Bearing::degrees(0.0));
        assert_eq!(Bearing::degrees(-1e-20), Bearing::degrees(0.0));
    }
}
