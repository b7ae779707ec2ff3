//! Pairs of legs, the most promising first, until the rows stand.

use std::sync::Arc;

use rayon::prelude::*;

use super::judge::{ANYWHERE, Judge};
use super::promise::{Candidate, Promise, order};
use super::tally::Tally;
use super::watch::{Doing, Watch};
use super::whole::{Links, Said, Whole};
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
    /// How many pairs there are, also of legs that were not judged because of a stop.
    count: usize,
}

impl Pairs {
    /// Judges the legs; when it is told to stop, as many as there was time for, from all over the stretches.
    pub(super) fn of(
        judge: &Judge<'_>,
        whole: &Whole,
        [first, second]: [&[Frequency]; 2],
        watch: &Watch,
    ) -> Self {
        let coarse = judge.coarse();
        watch.begin(Doing::Channels, Some(first.len() + second.len()));
        let mut of_first = Vec::new();
        let mut of_second = Vec::new();
        // By turns, so that a stop finds legs of both to pair.
        for (one, other) in by_turns(first, second) {
            if watch.is_stopped() && !of_first.is_empty() && !of_second.is_empty() {
                break;
            }
            of_first.extend(legs(judge, &one, Legs::FIRST, watch));
            of_second.extend(legs(judge, &other, Legs::SECOND, watch));
        }
        for legs in [&mut of_first, &mut of_second] {
            legs.sort_unstable_by_key(|leg: &Leg| leg.frequency);
        }
        let mut promising: Vec<(Promise, usize, usize)> = of_first
            .par_iter()
            .enumerate()
            .flat_map_iter(|(one, first)| {
                let others = of_second.iter().enumerate();
                others.map(move |(other, second)| {
                    (first.with(second, judge, whole, coarse), one, other)
                })
            })
            .collect();
        promising.par_sort_unstable();
        Self {
            of_first,
            of_second,
            promising,
            looked_at: 0,
            count: first.len() * second.len(),
        }
    }

    /// How many pairs there are.
    pub(super) const fn count(&self) -> usize {
        self.count
    }

    /// How many of them have legs that were judged.
    pub(super) const fn known(&self) -> usize {
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

    /// Judges more pairs until the best `keep` stand, and leaves what is judged in order. Whether they stand: when it is
    /// told to stop they need not, but there is something to show.
    pub(super) fn settle(
        &mut self,
        (judge, whole): (&Judge<'_>, &Whole),
        keep: usize,
        judged: &mut Vec<Candidate>,
        watch: &Watch,
    ) -> bool {
        while let Some((promise, first, second)) = self.next()
            && !stands(
                judged,
                keep,
                (promise, &[first.frequency, second.frequency]),
                judge.coarse(),
            )
        {
            if watch.is_stopped() && !judged.is_empty() {
                return false;
            }
            watch.begin(Doing::Pairs, Some(self.promising.len()));
            watch.did(self.looked_at);
            let left = self.promising.get(self.looked_at..).unwrap_or_default();
            let batch = left.get(..BATCH).unwrap_or(left);
            let found = batch.par_iter().filter_map(|&(_, one, other)| {
                let (first, second) = (self.of_first.get(one)?, self.of_second.get(other)?);
                Some(in_the_net(judge, whole, first, second))
            });
            judged.par_extend(found);
            self.looked_at += batch.len();
            // What was in order stays so: merging is cheaper than sorting anew.
            judged.sort_by(|one, other| {
                order(one, judge.coarse()).cmp(&order(other, judge.coarse()))
            });
        }
        self.known() == self.count
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
    /// Who hears whom on it.
    links: Links,
}

/// So many channels of a leg are judged between two looks at whether to stop.
const TURN: usize = 16;

/// The channels of both legs in turns, each as far through its own as the other; each turn has channels from all over.
fn by_turns(first: &[Frequency], second: &[Frequency]) -> Vec<(Vec<Frequency>, Vec<Frequency>)> {
    let turns = first.len().max(second.len()).div_ceil(TURN);
    let of = |channels: &[Frequency], turn: usize| {
        channels
            .iter()
            .copied()
            .skip(turn)
            .step_by(turns.max(1))
            .collect()
    };
    (0..turns)
        .map(|turn| (of(first, turn), of(second, turn)))
        .collect()
}

/// Judges some channels of a leg; when it is told to stop, those that are begun, and always one.
pub(super) fn legs(
    judge: &Judge<'_>,
    channels: &[Frequency],
    leg: Legs,
    watch: &Watch,
) -> Vec<Leg> {
    channels
        .par_iter()
        .enumerate()
        .filter(|(place, _)| *place == 0 || !watch.is_stopped())
        .map(|(_, &frequency)| {
            let legs = if leg == Legs::FIRST {
                [frequency, ANYWHERE]
            } else {
                [ANYWHERE, frequency]
            };
            let leg = Leg {
                frequency,
                tally: judge.tally(legs, leg, &[leg]),
                preference: judge.preference(&[frequency]),
                is_shared: judge.is_shared(frequency),
                links: Whole::links(judge, legs, leg),
            };
            watch.did(1);
            leg
        })
        .collect()
}

impl Leg {
    /// The best a pair of these legs could be.
    fn with(&self, other: &Self, judge: &Judge<'_>, whole: &Whole, coarse: Decibels) -> Promise {
        if self.is_shared || other.is_shared {
            return Promise::everything();
        }
        let mut tally = Tally {
            conflicts: self.tally.conflicts + other.tally.conflicts,
            cautions: self.tally.cautions + other.tally.cautions,
            worst_margin: [&self.tally, &other.tally]
                .into_iter()
                .filter_map(|tally| tally.worst_margin)
                .min(),
            ..Tally::default()
        };
        // What the net says moves nothing that is refused already.
        if tally.conflicts == 0 {
            let net = &self.said(other, judge, whole).tally;
            tally.conflicts += net.conflicts;
            tally.cautions += net.cautions;
            tally.worst_margin = tally.worst_margin.into_iter().chain(net.worst_margin).min();
        }
        Promise::of(&tally, self.preference + other.preference, coarse)
    }

    /// What the checks of the net say of a pair of these legs, neither of them shared.
    fn said(&self, other: &Self, judge: &Judge<'_>, whole: &Whole) -> Arc<Said> {
        let legs = [self.frequency, other.frequency];
        whole.of_links(judge, legs, [&self.links, &other.links])
    }
}

/// A pair judged whole, with what the checks of the net say: where a channel is shared that is dear and left for later, and
/// where it is refused anyway it would move nothing.
fn in_the_net(judge: &Judge<'_>, plan: &Whole, first: &Leg, second: &Leg) -> Candidate {
    let mut pair = whole(judge, first, second);
    if !first.is_shared && !second.is_shared && pair.tally.conflicts == 0 {
        pair.hear_of_the_net(&first.said(second, judge, plan));
    }
    pair
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
    Candidate::of(legs.to_vec(), tally, first.preference + second.preference)
}
