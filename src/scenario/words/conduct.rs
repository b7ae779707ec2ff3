//! How the net is run, as it is written: phases, traffic and batteries.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::document::Said;

/// A phase of the event.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct PhaseWords {
    /// Its name: `set-up`, `race`.
    pub(in crate::scenario) name: Said<String>,
    /// When it begins: date and time with zone, or `HH:MM` on the day the event begins.
    pub(in crate::scenario) from: Said<String>,
    /// When it ends; an `HH:MM` not after the beginning is on the next day.
    pub(in crate::scenario) to: Said<String>,
}

/// How much is said on the air.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(in crate::scenario) struct TrafficWords {
    /// How many overs an operator begins in an hour.
    pub(in crate::scenario) overs: Option<Said<f64>>,
    /// How long an over lasts, on average: `10 s`.
    pub(in crate::scenario) length: Option<Said<String>>,
}

/// A battery.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct BatteryWords {
    /// What is written on it: `20 Ah`, `1800 mAh`.
    pub(in crate::scenario) capacity: Said<String>,
    /// The share of it that may be used: `80 %`.
    pub(in crate::scenario) usable: Option<Said<String>>,
}
