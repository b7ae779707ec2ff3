//! Decimal digits into whole units, without a float on the way.

use thiserror::Error;

/// Why a text is not the quantity it should be: what was expected, in words a planner can act on.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct QuantityError {
    message: String,
}

impl QuantityError {
    /// An error whose message says what was found and what was expected.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
        }
    }
}

/// Reads decimal digits as a whole number of units of `10^-places`.
///
/// `"145.0125"` with 6 places is `145_012_500`. Nothing is rounded: a digit finer than the unit is an error.
///
/// # Errors
/// Not a plain decimal number, finer than the unit, or too large for 64 bits.
pub fn decimal_scaled(text: &str, places: usize) -> Result<i64, QuantityError> {
    let plain = || {
        let comma = if text.contains(',') {
            " (write a point for the comma)"
        } else {
            ""
        };
        QuantityError::new(format!(
            "`{text}` is not a plain decimal number such as 145.2250{comma}"
        ))
    };
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(fraction) || digits.ends_with('.') {
        return Err(plain());
    }
    let fraction = fraction.trim_end_matches('0');
    if fraction.len() > places {
        return Err(QuantityError::new(format!(
            "`{text}` has more decimals than can be kept: {places} at most in this unit"
        )));
    }
    let mut value: i64 = 0;
    let padding = std::iter::repeat_n(b'0', places - fraction.len());
    for byte in whole.bytes().chain(fraction.bytes()).chain(padding) {
        value = value
            .checked_mul(10)
            .and_then(|value| value.checked_add(i64::from(byte - b'0')))
            .ok_or_else(|| QuantityError::new(format!("`{text}` is too large")))?;
    }
    Ok(sign * value)
}

/// Splits `"12.5 kHz"` into its number and its unit; the unit is empty when none is written.
pub(super) fn number_and_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|&(at, character)| {
            !(character.is_ascii_digit()
                || matches!(character, '.' | ',' | '+' | '-')
                || (matches!(character, 'e' | 'E') && is_exponent(text, at)))
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, unit) = text.split_at(end);
    (number.trim(), unit.trim())
}

/// Whether the `e` at `at` stands between a digit and a signed or unsigned digit, as in `1e9`.
fn is_exponent(text: &str, at: usize) -> bool {
    let before = text.get(..at).and_then(|head| head.chars().next_back());
    let mut after = text.get(at + 1..).unwrap_or("").chars();
    let next = match after.next() {
        Some('+' | '-') => after.next(),
        other => other,
    };
    before.is_some_and(|character| character.is_ascii_digit())
        && next.is_some_and(|character| character.is_ascii_digit())
}

/// Reads a finite floating-point number, for quantities that are not exact.
pub(super) fn finite(text: &str, expected: &str) -> Result<f64, QuantityError> {
    if text.is_empty() {
        return Err(QuantityError::new(format!(
            "there is no number here; expected {expected}"
        )));
    }
    text.parse::<f64>()
        .ok()
        .filter(|value| value.is_finite())
        .ok_or_else(|| QuantityError::new(format!("`{text}` is not a number; expected {expected}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_kept_exactly() {
        assert_eq!(decimal_scaled("145.0125", 6), Ok(145_012_500));
        assert_eq!(decimal_scaled("24192.123456", 6), Ok(24_192_123_456));
        assert_eq!(decimal_scaled("145.500000000", 6), Ok(145_500_000));
        assert_eq!(decimal_scaled("-0.6", 6), Ok(-600_000));
    }

    #[test]
    fn what_is_not_a_plain_number_is_refused() {
        for text in [
            "",
            ".",
            "1.",
            ".5",
            "145,5",
            "1_000",
            "0x91",
            "1e3",
            "145.1234567",
            "99999999999999999999",
            "--1",
            "1.2.3",
        ] {
            assert!(decimal_scaled(text, 6).is_err(), "{text}");
        }
    }
}
