//! Where receivers listen, as far as a generator of lines needs to know.

use super::Line;
use crate::quantity::{Decibels, Frequency, Level, Offset, Span};

/// Where one receiver listens, as plain intervals, and how faint a line still matters there.
#[derive(Debug, Clone)]
pub struct Listening {
    /// The stretch in which a bare line arising inside the receiver would be heard.
    pub channel: Span,
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
    /// How many dB what it amounts to rises, at most, for one dB of the level.
    pub slope: u32,
}

impl Heard {
    /// Whether a line could be heard here, strong enough or not.
    pub fn covers(&self, line: &Line) -> bool {
        let edge = Self::edge(line);
        (line.frequency - self.middle).abs().as_hz() <= self.reach.as_hz().saturating_add(edge)
    }

    /// The faintest level that still matters where only what is worse by so much does.
    pub fn faintest(&self, worse: Decibels) -> Level {
        self.faintest + worse * (1.0 / f64::from(self.slope.max(1)))
    }

    /// How far a line may reach from its middle.
    pub(super) const fn edge(line: &Line) -> i64 {
        line.tolerance.as_hz() + line.width.as_hz() / 2 + 1
    }
}

/// A place where somebody hears.
#[derive(Debug, Clone, Copy)]
pub struct Hearer {
    /// The place.
    pub heard: Heard,
    /// The receiver, by index into the scene.
    pub receiver: usize,
    /// Which of its places it is.
    pub place: usize,
}

/// The places where some receivers hear, set out so that those near a line are found quickly.
#[derive(Debug, Default)]
pub struct Audience {
    /// Narrow places, by their middle.
    narrow: Vec<Hearer>,
    /// The farthest reach of a narrow place.
    reach: Offset,
    /// Wide places, the most sensitive first.
    wide: Vec<Hearer>,
    /// The most sensitive place of each slope.
    keenest: Vec<Heard>,
}

impl Audience {
    /// A place that reaches further than this is kept among the wide ones.
    const NARROW: Offset = Offset::hz(100_000);

    /// Nobody hears.
    pub(super) const NOBODY: Self = Self {
        narrow: Vec::new(),
        reach: Offset::hz(0),
        wide: Vec::new(),
        keenest: Vec::new(),
    };

    /// The places of some receivers, each with its index into the scene.
    pub fn of<'a>(receivers: impl Iterator<Item = (usize, &'a Listening)>) -> Self {
        let places = receivers.flat_map(|(receiver, listening)| {
            let places = listening.places.iter().enumerate();
            places.map(move |(place, heard)| Hearer {
                heard: *heard,
                receiver,
                place,
            })
        });
        let (mut narrow, mut wide): (Vec<_>, Vec<_>) =
            places.partition(|one| one.heard.reach <= Self::NARROW);
        narrow.sort_by_key(|one| (one.heard.middle, one.receiver, one.place));
        wide.sort_by_key(|one| (one.heard.faintest, one.receiver, one.place));
        let reach = narrow
            .iter()
            .map(|one| one.heard.reach)
            .max()
            .unwrap_or_default();
        let mut keenest: Vec<Heard> = narrow.iter().chain(&wide).map(|one| one.heard).collect();
        keenest.sort_by_key(|heard| (heard.slope, heard.faintest));
        keenest.dedup_by_key(|heard| heard.slope);
        Self {
            narrow,
            reach,
            wide,
            keenest,
        }
    }

    /// The faintest level that matters to anybody where only what is worse by so much does.
    pub(super) fn faintest(&self, worse: Decibels) -> Option<Level> {
        self.keenest.iter().map(|heard| heard.faintest(worse)).min()
    }

    /// The places that cover a line and might hear it at a level that no way exceeds, where only what is worse by so much
    /// matters.
    pub fn near(&self, line: &Line, most: Level, worse: Decibels) -> impl Iterator<Item = &Hearer> {
        let edge = Offset::hz(self.reach.as_hz() + Heard::edge(line));
        let (low, high) = (line.frequency - edge, line.frequency + edge);
        let begin = self.narrow.partition_point(|one| one.heard.middle < low);
        let narrow = self
            .narrow
            .iter()
            .skip(begin)
            .take_while(move |one| one.heard.middle <= high);
        let wide = self
            .wide
            .iter()
            .take_while(move |one| one.heard.faintest <= most);
        narrow
            .chain(wide)
            .filter(move |one| most >= one.heard.faintest(worse) && one.heard.covers(line))
    }
}
