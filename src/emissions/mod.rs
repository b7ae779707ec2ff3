//! Every line that is radiated, or that arises inside a receiver: how it comes about, told once.
//!
//! A kind of emission knows nothing of how a receiver hears. To add one: its file, its chapter and its lines here.

use crate::budget::Budget;
use crate::quantity::{Bandwidth, Frequency, Level, Offset};
use crate::scenario::Legs;
use crate::scene::{Rest, Scene};
use crate::topic::Topic;

mod adjacent_power;
mod at_a_socket;
mod audibility;
mod carrier;
mod crowd;
mod harmonic;
mod line_book;
mod listening;
mod oscillator_leakage;
mod passive_intermodulation;
mod receiver_intermodulation;
mod reference_birdy;
mod request;
mod slice;
mod transmitter_intermodulation;
mod transmitter_noise;

pub use crowd::Crowd;
pub use line_book::LineBook;
pub use listening::{Audience, Heard, Keen, Listening, Sense, Trace};
pub use request::{Concern, Floor, Part, Request, Wanted, Within};
pub use slice::place_of_slice;

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
    reference_birdy::KIND,
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
    /// Whether each of its lines is for one receiver alone.
    pub is_for_one: bool,
}

/// What a line is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// A transmitter of the scene.
    Transmitter(usize),
    /// The local oscillator of a receiver of the scene.
    Oscillator(usize),
    /// The crystal that a receiver of the scene has its oscillators from.
    Reference(usize),
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
    /// Whether one of our own is among its sources.
    pub is_ours: bool,
}

impl Line {
    /// Its kind.
    pub fn emission(&self) -> Option<&'static Emission> {
        ALL.get(self.kind)
    }

    /// The same among those who are left; none where one is gone who has a part in it.
    fn left(&self, rest: &Rest) -> Option<Self> {
        let term = |&(source, times): &(Source, i64)| {
            let source = match source {
                Source::Transmitter(was) => Source::Transmitter(rest.sender(was)?),
                Source::Oscillator(was) => Source::Oscillator(rest.hearer(was)?),
                Source::Reference(was) => Source::Reference(rest.hearer(was)?),
            };
            Some((source, times))
        };
        Some(Self {
            terms: self.terms.iter().map(term).collect::<Option<_>>()?,
            birth: match self.birth {
                Birth::Transmitter(was) => Birth::Transmitter(rest.sender(was)?),
                Birth::Oscillator(was) => Birth::Oscillator(rest.hearer(was)?),
                Birth::InsideReceiver(was) => Birth::InsideReceiver(rest.hearer(was)?),
            },
            heard_by: match self.heard_by {
                Some(was) => Some(rest.hearer(was)?),
                None => None,
            },
            ..self.clone()
        })
    }

    /// Where it lies and how strong it is.
    pub const fn trace(&self) -> Trace {
        Trace {
            frequency: self.frequency,
            edge: Trace::edge(self.width, self.tolerance),
            level: self.level,
            legs: self.legs,
            is_ours: self.is_ours,
        }
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
            Source::Oscillator(_) | Source::Reference(_) => None,
        })
    }
}

/// The index of a kind in [`ALL`], by its id.
fn index_of(topic: &Topic) -> usize {
    ALL.iter()
        .position(|kind| kind.topic.id == topic.id)
        .unwrap_or(usize::MAX)
}
