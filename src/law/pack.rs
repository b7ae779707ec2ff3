//! What a pack holds.

use std::fmt;
use std::sync::Arc;

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Deserialize;

use super::permission::Permission;
use super::purpose::{Concern, Control, Purpose};
use super::service::{Protected, Service};
use super::spurious::SpuriousLimit;
use super::zone::Zone;
use crate::provenance::{Authority, Sourced};
use crate::quantity::{Bandwidth, Emission, Frequency, Offset, Power, Span};

/// Which kind of rules a pack holds; law and custom are never mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A licence or a law.
    Law,
    /// A band plan.
    BandPlan,
    /// Services to protect, or to expect as neighbours.
    Services,
    /// A club's or coordinator's own file: custom, with permissions.
    Local,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Law => "law",
            Self::BandPlan => "band plan",
            Self::Services => "services",
            Self::Local => "local file",
        })
    }
}

/// One country's, region's or club's rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// The name scenarios use.
    pub id: Arc<str>,
    /// What it is, in a line.
    pub title: String,
    /// Which kind of rules.
    pub kind: Kind,
    /// Where they hold.
    pub jurisdiction: String,
    /// Which edition of the text.
    pub edition: String,
    /// The day that edition takes effect, when known.
    pub effective: Option<Date>,
    /// The day the author last went through the entries.
    pub checked: Date,
    /// What a reader must know before relying on it.
    pub note: Option<String>,
    /// Built-in packs that are stacked with it: its region's band plan, its safety services.
    pub companions: Vec<String>,
    /// Licence classes, the least first.
    pub licences: Vec<Licence>,
    /// The emission taken where a scenario states none.
    pub usual_emission: Option<Sourced<Emission>>,
    /// The exposure limits that people near the antennas are protected by.
    pub exposure_limits: Option<ExposureLimits>,
    /// The bands the licence opens.
    pub bands: Vec<Band>,
    /// What this law may take a purpose for.
    pub readings: Vec<Reading>,
    /// Its rules.
    pub rules: Vec<Rule>,
    /// Segments of a band plan.
    pub segments: Vec<Segment>,
    /// Frequencies kept for one use.
    pub spots: Vec<Spot>,
    /// Rules about the two legs of a relay together.
    pub pairs: Vec<PairRule>,
    /// Distances between a repeater's input and output.
    pub shifts: Vec<Shift>,
    /// Kinds of service.
    pub services: Vec<Service>,
    /// Services to protect wherever they are.
    pub protected: Vec<Protected>,
    /// Pairs that a coordinator has set aside.
    pub coordinated: Vec<Coordinated>,
    /// Permissions held.
    pub permissions: Vec<Permission>,
}

/// A licence class.
#[derive(Debug, Clone, PartialEq)]
pub struct Licence {
    /// The word scenarios use.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// Who says so.
    pub basis: Authority,
}

/// The exposure limits that apply under a licence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExposureLimits {
    /// Their ids, as in [`crate::physics::exposure::ExposureLimit::id`].
    pub apply: Vec<String>,
    /// Who says so.
    pub basis: Authority,
}

/// Whose the band is first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Amateurs are among the first users.
    Primary,
    /// Amateurs must protect others and accept their interference.
    Secondary,
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Primary => "primary",
            Self::Secondary => "secondary",
        })
    }
}

/// A stretch that a licence opens, or that a plan speaks of.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its trade name.
    pub name: String,
    /// From edge to edge.
    pub span: Span,
    /// Whose it is first.
    pub status: Status,
    /// The licence classes it is open to; empty for all.
    pub licences: Vec<String>,
    /// Who says so.
    pub basis: Authority,
}

/// One thing that this law may take a purpose for.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The purpose.
    pub purpose: Purpose,
    /// What the law calls it.
    pub word: String,
    /// What follows from being taken for it, when that needs saying.
    pub note: Option<String>,
    /// Who says so.
    pub basis: Authority,
}

/// How strongly a rule speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Force {
    /// Worth knowing.
    Note,
    /// Somebody must look; it can go well.
    Caution,
    /// Not allowed.
    Forbidden,
}

/// What a limit on power is measured at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Mean power at the transmitter's output.
    Output,
    /// Peak envelope power at the transmitter's output.
    Pep,
    /// Effective radiated power, over a half-wave dipole.
    Erp,
    /// Equivalent isotropically radiated power.
    Eirp,
}

impl Measure {
    /// What it is called in a sentence.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Output => "at the transmitter's output",
            Self::Pep => "PEP at the transmitter's output",
            Self::Erp => "ERP",
            Self::Eirp => "EIRP",
        }
    }
}

/// What a rule wants.
#[derive(Debug, Clone, PartialEq)]
pub enum Demand {
    /// That nobody transmits so.
    Forbidden,
    /// That only these uses are made of it: purposes, or what a law takes them for.
    Only(Vec<String>),
    /// That the emission is no wider.
    Width(Bandwidth),
    /// That the class of emission begins with one of these (`F3E`, `A1`, `F`).
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
    Spurious(SpuriousLimit),
    /// Something that no figure of the plan can show; it is told.
    Duty,
}

/// One rule: where and when it holds, what it wants, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Its name within the pack.
    pub id: String,
    /// Where on the frequency axis; empty for everywhere.
    pub spans: Vec<Span>,
    /// Which uses it binds: purposes, or what the law takes them for; empty for all.
    pub uses: Vec<String>,
    /// Which licence classes it binds; empty for all.
    pub licences: Vec<String>,
    /// Under which control it binds; empty for any.
    pub controls: Vec<Control>,
    /// Whose messages it is about; none for anybody's.
    pub about: Option<Concern>,
    /// How strongly it speaks where a plan does not say whether such messages are passed.
    pub unstated: Force,
    /// Where on the map it binds; none for everywhere.
    pub zone: Option<Zone>,
    /// First day it holds; none for always before.
    pub from: Option<Date>,
    /// Last day it holds; none for always after.
    pub until: Option<Date>,
    /// What it wants.
    pub demand: Demand,
    /// How strongly.
    pub force: Force,
    /// What it wants, in one sentence.
    pub says: String,
    /// What a planner may do about it.
    pub ways_out: Vec<String>,
    /// Who says so.
    pub basis: Authority,
}

/// A channel raster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Raster {
    /// One channel of it.
    pub channel: Frequency,
    /// From channel to channel.
    pub step: Offset,
}

/// A segment of a band plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// From edge to edge.
    pub span: Span,
    /// What it is for, in a few words.
    pub title: String,
    /// The purposes it is for; empty for all.
    pub uses: Vec<Purpose>,
    /// Whether it is kept for those alone.
    pub is_exclusive: bool,
    /// The widest emission; none when the plan names none.
    pub width: Option<Bandwidth>,
    /// Its channels.
    pub raster: Option<Raster>,
    /// How well it suits, beyond being for the purpose; higher is better.
    pub preference: i32,
    /// Who says so.
    pub basis: Authority,
}

/// A frequency kept for one use, with the width that is kept clear.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// The frequency.
    pub frequency: Frequency,
    /// The stretch that is kept clear.
    pub width: Bandwidth,
    /// What it is for, in a few words.
    pub title: String,
    /// The purposes it is for.
    pub uses: Vec<Purpose>,
    /// Who says so.
    pub basis: Authority,
}

/// A rule about the two legs of a relay together.
#[derive(Debug, Clone, PartialEq)]
pub struct PairRule {
    /// Its name within the pack.
    pub id: String,
    /// Where one leg lies.
    pub one: Span,
    /// The other leg lies outside this.
    pub other_outside: Span,
    /// The uses it binds.
    pub uses: Vec<Purpose>,
    /// How strongly it speaks.
    pub force: Force,
    /// Control that makes it a note only, when the event is short enough.
    pub eased_by: Option<Ease>,
    /// What it wants, in one sentence.
    pub says: String,
    /// What a planner may do about it.
    pub ways_out: Vec<String>,
    /// Who says so.
    pub basis: Authority,
}

/// What makes a rule a note only.
#[derive(Debug, Clone, PartialEq)]
pub struct Ease {
    /// Who must be in control.
    pub control: Control,
    /// For how long at most, in hours.
    pub hours: u32,
    /// Who says so.
    pub basis: Authority,
}

/// A distance between a repeater's input and output.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Where the output lies.
    pub outputs: Span,
    /// Input less output.
    pub shift: Offset,
    /// Who says so.
    pub basis: Authority,
}

/// A pair that a coordinator has set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Coordinated {
    /// What it is called.
    pub name: String,
    /// Its frequencies.
    pub legs: [Frequency; 2],
    /// Who says so.
    pub basis: Authority,
}
