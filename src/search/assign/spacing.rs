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
