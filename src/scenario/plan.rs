//! The plan: what the scenario says once every name is resolved and every default filled in.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use crate::law::{Control, Law, Purpose};
use crate::physics::geodesic::Bearing;
use crate::physics::noise::Surroundings;
use crate::physics::path::Environment;
use crate::provenance::{Origin, Sourced};
use crate::quantity::{
    Decibels, Duty, Emission, Frequency, Length, Level, Offset, Position, Power, Span,
};
use crate::radio::Profile;

use super::{Assign, Choosing};

/// A stretch of time, in seconds since 1970-01-01 UTC, end not included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Window {
    /// First second.
    pub from: i64,
    /// First second no longer in it.
    pub to: i64,
}

/// Everything that is planned and everything that is known around it.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The event.
    pub event: Event,
    /// The rules that apply, with the licence held.
    pub law: Law,
    /// Places.
    pub sites: Vec<Site>,
    /// What is known of single paths.
    pub paths: Vec<KnownPath>,
    /// How long the event lasts.
    pub lasts: Sourced<Duration>,
    /// How much an operator says, unless the station says otherwise.
    pub traffic: Traffic,
    /// Our stations.
    pub stations: Vec<Station>,
    /// What others have on the air.
    pub in_use: Vec<InUse>,
    /// Services that the rule packs protect wherever one is.
    pub guarded: Vec<Guarded>,
    /// What is put to the plan.
    pub proposals: Vec<Proposal>,
    /// What is to be searched for.
    pub searches: Vec<Search>,
    /// The channels that are to be given a frequency together.
    pub assign: Option<Assign>,
    /// How strictly to judge.
    pub settings: Settings,
    /// Every default that was taken, in file order: what, value, where it came from.
    pub defaults: Vec<(String, String, Origin)>,
}

/// The event.
#[derive(Debug, Clone)]
pub struct Event {
    /// Its name.
    pub name: String,
    /// From the first to the last second, when stated.
    pub window: Option<Window>,
    /// The beginning and the end as the user wrote them.
    pub when: Option<(String, String)>,
    /// Its phases, in the scenario's order.
    pub phases: Vec<Phase>,
    /// The border nearby, when that is stated.
    pub border: Option<Border>,
}

/// A border nearby.
#[derive(Debug, Clone, PartialEq)]
pub struct Border {
    /// The rule packs of its other side, as the user wrote them.
    pub with: Vec<String>,
    /// How near the event comes to it.
    pub within: Sourced<Length>,
}

/// How a station is operated, as a licence sees it; none where nobody said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Operation {
    /// How it gives its call sign.
    pub identification: Option<Sourced<Identification>>,
    /// Whether it passes messages for people without a licence.
    pub third_party: Option<Sourced<bool>>,
    /// Whether somebody is paid for the help, or does business with it.
    pub for_hire: Option<Sourced<bool>>,
}

/// How a station gives its call sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Identification {
    /// It does not.
    Never,
    /// At least so often.
    Every {
        /// From one to the next.
        interval: Duration,
        /// By what means.
        by: Means,
    },
}

/// By what means a call sign is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// Spoken.
    Voice,
    /// In Morse.
    Morse,
    /// In a data emission.
    Digital,
}

impl Means {
    /// All means with the word that stands for each in a scenario.
    pub const ALL: [(&'static str, Self); 3] = [
        ("voice", Self::Voice),
        ("morse", Self::Morse),
        ("digital", Self::Digital),
    ];

    /// What it is called in a sentence.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Voice => "by voice",
            Self::Morse => "in Morse",
            Self::Digital => "in data",
        }
    }
}

/// A phase of the event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// When it is.
    pub window: Window,
}

/// How much an operator says.
#[derive(Debug, Clone, PartialEq)]
pub struct Traffic {
    /// How many overs are begun in an hour.
    pub overs_per_hour: Sourced<f64>,
    /// How long an over lasts, on average.
    pub over: Sourced<Duration>,
}

/// What a radio runs from.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// What is written on the battery, in milliampere-hours.
    pub capacity_mah: Sourced<u64>,
    /// The share of that which may be used.
    pub usable: Sourced<Duty>,
}

/// A place; stations at one site couple strongly.
#[derive(Debug, Clone)]
pub struct Site {
    /// Its name.
    pub name: String,
    /// Where it is; none when only distances are known.
    pub position: Option<Position>,
    /// Height of the ground above sea level.
    pub ground: Sourced<Length>,
    /// Man-made noise there.
    pub noise: Sourced<Surroundings>,
    /// Isolation between two stations at this site that somebody measured; it always wins.
    pub measured: Vec<MeasuredIsolation>,
}

/// A measured isolation between the antennas of two stations.
#[derive(Debug, Clone)]
pub struct MeasuredIsolation {
    /// The two stations, by index, lower first.
    pub stations: (usize, usize),
    /// Where it was measured; none when it holds everywhere.
    pub at: Option<Span>,
    /// From socket to socket.
    pub loss: Sourced<Decibels>,
}

/// What is known of the path between two places.
#[derive(Debug, Clone)]
pub struct KnownPath {
    /// Its ends.
    pub ends: [End; 2],
    /// What is known.
    pub what: Known,
}

/// An end of a path of which something is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Every station at a site, by index.
    Site(usize),
    /// One station, by index.
    Station(usize),
    /// Somebody else's station, by index into [`Plan::in_use`].
    InUse(usize),
}

/// What is known of a path.
#[derive(Debug, Clone)]
pub enum Known {
    /// A ridge stands in the way.
    Ridge {
        /// Its top above the sea.
        top: Sourced<Length>,
        /// How far it is from the first end.
        from_first: Length,
    },
    /// The loss itself.
    Loss {
        /// Between isotropic antennas.
        loss: Sourced<Decibels>,
        /// Where it holds; none when it holds everywhere.
        at: Option<Span>,
    },
}

/// One of our radios with its antenna at a site.
#[derive(Debug, Clone)]
pub struct Station {
    /// Its name.
    pub name: String,
    /// Index of its site.
    pub site: usize,
    /// The radio, with the scenario's overrides applied.
    pub radio: Arc<Profile>,
    /// Power step by name; none for the profile's usual one.
    pub step: Option<Sourced<String>>,
    /// Power in watts when it is stated instead of a step.
    pub power: Option<Sourced<Power>>,
    /// Its antenna.
    pub antenna: Antenna,
    /// Who is in control of it.
    pub control: Sourced<Control>,
    /// How it is operated, as a licence sees it.
    pub operation: Operation,
    /// What its modulation is.
    pub emission: Sourced<Emission>,
    /// Filters between radio and antenna.
    pub filters: Vec<FilterLoss>,
    /// When it is on the air; empty for the whole event.
    pub windows: Vec<Window>,
    /// What it does in the plan as it stands.
    pub uses: Vec<StationUse>,
    /// How many such stations there are (`count: 6` handhelds), for the tables only.
    pub count: u32,
    /// What it is there for, as others call it.
    pub role: Option<String>,
    /// Indexes of the stations it must be able to talk with.
    pub needs: BTreeSet<usize>,
    /// How much its operator says.
    pub traffic: Traffic,
    /// Its battery, if it runs from one.
    pub battery: Option<Supply>,
    /// How near the public may come to its antenna, when that is stated.
    pub public: Option<Sourced<Length>>,
}

/// An antenna.
#[derive(Debug, Clone, PartialEq)]
pub struct Antenna {
    /// Height above ground.
    pub height: Sourced<Length>,
    /// Where it stands from the middle of its site, east and north; none when nobody stated it.
    pub offset: Option<(Length, Length)>,
    /// Gain over an isotropic antenna by stretch of spectrum.
    pub gains: Vec<(Span, Sourced<Decibels>)>,
    /// Gain where no stretch applies.
    pub gain: Sourced<Decibels>,
    /// Feeder loss.
    pub feeder: Sourced<Decibels>,
    /// For a beam: bearing in degrees from north, and front-to-back ratio.
    pub beam: Option<(f64, Decibels)>,
}

impl Antenna {
    /// The most it gains anywhere in any direction.
    pub fn most_gain(&self) -> Decibels {
        let stated = self.gains.iter().map(|(_, gain)| gain.value);
        stated.fold(self.gain.value, Decibels::max)
    }

    /// Gain at a frequency, and in a direction when one is given.
    ///
    /// A beam has its full gain within 30° of its bearing and its front-to-back ratio less beyond 90°, with a straight
    /// line in dB between: common practice for a small beam whose pattern is not known.
    pub fn gain_at(&self, frequency: Frequency, towards: Option<Bearing>) -> Decibels {
        let stated = self.gains.iter().find(|(span, _)| span.contains(frequency));
        let full = stated.map_or(self.gain.value, |(_, gain)| gain.value);
        let (Some((bearing, front_to_back)), Some(towards)) = (self.beam, towards) else {
            return full;
        };
        let apart = (towards.as_degrees() - bearing).rem_euclid(360.0);
        let off = apart.min(360.0 - apart);
        full - front_to_back * ((off - 30.0) / 60.0).clamp(0.0, 1.0)
    }
}

/// A filter's loss over a stretch of spectrum.
#[derive(Debug, Clone)]
pub struct FilterLoss {
    /// Its name.
    pub name: String,
    /// Where the loss holds.
    pub span: Span,
    /// The loss.
    pub loss: Sourced<Decibels>,
}

/// One use of a station, with where the scenario says it.
#[derive(Debug, Clone)]
pub struct StationUse {
    /// What it does.
    pub what: Use,
    /// Where the scenario says so (`race.yaml, line 31`).
    pub place: Arc<str>,
    /// How its channels stand, in the order they are written; both are settled unless they are being chosen.
    pub choosing: [Choosing; 2],
}

/// A channel: one frequency and how it is used.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// The carrier.
    pub frequency: Frequency,
    /// Sub-audible tone sent and expected, in tenths of a hertz.
    pub tone: Option<u32>,
}

/// What a station does.
#[derive(Debug, Clone, PartialEq)]
pub enum Use {
    /// Transmits and receives; the two are the same on a simplex channel.
    Talk {
        /// Where it transmits.
        transmit: Channel,
        /// Where it receives.
        receive: Channel,
        /// What for.
        purpose: Purpose,
    },
    /// Receives only.
    Watch {
        /// Where.
        channel: Channel,
        /// Level of the wanted signal at the socket, when it is known.
        wanted: Option<Sourced<Level>>,
        /// Whom it listens to, when that is named: index into [`Plan::in_use`].
        from: Option<usize>,
    },
    /// Repeats between two channels in different bands, either way, one way at a time.
    CrossBand {
        /// The two legs, as written.
        legs: [Channel; 2],
    },
    /// Works through a relay or a repeater.
    Via {
        /// Through which.
        target: Target,
    },
}

/// What a station works through.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    /// One of our relays: station index, and which leg (0 or 1).
    Relay {
        /// Index of the relaying station.
        station: usize,
        /// Which of its two legs.
        leg: usize,
    },
    /// A repeater in use by others: index into [`Plan::in_use`].
    Repeater {
        /// Index of the entry.
        in_use: usize,
    },
}

/// Somebody else's frequency.
#[derive(Debug, Clone)]
pub struct InUse {
    /// Its name.
    pub name: String,
    /// The kind of service, as the rule packs name it (`amateur`, `airband`).
    pub service: Sourced<String>,
    /// Whether that service is one of safety, with further protection.
    pub is_safety: bool,
    /// What it transmits on (its output), when it transmits.
    pub output: Option<Frequency>,
    /// What it receives on (its input, or the same frequency), when it receives.
    pub input: Option<Frequency>,
    /// Whether output and input are one simplex channel.
    pub is_simplex: bool,
    /// Its modulation.
    pub emission: Sourced<Emission>,
    /// Radiated power of the station, over an isotropic antenna.
    pub eirp: Sourced<Power>,
    /// Where it is; none when only a distance is known.
    pub position: Option<Position>,
    /// How far it is from every one of our sites, where no position is stated.
    pub distance: Sourced<Length>,
    /// Height of its antenna above ground.
    pub height: Sourced<Length>,
    /// Height of its ground above sea level.
    pub ground: Sourced<Length>,
    /// Its receiver's figures.
    pub radio: Arc<Profile>,
    /// Those who listen to its output.
    pub listener: Option<Listener>,
    /// Share of the time it transmits, in percent.
    pub duty: Sourced<f64>,
    /// When it is on the air; empty for always.
    pub windows: Vec<Window>,
    /// Tone its input wants, in tenths of a hertz.
    pub tone: Option<u32>,
    /// Tone its output sends, in tenths of a hertz, when it is stated.
    pub output_tone: Option<u32>,
    /// Level of the signal its own receiver wants, when known.
    pub wanted: Option<Sourced<Level>>,
    /// Where the scenario says so (`race.yaml, line 31`, `neighbours.csv, line 7`).
    pub place: Arc<str>,
}

/// A service that a rule pack protects wherever one is.
#[derive(Debug, Clone)]
pub struct Guarded {
    /// Its name.
    pub name: String,
    /// Where its receivers may listen.
    pub span: Span,
    /// How near one of them may be to any of our antennas.
    pub nearest: Sourced<Length>,
    /// Its receivers' figures.
    pub radio: Arc<Profile>,
    /// Protection beyond the ordinary; none where it is no service of safety.
    pub extra: Option<Sourced<Decibels>>,
}

/// Somebody who listens to an output, at the least distance that must be reckoned with.
#[derive(Debug, Clone)]
pub struct Listener {
    /// Least distance from any of our antennas.
    pub nearest: Sourced<Length>,
    /// The listener's radio.
    pub radio: Arc<Profile>,
}

/// What is put to the plan.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// Its name.
    pub name: String,
    /// Index of the station it is for.
    pub station: usize,
    /// What that station would do.
    pub what: Use,
    /// Where the scenario says so.
    pub place: Arc<str>,
}

/// What is to be searched for.
#[derive(Debug, Clone)]
pub struct Search {
    /// Its name.
    pub name: String,
    /// Index of the station it is for.
    pub station: usize,
    /// What to search.
    pub range: SearchRange,
    /// Channel step, counted from the lower edge of each stretch.
    pub step: Sourced<Offset>,
    /// How many of the best to show.
    pub keep: usize,
    /// Tone every candidate would use.
    pub tone: Option<u32>,
}

/// The candidates of a search; a stretch of one frequency is that frequency.
#[derive(Debug, Clone)]
pub enum SearchRange {
    /// Pairs for a cross-band relay: stretches for each leg.
    CrossBand([Vec<Span>; 2]),
    /// Frequencies to watch.
    Watch(Vec<Span>),
    /// Simplex channels.
    Talk(Vec<Span>),
}

/// How strictly to judge; every value has its source.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Rise of a receiver's noise floor that counts as harm.
    pub rise: Sourced<Decibels>,
    /// Margin below which a finding is still a caution.
    pub reserve: Sourced<Decibels>,
    /// How much further away, in dB, a listener whose place nobody stated must still be hurt to make a conflict.
    pub unplaced: Sourced<Decibels>,
    /// Further protection of safety services.
    pub safety: Sourced<Decibels>,
    /// Margin beyond which an encounter is not told.
    pub horizon: Sourced<Decibels>,
    /// Highest harmonic.
    pub harmonics: Sourced<u32>,
    /// Highest order of intermodulation.
    pub order: Sourced<u32>,
    /// Most signals in one product.
    pub signals: Sourced<u32>,
    /// How far below two carriers of 20 W the third-order product of a bad joint at the mast is; none when joints are
    /// taken as good.
    pub passive: Option<Sourced<Decibels>>,
    /// Man-made noise where somebody else's receiver stands.
    pub noise: Sourced<Surroundings>,
    /// What lies between stations, for the cautious path.
    pub terrain: Sourced<Environment>,
    /// The id of the path model that speaks where interference is judged; none for the kindest.
    pub path: Sourced<Option<&'static str>>,
    /// The id of the path model that speaks where service is judged; none for the hardest.
    pub service_path: Sourced<Option<&'static str>>,
    /// Mains frequencies to be reckoned with, in hertz.
    pub mains: Sourced<Vec<u32>>,
    /// Ids of the exposure limits that the user names; empty for those that the rules name.
    pub exposure_limits: Vec<String>,
    /// Distance taken between two antennas when nothing at all is known of it.
    pub distance: Sourced<Length>,
    /// Channel raster that proposals to move keep to.
    pub raster: Sourced<Offset>,
    /// Least distance ever reckoned between two antennas of different stations.
    pub closest: Sourced<Length>,
}

impl Window {
    /// The stretches that lie in a window of every one of several things; none where nothing bounds them, since no
    /// windows at all stand for always.
    pub fn common<'a>(all: impl IntoIterator<Item = &'a [Self]>) -> Option<Vec<Self>> {
        let bounded = all.into_iter().filter(|windows| !windows.is_empty());
        bounded.fold(None, |common, windows| {
            Some(match common {
                None => windows.to_vec(),
                Some(before) => overlaps(&before, windows),
            })
        })
    }
}

/// The stretches that lie in a window of both.
fn overlaps(one: &[Window], other: &[Window]) -> Vec<Window> {
    one.iter()
        .flat_map(|a| {
            other.iter().map(move |b| Window {
                from: a.from.max(b.from),
                to: a.to.min(b.to),
            })
        })
        .filter(|window| window.from < window.to)
        .collect()
}

impl Event {
    /// The phases, by index, into which stretches of time reach; all of them where nothing bounds the time.
    pub fn phases_in(&self, windows: Option<&[Window]>) -> BTreeSet<usize> {
        self.phases
            .iter()
            .enumerate()
            .filter(|(_, phase)| {
                windows.is_none_or(|windows| !overlaps(&[phase.window], windows).is_empty())
            })
            .map(|(index, _)| index)
            .collect()
    }

    /// The names of some phases; none where they are all of them, since that needs no telling.
    pub fn told(&self, phases: &BTreeSet<usize>) -> Option<String> {
        if phases.is_empty() || phases.len() == self.phases.len() {
            return None;
        }
        let names: Vec<&str> = phases
            .iter()
            .filter_map(|&index| self.phases.get(index))
            .map(|phase| phase.name.as_str())
            .collect();
        Some(names.join(", "))
    }
}

impl Station {
    /// Whether an operator of it has a key in hand, rather than that it only listens or relays.
    pub fn talks(&self) -> bool {
        self.uses
            .iter()
            .any(|one| matches!(one.what, Use::Talk { .. } | Use::Via { .. }))
    }
}

impl Use {
    /// The frequencies it is about, in the order they were written.
    pub fn frequencies(&self) -> Vec<Frequency> {
        match self {
            Self::Talk {
                transmit, receive, ..
            } if transmit.frequency == receive.frequency => vec![transmit.frequency],
            Self::Talk {
                transmit, receive, ..
            } => vec![transmit.frequency, receive.frequency],
            Self::Watch { channel, .. } => vec![channel.frequency],
            Self::CrossBand { legs } => legs.iter().map(|leg| leg.frequency).collect(),
            Self::Via { .. } => Vec::new(),
        }
    }

    /// What a station does, in a few words: `repeats 433.4500 ↔ 145.2250 MHz`.
    pub fn summary(&self, plan: &Plan) -> String {
        match self {
            Self::Talk {
                transmit, receive, ..
            } if transmit.frequency == receive.frequency => {
                format!("talks on {}", transmit.frequency)
            }
            Self::Talk {
                transmit, receive, ..
            } => {
                format!(
                    "talks on {}, hears {}",
                    transmit.frequency, receive.frequency
                )
            }
            Self::Watch { channel, .. } => format!("watches {}", channel.frequency),
            Self::CrossBand {
                legs: [first, second],
            } => {
                format!(
                    "repeats {} ↔ {}",
                    first.frequency.digits(),
                    second.frequency
                )
            }
            Self::Via {
                target: Target::Relay { station, leg },
            } => {
                let name = plan
                    .stations
                    .get(*station)
                    .map_or("", |station| station.name.as_str());
                let which = if *leg == 0 { "first" } else { "second" };
                format!("works through {name}, {which} leg")
            }
            Self::Via {
                target: Target::Repeater { in_use },
            } => {
                let name = plan
                    .in_use
                    .get(*in_use)
                    .map_or("", |entry| entry.name.as_str());
                format!("works through {name}")
            }
        }
    }
}

impl Proposal {
    /// What it proposes, in a line.
    pub fn summary(&self, plan: &Plan) -> String {
        let name = plan
            .stations
            .get(self.station)
            .map_or("", |station| station.name.as_str());
        format!("{name} {}", self.what.summary(plan))
    }
}

impl Plan {
    /// Whether the plan as it stands already talks or listens on this very frequency.
    pub fn is_on(&self, frequency: Frequency) -> bool {
        let mut uses = self.stations.iter().flat_map(|station| &station.uses);
        uses.any(|one| one.what.frequencies().contains(&frequency))
    }

    /// Leaves out products of a higher order, or of more signals, than somebody wants looked at who says so in the call.
    pub fn look_no_further(&mut self, order: Option<u32>, signals: Option<u32>) {
        let settings = &mut self.settings;
        for (setting, wanted, place) in [
            (&mut settings.order, order, "the call (--order)"),
            (&mut settings.signals, signals, "the call (--signals)"),
        ] {
            if let Some(wanted) = wanted {
                // It is no default any more.
                self.defaults
                    .retain(|(_, _, origin)| *origin != setting.origin);
                *setting = Sourced::new(wanted, Origin::Said(Arc::from(place)));
            }
        }
    }

    /// What the plan is, in a line.
    pub fn summary(&self) -> String {
        let counted = |count: usize, one: &str, many: &str| {
            format!("{count} {}", if count == 1 { one } else { many })
        };
        format!(
            "{} at {}, {} in use by others",
            counted(self.stations.len(), "station", "stations"),
            counted(self.sites.len(), "site", "sites"),
            counted(self.in_use.len(), "frequency", "frequencies")
        )
    }
}
