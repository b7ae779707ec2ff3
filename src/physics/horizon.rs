//! How far radio sees over a smooth earth.

use crate::quantity::Length;

/// Mean radius of the earth, metres.
///
/// # Source
/// ITU-R P.310 and P.526 take 6371 km (from memory).
pub(super) const EARTH_RADIUS_M: f64 = 6_371_000.0;

/// The factor by which an average atmosphere makes the earth look larger to radio.
///
/// # Source
/// ITU-R P.310: k = 4/3 (from memory).
pub(super) const EFFECTIVE_RADIUS_FACTOR: f64 = 4.0 / 3.0;

/// The distance to the radio horizon of one antenna: `√(2·k·R·h)`, 4.12 km times the root of the metres.
///
/// # Source
/// Geometry with k = 4/3 and R = 6371 km; ITU-R P.526 for the two values (from memory).
///
/// # Example
/// 10 m: 13.03 km.
pub fn radio_horizon(height: Length) -> Length {
    let radius = EFFECTIVE_RADIUS_FACTOR * EARTH_RADIUS_M;
    Length::metres((2.0 * radius * height.as_metres().max(0.0)).sqrt())
}

/// The greatest distance at which two antennas still see each other over a smooth earth.
///
/// # Example
/// 10 m and 1.5 m: 18.08 km.
pub fn line_of_sight(one: Length, other: Length) -> Length {
    Length::metres(radio_horizon(one).as_metres() + radio_horizon(other).as_metres())
}
