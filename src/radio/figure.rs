//! One figure as a profile writes it: `60 dB (en300086)`, a value and the key of its source.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, Visitor};

use super::profile::Injection;
use crate::quantity::{QuantityError, decimal_scaled};

/// A value with the key of its source, if one is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure<T> {
    /// The value.
    pub value: T,
    /// The key under which `sources` names the source.
    pub source: Option<String>,
}

impl<T: FromStr<Err = QuantityError>> FromStr for Figure<T> {
    type Err = QuantityError;

    /// Reads a value, with the key of its source in parentheses where there is one.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let (value, source) = match text.trim().strip_suffix(')') {
            Some(rest) => {
                let (value, source) = rest.rsplit_once('(').ok_or_else(|| {
                    QuantityError::new(format!(
                        "`{text}` closes a parenthesis that it does not open; write a value with its source, such as 5 W (practice)"
                    ))
                })?;
                (value.trim(), Some(source.trim().to_owned()))
            }
            None => (text.trim(), None),
        };
        Ok(Self {
            value: value.parse()?,
            source,
        })
    }
}

struct FigureVisitor<T>(PhantomData<T>);

impl<T: FromStr<Err = QuantityError>> Visitor<'_> for FigureVisitor<T> {
    type Value = Figure<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a figure such as `60 dB`, or `60 dB (source)`")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Figure<T>, E> {
        text.parse().map_err(E::custom)
    }
}

impl<'de, T: FromStr<Err = QuantityError>> Deserialize<'de> for Figure<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(FigureVisitor(PhantomData))
    }
}

impl<T> JsonSchema for Figure<T> {
    fn schema_name() -> Cow<'static, str> {
        "Figure".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "a figure with its unit, and in parentheses the key of its source: `60 dB (en300086)`",
            "type": ["string", "number", "boolean"]
        })
    }
}

/// A count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Count(pub u32);

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl FromStr for Count {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        text.parse()
            .map(Self)
            .map_err(|_| QuantityError::new(format!("`{text}` is not a whole number such as 2")))
    }
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YesNo(pub bool);

impl FromStr for YesNo {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text {
            "yes" | "true" => Ok(Self(true)),
            "no" | "false" => Ok(Self(false)),
            _ => Err(QuantityError::new(format!(
                "`{text}` is neither: write `yes` or `no`"
            ))),
        }
    }
}

/// A figure that may be unknown, which is written `unknown`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Known<T>(pub Option<T>);

impl<T: FromStr<Err = QuantityError>> FromStr for Known<T> {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        if text == "unknown" || text == "none" {
            Ok(Self(None))
        } else {
            text.parse().map(|value| Self(Some(value)))
        }
    }
}

impl fmt::Display for Injection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Low => "low",
            Self::High => "high",
        })
    }
}

impl FromStr for Injection {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text {
            "low" => Ok(Self::Low),
            "high" => Ok(Self::High),
            _ => Err(QuantityError::new(format!(
                "`{text}` is no side: write `low` or `high`, where the oscillator runs beside the wanted frequency"
            ))),
        }
    }
}

/// A unit: its name, the decimals that are kept of a number in it, and what a kept step of the number counts for.
type Unit = (&'static str, usize, i64);

/// Reads a number with one of `units` as whole steps, none of them negative.
fn whole(text: &str, units: &[Unit], expected: &str) -> Result<u64, QuantityError> {
    let wrong = || QuantityError::new(format!("`{text}` is not {expected}"));
    let number = text.trim_end_matches(|character: char| !character.is_ascii_digit());
    let unit = text.strip_prefix(number).unwrap_or("").trim();
    let &(_, places, factor) = units
        .iter()
        .find(|(name, ..)| *name == unit)
        .ok_or_else(wrong)?;
    decimal_scaled(number, places)
        .ok()
        .and_then(|steps| steps.checked_mul(factor))
        .and_then(|steps| u64::try_from(steps).ok())
        .ok_or_else(wrong)
}

/// The counting units differ only in their table.
macro_rules! counted {
    ($($(#[$text:meta])* $name:ident: $units:expr, $expected:literal;)*) => {$(
        $(#[$text])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct $name(pub u64);

        impl FromStr for $name {
            type Err = QuantityError;

            fn from_str(text: &str) -> Result<Self, QuantityError> {
                whole(text, $units, $expected).map(Self)
            }
        }
    )*};
}

counted! {
    /// A duration in whole milliseconds.
    Milliseconds: &[("ms", 0, 1), ("s", 3, 1), ("min", 3, 60)], "a time such as \"250 ms\", \"1.5 s\" or \"3 min\"";
    /// A voltage in whole millivolts.
    Millivolts: &[("V", 3, 1), ("mV", 0, 1)], "a voltage such as \"13.8 V\"";
    /// A current in whole milliamperes.
    Milliamperes: &[("A", 3, 1), ("mA", 0, 1)], "a current such as \"6 A\" or \"150 mA\"";
    /// A charge in whole milliampere-hours.
    MilliampereHours: &[("Ah", 3, 1), ("mAh", 0, 1)], "a charge such as \"20 Ah\" or \"1800 mAh\"";
    /// A share in whole percent.
    Percent: &[("%", 0, 1), ("", 0, 1)], "a share such as \"60 %\"";
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Decibels, Frequency};

    #[test]
    fn a_figure_is_read_with_and_without_its_source() {
        let figure: Figure<Decibels> = "60 dB (en300086)".parse().unwrap();
        assert_eq!(figure.value, Decibels::db(60.0));
        assert_eq!(figure.source.as_deref(), Some("en300086"));
        let figure: Figure<Decibels> = "60".parse().unwrap();
        assert_eq!(figure.source, None);
        for text in ["60 dB)", "60 dBx", "(en300086)", ""] {
            assert!(text.parse::<Figure<Decibels>>().is_err(), "{text}");
        }
    }

    #[test]
    fn times_currents_and_shares_are_whole_steps() {
        assert_eq!("1.5 s".parse(), Ok(Milliseconds(1_500)));
        assert_eq!("3 min".parse(), Ok(Milliseconds(180_000)));
        assert_eq!("0 ms".parse(), Ok(Milliseconds(0)));
        assert_eq!("13.8 V".parse(), Ok(Millivolts(13_800)));
        assert_eq!("60 %".parse(), Ok(Percent(60)));
        for text in ["", "5", "1.5 ms", "-1 s", "1 h", "9223372036854775807 min"] {
            assert!(text.parse::<Milliseconds>().is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_unknown_can_be_said() {
        assert_eq!("unknown".parse(), Ok(Known::<Frequency>(None)));
        assert_eq!(
            "21.4 MHz".parse(),
            Ok(Known(Some(Frequency::hz(21_400_000))))
        );
    }
}
