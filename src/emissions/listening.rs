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
    pub places: Places,
}

/// The places where a receiver hears what is radiated.
#[derive(Debug, Clone, Default)]
pub struct Places {
    /// Those that reach far, in no order.
    far: Vec<Heard>,
    /// The others, by their middles.
    near: Vec<Heard>,
}

/// How far one of the near places reaches at most.
const NEAR: Offset = Offset::hz(100_000);

impl Places {
    /// Puts places in order.
    pub fn of(places: impl Iterator<Item = Heard>) -> Self {
        let (far, mut near): (Vec<_>, Vec<_>) = places.partition(|place| place.reach > NEAR);
        near.sort_by_key(|place| place.middle);
        Self { far, near }
    }

    /// The places where a line could be heard, strong enough or not.
    pub fn around<'a>(&'a self, line: &'a Line) -> impl Iterator<Item = &'a Heard> {
        let away = Offset::hz(NEAR.as_hz().saturating_add(Heard::edge(line)));
        let first = self
            .near
            .partition_point(|place| place.middle < line.frequency - away);
        let near = self.near.iter().skip(first);
        near.take_while(move |place| place.middle <= line.frequency + away)
            .chain(&self.far)
            .filter(|place| place.covers(line))
    }
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
