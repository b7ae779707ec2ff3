//! Every line that is radiated, or that arises inside a receiver: how it comes about, told once.
//!
//! A kind of emission knows nothing of how a receiver hears. To add one: its file, its chapter and its lines here.

use crate::budget::Budget;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset, Span};
use crate::scenario::Legs;
use crate::scene::{Reach, Receiver, Scene};
use crate::topic::Topic;

mod adjacent_power;
mod at_a_socket;
mod carrier;
mod harmonic;
mod oscillator_leakage;
mod passive_intermodulation;
mod receiver_intermodulation;
mod slice;
mod transmitter_intermodulation;
mod transmitter_noise;

/// Every kind of emission.
pub const ALL: &[Emission] = &[
    carrier::KIND,
    harmonic::KIND,
    adjacent_power::KIND,
    transmitter_noise::KIND,
    transmitter_intermodulation::KIND,
    passive_intermodulation::KIND,
    oscillator_leakage::KIND,
    receiver_intermodulation::KIND,
];

/// A kind of emission.
#[derive(Debug, Clone, Copy)]
pub struct Emission {
    /// What `explain` says of it; its id names the findings it makes.
    pub topic: Topic,
    /// Adds every line of this kind that somebody could hear.
    pub generate: fn(&Request<'_>, &mut Vec<Line>),
    /// The level at birth again, step by step.
    pub tell: fn(&Scene<'_>, &Line, &mut Budget),
    /// What the line is called: `the 3rd harmonic of Hill relay`.
    pub called: fn(&Scene<'_>, &Line) -> String,
    /// How the line arises, in a sentence.
    pub why: fn(&Scene<'_>, &Line) -> String,
    /// How many dB the line falls at its birth for one dB less of a source, given that source's coefficient.
    pub slope: fn(&Line, Source, i64) -> f64,
    /// Whether it is a plain carrier, which lends its name to no finding.
    pub is_plain: bool,
}

/// What is asked of a generator.
#[derive(Debug)]
pub struct Request<'a> {
    /// Who is on the air.
    pub scene: &'a Scene<'a>,
    /// Where each receiver listens, by index into the scene's receivers.
    pub listening: &'a [Listening],
    /// Only encounters that rest on exactly these legs are wanted.
    pub focus: Legs,
    /// By the legs of a line, those who make the focus whole with it.
    audiences: [Audience; 4],
    /// The most that any two antennas together can gain.
    most_gain: Decibels,
}

/// Where one receiver listens, as plain intervals, and how faint a line still matters there.
#[derive(Debug, Clone, Default)]
pub struct Listening {
    /// Stretches in which a line arising inside the receiver would be heard.
    pub spans: Vec<Span>,
    /// The faintest level at its input that is still told.
    pub floor: Option<Level>,
    /// Every place where something that is radiated could be heard.
    pub places: Vec<Heard>,
}

/// A place where a receiver hears what is radiated, no narrower than it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Heard {
    /// Its middle.
    pub middle: Frequency,
    /// How far from there the edge of a line may stay.
    pub reach: Offset,
    /// The faintest level at the socket that still matters there.
    pub faintest: Level,
}

impl Heard {
    /// Whether a line could be heard here, strong enough or not.
    pub fn covers(&self, line: &Line) -> bool {
        let reach = self.reach.as_hz().saturating_add(Self::edge_of(line));
        (line.frequency - self.middle).abs().as_hz() <= reach
    }

    /// How far a line may reach from where it should be, in hertz.
    fn edge_of(line: &Line) -> i64 {
        line.tolerance.as_hz() + line.width.as_hz() / 2 + 1
    }
}

impl<'a> Request<'a> {
    /// Asks for what rests on exactly the legs of the focus.
    pub fn new(scene: &'a Scene<'a>, listening: &'a [Listening], focus: Legs) -> Self {
        let audience = |legs: Legs| {
            let is_met = |receiver: &Receiver| legs.and(receiver.legs) == focus;
            let ears = scene.receivers.iter().zip(listening).enumerate();
            Audience::of(ears.filter(|(_, (receiver, _))| is_met(receiver)).flat_map(
                |(index, (_, listening))| listening.places.iter().map(move |place| (*place, index)),
            ))
        };
        let most = scene
            .masts
            .iter()
            .map(|mast| mast.antenna.most_gain())
            .max()
            .unwrap_or(Decibels::ZERO);
        Self {
            scene,
            listening,
            focus,
            audiences: Legs::ALL.map(audience),
            most_gain: (most + most).max(Decibels::ZERO),
        }
    }

    /// Whether a radiated line could matter to anybody: a bound that never says no to one that does.
    pub fn is_heard(&self, line: &Line, from: Reach) -> bool {
        let audience = Legs::ALL
            .iter()
            .zip(&self.audiences)
            .find(|(legs, _)| **legs == line.legs);
        let most = line.level + self.most_gain;
        audience.is_some_and(|(_, audience)| {
            audience.near(line, most).any(|&(place, index)| {
                self.scene.receivers.get(index).is_some_and(|receiver| {
                    line.level - self.scene.least_loss(from, receiver, line.frequency)
                        >= place.faintest
                })
            })
        })
    }
}

/// The places where some receivers hear, set out so that those near a line are found quickly.
#[derive(Debug)]
struct Audience {
    /// Narrow places, by their middle.
    narrow: Vec<(Heard, usize)>,
    /// The farthest reach of a narrow place.
    reach: Offset,
    /// Wide places, the most sensitive first.
    wide: Vec<(Heard, usize)>,
}

impl Audience {
    /// A place that reaches further than this is kept among the wide ones.
    const NARROW: Offset = Offset::hz(100_000);

    fn of(places: impl Iterator<Item = (Heard, usize)>) -> Self {
        let (mut narrow, mut wide): (Vec<_>, Vec<_>) =
            places.partition(|(place, _)| place.reach <= Self::NARROW);
        narrow.sort_by_key(|&(place, index)| (place.middle, index));
        wide.sort_by_key(|&(place, index)| (place.faintest, index));
        let reach = narrow
            .iter()
            .map(|(place, _)| place.reach)
            .max()
            .unwrap_or_default();
        Self {
            narrow,
            reach,
            wide,
        }
    }

    /// The places that cover a line and might hear it at a level that no way exceeds.
    fn near(&self, line: &Line, most: Level) -> impl Iterator<Item = &(Heard, usize)> {
        let edge = Offset::hz(self.reach.as_hz() + Heard::edge_of(line));
        let (low, high) = (line.frequency - edge, line.frequency + edge);
        let begin = self.narrow.partition_point(|(place, _)| place.middle < low);
        let narrow = self
            .narrow
            .iter()
            .skip(begin)
            .take_while(move |(place, _)| place.middle <= high);
        let wide = self
            .wide
            .iter()
            .take_while(move |(place, _)| place.faintest <= most);
        narrow
            .chain(wide)
            .filter(move |(place, _)| most >= place.faintest && place.covers(line))
    }
}

/// What a line is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// A transmitter of the scene.
    Transmitter(usize),
    /// The local oscillator of a receiver of the scene.
    Oscillator(usize),
}

/// Where a line is born; that decides its path.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Birth {
    /// At a transmitter's socket.
    Transmitter(usize),
    /// At a receiver's socket, going out.
    Oscillator(usize),
    /// In the front end of a receiver, which alone hears it.
    InsideReceiver(usize),
}

/// A line: its recipe, its place, its strength.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Index of its kind in [`ALL`].
    pub kind: usize,
    /// Its recipe: sources with their coefficients.
    pub terms: Vec<(Source, i64)>,
    /// Where it lies.
    pub frequency: Frequency,
    /// How wide it is.
    pub width: Bandwidth,
    /// How far it may be off.
    pub tolerance: Offset,
    /// Where it is born.
    pub birth: Birth,
    /// The one receiver that hears it, on its channel: for what is born inside it, and for the slice of something broad
    /// that falls into its channel. None when everybody may hear it, wherever they do.
    pub heard_by: Option<usize>,
    /// What had to be supposed for it to exist at all; such a finding is never more than a caution.
    pub supposed: Option<String>,
    /// How strong it is there.
    pub level: Level,
    /// The legs under trial its sources rest on.
    pub legs: Legs,
}

impl Line {
    /// Its kind.
    pub fn emission(&self) -> Option<&'static Emission> {
        ALL.get(self.kind)
    }

    /// Whether it is the slice of something broad that falls into one receiver's channel: no choice of channel avoids it
    /// altogether, distance does.
    pub const fn is_slice(&self) -> bool {
        self.heard_by.is_some() && matches!(self.birth, Birth::Transmitter(_))
    }

    /// Its transmitters, each once.
    pub fn transmitters(&self) -> impl Iterator<Item = usize> + '_ {
        self.terms.iter().filter_map(|&(source, _)| match source {
            Source::Transmitter(index) => Some(index),
            Source::Oscillator(_) => None,
        })
    }

    /// How often one leg of the trial enters its frequency.
    pub fn leg_coefficient(&self, scene: &Scene<'_>, leg: Legs) -> i64 {
        self.terms
            .iter()
            .filter(|(source, _)| match *source {
                Source::Transmitter(index) => scene
                    .transmitters
                    .get(index)
                    .is_some_and(|one| one.legs.holds(leg)),
                Source::Oscillator(index) => scene
                    .receivers
                    .get(index)
                    .is_some_and(|one| one.legs.holds(leg)),
            })
            .map(|&(_, coefficient)| coefficient)
            .sum()
    }
}

/// The index of a kind in [`ALL`], by its id.
fn index_of(topic: &Topic) -> usize {
    ALL.iter()
        .position(|kind| kind.topic.id == topic.id)
        .unwrap_or(usize::MAX)
}
