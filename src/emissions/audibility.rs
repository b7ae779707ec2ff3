//! How strong a line must leave a socket for anybody to hear it, by frequency: one look instead of one for every receiver.

use super::{Heard, Trace};
use crate::quantity::{Decibels, Frequency, Level};

/// A line may be heard where it is at least as strong as this, at its socket; where it is weaker nobody hears it.
#[derive(Debug)]
pub(super) struct Audibility {
    /// By bin, over what covers it: what must be reached where an encounter gains a decibel for each of the line, and where it
    /// gains more.
    bins: Vec<[f32; 2]>,
    /// The least over what covers more than a bin map should hold.
    everywhere: [f32; 2],
}

/// Width of a bin, in hertz.
const BIN: i64 = 25_000;

/// The map ends here, in bins; beyond it everything may be heard.
const BINS: i64 = 60_000;

/// A place that covers more bins than this counts everywhere.
const MOST: i64 = 4_000;

/// Covers the rounding of what is kept.
const ROUNDING: f32 = 0.001;

impl Audibility {
    /// The map over some places, each with what a line must leave the socket with to be just heard there.
    pub(super) fn of<'a>(places: impl Iterator<Item = (&'a Heard, Level)>) -> Self {
        let mut map = Self {
            bins: vec![[f32::INFINITY; 2]; usize::try_from(BINS).unwrap_or(0)],
            everywhere: [f32::INFINITY; 2],
        };
        for (heard, needed) in places {
            let which = usize::from(heard.slope > 1);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a level in dBm; what is lost is covered by the rounding"
            )]
            let needed = needed.as_dbm() as f32 - ROUNDING;
            let bin = |frequency: Frequency| frequency.as_hz().div_euclid(BIN);
            let (first, last) = (
                bin(heard.middle - heard.reach),
                bin(heard.middle + heard.reach),
            );
            let lower = |levels: &mut [f32; 2]| {
                if let Some(level) = levels.get_mut(which) {
                    *level = level.min(needed);
                }
            };
            if last - first > MOST {
                lower(&mut map.everywhere);
            } else if let Some(covered) = map.bins.get_mut(range(first, last)) {
                covered.iter_mut().for_each(lower);
            }
        }
        map
    }

    /// Whether anybody might hear a line, where only what is worse by so much matters.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a level in dBm; what is lost is covered by the rounding"
    )]
    pub(super) fn may_hear(&self, line: &Trace, worse: Decibels) -> bool {
        let bin = |frequency: Frequency| frequency.as_hz().div_euclid(BIN);
        let first = bin(line.frequency + -line.edge);
        let last = bin(line.frequency + line.edge);
        let level = line.level.as_dbm() as f32;
        let worse = worse.as_db() as f32;
        let is_heard = |[by_one, by_more]: &[f32; 2]| level >= by_one + worse || level >= *by_more;
        last >= BINS
            || is_heard(&self.everywhere)
            || self
                .bins
                .get(range(first, last))
                .is_some_and(|bins| bins.iter().any(is_heard))
    }
}

/// The places of some bins in the map, as far as it goes.
fn range(first: i64, last: i64) -> std::ops::Range<usize> {
    let place = |bin: i64| usize::try_from(bin.clamp(0, BINS)).unwrap_or(0);
    place(first)..place(last.saturating_add(1)).max(place(first))
}
