//! Lines set out so that those near a place where somebody hears are found quickly.

use super::{Heard, Line, Within};
use crate::quantity::{Decibels, Offset};
use crate::scene::Rest;

/// Lines by frequency and by level.
#[derive(Debug, Default)]
pub struct LineBook {
    /// Lowest frequency first.
    lines: Vec<Line>,
    /// Places in `lines`, strongest first.
    by_level: Vec<usize>,
    /// How far the widest of them reaches from its middle.
    edge: Offset,
}

impl LineBook {
    /// A place that reaches further than this is searched by level.
    const NARROW: Offset = Offset::hz(1_000_000);

    /// Sets out some lines.
    pub fn of(mut lines: Vec<Line>) -> Self {
        lines.sort_by(|one, other| {
            let key = |one: &Line| (one.frequency, one.kind);
            key(one)
                .cmp(&key(other))
                .then_with(|| one.terms.cmp(&other.terms))
        });
        let mut by_level: Vec<usize> = (0..lines.len()).collect();
        by_level.sort_by_key(|&place| {
            let level = lines.get(place).map(|line| line.level);
            (std::cmp::Reverse(level), place)
        });
        let edges = lines.iter().map(|line| line.trace().edge);
        let edge = edges.max().unwrap_or_default();
        Self {
            lines,
            by_level,
            edge,
        }
    }

    /// The same with the lines of those who are left.
    pub fn left(known: &Self, rest: &Rest) -> Self {
        let lines = known.lines.iter();
        Self::of(lines.filter_map(|line| line.left(rest)).collect())
    }

    /// The lines that a place covers and that may be strong enough there when a way can gain so much at most and only what
    /// is worse by so much matters.
    pub fn near(
        &self,
        heard: &Heard,
        most_gain: Decibels,
        worse: Within,
    ) -> impl Iterator<Item = &Line> {
        let is_narrow = heard.reach <= Self::NARROW;
        let reach = heard.reach + self.edge;
        let (low, high) = (heard.middle - reach, heard.middle + reach);
        let begin = if is_narrow {
            self.lines.partition_point(|line| line.frequency < low)
        } else {
            self.lines.len()
        };
        let narrow = self
            .lines
            .iter()
            .skip(begin)
            .take_while(move |line| line.frequency <= high);
        let faintest = heard.faintest(worse);
        let by_level = if is_narrow { &[][..] } else { &self.by_level };
        let wide = by_level
            .iter()
            .filter_map(|&place| self.lines.get(place))
            .take_while(move |line| line.level + most_gain >= faintest);
        narrow
            .chain(wide)
            .filter(move |line| line.level + most_gain >= faintest && heard.covers(&line.trace()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emissions::{Birth, Concern, Sense, Source};
    use crate::quantity::{Bandwidth, Frequency, Level};
    use crate::scenario::Legs;
    use proptest::prelude::*;

    fn line(number: usize, (frequency, width, level): (i64, i64, i32)) -> Line {
        Line {
            kind: 0,
            terms: vec![(Source::Transmitter(number), 1)],
            frequency: Frequency::hz(frequency),
            width: Bandwidth::hz(width),
            tolerance: Offset::hz(0),
            birth: Birth::Transmitter(number),
            heard_by: None,
            supposed: None,
            level: Level::dbm(f64::from(level)),
            legs: Legs::NONE,
            is_ours: true,
        }
    }

    proptest! {
        #[test]
        fn the_lines_near_a_place_are_those_that_it_covers_and_that_are_strong_enough(
            lines in proptest::collection::vec((99_000_000i64..101_000_000, 0i64..40_000, -120i32..0), 0..24),
            middle in 99_000_000i64..101_000_000,
            reach in prop_oneof![0i64..400_000, 900_000i64..1_100_000, Just(1_000_000)],
            faintest in -110i32..-10,
            slope in 1u32..4,
            gain in 0i32..20,
            worse in 0i32..30,
        ) {
            let lines = lines.into_iter().enumerate();
            let lines: Vec<Line> = lines.map(|(number, one)| line(number, one)).collect();
            let sense = Sense { slope, concern: Concern::Plain };
            let place = (Frequency::hz(middle), Offset::hz(reach));
            let heard = Heard::new(place, (Level::dbm(f64::from(faintest)), sense));
            let [gain, worse] = [gain, worse].map(|db| Decibels::db(f64::from(db)));
            let book = LineBook::of(lines.clone());
            let number = |line: &Line| line.terms[0].0;
            let mut found: Vec<Source> = book.near(&heard, gain, Within::all(worse)).map(number).collect();
            found.sort_unstable();
            let plain = lines.iter().filter(|line| {
                let away = (line.frequency.as_hz() - middle).abs();
                let needed = f64::from(faintest) + worse.as_db() / f64::from(slope);
                away <= reach + line.width.as_hz() / 2 + 1
                    && line.level.as_dbm() + gain.as_db() >= needed - 1e-9
            });
            let plain: Vec<Source> = plain.map(number).collect();
            prop_assert_eq!(found, plain);
        }
    }

    /// 10 kHz of reach, half of 20 kHz of line and one hertz.
    #[test]
    fn a_line_that_just_reaches_a_place_is_near_it_from_either_side_and_one_a_hertz_further_is_not()
    {
        let sense = Sense {
            slope: 1,
            concern: Concern::Plain,
        };
        let place = (Frequency::hz(100_000_000), Offset::hz(10_000));
        let heard = Heard::new(place, (Level::dbm(-100.0), sense));
        for sign in [1, -1] {
            for (off, is_near) in [(20_001, true), (20_002, false)] {
                let book = LineBook::of(vec![line(0, (100_000_000 + sign * off, 20_000, -50))]);
                let within = Within::all(Decibels::ZERO);
                let found = book.near(&heard, Decibels::ZERO, within).count();
                assert_eq!(found, usize::from(is_near), "{off} {sign}");
            }
        }
    }
}
