//! What arrives behind a receiver's filter of those who stand whatever is under trial, set out for the search of products.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use crate::quantity::{Frequency, Level};
use crate::scenario::Legs;

/// A carrier behind the receiver's filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arrival {
    /// The transmitter, by index into the scene.
    pub(super) transmitter: usize,
    /// Its carrier.
    pub(super) frequency: Frequency,
    /// Its level before the first stage.
    pub(super) level: Level,
    /// The leg under trial it rests on.
    pub(super) legs: Legs,
    /// Whether it is one of our own.
    pub(super) is_ours: bool,
}

impl Arrival {
    /// Strongest first; equals in the scene's order.
    pub(super) fn place(&self) -> (Reverse<Level>, usize) {
        (Reverse(self.level), self.transmitter)
    }
}

/// Carriers at one place, by level and by frequency, and what pairs of them add up to.
#[derive(Debug, Default)]
pub(super) struct Company {
    /// Strongest first; equals in the scene's order.
    by_level: Vec<Arrival>,
    /// Lowest frequency first: in hertz, with the place in `by_level`.
    by_frequency: Vec<(i64, usize)>,
    /// By the coefficients of a pair: its sums, as far as they were strong enough when they were asked for.
    sums: Mutex<BTreeMap<(i64, i64), Kept>>,
}

/// The sums of a pair of coefficients; none where there is no room for them.
type Kept = Option<Arc<Sums>>;

/// Room for what is kept of sums.
#[derive(Debug)]
pub(super) struct Room(AtomicUsize);

/// So many sums are kept at most.
///
/// # Source
/// Choice: so many take some two hundred megabytes.
const MOST_SUMS: usize = 8_000_000;

impl Default for Room {
    fn default() -> Self {
        Self(AtomicUsize::new(MOST_SUMS))
    }
}

impl Room {
    /// Takes room for so many, if there is.
    fn take(&self, many: usize) -> bool {
        let left = |left: usize| left.checked_sub(many);
        self.0
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, left)
            .is_ok()
    }
}

impl Company {
    /// Sets out some carriers.
    pub(super) fn of(mut by_level: Vec<Arrival>) -> Self {
        by_level.sort_by_key(Arrival::place);
        let places = by_level.iter().enumerate();
        let mut by_frequency: Vec<(i64, usize)> = places
            .map(|(place, arrival)| (arrival.frequency.as_hz(), place))
            .collect();
        by_frequency.sort_unstable();
        Self {
            by_level,
            by_frequency,
            sums: Mutex::default(),
        }
    }

    /// The lowest and the highest frequency of any of them, in hertz; none where nobody is there.
    pub(super) fn extremes(&self) -> Option<[i64; 2]> {
        let (low, high) = self.by_frequency.first().zip(self.by_frequency.last())?;
        Some([low.0, high.0])
    }

    /// Strongest first.
    pub(super) fn by_level(&self) -> &[Arrival] {
        &self.by_level
    }

    /// The carriers between two frequencies, each with its place by level.
    pub(super) fn between(&self, low: i64, high: i64) -> impl Iterator<Item = (usize, &Arrival)> {
        let begin = self.by_frequency.partition_point(|one| one.0 < low);
        let near = self.by_frequency.get(begin..).unwrap_or_default().iter();
        near.take_while(move |one| one.0 <= high)
            .filter_map(|&(_, place)| Some((place, self.by_level.get(place)?)))
    }

    /// What pairs of carriers come to, the one times `p` and the other times `q`, as far as their levels, each times its
    /// coefficient, add up to `least`; none where there is no room for them.
    pub(super) fn sums(&self, p: i64, q: i64, least: f64, room: &Room) -> Option<Arc<Sums>> {
        let mut sums = self.sums.lock().unwrap_or_else(PoisonError::into_inner);
        let known = sums.entry((p, q)).or_insert_with(|| Some(Arc::default()));
        let old = known.as_ref()?;
        if old.least > least {
            // A little more than was asked for, so that the next who ask find it done.
            let least = (least / STEP).floor() * STEP;
            *known = Sums::of(self, (p, q), least)
                .filter(|new| room.take(new.entries.len().saturating_sub(old.entries.len())))
                .map(Arc::new);
        }
        known.clone()
    }
}

/// How far, in dB, sums are worked out at a time.
const STEP: f64 = 10.0;

/// The sums of pairs of carriers.
#[derive(Debug)]
pub(super) struct Sums {
    /// The levels of a pair add up to this at least.
    least: f64,
    /// By bin; within a bin the strongest first.
    entries: Vec<Sum>,
    /// Where each bin that is not empty begins, lowest first.
    bins: Vec<(i64, usize)>,
}

impl Default for Sums {
    fn default() -> Self {
        Self {
            least: f64::INFINITY,
            entries: Vec::new(),
            bins: Vec::new(),
        }
    }
}

/// What two carriers come to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sum {
    /// Their frequencies, each times its coefficient, in hertz.
    pub(super) hertz: i64,
    /// Their levels, each times the size of its coefficient.
    pub(super) level: f64,
    /// Their places by level.
    pub(super) places: [u32; 2],
}

impl Sums {
    /// Width of a bin, in hertz: about that of a product.
    const BIN: i64 = 16_384;

    fn of(company: &Company, (p, q): (i64, i64), least: f64) -> Option<Self> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a coefficient is a small number"
        )]
        let [times, other_times] = [p, q].map(|c| c.unsigned_abs() as f64);
        let all = &company.by_level;
        let mut entries = Vec::new();
        for (place, one) in all.iter().enumerate() {
            let level = times * one.level.as_dbm();
            // Of equal coefficients each pair is there once.
            let first = if p == q { place + 1 } else { 0 };
            for (other_place, other) in all.iter().enumerate().skip(first) {
                let level = level + other_times * other.level.as_dbm();
                if level < least {
                    break;
                }
                if one.frequency != other.frequency {
                    entries.push(Sum {
                        hertz: p * one.frequency.as_hz() + q * other.frequency.as_hz(),
                        level,
                        places: [u32::try_from(place).ok()?, u32::try_from(other_place).ok()?],
                    });
                }
            }
            if entries.len() > MOST_SUMS {
                return None;
            }
        }
        entries.sort_unstable_by(|one, other| {
            let bin = |sum: &Sum| sum.hertz.div_euclid(Self::BIN);
            bin(one)
                .cmp(&bin(other))
                .then(other.level.total_cmp(&one.level))
                .then(one.places.cmp(&other.places))
        });
        let mut bins: Vec<(i64, usize)> = Vec::new();
        for (index, sum) in entries.iter().enumerate() {
            let bin = sum.hertz.div_euclid(Self::BIN);
            if bins.last().is_none_or(|last| last.0 != bin) {
                bins.push((bin, index));
            }
        }
        Some(Self {
            least,
            entries,
            bins,
        })
    }

    /// Whether all are there whose levels add up to a least one.
    pub(super) fn holds(&self, least: f64) -> bool {
        self.least <= least
    }

    /// The sums between two frequencies whose levels add up to a least one.
    pub(super) fn between(&self, low: i64, high: i64, least: f64) -> impl Iterator<Item = &Sum> {
        let (first, last) = (low.div_euclid(Self::BIN), high.div_euclid(Self::BIN));
        let begin = self.bins.partition_point(|bin| bin.0 < first);
        let bins = self.bins.get(begin..).unwrap_or_default();
        let ends = bins.iter().skip(1).map(|bin| bin.1);
        let ends = ends.chain([self.entries.len()]);
        bins.iter()
            .zip(ends)
            .take_while(move |(bin, _)| bin.0 <= last)
            .flat_map(move |(bin, end)| {
                let inside = self.entries.get(bin.1..end).unwrap_or_default();
                inside.iter().take_while(move |sum| sum.level >= least)
            })
            .filter(move |sum| (low..=high).contains(&sum.hertz))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn arrivals() -> impl Strategy<Value = Vec<Arrival>> {
        // A coarse raster makes equal frequencies and equal levels common.
        proptest::collection::vec((1i64..40, -50i32..0), 1..12).prop_map(|all| {
            let all = all.into_iter().enumerate();
            all.map(|(transmitter, (place, level))| Arrival {
                transmitter,
                frequency: Frequency::hz(145_000_000 + place * 12_500),
                level: Level::dbm(f64::from(level)),
                legs: Legs::NONE,
                is_ours: false,
            })
            .collect()
        })
    }

    /// The pairs of a company that come to something between two frequencies at a level, by place.
    fn plainly(
        all: &[Arrival],
        (p, q): (i64, i64),
        (low, high): (i64, i64),
        least: f64,
    ) -> Vec<([u32; 2], i64)> {
        let mut found = Vec::new();
        for (one_place, one) in all.iter().enumerate() {
            for (other_place, other) in all.iter().enumerate() {
                let is_twice = p == q && other_place <= one_place;
                let hertz = p * one.frequency.as_hz() + q * other.frequency.as_hz();
                let level =
                    p.abs() as f64 * one.level.as_dbm() + q.abs() as f64 * other.level.as_dbm();
                if one.frequency != other.frequency
                    && !is_twice
                    && (low..=high).contains(&hertz)
                    && level >= least
                {
                    let places =
                        [one_place, other_place].map(|place| u32::try_from(place).unwrap());
                    found.push((places, hertz));
                }
            }
        }
        found
    }

    proptest! {
        #[test]
        fn sums_are_those_of_every_pair_of_two_frequencies(
            arrivals in arrivals(),
            p in prop_oneof![-3i64..0, 1i64..4],
            q in prop_oneof![-3i64..0, 1i64..4],
            off in -600_000i64..600_000,
            width in 0i64..200_000,
            leasts in proptest::collection::vec(-300.0f64..0.0, 1..4),
        ) {
            let company = Company::of(arrivals);
            let room = Room::default();
            let low = (p + q) * 145_250_000 + off;
            let mut lowest = f64::INFINITY;
            // What was kept for one who asked serves the next.
            for least in leasts {
                let sums = company.sums(p, q, least, &room).unwrap();
                let mut found: Vec<_> = sums
                    .between(low, low + width, least)
                    .map(|sum| (sum.places, sum.hertz))
                    .collect();
                found.sort_unstable();
                prop_assert_eq!(
                    found,
                    plainly(company.by_level(), (p, q), (low, low + width), least)
                );
                // No more is kept than what is up to ten decibels fainter than anybody asked for, and each pair once.
                lowest = least.min(lowest);
                let all = plainly(company.by_level(), (p, q), (i64::MIN, i64::MAX), lowest - STEP);
                prop_assert!(sums.entries.len() <= all.len());
                let taken = MOST_SUMS - room.0.load(Ordering::Relaxed);
                prop_assert_eq!(taken, sums.entries.len());
            }
        }

        #[test]
        fn those_between_two_frequencies_are_found_with_their_places(
            arrivals in arrivals(),
            low in 145_000_000i64..145_500_000,
            width in 0i64..200_000,
        ) {
            let company = Company::of(arrivals);
            let mut found: Vec<usize> = company.between(low, low + width).map(|one| one.0).collect();
            found.sort_unstable();
            let plain = company.by_level().iter().enumerate();
            let plain = plain.filter(|(_, one)| (low..=low + width).contains(&one.frequency.as_hz()));
            prop_assert_eq!(found, plain.map(|(place, _)| place).collect::<Vec<_>>());
        }
    }

    #[test]
    fn edges_are_among_those_between_two_frequencies() {
        let at = |transmitter, khz: i64| Arrival {
            transmitter,
            frequency: Frequency::hz(khz * 1_000),
            level: Level::dbm(-20.0),
            legs: Legs::NONE,
            is_ours: false,
        };
        let company = Company::of(
            [145_100, 145_200, 145_300]
                .iter()
                .enumerate()
                .map(|(i, &khz)| at(i, khz))
                .collect(),
        );
        let found = company.between(145_100_000, 145_300_000).count();
        assert_eq!(found, 3);
        assert_eq!(company.between(145_100_001, 145_299_999).count(), 1);
    }

    #[test]
    fn where_there_is_no_room_nothing_is_kept_and_nobody_is_told_a_part() {
        let of = |place: i64| Arrival {
            transmitter: 0,
            frequency: Frequency::hz(145_000_000 + place * 12_500),
            level: Level::dbm(-20.0),
            legs: Legs::NONE,
            is_ours: false,
        };
        let company = Company::of((0..4).map(of).collect());
        // Six pairs of four.
        let room = Room(AtomicUsize::new(5));
        assert!(company.sums(1, 1, -100.0, &room).is_none());
        assert!(company.sums(1, 1, -100.0, &Room::default()).is_none());
        let room = Room(AtomicUsize::new(6));
        assert!(company.sums(2, 2, -100.0, &room).is_some());
        assert_eq!(room.0.load(Ordering::Relaxed), 0);
    }
}
