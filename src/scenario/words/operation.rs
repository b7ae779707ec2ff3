//! How stations are operated as a licence sees it, as it is written: identification, borders.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::document::Said;
use crate::quantity::Length;

/// How a station gives its call sign.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct IdentificationWords {
    /// By what means: `voice`, `morse`, `digital`, or `none` when it does not.
    pub(in crate::scenario) by: Said<String>,
    /// At least so often: `10 min`.
    pub(in crate::scenario) every: Option<Said<String>>,
}

/// A border nearby.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct BorderWords {
    /// Rule packs of the other side, by name or by file: they are looked at, but do not bind.
    pub(in crate::scenario) with: Vec<Said<String>>,
    /// How near the event comes to it.
    pub(in crate::scenario) within: Said<Length>,
}
