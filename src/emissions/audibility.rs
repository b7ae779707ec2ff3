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

/// Places near somebody whose encounters gain more than so many decibels for each of a line are kept with all others.
const STEEPEST: u32 = 16;

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
                    slope: ..=STEEPEST,
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
                || nearby.is_reached(level, worse.nearby * (1.0 / f64::from(STEEPEST)))
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

#[cfg(test)]
mod tests {
    use super::super::Trace;
    use super::*;
    use crate::scenario::Legs;
    use proptest::prelude::*;

    fn heard(middle: i64, reach: i64, slope: u32) -> Heard {
        let sense = Sense {
            slope,
            concern: Concern::Plain,
        };
        let place = (Frequency::hz(middle), Offset::hz(reach));
        Heard::new(place, (Level::dbm(0.0), sense))
    }

    fn line(frequency: i64, edge: i64, level: f64) -> Trace {
        Trace {
            frequency: Frequency::hz(frequency),
            edge: Offset::hz(edge),
            level: Level::dbm(level),
            legs: Legs::NONE,
            is_ours: true,
        }
    }

    fn may_hear(places: &[(Heard, f64)], line: &Trace, worse: f64) -> bool {
        let places = places.iter();
        let map = Audibility::of(places.map(|(heard, level)| (heard, Level::dbm(*level))));
        let place = (line.frequency, line.edge);
        map.may_hear(place, line.level, Within::all(Decibels::db(worse)))
    }

    /// What is asked for of a place whose encounters gain `slope` dB for each of the line.
    fn needed((heard, level): &(Heard, f64), worse: f64) -> f64 {
        level + if heard.sense.slope > 1 { 0.0 } else { worse }
    }

    proptest! {
        /// What the map leaves out nobody asks for again; what it lets pass for nothing costs only time.
        #[test]
        fn it_never_says_no_to_a_line_that_is_heard_and_seldom_yes_to_another(
            places in proptest::collection::vec(
                (0i64..40_000_000, 0i64..60_000, -260.0f64..20.0, 1u32..4), 1..6),
            frequency in 0i64..40_000_000,
            near in any::<bool>(),
            off in -120_000i64..120_000,
            edge in 0i64..60_000,
            above in -4.0f64..4.0,
            worse in 0.0f64..30.0,
        ) {
            let places: Vec<(Heard, f64)> = places
                .into_iter()
                .map(|(middle, reach, level, slope)| (heard(middle, reach, slope), level))
                .collect();
            // Most lines are as good as at a place and about as strong as they must be there.
            let frequency = if near { (places[0].0.middle.as_hz() + off).max(0) } else { frequency };
            let line = line(frequency, edge, needed(&places[0], worse) + above);
            let said = may_hear(&places, &line, worse);
            let is_heard = places.iter().any(|place| {
                place.0.covers(&line) && line.level.as_dbm() >= needed(place, worse)
            });
            prop_assert!(said || !is_heard);
            // Either edge may lie in a bin that the other one ends in; levels are kept in whole decibels between two bounds.
            let might_be = places.iter().any(|place| {
                let wider = Heard { reach: place.0.reach + Offset::hz(BIN), ..place.0 };
                let level = line.level.as_dbm();
                let lowest = place.1 < Needed::LOWEST + 1.01;
                let highest = level - needed(&(place.0, 4.0), worse) >= -1e-9;
                wider.covers(&line)
                    && (lowest || level > needed(place, worse) - 1.0 - 2.0 * ROUNDING || (place.1 > 4.0 && highest))
            });
            prop_assert!(!said || might_be);
        }
    }

    #[test]
    fn a_place_wider_than_a_hundred_megahertz_counts_everywhere() {
        let wide = [(heard(400_000_000, 51_000_000, 1), -100.0)];
        assert!(may_hear(&wide, &line(145_000_000, 8_000, -99.0), 0.0));
        assert!(!may_hear(&wide, &line(145_000_000, 8_000, -102.0), 0.0));
        let narrower = [(heard(400_000_000, 49_000_000, 1), -100.0)];
        assert!(!may_hear(&narrower, &line(145_000_000, 8_000, -99.0), 0.0));
        assert!(may_hear(&narrower, &line(445_000_000, 8_000, -99.0), 0.0));
    }

    #[test]
    fn what_is_fainter_than_any_receiver_hears_is_not_told_apart() {
        let at = |level| [(heard(145_000_000, 8_000, 1), level)];
        let line = |level| line(145_000_000, 8_000, level);
        assert!(may_hear(&at(-249.5), &line(-1_000.0), 0.0));
        assert!(!may_hear(&at(-248.5), &line(-249.1), 0.0));
        assert!(may_hear(&at(-248.5), &line(-248.9), 0.0));
        // Rounding never says no.
        assert!(may_hear(&at(-100.0005), &line(-100.0005), 0.0));
        // Nor what is louder than any transmitter.
        assert!(may_hear(&at(30.0), &line(4.0), 0.0));
        assert!(!may_hear(&at(30.0), &line(3.9), 0.0));
    }

    #[test]
    fn beyond_its_end_anything_may_be_heard_and_nothing_below_it() {
        let nobody = [];
        assert!(may_hear(&nobody, &line(1_500_000_000, 0, -200.0), 0.0));
        assert!(may_hear(&nobody, &line(1_499_990_000, 10_000, -200.0), 0.0));
        assert!(!may_hear(&nobody, &line(1_499_990_000, 9_999, 50.0), 0.0));
    }

    /// Merely strong near somebody: what is 32 dB worse than just heard takes 2 dB more of a line where 16 dB are gained for each,
    /// and no place there is reckoned steeper.
    #[test]
    fn of_what_is_merely_strong_near_somebody_a_sixteenth_more_is_asked_for() {
        let near = |slope: u32| {
            let heard = heard(145_000_000, 8_000, slope);
            let concern = Concern::Nearby;
            let sense = Sense { slope, concern };
            Heard { sense, ..heard }
        };
        let may_hear = |slope: u32, level: f64, worse: Within| {
            let place = near(slope);
            let map = Audibility::of(std::iter::once((&place, Level::dbm(-100.0))));
            let at = (Frequency::hz(145_000_000), Offset::hz(8_000));
            map.may_hear(at, Level::dbm(level), worse)
        };
        let worse = Within {
            nearby: Decibels::db(32.0),
            ..Within::all(Decibels::ZERO)
        };
        for slope in [1, 3, 16] {
            assert!(may_hear(slope, -98.0, worse), "{slope}");
            assert!(!may_hear(slope, -99.5, worse), "{slope}");
        }
        // Steeper ones are asked for as if nothing more were wanted, as all others are.
        assert!(may_hear(17, -99.5, worse) && !may_hear(17, -101.5, worse));
        // No other figure touches them.
        let others = Within {
            nearby: Decibels::ZERO,
            ..Within::all(Decibels::db(50.0))
        };
        assert!(may_hear(3, -99.5, others));
    }
}
