//! How strong a line must leave a socket for anybody to hear it, by frequency: one look instead of one for every receiver.

use super::{Concern, Heard, Sense, Within};
use crate::quantity::{Decibels, Frequency, Level, Offset};

/// A line may be heard where it is at least as strong as this, at its socket; where it is weaker nobody hears it.
#[derive(Debug)]
pub(super) struct Audibility {
    /// By bin, what must be reached over what covers it. Pages of which nothing is covered are not there.
    pages: Vec<Option<Box<Page>>>,
    /// The least over what covers more than a bin map should hold.
    everywhere: Bin,
}

/// A level that a line must reach, in whole decibels and never above what it stands for: there is a map for each antenna.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Needed(u8);

impl Needed {
    /// Nothing is strong enough.
    const NEVER: Self = Self(u8::MAX);

    /// What the smallest step above [`Self::ANYTHING`] stands for, in dBm.
    const LOWEST: f64 = -250.0;

    /// Any line is strong enough.
    const ANYTHING: Self = Self(0);

    fn of(level: Level) -> Self {
        let above = (level.as_dbm() - ROUNDING).floor() - Self::LOWEST;
        if above < 1.0 {
            return Self::ANYTHING;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 1 to 254"
        )]
        Self(above.min(254.0) as u8)
    }

    /// Whether a level reaches it where only what is worse by so much matters.
    fn is_reached(self, level: Level, worse: Decibels) -> bool {
        match self {
            Self::NEVER => false,
            Self::ANYTHING => true,
            Self(above) => level >= Level::dbm(f64::from(above) + Self::LOWEST) + worse,
        }
    }
}

/// What must be reached at plain places where an encounter gains a decibel for each of the line, at those where it is merely
/// strong near somebody, and at all others: the less there is to ask for, the more are left out at once.
type Bin = [Needed; 3];

/// A stretch of bins.
type Page = [Bin; PAGE];

/// No encounter gains more than so many decibels for each of a line.
const STEEPEST: f64 = 16.0;

/// How many bins a page has.
const PAGE: usize = 256;

/// Width of a bin, in hertz.
const BIN: i64 = 25_000;

/// The map ends here, in bins; beyond it everything may be heard.
const BINS: i64 = 60_000;

/// A place that covers more bins than this counts everywhere.
const MOST: i64 = 4_000;

/// Keeps rounding from deciding, in dB.
const ROUNDING: f64 = 0.001;

impl Audibility {
    /// The map over some places, each with what a line must leave the socket with to be just heard there.
    pub(super) fn of<'a>(places: impl Iterator<Item = (&'a Heard, Level)>) -> Self {
        let mut map = Self {
            pages: vec![None; usize::try_from(BINS).unwrap_or(0).div_ceil(PAGE)],
            everywhere: [Needed::NEVER; 3],
        };
        for (heard, needed) in places {
            let which = match heard.sense {
                Sense {
                    concern: Concern::Plain,
                    slope: ..=1,
                } => 0,
                Sense {
                    concern: Concern::Nearby,
                    ..
                } => 1,
                Sense { .. } => 2,
            };
            let needed = Needed::of(needed);
            let bin = |frequency: Frequency| frequency.as_hz().div_euclid(BIN);
            let (first, last) = (
                bin(heard.middle - heard.reach),
                bin(heard.middle + heard.reach),
            );
            let lower = |levels: &mut Bin| {
                if let Some(level) = levels.get_mut(which) {
                    *level = needed.min(*level);
                }
            };
            if last - first > MOST {
                lower(&mut map.everywhere);
            } else {
                for (page, covered) in pages(first, last) {
                    if let Some(page) = map.pages.get_mut(page) {
                        let page = page.get_or_insert_with(|| Box::new([[Needed::NEVER; 3]; PAGE]));
                        let covered = page.get_mut(covered).unwrap_or_default();
                        covered.iter_mut().for_each(lower);
                    }
                }
            }
        }
        map
    }

    /// Whether anybody might hear a line that lies so and reaches no further, where only what is worse by so much matters.
    pub(super) fn may_hear(
        &self,
        (frequency, edge): (Frequency, Offset),
        level: Level,
        worse: Within,
    ) -> bool {
        let bin = |frequency: Frequency| frequency.as_hz().div_euclid(BIN);
        let first = bin(frequency + -edge);
        let last = bin(frequency + edge);
        let is_heard = |[plain, nearby, others]: &Bin| {
            plain.is_reached(level, worse.plain)
                || nearby.is_reached(level, worse.nearby * (1.0 / STEEPEST))
                || others.is_reached(level, Decibels::ZERO)
        };
        last >= BINS
            || is_heard(&self.everywhere)
            || pages(first, last).any(|(page, covered)| {
                let page = self.pages.get(page).and_then(Option::as_ref);
                let covered = page.and_then(|page| page.get(covered));
                covered.is_some_and(|bins| bins.iter().any(is_heard))
            })
    }
}

/// The places of some bins in the map, as far as it goes: in each page a stretch.
fn pages(first: i64, last: i64) -> impl Iterator<Item = (usize, std::ops::Range<usize>)> {
    let place = |bin: i64| usize::try_from(bin.clamp(0, BINS)).unwrap_or(0);
    let (begin, end) = (place(first), place(last.saturating_add(1)));
    (begin / PAGE..end.div_ceil(PAGE)).map(move |page| {
        let within = |bin: usize| bin.saturating_sub(page * PAGE).min(PAGE);
        (page, within(begin)..within(end))
    })
}
