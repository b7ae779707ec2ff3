//! Where receivers listen, as far as a generator of lines needs to know.

use super::audibility::Audibility;
use super::{Concern, Within};
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset, Span};
use crate::scenario::Legs;

/// Where one receiver listens, as plain intervals, and how faint a line still matters there.
#[derive(Debug, Clone)]
pub struct Listening {
    /// The stretch in which a bare line arising inside the receiver would be heard.
    pub channel: Span,
    /// The faintest level at its input that is still told.
    pub floor: Option<Level>,
    /// What kind of encounter something is that is heard on its channel.
    pub concern: Concern,
    /// The same of a slice of something broad, which lies in any channel there is.
    pub concern_of_slices: Concern,
    /// Every place where something that is radiated could be heard.
    pub places: Vec<Heard>,
    /// The same by sense, in brief.
    pub keen: Vec<Keen>,
}

/// How much more level it takes where only what is worse than just within the horizon matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sense {
    /// How many dB what it amounts to rises, at most, for one dB of the level.
    pub slope: u32,
    /// What kind of encounter it is.
    pub concern: Concern,
}

impl Sense {
    /// How much stronger a line has to be for its encounter to be so much worse.
    pub(super) fn of(self, worse: Within) -> Decibels {
        worse.of(self.concern) * (1.0 / f64::from(self.slope.max(1)))
    }
}

/// The least that a receiver hears at its places of one sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keen {
    /// Their sense.
    pub(crate) sense: Sense,
    /// The faintest level that matters at any of its places.
    pub(crate) flat: Level,
    /// The same with 20 dB added for every decade of the lowest frequency that a line heard there can have.
    pub(crate) tilted: Level,
}

impl Keen {
    /// No line is reckoned with that reaches further from its middle.
    pub(super) const FURTHEST: Offset = Offset::hz(2_000_000);

    /// Some places, by sense.
    pub fn of(places: &[Heard]) -> Vec<Self> {
        let mut found: Vec<Self> = Vec::new();
        for heard in places {
            let one = Self {
                sense: heard.sense,
                flat: heard.faintest,
                tilted: heard.tilted,
            };
            one.join(&mut found);
        }
        found
    }

    /// Puts this with others, of each sense one.
    pub(super) fn join(self, all: &mut Vec<Self>) {
        match all.iter_mut().find(|known| known.sense == self.sense) {
            Some(known) => {
                known.flat = known.flat.min(self.flat);
                known.tilted = known.tilted.min(self.tilted);
            }
            None => all.push(self),
        }
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
    /// The same with 20 dB added for every decade of the lowest frequency that a line heard there can have.
    pub(super) tilted: Level,
    /// How much more it takes where only worse matters.
    pub sense: Sense,
}

impl Heard {
    /// A place, from its middle and how far from there the edge of a line may stay.
    pub fn new((middle, reach): (Frequency, Offset), (faintest, sense): (Level, Sense)) -> Self {
        let lowest = (middle - reach - Keen::FURTHEST).as_hz().max(1) as f64;
        Self {
            middle,
            reach,
            faintest,
            tilted: faintest + Decibels::db(20.0 * lowest.log10()),
            sense,
        }
    }

    /// Whether a line could be heard here, strong enough or not.
    pub fn covers(&self, line: &Trace) -> bool {
        let away = (line.frequency - self.middle).abs().as_hz();
        away <= self.reach.as_hz().saturating_add(line.edge.as_hz())
    }

    /// The faintest level that still matters where only what is worse by so much does.
    pub fn faintest(&self, worse: Within) -> Level {
        self.faintest + self.sense.of(worse)
    }
}

/// Where a line lies and how strong it is, whatever it is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trace {
    /// Where it lies.
    pub frequency: Frequency,
    /// How far it may reach from there.
    pub edge: Offset,
    /// How strong it is where it is born.
    pub level: Level,
    /// The legs under trial its sources rest on.
    pub legs: Legs,
    /// Whether one of our own is among its sources.
    pub is_ours: bool,
}

impl Trace {
    /// How far a line reaches from its middle at most.
    pub const fn edge(width: Bandwidth, tolerance: Offset) -> Offset {
        Offset::hz(tolerance.as_hz() + width.as_hz() / 2 + 1)
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
    /// Narrow places by how far they reach at most, and then by their middle.
    narrow: Vec<(Offset, Vec<Hearer>)>,
    /// Wide places by sense, the most sensitive first.
    wide: Vec<Vec<Hearer>>,
    /// Where any of them hears, and what must at least arrive there; kept where many will ask.
    pub(super) map: Option<Audibility>,
}

impl Audience {
    /// Narrow places reach no further than one of these; what reaches further than any is kept among the wide ones.
    const NARROW: [Offset; 4] = [
        Offset::hz(8_000),
        Offset::hz(16_000),
        Offset::hz(40_000),
        Offset::hz(100_000),
    ];

    /// Nobody hears.
    pub(super) const NOBODY: Self = Self {
        narrow: Vec::new(),
        wide: Vec::new(),
        map: None,
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
        let mut left: Vec<Hearer> = places.collect();
        let mut narrow = Vec::new();
        for reach in Self::NARROW {
            let (mut within, beyond): (Vec<_>, Vec<_>) =
                left.into_iter().partition(|one| one.heard.reach <= reach);
            within.sort_by_key(|one| (one.heard.middle, one.receiver, one.place));
            narrow.push((reach, within));
            left = beyond;
        }
        left.sort_by_key(|one| {
            let heard = &one.heard;
            (heard.sense, heard.faintest, one.receiver, one.place)
        });
        let wide = left.chunk_by(|one, other| one.heard.sense == other.heard.sense);
        Self {
            narrow,
            wide: wide.map(<[Hearer]>::to_vec).collect(),
            map: None,
        }
    }

    /// The same, set out for many questions.
    pub fn for_many(self) -> Self {
        let narrow = self.narrow.iter().flat_map(|(_, places)| places);
        let all = narrow.chain(self.wide.iter().flatten());
        let map = Audibility::of(all.map(|one| (&one.heard, one.heard.faintest)));
        Self {
            map: Some(map),
            ..self
        }
    }

    /// The places that cover a line and might hear it at a level that no way exceeds, where only what is worse by so much
    /// matters.
    pub fn near(&self, line: Trace, most: Level, worse: Within) -> impl Iterator<Item = &Hearer> {
        let narrow = self.narrow.iter().flat_map(move |(reach, places)| {
            let edge = *reach + line.edge;
            let (low, high) = (line.frequency - edge, line.frequency + edge);
            let begin = places.partition_point(|one| one.heard.middle < low);
            let near = places.get(begin..).unwrap_or_default().iter();
            near.take_while(move |one| one.heard.middle <= high)
        });
        let wide = self.wide.iter().flat_map(move |places| {
            let places = places.iter();
            places.take_while(move |one| one.heard.faintest(worse) <= most)
        });
        narrow
            .chain(wide)
            .filter(move |one| most >= one.heard.faintest(worse) && one.heard.covers(&line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Places of a receiver each, of all widths that are kept apart.
    fn listening() -> impl Strategy<Value = Vec<Listening>> {
        let reach = prop_oneof![
            0i64..130_000,
            Just(8_000),
            Just(16_000),
            Just(40_000),
            Just(100_000),
            0i64..10_000_000,
        ];
        let place = (100_000_000i64..101_000_000, reach, -150i32..-60, 0u32..4);
        let places = proptest::collection::vec(place, 0..6).prop_map(|places| {
            let places: Vec<Heard> = places
                .into_iter()
                .map(|(middle, reach, faintest, slope)| {
                    let sense = Sense {
                        slope,
                        concern: Concern::Plain,
                    };
                    let place = (Frequency::hz(middle), Offset::hz(reach));
                    Heard::new(place, (Level::dbm(f64::from(faintest)), sense))
                })
                .collect();
            Listening {
                channel: Span::between(Frequency::hz(0), Frequency::hz(1)),
                floor: None,
                concern: Concern::Plain,
                concern_of_slices: Concern::Plain,
                keen: Keen::of(&places),
                places,
            }
        });
        proptest::collection::vec(places, 1..5)
    }

    proptest! {
        #[test]
        fn those_near_a_line_are_the_places_that_cover_it_and_hear_one_so_strong(
            all in listening(),
            frequency in 99_900_000i64..101_100_000,
            edge in 0i64..50_000,
            most in -150i32..-50,
            worse in 0i32..30,
        ) {
            let line = Trace {
                frequency: Frequency::hz(frequency),
                edge: Offset::hz(edge),
                level: Level::dbm(0.0),
                legs: Legs::NONE,
                is_ours: true,
            };
            let (most, worse) = (Level::dbm(f64::from(most)), Decibels::db(f64::from(worse)));
            let audience = Audience::of(all.iter().enumerate());
            let mut found: Vec<(usize, usize)> =
                audience.near(line, most, Within::all(worse)).map(|one| (one.receiver, one.place)).collect();
            found.sort_unstable();
            let mut plain = Vec::new();
            for (receiver, listening) in all.iter().enumerate() {
                for (place, heard) in listening.places.iter().enumerate() {
                    let away = (frequency - heard.middle.as_hz()).abs();
                    // Where a product gains by the slope, that much less of a line is as much worse.
                    let needed = heard.faintest.as_dbm() + worse.as_db() / f64::from(heard.sense.slope.max(1));
                    if away <= heard.reach.as_hz() + edge && most.as_dbm() >= needed - 1e-9 {
                        plain.push((receiver, place));
                    }
                }
            }
            prop_assert_eq!(found, plain);
        }

        /// With the loss of free space, which rises by 20 dB a decade.
        #[test]
        fn no_line_is_heard_that_is_fainter_than_the_keenest_of_its_slope(
            all in listening(),
            off in -1.0f64..1.0,
            edge in 0i64..2_000_000,
        ) {
            for listening in all {
                for heard in &listening.places {
                    let keen = listening.keen.iter().filter(|keen| keen.sense == heard.sense);
                    let keen: Vec<&Keen> = keen.collect();
                    prop_assert_eq!(keen.len(), 1);
                    let away = off * (heard.reach.as_hz() + edge) as f64;
                    let at = heard.middle.as_hz() as f64 + away;
                    let rising = Decibels::db(20.0 * at.log10());
                    prop_assert!(keen[0].flat <= heard.faintest);
                    prop_assert!(keen[0].tilted <= heard.faintest + rising + Decibels::db(1e-9));
                }
            }
        }
    }

    #[test]
    fn the_lowest_line_that_the_keenest_place_hears_is_two_megahertz_below_it() {
        let sense = Sense {
            slope: 1,
            concern: Concern::Plain,
        };
        let place = |middle| (Frequency::hz(middle), Offset::hz(8_000_000));
        let heard = |middle, faintest| Heard::new(place(middle), (Level::dbm(faintest), sense));
        let keen = Keen::of(&[heard(110_000_000, -120.0), heard(1_010_000_000, -125.0)]);
        assert_eq!(keen.len(), 1);
        assert!((keen[0].flat - Level::dbm(-125.0)).as_db().abs() < 1e-9);
        // 20 log10(100 MHz) = 160 dB, against 180 dB at 1 GHz.
        assert!((keen[0].tilted - Level::dbm(40.0)).as_db().abs() < 1e-9);
    }

    /// By itself, since in a longer list a place in the middle may hide where a look-up begins.
    #[test]
    fn a_place_that_a_line_just_reaches_is_near_it_from_either_side_and_one_a_hertz_further_is_not()
    {
        let sense = Sense {
            slope: 1,
            concern: Concern::Plain,
        };
        // Each width that is kept apart, at its very end and inside it, and a wide one.
        for reach in [8_000, 7_000, 16_000, 40_000, 100_000, 100_001] {
            for sign in [1, -1] {
                for (further, is_near) in [(0, true), (1, false)] {
                    let middle = 145_000_000 + sign * (reach + 5_000 + further);
                    let place = (Frequency::hz(middle), Offset::hz(reach));
                    let places = vec![Heard::new(place, (Level::dbm(-100.0), sense))];
                    let listening = Listening {
                        channel: Span::between(Frequency::hz(0), Frequency::hz(1)),
                        floor: None,
                        concern: Concern::Plain,
                        concern_of_slices: Concern::Plain,
                        keen: Keen::of(&places),
                        places,
                    };
                    let line = Trace {
                        frequency: Frequency::hz(145_000_000),
                        edge: Offset::hz(5_000),
                        level: Level::dbm(0.0),
                        legs: Legs::NONE,
                        is_ours: true,
                    };
                    let worse = Within::all(Decibels::ZERO);
                    let audience = Audience::of(std::iter::once((0, &listening)));
                    let found = audience.near(line, Level::dbm(0.0), worse).count();
                    assert_eq!(found, usize::from(is_near), "{reach} {sign}");
                    // Many who ask have a map, which leaves out what lies elsewhere.
                    let map = audience.for_many().map.unwrap();
                    let may_hear = |at: i64| {
                        let at = (Frequency::hz(at), line.edge);
                        map.may_hear(at, Level::dbm(0.0), worse)
                    };
                    assert!(may_hear(middle) && !may_hear(144_000_000));
                }
            }
        }
    }
}
