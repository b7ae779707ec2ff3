//! Frequencies and their differences, in whole hertz.

use std::fmt;
use std::ops::{Add, AddAssign, Neg, Sub};
use std::str::FromStr;

use super::decimal::{QuantityError, decimal_scaled, number_and_unit};

/// The highest frequency a text may name, 300 GHz: sums of a few multiples of it stay far inside 64 bits.
const HIGHEST_HZ: i64 = 300_000_000_000;

/// A place on the frequency axis, in whole hertz.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Frequency(i64);

impl Frequency {
    /// A frequency in hertz.
    pub const fn hz(hertz: i64) -> Self {
        Self(hertz)
    }

    /// This frequency in hertz.
    pub const fn as_hz(self) -> i64 {
        self.0
    }

    /// This frequency in megahertz, for formulas that take a logarithm of it.
    pub fn as_mhz(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// The wavelength in free space, in metres.
    ///
    /// # Source
    /// c = 299 792 458 m/s, exact by definition of the metre (SI Brochure, 9th edition).
    pub fn wavelength_m(self) -> f64 {
        299_792_458.0 / (self.0.max(1) as f64)
    }

    /// This frequency multiplied by a whole number, as a harmonic is.
    pub const fn times(self, coefficient: i64) -> Self {
        Self(self.0 * coefficient)
    }

    /// The digits in megahertz without the unit: four decimals, more when needed to be exact.
    pub fn digits(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let magnitude = self.0.unsigned_abs();
        let (whole, fraction) = (magnitude / 1_000_000, magnitude % 1_000_000);
        let six = format!("{fraction:06}");
        let kept = six.trim_end_matches('0').len().max(4);
        format!("{sign}{whole}.{}", six.get(..kept).unwrap_or(&six))
    }
}

impl fmt::Display for Frequency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} MHz", self.digits()))
    }
}

impl FromStr for Frequency {
    type Err = QuantityError;

    /// Reads megahertz, or a number with `Hz`, `kHz`, `MHz` or `GHz`, as decimal digits.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let hertz = hertz(text, "a frequency such as 145.2250 or \"433450 kHz\"", 6)?;
        if (1..=HIGHEST_HZ).contains(&hertz) {
            Ok(Self(hertz))
        } else {
            let unit = if number_and_unit(text).1.is_empty() {
                "; a number without a unit is in megahertz"
            } else {
                ""
            };
            Err(QuantityError::new(format!(
                "`{text}` is outside the radio spectrum: from 1 Hz to 300 GHz{unit}"
            )))
        }
    }
}

/// Reads hertz; a bare number is in units of `10^bare_places` hertz.
fn hertz(text: &str, expected: &str, bare_places: usize) -> Result<i64, QuantityError> {
    let (number, unit) = number_and_unit(text);
    let places = match unit {
        "" => bare_places,
        "Hz" | "hz" => 0,
        "kHz" | "khz" | "KHz" => 3,
        "MHz" | "mhz" | "Mhz" => 6,
        "GHz" | "ghz" | "Ghz" => 9,
        other => {
            return Err(QuantityError::new(format!(
                "`{other}` is not a unit of frequency (Hz, kHz, MHz, GHz); expected {expected}"
            )));
        }
    };
    decimal_scaled(number, places)
        .map_err(|error| QuantityError::new(format!("{error}; expected {expected}")))
}

/// A difference between two frequencies, in whole hertz; it may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Offset(i64);

impl Offset {
    /// An offset in hertz.
    pub const fn hz(hertz: i64) -> Self {
        Self(hertz)
    }

    /// This offset in hertz.
    pub const fn as_hz(self) -> i64 {
        self.0
    }

    /// Its size without the sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl fmt::Display for Offset {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "−" } else { "" };
        let magnitude = self.0.unsigned_abs();
        let text = if magnitude >= 1_000_000 {
            format!("{sign}{} MHz", trimmed(magnitude, 1_000_000, 6))
        } else if magnitude >= 1_000 {
            format!("{sign}{} kHz", trimmed(magnitude, 1_000, 3))
        } else {
            format!("{sign}{magnitude} Hz")
        };
        f.pad(&text)
    }
}

/// `magnitude / unit` in digits, without trailing zeros.
pub(super) fn trimmed(magnitude: u64, unit: u64, places: usize) -> String {
    let (whole, fraction) = (magnitude / unit, magnitude % unit);
    if fraction == 0 {
        return whole.to_string();
    }
    let digits = format!("{fraction:0places$}");
    format!("{whole}.{}", digits.trim_end_matches('0'))
}

impl FromStr for Offset {
    type Err = QuantityError;

    /// Reads a number with `Hz`, `kHz` or `MHz`; a bare number is in megahertz.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let hertz = hertz(text, "a spacing such as \"12.5 kHz\"", 6)?;
        if hertz.abs() <= HIGHEST_HZ {
            Ok(Self(hertz))
        } else {
            Err(QuantityError::new(format!(
                "`{text}` is larger than the radio spectrum: at most 300 GHz"
            )))
        }
    }
}

impl Sub for Frequency {
    type Output = Offset;
    fn sub(self, other: Self) -> Offset {
        Offset(self.0 - other.0)
    }
}

impl Add<Offset> for Frequency {
    type Output = Self;
    fn add(self, offset: Offset) -> Self {
        Self(self.0 + offset.0)
    }
}

impl Sub<Offset> for Frequency {
    type Output = Self;
    fn sub(self, offset: Offset) -> Self {
        Self(self.0 - offset.0)
    }
}

impl AddAssign<Offset> for Frequency {
    fn add_assign(&mut self, offset: Offset) {
        self.0 += offset.0;
    }
}

impl Neg for Offset {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Add for Offset {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

/// How far a carrier may be from where it says it is, in whole parts per billion of its frequency.
///
/// Parts per billion, so that `2.5 ppm` is exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Tolerance(i64);

impl Tolerance {
    /// A tolerance in parts per billion.
    pub const fn ppb(parts: i64) -> Self {
        Self(parts)
    }

    /// The most a carrier of this frequency can be off, rounded up to whole hertz.
    pub fn of(self, frequency: Frequency) -> Offset {
        let product = i128::from(frequency.as_hz().unsigned_abs()) * i128::from(self.0);
        Offset(i64::try_from((product + 999_999_999) / 1_000_000_000).unwrap_or(i64::MAX / 4))
    }
}

impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} ppm", trimmed(self.0.unsigned_abs(), 1_000, 3)))
    }
}

impl FromStr for Tolerance {
    type Err = QuantityError;

    /// Reads parts per million, with or without `ppm`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a tolerance such as \"2.5 ppm\"";
        let (number, unit) = number_and_unit(text);
        if !matches!(unit, "" | "ppm") {
            return Err(QuantityError::new(format!(
                "`{unit}` is not a unit of tolerance; expected {expected}"
            )));
        }
        let parts = decimal_scaled(number, 3)
            .map_err(|error| QuantityError::new(format!("{error}; expected {expected}")))?;
        if (0..=1_000_000).contains(&parts) {
            Ok(Self(parts))
        } else {
            Err(QuantityError::new(format!(
                "`{text}` is no tolerance: from 0 to 1000 ppm"
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_gives_the_same_hertz() {
        for text in [
            "145.5",
            "145.500",
            "145.500 MHz",
            "145500 kHz",
            "145500000 Hz",
            "0.1455 GHz",
            "145.5MHz",
        ] {
            assert_eq!(text.parse(), Ok(Frequency::hz(145_500_000)), "{text}");
        }
        assert_eq!("446.00625".parse(), Ok(Frequency::hz(446_006_250)));
    }

    #[test]
    fn what_is_no_frequency_is_refused() {
        for text in [
            "",
            "145,500",
            "145.1234567",
            "-145.5",
            "0",
            "145.5 mHz",
            "145.5 ppm",
            "12:30",
            "301000",
            ".inf",
            "nan",
        ] {
            assert!(text.parse::<Frequency>().is_err(), "{text}");
        }
    }

    #[test]
    fn display_keeps_four_decimals_and_more_when_needed() {
        assert_eq!(Frequency::hz(145_225_000).to_string(), "145.2250 MHz");
        assert_eq!(Frequency::hz(446_006_250).to_string(), "446.00625 MHz");
        assert_eq!(Offset::hz(-12_500).to_string(), "−12.5 kHz");
        assert_eq!(Offset::hz(1_600_000).to_string(), "1.6 MHz");
    }

    #[test]
    fn a_tolerance_is_rounded_up_to_whole_hertz() {
        let tolerance: Tolerance = "2.5 ppm".parse().unwrap();
        assert_eq!(tolerance.of(Frequency::hz(145_225_000)), Offset::hz(364));
        assert_eq!(tolerance.to_string(), "2.5 ppm");
    }
}
