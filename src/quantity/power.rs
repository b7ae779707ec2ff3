//! Power in watts, as it is written on a radio.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use super::decimal::{QuantityError, finite, number_and_unit};
use super::{Decibels, Level};

/// Gain of a half-wave dipole over an isotropic radiator, in dB, for ERP to EIRP.
///
/// # Source
/// Antenna theory: directivity 1.64, 10·log₁₀ 1.64 = 2.15 (ITU-R BS.561, RR No. 1.161 and 1.162: from memory).
pub(super) const DIPOLE_GAIN_DB: f64 = 2.15;

/// A power in watts, above zero and at most a gigawatt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Power(f64);

impl Power {
    /// A power in watts, kept between a femtowatt and a gigawatt.
    pub const fn watts(value: f64) -> Self {
        Self(value.max(1e-15).min(1e9))
    }

    /// This power in watts.
    pub const fn as_watts(self) -> f64 {
        self.0
    }

    /// The same power as a level.
    pub fn level(self) -> Level {
        Level::milliwatts(self.0 * 1e3)
    }

    /// The power of a level.
    pub fn of_level(level: Level) -> Self {
        Self::watts(level.as_milliwatts() / 1e3)
    }

    /// Effective radiated power (over a half-wave dipole) as the power into an isotropic radiator.
    pub const fn dipole_over_isotropic() -> Decibels {
        Decibels::db(DIPOLE_GAIN_DB)
    }
}

impl Eq for Power {}
impl Ord for Power {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}
impl PartialOrd for Power {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Power {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let watts = self.0;
        let text = if watts >= 99.95 {
            format!("{watts:.0} W")
        } else if watts >= 1.0 {
            let text = format!("{watts:.1}");
            format!("{} W", text.strip_suffix(".0").unwrap_or(&text))
        } else if watts >= 1e-3 {
            format!(
                "{} mW",
                format!("{:.1}", watts * 1e3).trim_end_matches(".0")
            )
        } else if watts >= 1e-6 {
            format!("{:.3} µW", watts * 1e6)
        } else {
            format!("{:.3} nW", watts * 1e9)
        };
        f.pad(&text)
    }
}

impl FromStr for Power {
    type Err = QuantityError;

    /// Reads `25 W`, `500 mW`, `1.5 kW`, `2 nW`, `0.25 uW` or `44 dBm`; a bare number is in watts.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a power such as \"25 W\", \"500 mW\" or \"44 dBm\"";
        let (number, unit) = number_and_unit(text);
        let value = finite(number, expected)?;
        let watts = match unit {
            "" | "W" | "w" => value,
            "mW" => value * 1e-3,
            "uW" | "µW" | "μW" => value * 1e-6,
            "nW" => value * 1e-9,
            "kW" => value * 1e3,
            "dBm" | "dbm" => Level::dbm(value).as_milliwatts() / 1e3,
            "dBW" | "dbw" => Level::dbm(value + 30.0).as_milliwatts() / 1e3,
            other => {
                return Err(QuantityError::new(format!(
                    "`{other}` is not a unit of power; expected {expected}"
                )));
            }
        };
        if (1e-15..=1e9).contains(&watts) {
            Ok(Self(watts))
        } else {
            Err(QuantityError::new(format!(
                "`{text}` is not a power above zero and up to 1 GW; expected {expected}"
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_of_a_power_is_read() {
        assert_eq!("25".parse(), Ok(Power::watts(25.0)));
        assert_eq!("500 mW".parse(), Ok(Power::watts(0.5)));
        assert_eq!("2 nW".parse(), Ok(Power::watts(2e-9)));
        let ten: Power = "40 dBm".parse().unwrap();
        assert!((ten.as_watts() - 10.0).abs() < 1e-9);
        for text in ["0", "-5 W", "nan", "inf W", "5 V", "", "2 GW"] {
            assert!(text.parse::<Power>().is_err(), "{text}");
        }
    }

    #[test]
    fn display_is_what_a_planner_would_write() {
        assert_eq!(Power::watts(25.0).to_string(), "25 W");
        assert_eq!(Power::watts(0.5).to_string(), "500 mW");
        assert_eq!(Power::watts(6.1).to_string(), "6.1 W");
        assert_eq!(Power::watts(1500.0).to_string(), "1500 W");
    }
}
