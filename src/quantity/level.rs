//! Levels in dBm and ratios in dB, kept apart.

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};
use std::str::FromStr;

use super::decimal::{QuantityError, finite, number_and_unit};

/// No level or ratio is larger than this in size; whatever arithmetic gives, the value stays finite.
const LIMIT: f64 = 1e6;

/// Keeps a value finite: not-a-number and anything below the limit become the lower limit.
const fn bounded(value: f64) -> f64 {
    value.max(-LIMIT).min(LIMIT)
}

/// One decimal with a true minus sign, and no minus before zero.
fn one_decimal(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    if rounded < 0.0 {
        format!("−{:.1}", -rounded)
    } else {
        format!("{:.1}", rounded.abs())
    }
}

/// A power level, in dB above one milliwatt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level(f64);

impl Level {
    /// A level in dBm.
    pub const fn dbm(value: f64) -> Self {
        Self(bounded(value))
    }

    /// This level in dBm.
    pub const fn as_dbm(self) -> f64 {
        self.0
    }

    /// This level in milliwatts.
    pub fn as_milliwatts(self) -> f64 {
        10f64.powf(self.0 / 10.0)
    }

    /// The level of a power in milliwatts; none at all is the lowest level there is.
    pub fn milliwatts(power: f64) -> Self {
        Self::dbm(10.0 * power.max(0.0).log10())
    }

    /// The level that a voltage in microvolts across a matched 50 Ω load stands for: `20·log₁₀(µV) − 107` (rounded
    /// constant of −106.9897 dBm for 1 µV).
    pub fn microvolts(voltage: f64) -> Self {
        Self::milliwatts(voltage * voltage * 1e-12 / 50.0 * 1e3)
    }
}

/// A ratio of two powers, in dB. A loss or a rejection is positive where its name says loss or rejection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decibels(f64);

impl Decibels {
    /// No change.
    pub const ZERO: Self = Self(0.0);

    /// A ratio in dB.
    pub const fn db(value: f64) -> Self {
        Self(bounded(value))
    }

    /// This ratio in dB.
    pub const fn as_db(self) -> f64 {
        self.0
    }

    /// The ratio of two powers, in dB.
    pub fn of_power(ratio: f64) -> Self {
        Self::db(10.0 * ratio.max(0.0).log10())
    }

    /// This ratio as a ratio of powers.
    pub fn as_power(self) -> f64 {
        10f64.powf(self.0 / 10.0)
    }
}

/// The level of several independent powers together.
///
/// Levels do not add; powers do. An empty list is the lowest level there is.
pub fn power_sum(levels: impl IntoIterator<Item = Level>) -> Level {
    Level::milliwatts(levels.into_iter().map(Level::as_milliwatts).sum())
}

impl Sub for Level {
    type Output = Decibels;
    fn sub(self, other: Self) -> Decibels {
        Decibels::db(self.0 - other.0)
    }
}

impl Add<Decibels> for Level {
    type Output = Self;
    fn add(self, ratio: Decibels) -> Self {
        Self::dbm(self.0 + ratio.0)
    }
}

impl Sub<Decibels> for Level {
    type Output = Self;
    fn sub(self, ratio: Decibels) -> Self {
        Self::dbm(self.0 - ratio.0)
    }
}

impl Add for Decibels {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::db(self.0 + other.0)
    }
}

impl Sub for Decibels {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::db(self.0 - other.0)
    }
}

impl Neg for Decibels {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Decibels {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::db(self.0 * factor)
    }
}

impl std::iter::Sum for Decibels {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, Add::add)
    }
}

// Neither type can hold a NaN, so the order is total.
impl Eq for Level {}
impl Ord for Level {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}
impl PartialOrd for Level {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Eq for Decibels {}
impl Ord for Decibels {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}
impl PartialOrd for Decibels {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} dBm", one_decimal(self.0)))
    }
}

impl fmt::Display for Decibels {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} dB", one_decimal(self.0)))
    }
}

impl FromStr for Level {
    type Err = QuantityError;

    /// Reads `-116 dBm` or `0.35 uV` (across 50 Ω); the unit is required.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a level such as \"-116 dBm\" or \"0.35 uV\"";
        let (number, unit) = number_and_unit(text);
        let value = finite(number, expected)?;
        match unit {
            "dBm" | "dbm" => Ok(Self::dbm(value)),
            "uV" | "µV" | "μV" if value > 0.0 => Ok(Self::microvolts(value)),
            _ => Err(QuantityError::new(format!(
                "`{text}` is not a level; expected {expected}"
            ))),
        }
    }
}

impl FromStr for Decibels {
    type Err = QuantityError;

    /// Reads a number of decibels, with or without `dB`, `dBi`, `dBd` (2.15 dB more) or `dBc`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a ratio such as \"6 dB\"";
        let (number, unit) = number_and_unit(text);
        let value = finite(number, expected)?;
        if value.abs() > 1000.0 {
            return Err(QuantityError::new(format!(
                "`{text}` is no ratio of this world: from -1000 dB to 1000 dB"
            )));
        }
        match unit {
            "" | "dB" | "db" | "dBi" | "dBc" => Ok(Self::db(value)),
            "dBd" => Ok(Self::db(value + super::power::DIPOLE_GAIN_DB)),
            _ => Err(QuantityError::new(format!(
                "`{unit}` is not a ratio in dB; expected {expected}"
            ))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_equal_powers_are_three_decibels_more() {
        let sum = power_sum([Level::dbm(-100.0), Level::dbm(-100.0)]);
        assert!((sum.as_dbm() + 96.9897).abs() < 1e-3);
        assert_eq!(power_sum([]), Level::dbm(f64::NEG_INFINITY));
    }

    #[test]
    fn no_arithmetic_makes_a_nan() {
        let lowest = Level::dbm(f64::NEG_INFINITY);
        assert!((lowest - lowest).as_db().is_finite());
        assert!(Level::dbm(f64::NAN).as_dbm().is_finite());
        assert!(Decibels::of_power(-1.0).as_db().is_finite());
    }

    #[test]
    fn display_rounds_and_never_shows_minus_zero() {
        assert_eq!(Level::dbm(-51.64).to_string(), "−51.6 dBm");
        assert_eq!(Decibels::db(-0.04).to_string(), "0.0 dB");
    }

    #[test]
    fn a_level_needs_its_unit() {
        assert_eq!("-116 dBm".parse(), Ok(Level::dbm(-116.0)));
        assert!("-116".parse::<Level>().is_err());
        assert!("0 uV".parse::<Level>().is_err());
        assert_eq!("-6".parse(), Ok(Decibels::db(-6.0)));
        assert!("1e9 dB".parse::<Decibels>().is_err());
    }
}
