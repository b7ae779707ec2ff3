//! Somebody else's frequency as it is written: an entry, or a file of them with what all its rows share.

use schemars::JsonSchema;
use serde::Deserialize;

use super::WindowWords;
use crate::document::Said;
use crate::quantity::{Decibels, Frequency, Length, Level, Position, Power};

/// Somebody else's frequency; with `from`, a CSV file of them, and the other keys hold for each of its rows.
#[derive(Debug, Default, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(in crate::scenario) struct InUseWords {
    /// Its name.
    pub(in crate::scenario) name: Option<Said<String>>,
    /// What a repeater transmits on.
    pub(in crate::scenario) output: Option<Said<Frequency>>,
    /// What a repeater receives on.
    pub(in crate::scenario) input: Option<Said<Frequency>>,
    /// Where a simplex channel is; with `mode: am-8k33` the name of an airband channel.
    pub(in crate::scenario) frequency: Option<Said<Frequency>>,
    /// Its modulation: a mode by name (`fm`), or an emission designator.
    pub(in crate::scenario) mode: Option<Said<String>>,
    /// The kind of service, as the rules name it.
    pub(in crate::scenario) service: Option<Said<String>>,
    /// Effective radiated power, over a half-wave dipole.
    pub(in crate::scenario) erp: Option<Said<Power>>,
    /// Effective radiated power, over an isotropic antenna.
    pub(in crate::scenario) eirp: Option<Said<Power>>,
    /// Power at the antenna socket.
    pub(in crate::scenario) power: Option<Said<Power>>,
    /// Gain of its antenna, with `power`.
    pub(in crate::scenario) gain: Option<Said<Decibels>>,
    /// Where it is.
    pub(in crate::scenario) at: Option<Said<Position>>,
    /// How far it is from your sites, where its position is not known.
    pub(in crate::scenario) distance: Option<Said<Length>>,
    /// Height of its antenna above ground.
    pub(in crate::scenario) antenna: Option<Said<Length>>,
    /// Height of its ground above sea level.
    pub(in crate::scenario) ground: Option<Said<Length>>,
    /// Sub-audible tone its input wants, in hertz.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// Sub-audible tone its output sends, in hertz.
    pub(in crate::scenario) output_tone: Option<Said<String>>,
    /// How long a repeater stays on the air after its input closed: `2 s`.
    pub(in crate::scenario) hang: Option<Said<String>>,
    /// Longest transmission before it is stopped: `3 min`.
    pub(in crate::scenario) time_out: Option<Said<String>>,
    /// Share of the time it transmits: `20 %`.
    pub(in crate::scenario) duty: Option<Said<String>>,
    /// When it is on the air; always if left out.
    pub(in crate::scenario) windows: Vec<Said<WindowWords>>,
    /// Phases of the event in which it is on the air, besides `windows`.
    pub(in crate::scenario) phases: Vec<Said<String>>,
    /// Those who listen to it.
    pub(in crate::scenario) listeners: Option<Said<ListenerWords>>,
    /// Its radio: a built-in profile, or one of `radios`.
    pub(in crate::scenario) radio: Option<Said<String>>,
    /// Level of the signal its receiver wants, at the antenna socket.
    pub(in crate::scenario) wanted: Option<Said<Level>>,
    /// It never transmits.
    pub(in crate::scenario) receives_only: Option<Said<bool>>,
    /// It never receives.
    pub(in crate::scenario) transmits_only: Option<Said<bool>>,
    /// A CSV file, one row for each entry, beside the scenario.
    pub(in crate::scenario) from: Option<Said<String>>,
    /// Which column of the file holds what.
    pub(in crate::scenario) columns: Option<Said<ColumnWords>>,
    /// What separates the columns: `,` if left out; `;` or `tab`.
    pub(in crate::scenario) delimiter: Option<Said<String>>,
}

/// Those who listen to somebody else's transmissions.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::scenario) struct ListenerWords {
    /// Least distance between one of them and any of your antennas.
    pub(in crate::scenario) nearest: Option<Said<Length>>,
    /// Their radio: a built-in profile, or one of `radios`.
    pub(in crate::scenario) radio: Option<Said<String>>,
}

/// For each key of an entry, the heading of the column that holds it.
#[derive(Debug, Default, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(in crate::scenario) struct ColumnWords {
    /// The name.
    pub(in crate::scenario) name: Option<Said<String>>,
    /// What a repeater transmits on.
    pub(in crate::scenario) output: Option<Said<String>>,
    /// What a repeater receives on.
    pub(in crate::scenario) input: Option<Said<String>>,
    /// Where a simplex channel is.
    pub(in crate::scenario) frequency: Option<Said<String>>,
    /// The modulation.
    pub(in crate::scenario) mode: Option<Said<String>>,
    /// The kind of service.
    pub(in crate::scenario) service: Option<Said<String>>,
    /// Effective radiated power, over a half-wave dipole.
    pub(in crate::scenario) erp: Option<Said<String>>,
    /// Effective radiated power, over an isotropic antenna.
    pub(in crate::scenario) eirp: Option<Said<String>>,
    /// Power at the antenna socket.
    pub(in crate::scenario) power: Option<Said<String>>,
    /// Position in one column: a locator, or latitude and longitude with a comma between.
    pub(in crate::scenario) at: Option<Said<String>>,
    /// Latitude in degrees.
    pub(in crate::scenario) latitude: Option<Said<String>>,
    /// Longitude in degrees.
    pub(in crate::scenario) longitude: Option<Said<String>>,
    /// Distance.
    pub(in crate::scenario) distance: Option<Said<String>>,
    /// Height of the antenna above ground.
    pub(in crate::scenario) antenna: Option<Said<String>>,
    /// Height of the ground above sea level.
    pub(in crate::scenario) ground: Option<Said<String>>,
    /// Sub-audible tone its input wants.
    pub(in crate::scenario) tone: Option<Said<String>>,
    /// Sub-audible tone its output sends.
    pub(in crate::scenario) output_tone: Option<Said<String>>,
    /// How long a repeater stays on the air after its input closed.
    pub(in crate::scenario) hang: Option<Said<String>>,
    /// Longest transmission before it is stopped.
    pub(in crate::scenario) time_out: Option<Said<String>>,
    /// Share of the time it transmits.
    pub(in crate::scenario) duty: Option<Said<String>>,
}
