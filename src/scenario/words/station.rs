//! A station as it is written.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{
    BatteryWords, GainWords, IdentificationWords, TalkWords, TrafficWords, WantedWords, WindowWords,
};
use crate::document::Said;
use crate::quantity::{Decibels, Frequency, Length};
use crate::radio::ProfileWords;

/// One of your stations. `talk`, `watch`, `cross_band` and `via` may stand here for a single use, or in `uses`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct StationWords {
    /// Its name.
    pub(in crate::scenario) name: Said<String>,
    /// The site it is at.
    pub(in crate::scenario) site: Said<String>,
    /// Its radio: a built-in profile, or one of `radios`.
    pub(in crate::scenario) radio: Said<String>,
    /// Changes to the radio's figures for this station only.
    pub(in crate::scenario) radio_overrides: Option<Said<ProfileWords>>,
    /// A power step of the radio (`low`), or power at the antenna socket (`25 W`).
    pub(in crate::scenario) power: Option<Said<String>>,
    /// Its antenna.
    pub(in crate::scenario) antenna: Option<Said<AntennaWords>>,
    /// Filters between radio and antenna.
    #[serde(default)]
    pub(in crate::scenario) filters: Vec<Said<FilterWords>>,
    /// Who is in control: `attended`, `remote` or `automatic`.
    pub(in crate::scenario) control: Option<Said<String>>,
    /// How it gives its call sign.
    pub(in crate::scenario) identification: Option<Said<IdentificationWords>>,
    /// Whether it passes messages for people without a licence.
    pub(in crate::scenario) third_party: Option<Said<bool>>,
    /// Its modulation: a mode by name (`fm`), or an emission designator.
    pub(in crate::scenario) mode: Option<Said<String>>,
    /// How many such stations there are.
    pub(in crate::scenario) count: Option<Said<u32>>,
    /// When it is on the air; the whole event if left out.
    #[serde(default)]
    pub(in crate::scenario) on_air: Vec<Said<WindowWords>>,
    /// Phases of the event in which it is on the air, besides `on_air`.
    #[serde(default)]
    pub(in crate::scenario) phases: Vec<Said<String>>,
    /// What it is there for, as others call it: `control`, `medical`.
    pub(in crate::scenario) role: Option<Said<String>>,
    /// Whom it must be able to talk with, by name or by role.
    #[serde(default)]
    pub(in crate::scenario) needs: Vec<Said<String>>,
    /// How much its operator says, where that differs from the plan's.
    pub(in crate::scenario) traffic: Option<Said<TrafficWords>>,
    /// What it runs from, if that is a battery.
    pub(in crate::scenario) battery: Option<Said<BatteryWords>>,
    /// How near the public may come to its antenna.
    pub(in crate::scenario) public: Option<Said<Length>>,
    /// How long it is held on the air after its input closed, where it relays.
    pub(in crate::scenario) hang: Option<Said<String>>,
    /// Longest transmission before it is stopped.
    pub(in crate::scenario) time_out: Option<Said<String>>,
    /// What it does, one entry for each side of the radio.
    #[serde(default)]
    pub(in crate::scenario) uses: Vec<Said<UseWords>>,
    /// Transmits and receives there.
    pub(in crate::scenario) talk: Option<Said<TalkWords>>,
    /// Receives there only.
    pub(in crate::scenario) watch: Option<Said<Frequency>>,
    /// Repeats between two frequencies in different bands.
    pub(in crate::scenario) cross_band: Option<Said<Vec<Said<Frequency>>>>,
    /// Works through a relay of this plan or a repeater in use.
    pub(in crate::scenario) via: Option<Said<String>>,
    /// Which leg of the relay `via` names: a band (`70cm`), `first` or `second`.
    pub(in crate::scenario) leg: Option<Said<String>>,
    /// Sub-audible tone sent and expected, in hertz.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// What `watch` wants: the level of the signal at the antenna socket, or the entry of `in_use` that is listened to.
    pub(in crate::scenario) wanted: Option<Said<WantedWords>>,
    /// What `talk` is for: `simplex`, `packet`, `repeater`.
    pub(in crate::scenario) purpose: Option<Said<String>>,
}

/// One thing a station does: exactly one of `talk`, `watch`, `cross_band` and `via`.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(in crate::scenario) struct UseWords {
    /// Transmits and receives there: a frequency, or `{transmit: …, receive: …}`.
    pub(in crate::scenario) talk: Option<Said<TalkWords>>,
    /// Receives there only.
    pub(in crate::scenario) watch: Option<Said<Frequency>>,
    /// Repeats between two frequencies in different bands, one way at a time.
    pub(in crate::scenario) cross_band: Option<Said<Vec<Said<Frequency>>>>,
    /// Works through a relay of this plan or a repeater in use, by name.
    pub(in crate::scenario) via: Option<Said<String>>,
    /// Which leg of the relay: a band (`70cm`), `first` or `second`.
    pub(in crate::scenario) leg: Option<Said<String>>,
    /// Sub-audible tone sent and expected, in hertz.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// What `watch` wants: the level of the signal at the antenna socket, or the entry of `in_use` that is listened to.
    pub(in crate::scenario) wanted: Option<Said<WantedWords>>,
    /// What `talk` is for: `simplex`, `packet`, `repeater`.
    pub(in crate::scenario) purpose: Option<Said<String>>,
}

/// An antenna. What is left out is the radio's usual one.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(in crate::scenario) struct AntennaWords {
    /// Height above ground.
    pub(in crate::scenario) height: Option<Said<Length>>,
    /// Gain over an isotropic antenna: one value, or one a band (`{2m: 2 dBi, 70cm: 4 dBi}`).
    pub(in crate::scenario) gain: Option<Said<GainWords>>,
    /// Loss of its feeder.
    pub(in crate::scenario) feeder: Option<Said<Decibels>>,
    /// Where it stands from the middle of the site.
    pub(in crate::scenario) offset: Option<Said<DisplacementWords>>,
    /// Where it points, if it is a beam.
    pub(in crate::scenario) beam: Option<Said<BeamWords>>,
}

/// A place within a site.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct DisplacementWords {
    /// How far east of the middle; negative is west.
    pub(in crate::scenario) east: Said<Length>,
    /// How far north of the middle; negative is south.
    pub(in crate::scenario) north: Said<Length>,
}

/// A beam.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct BeamWords {
    /// Where it points, in degrees from north by way of east.
    pub(in crate::scenario) bearing: Said<f64>,
    /// How much less it sends and hears backwards.
    pub(in crate::scenario) front_to_back: Option<Said<Decibels>>,
}

/// A filter.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct FilterWords {
    /// Its name.
    pub(in crate::scenario) name: Said<String>,
    /// The band (`70cm`) or the stretch (`430-440`) the loss holds in.
    pub(in crate::scenario) at: Said<String>,
    /// The loss there.
    pub(in crate::scenario) loss: Said<Decibels>,
}
