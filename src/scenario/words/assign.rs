//! Channels that are to be given a frequency together, as they are written.

use std::fmt;

use schemars::JsonSchema;
use serde::Deserialize;

use super::PlacesWords;
use crate::document::Said;
use crate::quantity::{Frequency, Offset};

/// Open channels, and what must hold between them.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct AssignWords {
    /// The channels that are to be given a frequency, each its own.
    pub(in crate::scenario) channels: Vec<Said<OpenWords>>,
    /// Least distances between channels, between all of some or between all that are used at a site.
    #[serde(default)]
    pub(in crate::scenario) apart: Vec<Said<ApartWords>>,
    /// Channels that must lie in one block.
    #[serde(default)]
    pub(in crate::scenario) together: Vec<Said<TogetherWords>>,
    /// Sets of channels of which no third-order product (2A − B, A + B − C) may fall on a member.
    #[serde(default)]
    pub(in crate::scenario) third_order_free: Vec<Said<Vec<Said<String>>>>,
    /// What the best plan is: `quietest` (most in hand, the default) or `fewest-changes` against `last_year`.
    pub(in crate::scenario) aim: Option<Said<AimWord>>,
}

/// An open channel. Exactly one of `cross_band`, `watch` and `talk`; a single frequency there pins it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct OpenWords {
    /// What it is called.
    pub(in crate::scenario) name: Said<String>,
    /// The stations on it. A station may be on one channel with each of its sides.
    pub(in crate::scenario) stations: Vec<Said<String>>,
    /// Two legs for a relay to repeat between: for each a band (`70cm`), a stretch, a frequency, or a list of them.
    pub(in crate::scenario) cross_band: Option<Said<Vec<Said<PlacesWords>>>>,
    /// Where the stations may listen.
    pub(in crate::scenario) watch: Option<Said<PlacesWords>>,
    /// Where the stations may talk with each other.
    pub(in crate::scenario) talk: Option<Said<PlacesWords>>,
    /// Channel step, counted from the lower edge of each stretch.
    pub(in crate::scenario) step: Option<Said<Offset>>,
    /// Sub-audible tone sent and expected, in hertz; `own` for one that nobody else has.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// Where it was last year: one frequency, or the two legs of a relay.
    #[serde(default)]
    pub(in crate::scenario) last_year: Vec<Said<Frequency>>,
}

/// A least distance. One of `channels` and `site`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct ApartWords {
    /// These open channels, from each other.
    pub(in crate::scenario) channels: Option<Said<Vec<Said<String>>>>,
    /// All open channels that are used at this site, from each other and from what else the plan has there.
    pub(in crate::scenario) site: Option<Said<String>>,
    /// How far.
    pub(in crate::scenario) by: Said<Offset>,
}

/// One block.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct TogetherWords {
    /// The open channels in it.
    pub(in crate::scenario) channels: Said<Vec<Said<String>>>,
    /// How far the outermost may be from each other.
    pub(in crate::scenario) within: Said<Offset>,
}

/// What the best plan is.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(in crate::scenario) enum AimWord {
    /// The one with most in hand.
    Quietest,
    /// The one that leaves most channels where they were.
    FewestChanges,
}

impl fmt::Display for AimWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Quietest => "quietest",
            Self::FewestChanges => "fewest-changes",
        })
    }
}
