//! Distances and heights.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use super::decimal::{QuantityError, finite, number_and_unit};

/// A distance or a height, in metres; finite, and negative only for a height below sea level.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Length(f64);

impl Length {
    /// A length in metres, kept within ±1 000 000 km.
    pub const fn metres(value: f64) -> Self {
        Self(value.max(-1e9).min(1e9))
    }

    /// This length in metres.
    pub const fn as_metres(self) -> f64 {
        self.0
    }

    /// This length in kilometres.
    pub const fn as_km(self) -> f64 {
        self.0 / 1e3
    }

    /// This length to the next tenth of a metre up.
    pub fn rounded_up(self) -> Self {
        Self::metres((self.0 * 10.0).ceil() / 10.0)
    }
}

impl Eq for Length {}
impl Ord for Length {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}
impl PartialOrd for Length {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let metres = self.0;
        let text = if metres.abs() >= 9_950.0 {
            format!("{:.0} km", metres / 1e3)
        } else if metres.abs() >= 995.0 {
            format!("{:.1} km", metres / 1e3)
        } else if metres.abs() >= 9.95 {
            format!("{metres:.0} m")
        } else {
            let text = format!("{metres:.1}");
            format!("{} m", text.strip_suffix(".0").unwrap_or(&text))
        };
        f.pad(&text)
    }
}

impl FromStr for Length {
    type Err = QuantityError;

    /// Reads `m`, `cm`, `km`, `ft` (0.3048 m) or `mi` (1609.344 m); a bare number is in metres.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a length such as \"5 m\", \"6 km\" or \"1500 ft\"";
        let (number, unit) = number_and_unit(text);
        let value = finite(number, expected)?;
        let metres = match unit {
            "" | "m" => value,
            "cm" => value / 100.0,
            "km" => value * 1e3,
            "ft" => value * 0.3048,
            "mi" | "mile" | "miles" => value * 1609.344,
            other => {
                return Err(QuantityError::new(format!(
                    "`{other}` is not a unit of length; expected {expected}"
                )));
            }
        };
        if metres.abs() <= 1e9 {
            Ok(Self(metres))
        } else {
            Err(QuantityError::new(format!(
                "`{text}` is too far: at most 1000000 km"
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_and_miles_are_the_international_ones() {
        let fifteen_hundred: Length = "1500 ft".parse().unwrap();
        assert!((fifteen_hundred.as_metres() - 457.2).abs() < 1e-9);
        let ten: Length = "10 mi".parse().unwrap();
        assert!((ten.as_metres() - 16_093.44).abs() < 1e-9);
        assert!("5 yards".parse::<Length>().is_err());
    }

    #[test]
    fn display_fits_the_size() {
        assert_eq!(Length::metres(2.5).to_string(), "2.5 m");
        assert_eq!(Length::metres(6_240.0).to_string(), "6.2 km");
        assert_eq!(Length::metres(45_000.0).to_string(), "45 km");
    }
}
