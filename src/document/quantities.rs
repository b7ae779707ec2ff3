//! Quantities out of a document: from the text as it was written, with a message of their own.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, SeqAccess, Visitor};

use crate::quantity::{
    Bandwidth, Decibels, Emission, Frequency, Length, Level, Locator, Offset, Position, Power,
    QuantityError, Tolerance,
};

/// A quantity that a document holds as text.
trait Written: FromStr<Err = QuantityError> {
    /// The name of its schema.
    const NAME: &'static str;
    /// What to expect, with an example.
    const EXPECTED: &'static str;
    /// The texts it may be, as a regular expression.
    const PATTERN: &'static str;
    /// Whether it may be a number without a unit.
    const BARE: bool;
}

struct WrittenVisitor<T>(PhantomData<T>);

impl<T: Written> Visitor<'_> for WrittenVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(T::EXPECTED)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        text.parse().map_err(E::custom)
    }
}

fn schema_of<T: Written>() -> Schema {
    let text = json_schema!({"type": "string", "pattern": T::PATTERN});
    if T::BARE {
        json_schema!({"description": T::EXPECTED, "anyOf": [{"type": "number"}, text]})
    } else {
        json_schema!({"description": T::EXPECTED, "allOf": [text]})
    }
}

/// Serde and schemars ask for one `impl` a type; all of them are the same.
macro_rules! written {
    ($($quantity:ident: $bare:literal, $expected:literal, $pattern:literal;)*) => {$(
        impl Written for $quantity {
            const NAME: &'static str = stringify!($quantity);
            const EXPECTED: &'static str = $expected;
            const PATTERN: &'static str = $pattern;
            const BARE: bool = $bare;
        }

        impl<'de> Deserialize<'de> for $quantity {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_str(WrittenVisitor(PhantomData))
            }
        }

        impl JsonSchema for $quantity {
            fn schema_name() -> Cow<'static, str> {
                <Self as Written>::NAME.into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                schema_of::<Self>()
            }
        }
    )*};
}

written! {
    Frequency: true, "a frequency such as 145.2250",
        r"^\+?[0-9]+(\.[0-9]+)?( *([kKmMgG]?)[hH]z)?$";
    Offset: true, "a spacing such as \"12.5 kHz\"",
        r"^[-+]?[0-9]+(\.[0-9]+)?( *([kKmMgG]?)[hH]z)?$";
    Bandwidth: true, "a bandwidth such as \"12.5 kHz\"",
        r"^\+?[0-9]+(\.[0-9]+)?( *([kKmMgG]?)[hH]z)?$";
    Tolerance: true, "a tolerance such as \"2.5 ppm\"",
        r"^\+?[0-9]+(\.[0-9]+)?( *ppm)?$";
    Emission: false, "an emission designator such as 16K0F3E",
        r"^[0-9HKMGhkmg]{4}[A-Za-z][A-Za-z0-9][A-Za-z]";
    Level: false, "a level such as \"-116 dBm\" or \"0.35 uV\"",
        r"^[-+]?[0-9]*\.?[0-9]+ *(d[bB]m|[uµμ]V)$";
    Decibels: true, "a ratio such as \"6 dB\"",
        r"^[-+]?[0-9]*\.?[0-9]+ *(d[bB][idc]?)?$";
    Power: true, "a power such as \"25 W\", \"500 mW\" or \"44 dBm\"",
        r"^[-+]?[0-9]*\.?[0-9]+([eE][-+]?[0-9]+)? *([nuµμmk]?[wW]|d[bB][mwW])?$";
    Length: true, "a length such as \"5 m\", \"6 km\" or \"1500 ft\"",
        r"^[-+]?[0-9]*\.?[0-9]+([eE][-+]?[0-9]+)? *(m|cm|km|ft|mi|miles?)?$";
    Locator: false, "a Maidenhead locator such as IO94ql",
        r"^[A-Ra-r]{2}[0-9]{2}([A-Xa-x]{2}([0-9]{2}([A-Xa-x]{2})?)?)?$";
}

/// What to expect of a position.
const POSITION: &str = "a position such as [54.4150, -0.5320] or IO94ql";

/// A position is a text, or latitude and longitude in a list.
impl<'de> Deserialize<'de> for Position {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(PositionVisitor)
    }
}

struct PositionVisitor;

impl<'de> Visitor<'de> for PositionVisitor {
    type Value = Position;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(POSITION)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Position, E> {
        text.parse().map_err(|fault| {
            // Who writes degrees without brackets has heard of no locator.
            if text.parse::<f64>().is_ok() || text.contains('°') {
                E::custom(format_args!(
                    "{fault}; latitude and longitude stand in brackets: [54.4150, -0.5320]"
                ))
            } else {
                E::custom(fault)
            }
        })
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Position, A::Error> {
        let latitude = list
            .next_element()?
            .ok_or_else(|| A::Error::invalid_length(0, &self))?;
        let longitude = list
            .next_element()?
            .ok_or_else(|| A::Error::invalid_length(1, &self))?;
        Position::degrees(latitude, longitude).map_err(A::Error::custom)
    }
}

impl JsonSchema for Position {
    fn schema_name() -> Cow<'static, str> {
        "Position".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": POSITION,
            "anyOf": [
                {"type": "string"},
                {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
            ]
        })
    }
}
