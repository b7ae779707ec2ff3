//! How sure a margin is, when the figures behind it spread.

use std::fmt;

use crate::quantity::Decibels;

/// A probability, from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Chance(f64);

impl Chance {
    /// A probability as a fraction, kept between 0 and 1.
    pub const fn fraction(value: f64) -> Self {
        Self(value.max(0.0).min(1.0))
    }

    /// This probability as a fraction.
    pub const fn as_fraction(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Chance {
    /// Whole per cent, with `under 1 %` and `over 99 %` at the ends: certainty is not on offer.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = self.0 * 100.0;
        if percent < 1.0 {
            f.pad("under 1 %")
        } else if percent > 99.0 {
            f.pad("over 99 %")
        } else {
            f.pad(&format!("{percent:.0} %"))
        }
    }
}

/// The chance that a standard normal variable is above `x`: `½·erfc(x/√2)`.
///
/// # Source
/// Definition of the Q function; `erfc` from libm.
///
/// # Example
/// x = 1: 0.1587.
pub fn upper_tail(x: f64) -> Chance {
    Chance::fraction(0.5 * libm::erfc(x / std::f64::consts::SQRT_2))
}

/// The chance that a margin with a normal spread is below zero.
///
/// Without spread it is 0 or 1, and one half at exactly zero.
pub fn chance_below_zero(margin: Decibels, spread: Decibels) -> Chance {
    let (mean, sigma) = (margin.as_db(), spread.as_db().abs());
    if sigma > 0.0 {
        upper_tail(mean / sigma)
    } else if mean == 0.0 {
        Chance::fraction(0.5)
    } else {
        Chance::fraction(f64::from(u8::from(mean < 0.0)))
    }
}

/// The spread of a sum of independent figures: the root of the sum of the squares.
pub fn combined_spread(spreads: impl IntoIterator<Item = Decibels>) -> Decibels {
    let squares: f64 = spreads.into_iter().map(|one| one.as_db().powi(2)).sum();
    Decibels::db(squares.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, table 26.1, normal distribution (from memory): 1 − P(1), 1 − P(2), 1 − P(3).
    #[test]
    fn the_tail_has_the_tabulated_values() {
        for (x, expected) in [
            (0.0, 0.5),
            (1.0, 0.158_655_3),
            (2.0, 0.022_750_1),
            (3.0, 0.001_349_9),
            (-1.0, 0.841_344_7),
        ] {
            assert!((upper_tail(x).as_fraction() - expected).abs() < 1e-7, "{x}");
        }
    }

    #[test]
    fn a_margin_without_spread_is_certain() {
        let chance = |margin| chance_below_zero(Decibels::db(margin), Decibels::ZERO).as_fraction();
        assert!(chance(0.1) < f64::EPSILON && chance(-0.1) > 1.0 - f64::EPSILON);
        assert!((chance(0.0) - 0.5).abs() < f64::EPSILON);
        let spread = combined_spread([Decibels::db(6.0), Decibels::db(8.0)]);
        assert!((spread.as_db() - 10.0).abs() < 1e-12);
    }

    #[test]
    fn certainty_is_not_shown() {
        assert_eq!(upper_tail(9.0).to_string(), "under 1 %");
        assert_eq!(upper_tail(-9.0).to_string(), "over 99 %");
        assert_eq!(upper_tail(1.0).to_string(), "16 %");
    }

    #[test]
    fn one_and_ninety_nine_in_a_hundred_are_told_as_such() {
        let told = |share: f64| Chance::fraction(share).to_string();
        assert_eq!(
            (told(0.009), told(0.01)),
            ("under 1 %".to_owned(), "1 %".to_owned())
        );
        assert_eq!(
            (told(0.99), told(0.991)),
            ("99 %".to_owned(), "over 99 %".to_owned())
        );
    }
}
