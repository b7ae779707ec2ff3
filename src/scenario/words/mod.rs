//! The scenario file exactly as it is written: its keys, and every value with the place where it stands.
//!
//! Nothing is looked up or filled in here. The comments are the reference of the format.

mod assign;
mod conduct;
mod in_use;
mod operation;
mod path;
mod shapes;
mod station;
mod trial;

pub(super) use assign::{AimWord, AssignWords, OpenWords};
pub(super) use conduct::{BatteryWords, PhaseWords, TrafficWords};
pub(super) use in_use::{ColumnWords, InUseWords};
pub(super) use operation::{BorderWords, IdentificationWords};
pub(super) use path::KnownPathWords;
pub(super) use shapes::{
    GainWords, NoiseWord, PathWord, PlacesWords, RadioWords, TalkWords, TerrainWord, WantedWords,
};
pub(super) use station::{AntennaWords, BeamWords, FilterWords, StationWords, UseWords};
pub(super) use trial::{ProposalWords, SearchWords};

use schemars::JsonSchema;
use serde::Deserialize;

use crate::document::{Entries, Said};
use crate::quantity::{Decibels, Length, Offset, Position};

/// A temporary event: where its stations are, what they do, what others have on the air, and what is put to the plan.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ScenarioWords {
    /// What the event is called and when it is.
    pub(super) event: Said<EventWords>,
    /// Rule packs that apply, by name (`uk`) or by file (`club.yaml`); later ones add to earlier ones.
    pub(super) rules: Vec<Said<String>>,
    /// Rule packs that hold across a border nearby: they are looked at, but do not bind.
    #[serde(default)]
    pub(super) neighbouring_rules: Vec<Said<String>>,
    /// The licence held, as the rule pack names it.
    pub(super) licence: Option<Said<String>>,
    /// Places by name. Stations at one site couple strongly.
    #[serde(default)]
    pub(super) sites: Entries<SiteWords>,
    /// What is known of single paths: a ridge in the way, or the loss itself. It wins over every model.
    #[serde(default)]
    pub(super) paths: Vec<Said<KnownPathWords>>,
    /// Radios of your own by name: a built-in profile with changes, or a file.
    #[serde(default)]
    pub(super) radios: Entries<RadioWords>,
    /// Your stations: one radio with its antenna each.
    #[serde(default)]
    pub(super) stations: Vec<Said<StationWords>>,
    /// How much is said on the air; of every operator, unless a station says otherwise.
    pub(super) traffic: Option<Said<TrafficWords>>,
    /// What others have on the air.
    #[serde(default)]
    pub(super) in_use: Vec<Said<InUseWords>>,
    /// Kinds of service that are known not to be about (`marine` far from any water): the packs' own receivers of these
    /// kinds are then left out.
    #[serde(default)]
    pub(super) absent: Vec<Said<String>>,
    /// What is put to the plan, each judged by itself.
    #[serde(default)]
    pub(super) proposals: Vec<Said<ProposalWords>>,
    /// What is to be searched for.
    #[serde(default)]
    pub(super) search: Vec<Said<SearchWords>>,
    /// Channels that are to be given a frequency together, and what must hold between them.
    pub(super) assign: Option<Said<AssignWords>>,
    /// How strictly to judge.
    #[serde(default)]
    pub(super) settings: SettingsWords,
}

/// The event.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct EventWords {
    /// Its name.
    pub(super) name: Said<String>,
    /// When it begins, with offset and zone: `2027-05-16T07:30+01:00[Europe/London]`.
    pub(super) from: Option<Said<String>>,
    /// When it ends.
    pub(super) to: Option<Said<String>>,
    /// Its phases, in which stations come and go.
    #[serde(default)]
    pub(super) phases: Vec<Said<PhaseWords>>,
    /// How every station gives its call sign, unless it says otherwise.
    pub(super) identification: Option<Said<IdentificationWords>>,
    /// Whether messages are passed for people without a licence: the organisers, for example.
    pub(super) third_party: Option<Said<bool>>,
    /// Whether somebody is paid for the help, or does business with it.
    pub(super) for_hire: Option<Said<bool>>,
    /// A border nearby, with the rule packs of its other side.
    pub(super) border: Option<Said<BorderWords>>,
}

/// A stretch of time.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WindowWords {
    /// When it begins: date and time with zone, or `HH:MM` on the day the event begins.
    pub(super) from: Said<String>,
    /// When it ends; an `HH:MM` not after the beginning is on the next day.
    pub(super) to: Said<String>,
}

/// A place.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SiteWords {
    /// Latitude and longitude in degrees, `[54.4150, -0.5320]`, or a Maidenhead locator.
    pub(super) at: Option<Said<Position>>,
    /// Height of the ground above sea level.
    pub(super) ground: Option<Said<Length>>,
    /// Man-made noise there: `city`, `residential`, `rural` or `quiet-rural`.
    pub(super) noise: Option<Said<NoiseWord>>,
    /// Losses between two stations here that somebody measured, socket to socket.
    #[serde(default)]
    pub(super) isolation: Vec<Said<IsolationWords>>,
}

/// A measured loss between two stations of one site.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct IsolationWords {
    /// The two stations.
    pub(super) between: Said<Vec<Said<String>>>,
    /// The loss.
    pub(super) loss: Said<Decibels>,
    /// The band or stretch (`144-146`) it was measured in; everywhere if left out.
    pub(super) at: Option<Said<String>>,
}

/// How strictly to judge. Everything has a default.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(super) struct SettingsWords {
    /// Rise of a receiver's noise floor that counts as harm.
    pub(super) harm_rise: Option<Said<Decibels>>,
    /// Margin below which a finding is still a caution.
    pub(super) reserve: Option<Said<Decibels>>,
    /// How much further away, in dB, a listener whose place is not stated must still be hurt to make a conflict.
    pub(super) unplaced: Option<Said<Decibels>>,
    /// Further protection of safety services.
    pub(super) safety: Option<Said<Decibels>>,
    /// Margin beyond which an encounter is not told.
    pub(super) horizon: Option<Said<Decibels>>,
    /// Highest harmonic, 2 to 20.
    pub(super) harmonics: Option<Said<u32>>,
    /// Highest order of intermodulation: 2 to 7.
    pub(super) order: Option<Said<u32>>,
    /// Most signals in one product: 2 to 4.
    pub(super) signals: Option<Said<u32>>,
    /// How far below two carriers of 20 W a bad joint at a mast makes its third-order product; not looked at when absent.
    pub(super) passive: Option<Said<Decibels>>,
    /// What lies between stations: `open`, `suburban`, `town` or `large-city`.
    pub(super) terrain: Option<Said<TerrainWord>>,
    /// Path model between sites where interference is judged: `auto`, `free-space`, `plane-earth`, `okumura-hata` or
    /// `smooth-earth`.
    pub(super) path: Option<Said<PathWord>>,
    /// The same where service is judged.
    pub(super) service_path: Option<Said<PathWord>>,
    /// Man-made noise where a site states none.
    pub(super) noise: Option<Said<NoiseWord>>,
    /// Mains frequency to be reckoned with: `50 Hz`, or several set apart by commas.
    pub(super) mains: Option<Said<String>>,
    /// Ids of the exposure limits that apply; those that the rules name if left out.
    pub(super) exposure_limits: Vec<Said<String>>,
    /// Distance taken between two antennas when nothing at all is known of it.
    pub(super) distance: Option<Said<Length>>,
    /// Channel raster that advice to move keeps to.
    pub(super) raster: Option<Said<Offset>>,
    /// Least distance reckoned between two antennas of different stations.
    pub(super) closest: Option<Said<Length>>,
}
