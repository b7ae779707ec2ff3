//! Channels on a line of which no third-order product falls on a member.
//!
//! 2A − B = C and A + B − C = D each say that two distances between channels are equal. A set is free of them when all its
//! distances differ: a Golomb ruler.
//!
//! # Source
//! W. C. Babcock, "Intermodulation interference in radio systems", Bell System Technical Journal 32 (1953): recalled, not
//! read. The shortest lengths are OEIS A003022.

use fixedbitset::FixedBitSet;

use super::graph::Highest;
use super::solve::{Choice, Outcome, Stop, Task, Toll, solve};
use crate::quantity::Frequency;

/// Whether all distances between some places differ.
pub fn is_free_of_third_order(places: &[i64]) -> bool {
    let mut distances: Vec<i64> = places
        .iter()
        .enumerate()
        .flat_map(|(index, one)| {
            places
                .iter()
                .skip(index + 1)
                .map(move |other| (one - other).abs())
        })
        .collect();
    distances.sort_unstable();
    distances.windows(2).all(|pair| pair.first() != pair.last())
}

/// The same of channels.
pub fn are_free_of_third_order(channels: &[Frequency]) -> bool {
    let places: Vec<i64> = channels.iter().map(|one| one.as_hz()).collect();
    is_free_of_third_order(&places)
}

/// The shortest stretch of a raster that holds so many channels free of third-order products: its places, from 0.
///
/// The shorter problems are solved first: so far at least must two members be apart that have so many between them.
pub fn closest_spacing(channels: usize, should_stop: &Stop<'_>) -> Outcome<Highest> {
    let mut shortest = vec![0, 0, 1];
    for marks in 3..channels {
        let outcome = solve(&Spacing::of(marks, &shortest), should_stop);
        match outcome.best.as_ref().filter(|_| outcome.is_proved()) {
            Some((_, length)) => shortest.push(length.0),
            None => break,
        }
    }
    solve(&Spacing::of(channels, &shortest), should_stop)
}

struct Spacing<'a> {
    channels: usize,
    /// By number of channels: the shortest stretch that holds them.
    shortest: &'a [usize],
}

impl<'a> Spacing<'a> {
    const fn of(channels: usize, shortest: &'a [usize]) -> Self {
        Self { channels, shortest }
    }

    /// So far at least is it from one member to the other, this many further on.
    fn least(&self, further: usize) -> usize {
        let known = self.shortest.get(further + 1);
        known.or(self.shortest.last()).copied().unwrap_or(further)
    }
}

impl Task for Spacing<'_> {
    type Toll = Highest;

    fn sizes(&self) -> Vec<usize> {
        // Sets shorter than n² are known for every n that can be searched at all.
        vec![self.channels * self.channels + 1; self.channels]
    }

    fn permits(&self, choice: Choice) -> bool {
        let before = self.least(choice.variable);
        // The first stands at zero.
        choice.value >= before && (choice.variable > 0 || choice.value == 0)
    }

    fn agree(&self, one: Choice, other: Choice) -> bool {
        let (low, high) = if one.variable < other.variable {
            (one, other)
        } else {
            (other, one)
        };
        high.value >= low.value + self.least(high.variable - low.variable)
    }

    fn allows(&self, chosen: &[Choice], next: Choice) -> bool {
        let mut places: Vec<i64> = chosen
            .iter()
            .chain([&next])
            .filter_map(|one| i64::try_from(one.value).ok())
            .collect();
        places.sort_unstable();
        let gap = |from: usize| Some(places.get(from + 1)? - places.get(from)?);
        // Read from its other end a set is the same: of the two, the one with the shorter first step is enough.
        let is_first_half =
            places.len() < self.channels || self.channels < 3 || gap(0) < gap(self.channels - 2);
        is_first_half && is_free_of_third_order(&places)
    }

    /// Where the last will stand at least, once this one stands here.
    fn alone(&self, choice: Choice) -> Highest {
        let further = (self.channels - 1).saturating_sub(choice.variable);
        Highest(choice.value + if further == 0 { 0 } else { self.least(further) })
    }

    /// The same, knowing which distances are taken: the steps that are left all differ from those and from each other.
    fn foreseen(&self, chosen: &[Choice], next: Choice) -> Highest {
        let places: Vec<usize> = chosen.iter().chain([&next]).map(|one| one.value).collect();
        let mut taken = FixedBitSet::with_capacity(self.channels * self.channels + 1);
        for (index, one) in places.iter().enumerate() {
            for other in places.iter().skip(index + 1) {
                taken.insert(one.abs_diff(*other));
            }
        }
        let steps = (self.channels - 1).saturating_sub(next.variable);
        let free = (1..).filter(|&step| !taken.contains(step));
        let steps: usize = free.take(steps).sum();
        self.alone(next).and(&Highest(next.value + steps))
    }

    fn is_in_order(&self) -> bool {
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is known when sets of four are looked for: nothing of one, one step for two, three for three.
    const KNOWN: [usize; 4] = [0, 0, 1, 3];

    fn choice(variable: usize, value: usize) -> Choice {
        Choice { variable, value }
    }

    /// The lengths of the shortest rulers, OEIS A003022 (from memory): 1, 3, 6, 11, 17 for two to six marks.
    #[test]
    fn the_closest_sets_of_up_to_six_are_as_long_as_the_published_rulers() {
        for (marks, length) in [(2, 1), (3, 3), (4, 6), (5, 11), (6, 17)] {
            let outcome = closest_spacing(marks, &|| false);
            assert!(outcome.is_proved());
            let (places, toll) = outcome.best.unwrap();
            assert_eq!((places.len(), toll.0), (marks, length));
            assert_eq!((places[0], places[marks - 1]), (0, length));
            // By the definition of a third-order product, and not by distances.
            for (a, b, c) in itertools::iproduct!(&places, &places, &places) {
                assert!(a == b || !places.contains(&(2 * a).wrapping_sub(*b)));
                let is_product = a != c && b != c && a != b;
                assert!(!is_product || !places.contains(&(a + b).wrapping_sub(*c)));
            }
        }
    }

    #[test]
    fn a_member_stands_no_nearer_than_the_shortest_set_up_to_it_and_the_first_at_nought() {
        let four = Spacing::of(4, &KNOWN);
        assert_eq!(four.sizes(), [17; 4]);
        assert!(four.is_in_order());
        // Two members one step apart at least, three over three; of more nothing longer is known.
        assert_eq!([1, 2, 3].map(|further| four.least(further)), [1, 3, 3]);
        for (variable, value, may) in [
            (0, 0, true),
            (0, 1, false),
            (1, 0, false),
            (1, 1, true),
            (2, 2, false),
            (2, 3, true),
            (3, 2, false),
            (3, 3, true),
        ] {
            let permits = four.permits(choice(variable, value));
            assert_eq!(permits, may, "{variable} at {value}");
        }
    }

    #[test]
    fn two_members_keep_apart_what_the_shortest_set_between_them_needs_either_way_round() {
        let four = Spacing::of(4, &KNOWN);
        for (one, other, may) in [
            ((0, 0), (1, 0), false),
            ((0, 0), (1, 1), true),
            ((1, 1), (3, 3), false),
            ((1, 1), (3, 4), true),
            ((1, 2), (2, 2), false),
            ((1, 2), (2, 3), true),
            ((1, 3), (2, 2), false),
        ] {
            let [one, other] = [one, other].map(|(variable, value)| choice(variable, value));
            assert_eq!(four.agree(one, other), may, "{one:?} {other:?}");
            assert_eq!(four.agree(other, one), may, "{other:?} {one:?}");
        }
    }

    #[test]
    fn no_distance_comes_twice_and_of_a_set_and_its_mirror_one_is_looked_at() {
        let allows = |channels: usize, places: &[usize]| {
            let all: Vec<Choice> = (0..).zip(places).map(|(at, &on)| choice(at, on)).collect();
            let (last, chosen) = all.split_last().unwrap();
            Spacing::of(channels, &KNOWN).allows(chosen, *last)
        };
        assert!(allows(4, &[0, 1, 3]) && !allows(4, &[0, 1, 2]));
        // {0, 1, 4, 6} is the perfect ruler; {0, 2, 5, 6} is the same from its other end.
        assert!(allows(4, &[0, 1, 4, 6]));
        assert!(!allows(4, &[0, 2, 5, 6]));
        assert!(allows(5, &[0, 1, 4, 9, 11]));
        assert!(!allows(5, &[0, 2, 7, 10, 11]));
        // Only the whole set has another end.
        assert!(allows(5, &[0, 2, 5, 6]));
        assert!(allows(3, &[0, 1, 3]) && !allows(3, &[0, 2, 3]));
        // Two have one distance, and it is the first and the last step.
        assert!(allows(2, &[0, 1]));
    }

    #[test]
    fn where_the_last_will_stand_is_told_by_the_shortest_set_and_by_the_distances_left() {
        let four = Spacing::of(4, &KNOWN);
        let alone = |variable, value| four.alone(choice(variable, value)).0;
        assert_eq!(alone(0, 0), 3);
        assert_eq!(alone(1, 5), 8);
        assert_eq!(alone(2, 5), 6);
        assert_eq!(alone(3, 6), 6);
        let foreseen = |places: &[usize]| {
            let all: Vec<Choice> = (0..).zip(places).map(|(at, &on)| choice(at, on)).collect();
            let (last, chosen) = all.split_last().unwrap();
            four.foreseen(chosen, *last).0
        };
        // All steps are left: 1 + 2 + 3. After 0–1 it is 2 and 3, after 0–1–4 it is 2.
        assert_eq!(foreseen(&[0]), 6);
        assert_eq!(foreseen(&[0, 1]), 6);
        assert_eq!(foreseen(&[0, 1, 4]), 6);
        assert_eq!(foreseen(&[0, 1, 4, 6]), 6);
        // 2, 3 and 5 are taken.
        assert_eq!(foreseen(&[0, 2, 5]), 6);
        assert_eq!(foreseen(&[0, 4]), 4 + 1 + 2);
        // Also at the very end of all places.
        assert_eq!(foreseen(&[0, 16]), 16 + 1 + 2);
    }
}
