//! What is known of a path, as it is written.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::document::Said;
use crate::quantity::{Decibels, Length};

/// What is known of a path: exactly one of `ridge` and `loss`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct KnownPathWords {
    /// Its two ends: sites, stations, or entries of `in_use`, by name.
    pub(in crate::scenario) between: Said<Vec<Said<String>>>,
    /// A ridge in the way.
    pub(in crate::scenario) ridge: Option<Said<RidgeWords>>,
    /// The loss between the two antennas, taken as isotropic: their gains, feeders and filters come on top.
    pub(in crate::scenario) loss: Option<Said<Decibels>>,
    /// The band or stretch (`144-146`) in which the loss holds; everywhere if left out.
    pub(in crate::scenario) at: Option<Said<String>>,
}

/// A sharp ridge.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct RidgeWords {
    /// Its top above sea level.
    pub(in crate::scenario) height: Said<Length>,
    /// How far it is from the end that is named first.
    pub(in crate::scenario) at: Said<Length>,
}
