//! Pairs of legs, the most promising first, until the rows stand.

use rayon::prelude::*;

use super::judge::{ANYWHERE, Judge};
use super::promise::{Candidate, Promise, order};
use super::tally::Tally;
use crate::quantity::{Decibels, Frequency};
use crate::scenario::Legs;

/// How many pairs are judged between two looks at whether the rows stand; the same for any number of threads.
const BATCH: usize = 64;

/// The pairs of a search, each leg judged once, the most promising pair first.
///
/// What rests on both legs can only make a pair worse than its legs are by themselves. So when as many judged pairs as are
/// asked for are better than the best that the next pair could be, no other can come among them. A leg on a channel that
/// the plan is on already changes who is keyed with whom; its pairs promise everything and are judged as a whole.
pub(super) struct Pairs {
    of_first: Vec<Leg>,
    of_second: Vec<Leg>,
    /// By promise and then by frequency, each by the places of its legs.
    promising: Vec<(Promise, usize, usize)>,
    /// How many of them are judged.
    looked_at: usize,
}

impl Pairs {
    /// Judges the legs.
    pub(super) fn of(judge: &Judge<'_>, first: &[Frequency], second: &[Frequency]) -> Self {
        let coarse = judge.coarse();
        let of_first = legs(judge, first, Legs::FIRST, |leg| [leg, ANYWHERE]);
        let of_second = legs(judge, second, Legs::SECOND, |leg| [ANYWHERE, leg]);
        let mut promising: Vec<(Promise, usize, usize)> = of_first
            .iter()
            .enumerate()
            .flat_map(|(one, first)| {
                of_second
                    .iter()
                    .enumerate()
                    .map(move |(other, second)| (first.with(second, coarse), one, other))
            })
            .collect();
        promising.par_sort_unstable();
        Self {
            of_first,
            of_second,
            promising,
            looked_at: 0,
        }
    }

    /// How many pairs there are.
    pub(super) const fn count(&self) -> usize {
        self.promising.len()
    }

    /// The legs that conflict by themselves, and how many pairs have one.
    pub(super) fn refused(&self) -> (Vec<Tally>, usize) {
        let refused = |legs: &[Leg]| -> Vec<Tally> {
            let refused = legs.iter().filter(|leg| leg.tally.conflicts > 0);
            refused.map(|leg| leg.tally.clone()).collect()
        };
        let (mut legs, others) = (refused(&self.of_first), refused(&self.of_second));
        let (one, other) = (legs.len(), others.len());
        legs.extend(others);
        let pairs = one * self.of_second.len() + other * self.of_first.len() - one * other;
        (legs, pairs)
    }

    /// Judges more pairs until the best `keep` stand, and leaves what is judged in order.
    pub(super) fn settle(&mut self, judge: &Judge<'_>, keep: usize, judged: &mut Vec<Candidate>) {
        while let Some((promise, first, second)) = self.next()
            && !stands(
                judged,
                keep,
                (promise, &[first.frequency, second.frequency]),
                judge.coarse(),
            )
        {
            let left = self.promising.get(self.looked_at..).unwrap_or_default();
            let batch = left.get(..BATCH).unwrap_or(left);
            let found = batch.par_iter().filter_map(|&(_, one, other)| {
                Some(whole(
                    judge,
                    self.of_first.get(one)?,
                    self.of_second.get(other)?,
                ))
            });
            judged.par_extend(found);
            self.looked_at += batch.len();
            // What was in order stays so: merging is cheaper than sorting anew.
            judged.sort_by(|one, other| {
                order(one, judge.coarse()).cmp(&order(other, judge.coarse()))
            });
        }
    }

    /// The most promising pair that is not judged.
    fn next(&self) -> Option<(Promise, &Leg, &Leg)> {
        let &(promise, one, other) = self.promising.get(self.looked_at)?;
        Some((promise, self.of_first.get(one)?, self.of_second.get(other)?))
    }
}

/// Whether `keep` judged pairs are better than the best that the next pair could be. Pairs that promise the same come in
/// the order of their frequencies, which also decides between equals, so none that is left can come among them.
fn stands(
    judged: &[Candidate],
    keep: usize,
    (best, legs): (Promise, &[Frequency]),
    coarse: Decibels,
) -> bool {
    match keep.checked_sub(1) {
        None => true,
        Some(last) => judged
            .get(last)
            .is_some_and(|last| order(last, coarse) < (best, legs)),
    }
}

/// One leg by itself.
pub(super) struct Leg {
    frequency: Frequency,
    tally: Tally,
    preference: i32,
    /// Whether the plan is on it already.
    is_shared: bool,
}

pub(super) fn legs(
    judge: &Judge<'_>,
    channels: &[Frequency],
    leg: Legs,
    pair: impl Fn(Frequency) -> [Frequency; 2] + Sync,
) -> Vec<Leg> {
    channels
        .par_iter()
        .map(|&frequency| Leg {
            frequency,
            tally: judge.tally(pair(frequency), leg, &[leg]),
            preference: judge.preference(&[frequency]),
            is_shared: judge.is_shared(frequency),
        })
        .collect()
}

impl Leg {
    /// The best a pair of these legs could be.
    fn with(&self, other: &Self, coarse: Decibels) -> Promise {
        if self.is_shared || other.is_shared {
            return Promise::everything();
        }
        let margins = [self.tally.worst_margin, other.tally.worst_margin];
        let tally = Tally {
            conflicts: self.tally.conflicts + other.tally.conflicts,
            cautions: self.tally.cautions + other.tally.cautions,
            worst_margin: margins.into_iter().flatten().min(),
            ..Tally::default()
        };
        Promise::of(&tally, self.preference + other.preference, coarse)
    }
}

/// A pair judged whole. Where a leg conflicts by itself, what is milder than that is left out.
pub(super) fn whole(judge: &Judge<'_>, first: &Leg, second: &Leg) -> Candidate {
    let legs = [first.frequency, second.frequency];
    let tally = if first.is_shared || second.is_shared {
        judge.tally(legs, Legs::BOTH, &[Legs::FIRST, Legs::SECOND, Legs::BOTH])
    } else {
        let alone = first.tally.and(&second.tally);
        let within = alone.worst_margin.filter(|_| alone.conflicts > 0);
        let within = within.unwrap_or(judge.plan.settings.horizon.value);
        alone.and(&judge.tally_within(within, legs, Legs::BOTH, &[Legs::BOTH]))
    };
    Candidate {
        legs: legs.to_vec(),
        tally,
        preference: first.preference + second.preference,
    }
}
