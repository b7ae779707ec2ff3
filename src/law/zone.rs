//! Stretches of the map that a rule holds in.

use geographiclib_rs::{Geodesic, InverseGeodesic};

use crate::quantity::{Length, Position};

/// A named stretch of the map.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// What it is called in a sentence.
    pub name: String,
    /// Its parts; a place is inside when any of them holds it.
    pub shapes: Vec<Shape>,
}

/// One part of a zone.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Everything within a distance of a point, along the ellipsoid.
    Circle {
        /// The middle.
        centre: Position,
        /// How far it reaches.
        radius: Length,
    },
    /// Between two parallels and two meridians; west may be east of east, across the date line.
    Box {
        /// The south-western corner.
        south_west: Position,
        /// The north-eastern corner.
        north_east: Position,
    },
    /// Inside a ring of corners, joined by straight lines in latitude and longitude, not across the date line.
    Polygon(Vec<Position>),
}

impl Zone {
    /// Whether a place lies inside, edges included.
    pub fn holds(&self, place: Position) -> bool {
        self.shapes.iter().any(|shape| shape.holds(place))
    }
}

impl Shape {
    /// Whether a place lies inside, edges of circles and boxes included.
    pub fn holds(&self, place: Position) -> bool {
        match self {
            Self::Circle { centre, radius } => distance(*centre, place) <= *radius,
            Self::Box {
                south_west,
                north_east,
            } => {
                let (west, east) = (south_west.longitude(), north_east.longitude());
                let longitude = place.longitude();
                let between = if west <= east {
                    (west..=east).contains(&longitude)
                } else {
                    longitude >= west || longitude <= east
                };
                between
                    && (south_west.latitude()..=north_east.latitude()).contains(&place.latitude())
            }
            Self::Polygon(corners) => is_inside(corners, place),
        }
    }
}

/// Length of the shortest way along the WGS 84 ellipsoid.
fn distance(one: Position, other: Position) -> Length {
    let metres: f64 = Geodesic::wgs84().inverse(
        one.latitude(),
        one.longitude(),
        other.latitude(),
        other.longitude(),
    );
    Length::metres(metres)
}

/// Whether a ray from the place eastward crosses the ring an odd number of times.
fn is_inside(corners: &[Position], place: Position) -> bool {
    let Some(last) = corners.last() else {
        return false;
    };
    let mut inside = false;
    let mut before = last;
    for corner in corners {
        if (corner.latitude() > place.latitude()) != (before.latitude() > place.latitude()) {
            let share =
                (place.latitude() - corner.latitude()) / (before.latitude() - corner.latitude());
            let crossing = corner.longitude() + share * (before.longitude() - corner.longitude());
            if place.longitude() < crossing {
                inside = !inside;
            }
        }
        before = corner;
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(latitude: f64, longitude: f64) -> Position {
        Position::degrees(latitude, longitude).unwrap()
    }

    /// One degree of the equator is 111 319.491 m (WGS 84: the published geodesic of the reference library).
    #[test]
    fn a_circle_ends_at_its_radius() {
        let circle = |metres| Shape::Circle {
            centre: at(0.0, 0.0),
            radius: Length::metres(metres),
        };
        assert!(circle(111_319.492).holds(at(0.0, 1.0)));
        assert!(!circle(111_319.490).holds(at(0.0, 1.0)));
    }

    #[test]
    fn a_box_may_cross_the_date_line() {
        let across = Shape::Box {
            south_west: at(-10.0, 170.0),
            north_east: at(10.0, -170.0),
        };
        assert!(across.holds(at(0.0, 179.0)) && across.holds(at(0.0, -175.0)));
        assert!(!across.holds(at(0.0, 0.0)) && !across.holds(at(11.0, 180.0)));
    }

    #[test]
    fn a_polygon_holds_what_its_ring_goes_round() {
        let ring = Shape::Polygon(vec![at(0.0, 0.0), at(0.0, 2.0), at(2.0, 2.0), at(1.0, 1.0)]);
        assert!(ring.holds(at(0.5, 1.0)) && !ring.holds(at(1.5, 1.0)));
        assert!(!ring.holds(at(0.5, 3.0)) && !ring.holds(at(0.5, -1.0)));
        assert!(!Shape::Polygon(Vec::new()).holds(at(0.0, 0.0)));
    }
}
