//! A stretch of the frequency axis.

use std::fmt;
use std::str::FromStr;

use super::decimal::QuantityError;
use super::{Bandwidth, Frequency, Offset};

/// From one frequency to another, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The lower edge.
    pub low: Frequency,
    /// The upper edge, never below the lower one.
    pub high: Frequency,
}

impl Span {
    /// The stretch between two frequencies, in either order.
    pub fn between(one: Frequency, other: Frequency) -> Self {
        Self {
            low: one.min(other),
            high: one.max(other),
        }
    }

    /// `width` centred on `centre`; an odd hertz goes to both sides.
    pub fn around(centre: Frequency, width: Bandwidth) -> Self {
        let half = Offset::hz((width.as_hz() + 1) / 2);
        Self {
            low: centre - half,
            high: centre + half,
        }
    }

    /// The same stretch with `by` more on either side.
    pub fn widened(self, by: Offset) -> Self {
        Self::between(self.low - by, self.high + by)
    }

    /// Whether a frequency lies inside, edges included.
    pub fn contains(self, frequency: Frequency) -> bool {
        self.low <= frequency && frequency <= self.high
    }

    /// Whether the whole of `other` lies inside, edges included.
    pub fn holds(self, other: Self) -> bool {
        self.low <= other.low && other.high <= self.high
    }

    /// Whether the two share more than an edge.
    pub fn overlaps(self, other: Self) -> bool {
        self.low < other.high && other.low < self.high
    }

    /// From the lower to the upper edge.
    pub fn width(self) -> Offset {
        self.high - self.low
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}–{}", self.low.digits(), self.high))
    }
}

impl FromStr for Span {
    type Err = QuantityError;

    /// Reads two frequencies with a dash between them; a unit behind the second one holds for both.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = || {
            QuantityError::new(format!(
                "`{text}` is not a stretch of spectrum such as \"144 - 148 MHz\""
            ))
        };
        let (low, high) = text.split_once(['-', '\u{2013}']).ok_or_else(wrong)?;
        let (low, high) = (low.trim(), high.trim());
        let unit = high.trim_start_matches(|character: char| {
            character.is_ascii_digit() || matches!(character, '.' | ' ')
        });
        let low = if low.ends_with(|character: char| character.is_ascii_digit()) {
            format!("{low} {unit}")
        } else {
            low.to_owned()
        };
        let (low, high): (Frequency, Frequency) = (low.parse()?, high.parse()?);
        if low > high {
            return Err(QuantityError::new(format!(
                "`{text}` ends below its beginning; write the lower edge first"
            )));
        }
        Ok(Self { low, high })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_read_with_its_unit_once_or_twice() {
        let expected = Span::between(Frequency::hz(144_000_000), Frequency::hz(148_500_000));
        for text in [
            "144-148.5",
            "144 - 148.5 MHz",
            "144.0\u{2013}148.5",
            "144000 kHz - 148.5 MHz",
        ] {
            assert_eq!(text.parse(), Ok(expected), "{text}");
        }
        for text in ["144", "148-144", "144-", "-144", "a-b", ""] {
            assert!(text.parse::<Span>().is_err(), "{text}");
        }
    }

    #[test]
    fn an_edge_belongs_to_the_span_and_a_touch_is_no_overlap() {
        let span = Span::between(Frequency::hz(200), Frequency::hz(100));
        assert!(span.contains(Frequency::hz(100)) && span.contains(Frequency::hz(200)));
        assert!(!span.contains(Frequency::hz(201)) && !span.contains(Frequency::hz(99)));
        assert!(!span.overlaps(Span::between(Frequency::hz(200), Frequency::hz(300))));
        assert!(span.overlaps(Span::between(Frequency::hz(199), Frequency::hz(300))));
        assert!(span.holds(span) && !span.holds(span.widened(Offset::hz(1))));
    }
}
