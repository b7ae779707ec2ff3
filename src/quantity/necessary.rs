//! Necessary bandwidth of the modulations that are not frequency-modulated speech.

use std::str::FromStr;

use super::Bandwidth;
use super::decimal::{QuantityError, decimal_scaled, number_and_unit};

/// How many symbols a second are sent, in whole thousandths of a baud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SymbolRate(i64);

/// The fastest rate a text may name, in thousandths of a baud: a gigabaud.
const FASTEST: i64 = 1_000_000_000_000;

impl FromStr for SymbolRate {
    type Err = QuantityError;

    /// Reads `45.45 Bd`, or a bare number of baud.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = || {
            QuantityError::new(format!(
                "`{text}` is not a symbol rate; expected one such as \"45.45 Bd\""
            ))
        };
        let (number, unit) = number_and_unit(text);
        let rate = decimal_scaled(number, 3).map_err(|_| wrong())?;
        let is_rate = matches!(unit, "" | "Bd" | "bd") && (1..=FASTEST).contains(&rate);
        is_rate.then_some(Self(rate)).ok_or_else(wrong)
    }
}

impl Bandwidth {
    /// Necessary bandwidth of double-sideband amplitude modulation: `2M`.
    ///
    /// # Source
    /// ITU-R SM.1138 (from memory).
    pub const fn amplitude_modulated(modulation: Self) -> Self {
        Self::hz(modulation.as_hz().saturating_mul(2))
    }

    /// Necessary bandwidth of a single sideband with suppressed carrier: highest less lowest modulating frequency.
    ///
    /// # Source
    /// ITU-R SM.1138 and 47 CFR 2.202(g): second-hand.
    pub const fn single_sideband(highest: Self, lowest: Self) -> Self {
        Self::hz(highest.as_hz().saturating_sub(lowest.as_hz()))
    }

    /// Necessary bandwidth of on-off keying: `B·K`, K = 5 where the signal fades, rounded to the nearest hertz.
    ///
    /// # Source
    /// ITU-R SM.1138 and 47 CFR 2.202(g): second-hand. Twenty-five words a minute are 20 Bd.
    pub const fn keyed(rate: SymbolRate) -> Self {
        Self::hz(rate.0.saturating_mul(5).saturating_add(500) / 1_000)
    }

    /// Necessary bandwidth of frequency-shift keying: `2M + 2DK` with M half the rate, D half the shift and K = 1.2, rounded
    /// to the nearest hertz.
    ///
    /// # Source
    /// ITU-R SM.1138: second-hand.
    ///
    /// # Example
    /// 45.45 Bd, shift 170 Hz: 249 Hz.
    pub const fn shift_keyed(rate: SymbolRate, shift: Self) -> Self {
        let thousandths = rate.0.saturating_add(shift.as_hz().saturating_mul(1_200));
        Self::hz(thousandths.saturating_add(500) / 1_000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_is_read_exactly_and_nonsense_refused() {
        let rate: SymbolRate = "45.45 Bd".parse().unwrap();
        assert_eq!(rate, SymbolRate(45_450));
        assert_eq!(
            Bandwidth::shift_keyed(rate, Bandwidth::hz(170)).as_hz(),
            249
        );
        for text in ["", "0", "-5 Bd", "5 W", "1.2345 Bd", "1e9"] {
            assert!(text.parse::<SymbolRate>().is_err(), "{text}");
        }
    }
}
