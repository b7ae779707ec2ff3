//! What is put to the plan, and what is to be searched for, as they are written.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{PlacesWords, TalkWords, WantedWords};
use crate::document::Said;
use crate::quantity::{Frequency, Offset};

/// A proposal: what one station would do. Exactly one of `cross_band`, `watch` and `talk`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct ProposalWords {
    /// Its name.
    pub(in crate::scenario) name: Said<String>,
    /// The station it is for.
    pub(in crate::scenario) station: Said<String>,
    /// It would repeat between these two frequencies, in different bands.
    pub(in crate::scenario) cross_band: Option<Said<Vec<Said<Frequency>>>>,
    /// It would receive there.
    pub(in crate::scenario) watch: Option<Said<Frequency>>,
    /// It would transmit and receive there.
    pub(in crate::scenario) talk: Option<Said<TalkWords>>,
    /// Sub-audible tone sent and expected, in hertz.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// What `watch` wants: the level of the signal at the antenna socket, or the entry of `in_use` that is listened to.
    pub(in crate::scenario) wanted: Option<Said<WantedWords>>,
    /// What `talk` is for: `simplex`, `packet`, `repeater`.
    pub(in crate::scenario) purpose: Option<Said<String>>,
}

/// A search. Exactly one of `cross_band`, `watch` and `talk`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct SearchWords {
    /// Its name.
    pub(in crate::scenario) name: Said<String>,
    /// The station it is for.
    pub(in crate::scenario) station: Said<String>,
    /// Two legs to repeat between: for each a band (`70cm`), a stretch (`433.4-434.0`), a frequency, or a list of them.
    pub(in crate::scenario) cross_band: Option<Said<Vec<Said<PlacesWords>>>>,
    /// Where to look for a frequency to receive.
    pub(in crate::scenario) watch: Option<Said<PlacesWords>>,
    /// Where to look for a simplex channel.
    pub(in crate::scenario) talk: Option<Said<PlacesWords>>,
    /// Channel step, counted from the lower edge of each stretch.
    pub(in crate::scenario) step: Option<Said<Offset>>,
    /// How many of the best to show.
    pub(in crate::scenario) keep: Option<Said<u32>>,
    /// Sub-audible tone every candidate would use, in hertz.
    pub(in crate::scenario) tone: Option<Said<String>>,
}
