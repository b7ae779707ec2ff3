//! Where a station is, as latitude and longitude or as a Maidenhead locator.

use std::fmt;
use std::str::FromStr;

use super::decimal::{QuantityError, finite};

/// A point on the WGS 84 ellipsoid, in degrees; north and east are positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    latitude: f64,
    longitude: f64,
}

impl Position {
    /// A point from its latitude and longitude in degrees.
    ///
    /// # Errors
    /// Latitude beyond ±90°, longitude beyond ±180°, or not a number.
    pub fn degrees(latitude: f64, longitude: f64) -> Result<Self, QuantityError> {
        if !(-90.0..=90.0).contains(&latitude) {
            return Err(QuantityError::new(format!(
                "latitude {latitude} is out of range: from −90 to 90 degrees"
            )));
        }
        if !(-180.0..=180.0).contains(&longitude) {
            return Err(QuantityError::new(format!(
                "longitude {longitude} is out of range: from −180 to 180 degrees"
            )));
        }
        Ok(Self {
            latitude,
            longitude,
        })
    }

    /// Degrees north of the equator.
    pub const fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees east of Greenwich.
    pub const fn longitude(self) -> f64 {
        self.longitude
    }
}

impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.4}, {:.4}", self.latitude, self.longitude))
    }
}

/// A Maidenhead locator of 4, 6, 8 or 10 characters; as a position it stands for the middle of its field.
///
/// # Source
/// IARU Region 1 VHF Managers, Maidenhead 1980 (from memory): 20° × 10° fields, divided by 10, 24, 10, 24.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Locator {
    centre: Position,
}

impl Locator {
    /// The middle of the field it names.
    pub const fn centre(self) -> Position {
        self.centre
    }

    /// The locator of a position with `pairs` pairs of characters (1 to 5).
    pub fn of(position: Position, pairs: usize) -> String {
        let mut east = (position.longitude + 180.0).min(359.999_999_999) / 20.0;
        let mut north = (position.latitude + 90.0).min(179.999_999_999) / 10.0;
        let mut text = String::new();
        for pair in 0..pairs.clamp(1, 5) {
            let (first, parts) = alphabet(pair);
            for value in [east, north] {
                // The value is between 0 and the number of parts, so the conversion is exact.
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let index = value.clamp(0.0, f64::from(parts) - 1.0) as u8;
                text.push(char::from(first + index));
            }
            let next = f64::from(alphabet(pair + 1).1);
            east = east.fract() * next;
            north = north.fract() * next;
        }
        text
    }
}

/// First character and number of parts of the pair at `index` (0 based).
const fn alphabet(index: usize) -> (u8, u8) {
    match index {
        0 => (b'A', 18),
        index if index % 2 == 1 => (b'0', 10),
        _ => (b'a', 24),
    }
}

impl FromStr for Locator {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = || {
            QuantityError::new(format!(
                "`{text}` is not a Maidenhead locator such as IO94ql"
            ))
        };
        if !text.is_ascii() || !matches!(text.len(), 4 | 6 | 8 | 10) {
            return Err(wrong());
        }
        let (mut east, mut north) = (0.0, 0.0);
        let (mut east_size, mut north_size) = (360.0, 180.0);
        for (index, pair) in text.as_bytes().chunks_exact(2).enumerate() {
            let (first, parts) = alphabet(index);
            let &[east_character, north_character] = pair else {
                return Err(wrong());
            };
            east_size /= f64::from(parts);
            north_size /= f64::from(parts);
            for (character, size, sum) in [
                (east_character, east_size, &mut east),
                (north_character, north_size, &mut north),
            ] {
                let folded = if first == b'a' {
                    character.to_ascii_lowercase()
                } else {
                    character.to_ascii_uppercase()
                };
                let value = folded
                    .checked_sub(first)
                    .filter(|&value| value < parts)
                    .ok_or_else(wrong)?;
                *sum += f64::from(value) * size;
            }
        }
        let centre = Position::degrees(
            north + north_size / 2.0 - 90.0,
            east + east_size / 2.0 - 180.0,
        )?;
        Ok(Self { centre })
    }
}

impl FromStr for Position {
    type Err = QuantityError;

    /// Reads a locator, or latitude and longitude in degrees with a comma between.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text.split_once(',') {
            Some((latitude, longitude)) => {
                let expected = "latitude and longitude such as [54.4150, -0.5320]";
                Self::degrees(
                    finite(latitude.trim(), expected)?,
                    finite(longitude.trim(), expected)?,
                )
            }
            None => Ok(text.trim().parse::<Locator>()?.centre()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_locator_is_the_middle_of_its_field() {
        let centre = "JJ00aa".parse::<Locator>().unwrap().centre();
        assert!((centre.longitude() - 1.0 / 24.0).abs() < 1e-9, "{centre}");
        assert!((centre.latitude() - 1.0 / 48.0).abs() < 1e-9, "{centre}");
    }

    #[test]
    fn a_position_gives_back_its_locator() {
        for text in ["IO94ql", "JO62qn37", "AA00", "RR99xx", "JO62qn37bc"] {
            let centre = text.parse::<Locator>().unwrap().centre();
            assert_eq!(Locator::of(centre, text.len() / 2), text);
        }
    }

    #[test]
    fn positions_beyond_the_globe_are_refused() {
        for text in [
            "91, 0", "0, 181", "nan, 0", "ZZ00", "IO9", "IO94q", "IO94qz", "54.4",
        ] {
            assert!(text.parse::<Position>().is_err(), "{text}");
        }
    }
}
