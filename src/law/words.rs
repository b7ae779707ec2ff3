//! What the file of a pack may say.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Deserialize;

use super::pack::{Force, Kind, Measure, Status};
use super::purpose::{Concern, Control, Purpose};
use super::spurious::SpuriousLimit;
use crate::document::{Entries, Said};
use crate::provenance::Standing;
use crate::quantity::{Bandwidth, Decibels, Emission, Frequency, Length, Offset, Position, Power};

/// A day, as 2027-05-16.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(try_from = "String")]
pub(super) struct Day(#[schemars(with = "String")] Date);

impl Day {
    /// The day itself.
    pub(super) const fn date(self) -> Date {
        self.0
    }
}

impl TryFrom<String> for Day {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
            .map(Self)
            .map_err(|_| format!("`{text}` is not a day such as 2027-05-16"))
    }
}

/// From one edge to another.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
pub(super) struct Stretch(pub(super) Frequency, pub(super) Frequency);

/// How well an entry is known.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum StandingWord {
    /// Read in the published text itself.
    Published,
    /// Read in a quotation or reprint.
    SecondHand,
    /// Worked out.
    Computed,
    /// A habit of the trade.
    CommonPractice,
    /// Recalled, not read.
    Memory,
    /// A choice made for this program.
    Choice,
}

impl From<StandingWord> for Standing {
    fn from(word: StandingWord) -> Self {
        match word {
            StandingWord::Published => Self::Published,
            StandingWord::SecondHand => Self::SecondHand,
            StandingWord::Computed => Self::Computed,
            StandingWord::CommonPractice => Self::CommonPractice,
            StandingWord::Memory => Self::Memory,
            StandingWord::Choice => Self::Choice,
        }
    }
}

/// The whole file.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PackWords {
    /// The name scenarios use.
    pub(super) pack: Said<String>,
    /// What it is, in a line.
    pub(super) title: Said<String>,
    /// Which kind of rules.
    pub(super) kind: Said<Kind>,
    /// Where they hold.
    pub(super) jurisdiction: Said<String>,
    /// Which edition of the text.
    pub(super) edition: Said<String>,
    /// The day that edition takes effect.
    pub(super) effective: Option<Said<Day>>,
    /// The day the author last went through the entries.
    pub(super) checked: Said<Day>,
    /// What a reader must know before relying on it.
    pub(super) note: Option<Said<String>>,
    /// Built-in packs that are stacked with it.
    #[serde(default)]
    pub(super) with: Vec<Said<String>>,
    /// The documents that entries name as their source.
    pub(super) sources: Entries<SourceWords>,
    /// Stretches of the map that rules name.
    #[serde(default)]
    pub(super) zones: Entries<ZoneWords>,
    /// Licence classes, the least first.
    #[serde(default)]
    pub(super) licences: Vec<Said<LicenceWords>>,
    /// The emission taken where a scenario states none.
    pub(super) usual_emission: Option<Said<UsualWords>>,
    /// The exposure limits that people near the antennas are protected by.
    pub(super) exposure_limits: Option<Said<ExposureWords>>,
    /// The bands the licence opens.
    #[serde(default)]
    pub(super) bands: Vec<Said<BandWords>>,
    /// What this law may take a purpose for.
    #[serde(default)]
    pub(super) readings: Vec<Said<ReadingWords>>,
    /// Its rules.
    #[serde(default)]
    pub(super) rules: Vec<Said<RuleWords>>,
    /// Segments of a band plan.
    #[serde(default)]
    pub(super) segments: Vec<Said<SegmentWords>>,
    /// Frequencies kept for one use.
    #[serde(default)]
    pub(super) spots: Vec<Said<SpotWords>>,
    /// Rules about the two legs of a relay together.
    #[serde(default)]
    pub(super) pairs: Vec<Said<PairWords>>,
    /// Distances between a repeater's input and output.
    #[serde(default)]
    pub(super) shifts: Vec<Said<ShiftWords>>,
    /// Kinds of service.
    #[serde(default)]
    pub(super) services: Vec<Said<ServiceWords>>,
    /// Services to protect wherever they are.
    #[serde(default)]
    pub(super) protected: Vec<Said<ProtectedWords>>,
    /// Pairs that a coordinator has set aside.
    #[serde(default)]
    pub(super) coordinated: Vec<Said<CoordinatedWords>>,
    /// Permissions held.
    #[serde(default)]
    pub(super) permissions: Vec<Said<PermissionWords>>,
}

impl PackWords {
    /// How many entries all its lists have.
    pub(super) const fn entries(&self) -> usize {
        self.licences.len()
            + self.bands.len()
            + self.readings.len()
            + self.rules.len()
            + self.segments.len()
            + self.spots.len()
            + self.pairs.len()
            + self.shifts.len()
            + self.services.len()
            + self.protected.len()
            + self.coordinated.len()
            + self.permissions.len()
    }
}

/// A document that entries name as their source.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SourceWords {
    /// The document, with its edition and where in it.
    pub(super) text: Said<String>,
    /// How well it is known.
    pub(super) standing: Said<StandingWord>,
}

/// A stretch of the map.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ZoneWords {
    /// What it is called in a sentence.
    pub(super) name: Said<String>,
    /// Its parts.
    pub(super) shapes: Vec<Said<ShapeWords>>,
}

/// One part of a zone.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum ShapeWords {
    /// Everything within a distance of a point.
    Circle {
        /// The middle.
        at: Position,
        /// How far it reaches.
        radius: Length,
    },
    /// Between two parallels and two meridians.
    Box {
        /// The south-western corner.
        south_west: Position,
        /// The north-eastern corner.
        north_east: Position,
    },
    /// Inside a ring of corners.
    Polygon(Vec<Position>),
}

/// A licence class.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct LicenceWords {
    /// The word scenarios use.
    pub(super) id: Said<String>,
    /// What it is called.
    pub(super) title: Said<String>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// The emission taken where a scenario states none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct UsualWords {
    /// The emission.
    pub(super) value: Said<Emission>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// The exposure limits that apply.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ExposureWords {
    /// Their names, as the exposure check knows them.
    pub(super) apply: Vec<Said<String>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A band.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BandWords {
    /// Its trade name.
    pub(super) name: Said<String>,
    /// From edge to edge.
    pub(super) span: Said<Stretch>,
    /// Whose it is first.
    pub(super) status: Said<Status>,
    /// The licence classes it is open to; none named for all.
    #[serde(default)]
    pub(super) licences: Vec<Said<String>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// What a law may take a purpose for.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadingWords {
    /// The purpose.
    pub(super) purpose: Said<Purpose>,
    /// What the law calls it.
    pub(super) counts_as: Said<String>,
    /// What follows, when that needs saying.
    pub(super) note: Option<Said<String>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// What a rule wants.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum DemandWords {
    /// That nobody transmits so.
    Forbidden,
    /// Something that no figure of the plan can show.
    Duty,
    /// That only these uses are made of it.
    Only(Vec<Said<String>>),
    /// That the emission is no wider.
    Width(Bandwidth),
    /// That the class of emission begins with one of these.
    Classes(Vec<String>),
    /// That the power is no higher.
    Power {
        /// The most.
        most: Power,
        /// Measured how.
        measure: Measure,
    },
    /// That the station is controlled in one of these ways.
    Control(Vec<Control>),
    /// That the station identifies at least so often.
    Identify {
        /// In minutes.
        minutes: u32,
    },
    /// That harmonics and the like are no stronger.
    Spurious(SpuriousWords),
}

/// A limit on harmonics and the like: `most`, `below` or both.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SpuriousWords {
    /// For transmitters above this power; for all when left out.
    over: Option<Power>,
    /// For transmitters up to this power; for all when left out.
    up_to: Option<Power>,
    /// The most, whatever the carrier.
    most: Option<Power>,
    /// At least so far below the carrier.
    below: Option<Decibels>,
    /// What need not be gone below.
    enough: Option<Power>,
    /// How far below the carrier is enough.
    enough_below: Option<Decibels>,
}

impl From<SpuriousWords> for SpuriousLimit {
    fn from(words: SpuriousWords) -> Self {
        Self {
            over: words.over,
            up_to: words.up_to,
            most: words.most,
            below: words.below,
            enough: words.enough,
            enough_below: words.enough_below,
        }
    }
}

/// A rule.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RuleWords {
    /// Its name within the pack.
    pub(super) id: Said<String>,
    /// Where on the frequency axis; none named for everywhere.
    #[serde(default)]
    pub(super) spans: Vec<Said<Stretch>>,
    /// Which uses it binds; none named for all.
    #[serde(default)]
    pub(super) uses: Vec<Said<String>>,
    /// Which licence classes it binds; none named for all.
    #[serde(default)]
    pub(super) licences: Vec<Said<String>>,
    /// Under which control it binds; none named for any.
    #[serde(default)]
    pub(super) controls: Vec<Said<Control>>,
    /// Whose messages it is about; anybody's when left out.
    pub(super) about: Option<Said<Concern>>,
    /// How strongly it speaks where a plan does not say whether such messages are passed; a note when left out.
    pub(super) unstated: Option<Said<Force>>,
    /// The zone it binds in.
    pub(super) zone: Option<Said<String>>,
    /// First day it holds.
    pub(super) from: Option<Said<Day>>,
    /// Last day it holds.
    pub(super) until: Option<Said<Day>>,
    /// What it wants.
    pub(super) demand: Said<DemandWords>,
    /// How strongly.
    pub(super) force: Said<Force>,
    /// What it wants, in one sentence.
    pub(super) says: Said<String>,
    /// What a planner may do about it.
    #[serde(default)]
    pub(super) ways_out: Vec<Said<String>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A segment of a band plan.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SegmentWords {
    /// From edge to edge.
    pub(super) span: Said<Stretch>,
    /// What it is for, in a few words.
    pub(super) title: Said<String>,
    /// The purposes it is for; none named for all.
    #[serde(default)]
    pub(super) uses: Vec<Said<Purpose>>,
    /// Whether it is kept for those alone.
    #[serde(default)]
    #[schemars(with = "Said<bool>")]
    pub(super) exclusive: bool,
    /// The widest emission.
    pub(super) width: Option<Said<Bandwidth>>,
    /// Its channels.
    pub(super) raster: Option<Said<RasterWords>>,
    /// How well it suits, beyond being for the purpose.
    pub(super) preference: Option<i32>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A channel raster.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RasterWords {
    /// One channel of it; whole multiples of the step when none is named.
    pub(super) channel: Option<Said<Frequency>>,
    /// From channel to channel.
    pub(super) step: Said<Offset>,
}

/// A frequency kept for one use.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SpotWords {
    /// The frequency.
    pub(super) frequency: Said<Frequency>,
    /// The stretch that is kept clear.
    pub(super) width: Said<Bandwidth>,
    /// What it is for, in a few words.
    pub(super) title: Said<String>,
    /// The purposes it is for.
    #[serde(default)]
    pub(super) uses: Vec<Said<Purpose>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A rule about two legs together.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PairWords {
    /// Its name within the pack.
    pub(super) id: Said<String>,
    /// Where one leg lies.
    pub(super) one: Said<Stretch>,
    /// The other leg lies outside this.
    pub(super) other_outside: Said<Stretch>,
    /// The purposes it binds.
    #[serde(default)]
    pub(super) uses: Vec<Said<Purpose>>,
    /// How strongly it speaks.
    pub(super) force: Said<Force>,
    /// What makes it a note only.
    pub(super) eased_by: Option<Said<EaseWords>>,
    /// What it wants, in one sentence.
    pub(super) says: Said<String>,
    /// What a planner may do about it.
    #[serde(default)]
    pub(super) ways_out: Vec<Said<String>>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// What makes a rule a note only.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct EaseWords {
    /// Who must be in control.
    pub(super) control: Said<Control>,
    /// For how many hours at most.
    pub(super) hours: Said<u32>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A distance between input and output.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ShiftWords {
    /// Where the output lies.
    pub(super) outputs: Said<Stretch>,
    /// Input less output.
    pub(super) shift: Said<Offset>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A kind of service.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ServiceWords {
    /// The word scenarios use.
    pub(super) id: Said<String>,
    /// What it is called.
    pub(super) title: Said<String>,
    /// Whether life may hang on it.
    #[serde(default)]
    #[schemars(with = "Said<bool>")]
    pub(super) safety: bool,
    /// Its usual emission.
    pub(super) emission: Said<Emission>,
    /// The radio profile of its receivers.
    pub(super) receiver: Said<String>,
    /// How near its listeners may be to one of our antennas.
    pub(super) listener: Said<Length>,
    /// Its usual radiated power over an isotropic antenna.
    pub(super) eirp: Said<Power>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A service to protect wherever it is.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ProtectedWords {
    /// What it is called.
    pub(super) name: Said<String>,
    /// Where it listens.
    pub(super) span: Said<Stretch>,
    /// The kind of service.
    pub(super) service: Said<String>,
    /// How near one of its receivers may be to one of our antennas.
    pub(super) nearest: Said<Length>,
    /// Who says how near.
    pub(super) nearest_source: Said<String>,
    /// The radio profile of its receivers.
    pub(super) receiver: Said<String>,
    /// Protection on top of the ordinary.
    pub(super) extra: Option<Said<Decibels>>,
    /// Who says that it exists.
    pub(super) source: Said<String>,
}

/// A pair that a coordinator has set aside.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct CoordinatedWords {
    /// What it is called.
    pub(super) name: Said<String>,
    /// Its frequencies.
    pub(super) legs: Said<[Frequency; 2]>,
    /// Who says so.
    pub(super) source: Said<String>,
}

/// A permission held.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PermissionWords {
    /// What it is called.
    pub(super) name: Said<String>,
    /// The rules it lifts, as `pack/rule`.
    pub(super) lifts: Vec<Said<String>>,
    /// Where it holds; none named for wherever the rule does.
    #[serde(default)]
    pub(super) spans: Vec<Said<Stretch>>,
    /// First day it holds.
    pub(super) from: Option<Said<Day>>,
    /// Last day it holds.
    pub(super) until: Option<Said<Day>>,
    /// The paper itself.
    pub(super) source: Said<String>,
}
