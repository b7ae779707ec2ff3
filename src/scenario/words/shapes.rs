//! Values that may be written short or long.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{
    DeserializeSeed, Deserializer, Error, IntoDeserializer, MapAccess, SeqAccess, Visitor,
};

use crate::document::{Entries, Said};
use crate::physics::noise::Surroundings;
use crate::physics::path::Environment;
use crate::quantity::{Decibels, Frequency, Level};
use crate::radio::ProfileWords;

/// Where a station talks: one frequency, or one to transmit and one to receive.
#[derive(Debug, Clone)]
pub(in crate::scenario) enum TalkWords {
    /// The same for both.
    Simplex(Frequency),
    /// One for each.
    Split(SplitWords),
}

/// A frequency to transmit and one to receive.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct SplitWords {
    /// Where it transmits.
    pub(in crate::scenario) transmit: Said<Frequency>,
    /// Where it receives.
    pub(in crate::scenario) receive: Said<Frequency>,
}

impl<'de> Deserialize<'de> for TalkWords {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TalkVisitor)
    }
}

struct TalkVisitor;

impl<'de> Visitor<'de> for TalkVisitor {
    type Value = TalkWords;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a frequency such as 145.2250, or a mapping with `transmit` and `receive`")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<TalkWords, E> {
        text.parse().map(TalkWords::Simplex).map_err(E::custom)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<TalkWords, A::Error> {
        SplitWords::deserialize(MapAccessDeserializer::new(map)).map(TalkWords::Split)
    }
}

impl JsonSchema for TalkWords {
    fn schema_name() -> Cow<'static, str> {
        "Talk".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let simplex = generator.subschema_for::<Frequency>();
        let split = generator.subschema_for::<SplitWords>();
        json_schema!({"anyOf": [simplex, split]})
    }
}

/// What a watch waits for: a level, or somebody by name.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::scenario) enum WantedWords {
    /// A signal of this level.
    Level(Level),
    /// Whoever is named.
    Name(String),
}

impl<'de> Deserialize<'de> for WantedWords {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Ok(text.parse().map_or(Self::Name(text), Self::Level))
    }
}

impl JsonSchema for WantedWords {
    fn schema_name() -> Cow<'static, str> {
        "Wanted".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let level = generator.subschema_for::<Level>();
        json_schema!({"anyOf": [level, {"type": "string"}]})
    }
}

/// An antenna's gain: one value, or one a band.
#[derive(Debug, Clone)]
pub(in crate::scenario) enum GainWords {
    /// Everywhere.
    Same(Decibels),
    /// By band or stretch.
    ByBand(Entries<Decibels>),
}

impl<'de> Deserialize<'de> for GainWords {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(GainVisitor)
    }
}

struct GainVisitor;

impl<'de> Visitor<'de> for GainVisitor {
    type Value = GainWords;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a gain such as 4 dBi, or a mapping such as {2m: 2 dBi, 70cm: 4 dBi}")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<GainWords, E> {
        text.parse().map(GainWords::Same).map_err(E::custom)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<GainWords, A::Error> {
        Entries::deserialize(MapAccessDeserializer::new(map)).map(GainWords::ByBand)
    }
}

impl JsonSchema for GainWords {
    fn schema_name() -> Cow<'static, str> {
        "Gain".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let same = generator.subschema_for::<Decibels>();
        let by_band = generator.subschema_for::<Entries<Decibels>>();
        json_schema!({"anyOf": [same, by_band]})
    }
}

/// Where a search looks: a band (`70cm`), a stretch (`433.4-434.0`), a frequency, or a list of them.
#[derive(Debug, Clone)]
pub(in crate::scenario) enum PlacesWords {
    /// One of them.
    One(String),
    /// Several.
    Many(Vec<Said<String>>),
}

impl<'de> Deserialize<'de> for PlacesWords {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(PlacesVisitor)
    }
}

struct PlacesVisitor;

impl<'de> Visitor<'de> for PlacesVisitor {
    type Value = PlacesWords;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "a band such as 70cm, a stretch such as 433.4-434.0, a frequency, or a list of them",
        )
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<PlacesWords, E> {
        Ok(PlacesWords::One(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<PlacesWords, A::Error> {
        let mut places = Vec::new();
        while let Some(place) = list.next_element()? {
            places.push(place);
        }
        Ok(PlacesWords::Many(places))
    }
}

impl JsonSchema for PlacesWords {
    fn schema_name() -> Cow<'static, str> {
        "Places".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let place = json_schema!({"anyOf": [{"type": "string"}, {"type": "number"}]});
        json_schema!({"anyOf": [place, {"type": "array", "items": place, "minItems": 1}]})
    }
}

/// A category of man-made noise, as ITU-R P.372 has them.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(in crate::scenario) enum NoiseWord {
    /// Business and industrial areas.
    City,
    /// Housing.
    Residential,
    /// Open country with scattered houses.
    Rural,
    /// A place chosen for its quiet.
    QuietRural,
}

impl From<NoiseWord> for Surroundings {
    fn from(word: NoiseWord) -> Self {
        match word {
            NoiseWord::City => Self::City,
            NoiseWord::Residential => Self::Residential,
            NoiseWord::Rural => Self::Rural,
            NoiseWord::QuietRural => Self::QuietRural,
        }
    }
}

impl fmt::Display for NoiseWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::City => "city",
            Self::Residential => "residential",
            Self::Rural => "rural",
            Self::QuietRural => "quiet-rural",
        })
    }
}

/// What lies between stations, as the Okumura-Hata model has it.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(in crate::scenario) enum TerrainWord {
    /// A large city with tall buildings.
    LargeCity,
    /// A small or medium town.
    #[serde(alias = "urban")]
    Town,
    /// Villages and suburbs.
    Suburban,
    /// Open country or water.
    Open,
}

impl From<TerrainWord> for Environment {
    fn from(word: TerrainWord) -> Self {
        match word {
            TerrainWord::LargeCity => Self::LargeCity,
            TerrainWord::Town => Self::Town,
            TerrainWord::Suburban => Self::Suburban,
            TerrainWord::Open => Self::Open,
        }
    }
}

impl fmt::Display for TerrainWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::LargeCity => "large-city",
            Self::Town => "town",
            Self::Suburban => "suburban",
            Self::Open => "open",
        })
    }
}

/// Which path model speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(in crate::scenario) enum PathWord {
    /// The kindest for interference, the hardest for service.
    Auto,
    /// Free space.
    FreeSpace,
    /// Two rays over a plane earth.
    PlaneEarth,
    /// The Okumura-Hata formula.
    OkumuraHata,
    /// Diffraction over a smooth earth.
    SmoothEarth,
}

impl PathWord {
    /// The id of the model; none for what suits.
    pub(in crate::scenario) const fn model(self) -> Option<&'static str> {
        match self {
            Self::Auto => None,
            Self::FreeSpace => Some("free-space"),
            Self::PlaneEarth => Some("plane-earth"),
            Self::OkumuraHata => Some("okumura-hata"),
            Self::SmoothEarth => Some("smooth-earth"),
        }
    }
}

impl fmt::Display for PathWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.model().unwrap_or("auto"))
    }
}

/// A radio of the user's own: figures, or the file that holds them.
#[derive(Debug)]
pub(in crate::scenario) enum RadioWords {
    /// A file beside the scenario.
    File(Said<String>),
    /// What differs from the profile it is based on.
    Figures(Box<ProfileWords>),
}

impl<'de> Deserialize<'de> for RadioWords {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(RadioVisitor)
    }
}

struct RadioVisitor;

impl<'de> Visitor<'de> for RadioVisitor {
    type Value = RadioWords;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the figures of a radio, or a mapping such as {file: my-radio.yaml}")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<RadioWords, A::Error> {
        let first = map.next_key::<String>()?;
        if first.as_deref() == Some("file") {
            let file = map.next_value()?;
            return match map.next_key::<String>()? {
                None => Ok(RadioWords::File(file)),
                Some(key) => Err(A::Error::custom(format!(
                    "`{key}` cannot stand beside `file`; put it into the file"
                ))),
            };
        }
        let replayed = Replayed { first, rest: map };
        ProfileWords::deserialize(MapAccessDeserializer::new(replayed))
            .map(|words| RadioWords::Figures(Box::new(words)))
    }
}

/// A mapping whose first key was looked at already.
struct Replayed<A> {
    first: Option<String>,
    rest: A,
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Replayed<A> {
    type Error = A::Error;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, A::Error> {
        match self.first.take() {
            Some(key) => seed.deserialize(key.into_deserializer()).map(Some),
            None => self.rest.next_key_seed(seed),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, A::Error> {
        self.rest.next_value_seed(seed)
    }
}

impl JsonSchema for RadioWords {
    fn schema_name() -> Cow<'static, str> {
        "Radio".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let figures = generator.subschema_for::<ProfileWords>();
        json_schema!({"anyOf": [
            figures,
            {
                "type": "object",
                "properties": {"file": {"type": "string"}},
                "required": ["file"],
                "additionalProperties": false
            }
        ]})
    }
}
