//! What a transmission occupies: bandwidth, and the emission designator that states it.

use std::fmt;
use std::str::FromStr;

use super::decimal::{QuantityError, number_and_unit};
use super::frequency::trimmed;
use super::{Frequency, Offset};

/// A width on the frequency axis, in whole hertz, never negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Bandwidth(i64);

impl Bandwidth {
    /// A width in hertz; a negative one is taken as none.
    pub const fn hz(hertz: i64) -> Self {
        Self(if hertz < 0 { 0 } else { hertz })
    }

    /// This width in hertz.
    pub const fn as_hz(self) -> i64 {
        self.0
    }

    /// Half of it, rounded up.
    pub const fn half(self) -> Offset {
        Offset::hz((self.0 + 1) / 2)
    }

    /// Necessary bandwidth of frequency modulation, `2M + 2DK` with K = 1.
    ///
    /// # Units
    /// - `deviation` D: peak deviation, hertz
    /// - `modulation` M: highest modulating frequency, hertz
    ///
    /// # Source
    /// ITU-R SM.1138 and 47 CFR 2.202(g), frequency-modulated telephony.
    ///
    /// # Example
    /// D 5 kHz, M 3 kHz: 16 kHz.
    pub const fn frequency_modulated(deviation: Self, modulation: Self) -> Self {
        Self(2 * modulation.0 + 2 * deviation.0)
    }

    /// The bandwidth as the first four characters of an emission designator.
    ///
    /// Three significant figures, a half rounded up, the letter at the decimal point.
    ///
    /// # Source
    /// ITU Radio Regulations Appendix 1; 47 CFR 2.202(b).
    pub fn designation(self) -> String {
        let hertz = self.0;
        let mut unit: i64 = 1;
        let mut letters = "HKMG".chars();
        let mut letter = letters.next().unwrap_or('H');
        // The unit is chosen after rounding, so that 999.6 kHz becomes 1M00 and not 1000K.
        while rounded_three(hertz) >= unit * 1000 {
            let Some(next) = letters.next() else { break };
            unit *= 1000;
            letter = next;
        }
        let rounded = rounded_three(hertz);
        let (whole, rest) = (rounded / unit, rounded % unit);
        let whole_digits = whole.to_string();
        let fraction = format!("{:03}", rest * 1000 / unit);
        let kept = 3usize.saturating_sub(whole_digits.len());
        format!(
            "{whole_digits}{letter}{}",
            fraction.get(..kept).unwrap_or("")
        )
    }
}

/// Hertz rounded to three significant figures, a half away from zero.
fn rounded_three(hertz: i64) -> i64 {
    let mut step = 1;
    while hertz / step >= 1000 {
        step *= 10;
    }
    (hertz + step / 2) / step * step
}

impl fmt::Display for Bandwidth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hertz = self.0.unsigned_abs();
        let text = if hertz >= 1_000_000 {
            format!("{} MHz", trimmed(hertz, 1_000_000, 6))
        } else if hertz >= 1_000 {
            format!("{} kHz", trimmed(hertz, 1_000, 3))
        } else {
            format!("{hertz} Hz")
        };
        f.pad(&text)
    }
}

impl FromStr for Bandwidth {
    type Err = QuantityError;

    /// Reads a width with its unit; a bare number is in kilohertz.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "a bandwidth such as \"12.5 kHz\"";
        let (number, unit) = number_and_unit(text);
        let with_unit = if unit.is_empty() {
            format!("{number} kHz")
        } else {
            text.to_owned()
        };
        let width: Frequency = with_unit.parse().map_err(|_| {
            QuantityError::new(format!("`{text}` is not a width; expected {expected}"))
        })?;
        Ok(Self(width.as_hz()))
    }
}

/// An emission: how wide it is, what it carries, and how it is modulated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Emission {
    /// Necessary bandwidth.
    pub bandwidth: Bandwidth,
    /// Peak deviation, for an emission whose frequency or phase is modulated.
    pub deviation: Option<Bandwidth>,
    /// Highest modulating frequency, where the deviation is known.
    pub modulation: Bandwidth,
    /// The three characters of the class of emission, as `F3E`.
    class: [u8; 3],
}

impl Emission {
    /// An angle-modulated emission of the stated deviation and highest modulating frequency.
    pub const fn angle_modulated(
        deviation: Bandwidth,
        modulation: Bandwidth,
        class: [u8; 3],
    ) -> Self {
        Self {
            bandwidth: Bandwidth::frequency_modulated(deviation, modulation),
            deviation: Some(deviation),
            modulation,
            class,
        }
    }

    /// The class of emission, as `F3E`.
    pub fn class(&self) -> &str {
        std::str::from_utf8(&self.class).unwrap_or("")
    }

    /// The whole designator, as `16K0F3E`.
    pub fn designator(&self) -> String {
        format!("{}{}", self.bandwidth.designation(), self.class())
    }
}

impl fmt::Display for Emission {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.designator())
    }
}

impl FromStr for Emission {
    type Err = QuantityError;

    /// Reads a designator such as `16K0F3E`.
    ///
    /// An angle-modulated voice designator states no deviation; half of what 3 kHz of speech leaves of the bandwidth is
    /// taken, which gives back the designator by the formula it was made with.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let expected = "an emission designator such as 16K0F3E";
        let wrong = || QuantityError::new(format!("`{text}` is not {expected}"));
        let (bandwidth, class) = match (text.get(..4), text.get(4..7)) {
            (Some(bandwidth), Some(class)) if text.is_ascii() => (bandwidth, class),
            _ => return Err(wrong()),
        };
        let bandwidth = read_designation(bandwidth).ok_or_else(wrong)?;
        let class: [u8; 3] = class
            .to_ascii_uppercase()
            .as_bytes()
            .try_into()
            .map_err(|_| wrong())?;
        let [modulation_kind, signal, information] = class;
        if !modulation_kind.is_ascii_alphabetic()
            || !signal.is_ascii_alphanumeric()
            || !information.is_ascii_alphabetic()
        {
            return Err(wrong());
        }
        let speech = Bandwidth::hz(3_000);
        let angle =
            matches!(modulation_kind, b'F' | b'G') && bandwidth.as_hz() > 2 * speech.as_hz();
        Ok(Self {
            bandwidth,
            deviation: angle.then(|| Bandwidth::hz(bandwidth.as_hz() / 2 - speech.as_hz())),
            modulation: speech,
            class,
        })
    }
}

/// Reads the bandwidth characters of a designator, as `16K0`, into whole hertz.
fn read_designation(text: &str) -> Option<Bandwidth> {
    let at = text.find(|character: char| !character.is_ascii_digit())?;
    let unit: i64 = match text.as_bytes().get(at)?.to_ascii_uppercase() {
        b'H' => 1,
        b'K' => 1_000,
        b'M' => 1_000_000,
        b'G' => 1_000_000_000,
        _ => return None,
    };
    let (whole, fraction) = (text.get(..at)?, text.get(at + 1..)?);
    // The first character is neither zero nor K, M or G: 47 CFR 2.202(b).
    let starts_well = if at == 0 {
        unit == 1
    } else {
        !whole.starts_with('0')
    };
    if !starts_well || !fraction.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let whole: i64 = if whole.is_empty() {
        0
    } else {
        whole.parse().ok()?
    };
    let scale = 10i64.pow(u32::try_from(fraction.len()).ok()?);
    let fraction: i64 = if fraction.is_empty() {
        0
    } else {
        fraction.parse().ok()?
    };
    if whole == 0 && fraction == 0 {
        return None;
    }
    let hertz = whole * unit + (fraction * unit + scale / 2) / scale;
    // A width below a hertz is written as `H451`; whole hertz have none less than one.
    Some(Bandwidth(hertz.max(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_designator_is_read_and_written_back() {
        for text in [
            "16K0F3E", "11K0F3E", "2K70J3E", "6K00A3E", "100HA1A", "1M25D7W", "7K60FXE",
        ] {
            let emission: Emission = text.parse().unwrap();
            assert_eq!(emission.designator(), text);
        }
    }

    #[test]
    fn speech_deviation_is_what_the_formula_leaves() {
        let emission: Emission = "16K0F3E".parse().unwrap();
        assert_eq!(emission.deviation, Some(Bandwidth::hz(5_000)));
    }

    #[test]
    fn what_is_no_designator_is_refused() {
        for text in [
            "",
            "16K0",
            "K160F3E",
            "0160F3E",
            "16X0F3E",
            "16K0F3",
            "1660F3E",
            "16K0\u{e9}3E",
            "0K16F3E",
            "H000A1A",
        ] {
            assert!(text.parse::<Emission>().is_err(), "{text}");
        }
    }

    #[test]
    fn the_letter_follows_the_rounded_value() {
        assert_eq!(Bandwidth::hz(999_600).designation(), "1M00");
        assert_eq!(Bandwidth::hz(400).designation(), "400H");
        let narrow: Emission = "H451A1A".parse().unwrap();
        assert_eq!(narrow.designator(), "1H00A1A");
    }
}
