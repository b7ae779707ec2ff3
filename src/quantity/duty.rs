//! How much of the time something is on.

use std::fmt;
use std::str::FromStr;

use super::QuantityError;
use super::decimal::{finite, number_and_unit};

/// The share of the time a transmitter is on, from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Duty(f64);

impl Duty {
    /// Always on.
    pub const CONTINUOUS: Self = Self(1.0);

    /// A share as a fraction, kept between 0 and 1.
    pub const fn fraction(value: f64) -> Self {
        Self(value.max(0.0).min(1.0))
    }

    /// This share as a fraction.
    pub const fn as_fraction(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Duty {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.0} %", self.0 * 100.0))
    }
}

impl FromStr for Duty {
    type Err = QuantityError;

    /// Reads `20 %`, or a fraction such as `0.2`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a share of time such as \"20 %\" or 0.2";
        let (number, unit) = number_and_unit(text);
        let value = finite(number, expected)?;
        let fraction = match unit {
            "%" => value / 100.0,
            "" => value,
            _ => f64::NAN,
        };
        if (0.0..=1.0).contains(&fraction) {
            Ok(Self(fraction))
        } else {
            Err(QuantityError::new(format!(
                "`{text}` is not a share from 0 to 100 %; expected {expected}"
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_read_as_per_cent_or_fraction() {
        assert_eq!("20 %".parse(), Ok(Duty::fraction(0.2)));
        assert_eq!("0.2".parse::<Duty>().unwrap().to_string(), "20 %");
        for text in ["20", "101 %", "-1 %", "nan", "", "5 s"] {
            assert!(text.parse::<Duty>().is_err(), "{text}");
        }
    }
}
