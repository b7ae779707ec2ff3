//! The values that are taken where a scenario says nothing, out of `defaults.yaml`.

use serde::{Deserialize, Deserializer, de};

use super::words::{NoiseWord, PathWord, TerrainWord};
use crate::document::{self, Faults, Source};
use crate::provenance::{Authority, Origin, Sourced, Standing};
use crate::quantity::{Decibels, Length, Offset};

/// One default: what it is, its value, and who says so.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Figure<T> {
    /// How it is called where defaults are listed.
    pub(super) what: String,
    value: T,
    source: String,
    #[serde(deserialize_with = "standing")]
    standing: Standing,
}

impl<T: Clone> Figure<T> {
    /// The value with its origin.
    pub(super) fn sourced(&self) -> Sourced<T> {
        Sourced::new(self.value.clone(), self.origin())
    }

    fn origin(&self) -> Origin {
        Origin::Default(Authority {
            text: self.source.as_str().into(),
            standing: self.standing,
        })
    }
}

fn standing<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Standing, D::Error> {
    let word = String::deserialize(deserializer)?;
    Standing::ALL
        .iter()
        .find(|(name, _)| *name == word)
        .map(|&(_, standing)| standing)
        .ok_or_else(|| de::Error::custom(format!("`{word}` is not a standing")))
}

/// All defaults.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Defaults {
    pub(super) event: EventDefaults,
    pub(super) traffic: TrafficDefaults,
    pub(super) settings: SettingsDefaults,
    pub(super) site: SiteDefaults,
    pub(super) station: StationDefaults,
    pub(super) search: SearchDefaults,
    pub(super) neighbour: NeighbourDefaults,
}

/// The event.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EventDefaults {
    pub(super) lasts: Figure<String>,
}

/// How much is said on the air.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TrafficDefaults {
    pub(super) each: Figure<u32>,
    pub(super) together: Figure<u32>,
    pub(super) over: Figure<String>,
}

/// How strictly to judge.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SettingsDefaults {
    pub(super) harm_rise: Figure<Decibels>,
    pub(super) reserve: Figure<Decibels>,
    pub(super) unplaced: Figure<Decibels>,
    pub(super) safety: Figure<Decibels>,
    pub(super) horizon: Figure<Decibels>,
    pub(super) harmonics: Figure<u32>,
    pub(super) order: Figure<u32>,
    pub(super) signals: Figure<u32>,
    pub(super) terrain: Figure<TerrainWord>,
    pub(super) path: Figure<PathWord>,
    pub(super) service_path: Figure<PathWord>,
    pub(super) noise: Figure<NoiseWord>,
    pub(super) mains: Figure<String>,
    pub(super) distance: Figure<Length>,
    pub(super) raster: Figure<Offset>,
    pub(super) closest: Figure<Length>,
}

/// A site.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SiteDefaults {
    pub(super) ground: Figure<Length>,
}

/// A station.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StationDefaults {
    pub(super) control: Figure<String>,
    pub(super) mode: Figure<String>,
    pub(super) front_to_back: Figure<Decibels>,
    pub(super) battery_usable: Figure<String>,
}

/// A search.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SearchDefaults {
    pub(super) step: Figure<Offset>,
    pub(super) keep: Figure<u32>,
}

/// Somebody else's frequency.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NeighbourDefaults {
    pub(super) ground: Figure<Length>,
    pub(super) gain: Figure<Decibels>,
    pub(super) listener_radio: Figure<String>,
    pub(super) any_radio: Figure<String>,
    pub(super) kinds: KindDefaults,
}

/// What is taken by kind of neighbour.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KindDefaults {
    pub(super) repeater: KindFigures,
    pub(super) channel: KindFigures,
    pub(super) transmitter: KindFigures,
    pub(super) receiver: KindFigures,
}

/// The figures of one kind of neighbour.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KindFigures {
    pub(super) service: Figure<String>,
    pub(super) height: Figure<Length>,
    pub(super) duty: Figure<String>,
}

impl Defaults {
    /// The defaults this program was built with.
    ///
    /// # Errors
    /// The faults of the file, which a test keeps it free of.
    pub(super) fn built_in() -> Result<Self, Vec<Faults>> {
        // A source that cannot be read at all is empty or not UTF-8, which a text in the program cannot be.
        let Ok(source) = Source::new("defaults.yaml", include_bytes!("defaults.yaml")) else {
            return Err(Vec::new());
        };
        document::read::<Self>(&source)
            .into_result()
            .map_err(|faults| vec![faults])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_is_read_and_has_a_source() {
        let defaults = Defaults::built_in().unwrap_or_else(|faults| {
            panic!(
                "{}",
                faults.iter().map(Faults::to_string).collect::<String>()
            )
        });
        assert_eq!(*defaults.settings.harm_rise.sourced(), Decibels::db(1.0));
        assert_eq!(*defaults.search.step.sourced(), Offset::hz(12_500));
        let text = include_str!("defaults.yaml");
        let count = |key: &str| text.matches(key).count();
        assert_eq!(count("value: "), count("source: "));
        assert_eq!(count("value: "), count("standing: "));
        assert!(matches!(
            defaults.settings.distance.sourced().origin,
            Origin::Default(authority) if !authority.text.is_empty()
        ));
    }
}
