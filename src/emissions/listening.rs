//! Where receivers listen, as far as a generator of lines needs to know.

use super::Line;
use crate::quantity::{Frequency, Level, Offset, Span};

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
        let edge = Self::edge(line);
        (line.frequency - self.middle).abs().as_hz() <= self.reach.as_hz().saturating_add(edge)
    }

    /// How far a line may reach from its middle.
    const fn edge(line: &Line) -> i64 {
        line.tolerance.as_hz() + line.width.as_hz() / 2 + 1
    }
}

/// The places where some receivers hear, set out so that those near a line are found quickly.
#[derive(Debug)]
pub(super) struct Audience {
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

    pub(super) fn of(places: impl Iterator<Item = (Heard, usize)>) -> Self {
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
    pub(super) fn near(&self, line: &Line, most: Level) -> impl Iterator<Item = &(Heard, usize)> {
        let edge = Offset::hz(self.reach.as_hz() + Heard::edge(line));
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
