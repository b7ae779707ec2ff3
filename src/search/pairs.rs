//! Pairs of legs, the most promising first, until the rows stand.

use rayon::prelude::*;

use super::judge::{ANYWHERE, Judge};
use super::promise::{Candidate, Promise, order};
use super::tally::Tally;
use crate::quantity::{Decibels, Frequency};
use crate::scenario::Legs;

/// What a search came to.
pub(super) struct Found {
    pub(super) considered: usize,
    pub(super) refused_by_a_leg: usize,
    /// Everything that was judged whole, in no order.
    pub(super) judged: Vec<Candidate>,
    /// Single legs that conflict by themselves.
    pub(super) refused_legs: Vec<Tally>,
}

/// How many pairs are judged between two looks at whether the rows stand; the same for any number of threads.
const BATCH: usize = 64;

/// Judges each leg once, then pairs by what rests on both legs, the most promising first.
///
/// What rests on both legs can only make a pair worse than its legs are by themselves. So when `keep` judged pairs are
/// better than the best that the next pair could be, no other can come among them. A leg on a channel that the plan
/// is on already changes who is keyed with whom; its pairs promise everything and are judged as a whole.
pub(super) fn pairs(
    judge: &Judge<'_>,
    first: &[Frequency],
    second: &[Frequency],
    keep: usize,
) -> Found {
    let coarse = judge.plan.settings.reserve.value;
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
    let mut judged: Vec<Candidate> = Vec::new();
    let mut next = promising.as_slice();
    while let Some(&(best, one, other)) = next.first() {
        let legs = [(&of_first, one), (&of_second, other)]
            .map(|(of, at)| of.get(at).map(|leg| leg.frequency));
        if stands(
            &mut judged,
            keep,
            (best, &legs.map(Option::unwrap_or_default)),
            coarse,
        ) {
            break;
        }
        let (batch, rest) = next.split_at(BATCH.min(next.len()));
        judged.par_extend(batch.par_iter().filter_map(|&(_, one, other)| {
            Some(whole(judge, of_first.get(one)?, of_second.get(other)?))
        }));
        next = rest;
    }
    let is_refused = |leg: &&Leg| leg.tally.conflicts > 0;
    let (one, other) = (
        of_first.iter().filter(is_refused).count(),
        of_second.iter().filter(is_refused).count(),
    );
    let refused_legs = of_first
        .iter()
        .chain(&of_second)
        .filter(is_refused)
        .map(|leg| leg.tally.clone())
        .collect();
    Found {
        considered: promising.len(),
        refused_by_a_leg: one * second.len() + other * first.len() - one * other,
        judged,
        refused_legs,
    }
}

/// Whether `keep` judged pairs are better than the best that the next pair could be. Pairs that promise the same come in
/// the order of their frequencies, which also decides between equals, so none that is left can come among them.
fn stands(
    judged: &mut [Candidate],
    keep: usize,
    (best, legs): (Promise, &[Frequency]),
    coarse: Decibels,
) -> bool {
    judged.sort_unstable_by(|one, other| order(one, coarse).cmp(&order(other, coarse)));
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

/// A pair judged whole.
pub(super) fn whole(judge: &Judge<'_>, first: &Leg, second: &Leg) -> Candidate {
    let legs = [first.frequency, second.frequency];
    let tally = if first.is_shared || second.is_shared {
        judge.tally(legs, Legs::BOTH, &[Legs::FIRST, Legs::SECOND, Legs::BOTH])
    } else {
        first
            .tally
            .and(&second.tally)
            .and(&judge.tally(legs, Legs::BOTH, &[Legs::BOTH]))
    };
    Candidate {
        legs: legs.to_vec(),
        tally,
        preference: first.preference + second.preference,
    }
}
