//! Pairs of legs, the most promising first, until the rows stand.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::sync::Arc;

use rayon::prelude::*;

use super::judge::{ANYWHERE, Depths, Judge};
use super::leg::{Leg, Slot, at, in_the_net, legs, promise, unjudged};
use super::promise::{Candidate, Promise, order};
use super::tally::Tally;
use super::watch::{Doing, Watch};
use super::whole::{Said, Whole};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::Legs;

/// How many pairs are judged between two looks at whether the rows stand; the same for any number of threads.
const BATCH: usize = 64;

/// So many channels of a leg are judged between two looks at whether to stop, or at which are still of interest.
const TURN: usize = 16;

/// From so many neighbours on a glance comes before a leg is judged.
///
/// # Source
/// Choice: it takes a sixth of the time, which pays where much is far too strong.
const MANY: usize = 2_000;

/// The pairs of a search, the most promising first, each leg judged once and only when it is of interest.
///
/// What rests on both legs can only make a pair worse than its legs are by themselves, and a leg that is not judged yet
/// promises everything but the band plan's liking. So when as many judged pairs as are asked for are better than the best that
/// the next pair could be, no other can come among them, and the legs that were not asked for need not be. A leg on a channel
/// that the plan is on already changes who is keyed with whom, also for the other leg: its pairs promise what it is by itself
/// and what of the other leg has nothing to do with those on that channel, and are judged as a whole.
pub(super) struct Pairs {
    first: Vec<Slot>,
    second: Vec<Slot>,
    /// Those that are not judged, by what they promised when they were last looked at and then by frequency.
    open: BinaryHeap<Reverse<Open>>,
    /// How many pairs are judged.
    judged: usize,
    /// How deep the conflicts of the legs of each side lay.
    depths: [Depths; 2],
}

/// A pair with its promise, by the places of its legs.
type Open = (Promise, usize, usize);

impl Pairs {
    /// Judges the side with fewer channels and a few of the other: whatever the rows will be, every pair has a leg there. Among
    /// many neighbours a glance is taken at most of them, and those are judged that promise enough. When it is told to stop,
    /// as many as there was time for, from all over the stretches.
    pub(super) fn of(judge: &Judge<'_>, channels: [&[Frequency]; 2], watch: &Watch) -> Self {
        Self::begun(judge, channels, judge.plan.in_use.len() >= MANY, watch)
    }

    fn begun(
        judge: &Judge<'_>,
        [first, second]: [&[Frequency]; 2],
        are_many: bool,
        watch: &Watch,
    ) -> Self {
        watch.begin(Doing::Channels, Some(first.len() + second.len()));
        let mut pairs = Self {
            first: Slot::all(judge, Legs::FIRST, first),
            second: Slot::all(judge, Legs::SECOND, second),
            open: BinaryHeap::new(),
            judged: 0,
            depths: Default::default(),
        };
        let (fewer, more) = if first.len() < second.len() {
            (Legs::FIRST, Legs::SECOND)
        } else {
            (Legs::SECOND, Legs::FIRST)
        };
        let spread = by_turns(pairs.side(more).len()).into_iter().next();
        pairs.judge(judge, more, &spread.unwrap_or_default(), watch);
        for (turn, places) in by_turns(pairs.side(fewer).len()).iter().enumerate() {
            if turn > 0 && watch.is_stopped() {
                break;
            }
            if turn > 0 && are_many {
                pairs.glance(judge, fewer, places, watch);
            } else {
                pairs.judge(judge, fewer, places, watch);
            }
        }
        let coarse = judge.coarse();
        let all = pairs.first.iter().enumerate().flat_map(|(one, first)| {
            let others = pairs.second.iter().enumerate();
            others.map(move |(other, second)| {
                Reverse((promise([first, second], None, coarse), one, other))
            })
        });
        pairs.open = all.collect::<Vec<_>>().into();
        pairs
    }

    fn side(&self, leg: Legs) -> &[Slot] {
        if leg == Legs::FIRST {
            &self.first
        } else {
            &self.second
        }
    }

    /// Judges the channels at some places of a side that are not judged yet.
    fn judge(&mut self, judge: &Judge<'_>, leg: Legs, places: &[usize], watch: &Watch) {
        let most = self.most_that_matters(leg);
        let [first, second] = &mut self.depths;
        let (side, depths) = if leg == Legs::FIRST {
            (&mut self.first, first)
        } else {
            (&mut self.second, second)
        };
        let (places, channels) = unjudged(side, places);
        let found = legs(judge, &channels, (leg, Some(&depths.at_most(most))), watch);
        for leg in &found {
            depths.learn(&leg.tally, judge);
        }
        for (slot, found) in at(side, &places, found) {
            slot.leg = Some(found);
        }
    }

    /// Takes a glance at them.
    fn glance(&mut self, judge: &Judge<'_>, leg: Legs, places: &[usize], watch: &Watch) {
        let side = if leg == Legs::FIRST {
            &mut self.first
        } else {
            &mut self.second
        };
        let (places, channels) = unjudged(side, places);
        let found = legs(judge, &channels, (leg, None), watch);
        for (slot, found) in at(side, &places, found) {
            slot.glanced = Some(found);
        }
    }

    /// Beyond which margin nothing of a leg matters: where all that it can be paired with conflicts, the least bad of these is
    /// the best that a pair can be. What shares a channel with the plan is judged as a whole.
    fn most_that_matters(&self, leg: Legs) -> Option<Decibels> {
        let others = if leg == Legs::FIRST {
            &self.second
        } else {
            &self.first
        };
        let others = others.iter().filter(|slot| slot.shared.is_none());
        let worst = others.map(|slot| {
            let tally = slot.known().map(|leg| &leg.tally);
            tally.filter(|tally| tally.conflicts > 0)?.worst_margin
        });
        worst.collect::<Option<Vec<_>>>()?.into_iter().max()
    }

    /// Judges every channel, for those who ask how many pairs are refused.
    pub(super) fn judge_all(&mut self, judge: &Judge<'_>, watch: &Watch) {
        for leg in [Legs::FIRST, Legs::SECOND] {
            let all: Vec<usize> = (0..self.side(leg).len()).collect();
            for places in all.chunks(TURN) {
                if watch.is_stopped() {
                    return;
                }
                self.judge(judge, leg, places, watch);
            }
        }
    }

    /// How many pairs there are.
    pub(super) fn count(&self) -> usize {
        self.first.len() * self.second.len()
    }

    /// How many of them have legs that were judged.
    pub(super) fn known(&self) -> usize {
        let [first, second] = [&self.first, &self.second].map(|side| {
            let known = side.iter().filter(|slot| slot.leg.is_some());
            known.count()
        });
        first * second
    }

    /// The legs that are known to conflict by themselves, and how many pairs have one.
    pub(super) fn refused(&self) -> (Vec<Tally>, usize) {
        let of = |side: &[Slot]| side.iter().filter(|slot| slot.is_refused()).count();
        let (one, other) = (of(&self.first), of(&self.second));
        let legs = self.first.iter().chain(&self.second);
        let refused = legs.filter(|slot| slot.is_refused());
        let refused = refused.filter_map(|slot| Some(slot.known()?.tally.clone()));
        let pairs = one * self.second.len() + other * self.first.len() - one * other;
        (refused.collect(), pairs)
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
        loop {
            if watch.is_stopped() {
                if !judged.is_empty() {
                    return false;
                }
                // Of what is judged already, so that there is something to show.
                let mut open = std::mem::take(&mut self.open).into_vec();
                open.retain(|Reverse((_, one, other))| self.legs((*one, *other)).is_some());
                self.open = open.into();
            }
            let batch = self.most_promising(judge, whole);
            let Some(&(promise, one, other)) = batch.first() else {
                return !watch.is_stopped();
            };
            let best = [(&self.first, one), (&self.second, other)]
                .map(|(side, place)| side.get(place).map_or(ANYWHERE, |slot| slot.frequency));
            if stands(judged, keep, (promise, &best), judge.coarse()) {
                self.open.extend(batch.into_iter().map(Reverse));
                return true;
            }
            if self.ask(judge, &batch, watch) {
                self.open.extend(batch.into_iter().map(Reverse));
                continue;
            }
            watch.begin(Doing::Pairs, Some(self.count()));
            watch.did(self.judged);
            let found = batch.par_iter().filter_map(|&(_, one, other)| {
                let slots = (self.first.get(one)?, self.second.get(other)?);
                in_the_net(judge, whole, slots)
            });
            judged.par_extend(found);
            self.judged += batch.len();
            // What was in order stays so: merging is cheaper than sorting anew.
            judged.sort_by(|one, other| {
                order(one, judge.coarse()).cmp(&order(other, judge.coarse()))
            });
        }
    }

    /// The pairs that promise most, each with what it promises by now, as many as are judged at once.
    fn most_promising(&mut self, judge: &Judge<'_>, whole: &Whole) -> Vec<Open> {
        let mut batch = Vec::new();
        while batch.len() < BATCH
            && let Some(Reverse((promised, one, other))) = self.open.pop()
        {
            let Some((first, second)) = self.first.get(one).zip(self.second.get(other)) else {
                continue;
            };
            let promise = promise([first, second], Some((judge, whole)), judge.coarse());
            if promise > promised {
                self.open.push(Reverse((promise, one, other)));
            } else {
                batch.push((promised, one, other));
            }
        }
        batch
    }

    /// Judges the first few channels that some pairs lie on and that are not judged yet; whether there are any.
    fn ask(&mut self, judge: &Judge<'_>, batch: &[Open], watch: &Watch) -> bool {
        let mut is_any = false;
        for leg in [Legs::FIRST, Legs::SECOND] {
            let side = self.side(leg);
            let places = batch.iter();
            let places =
                places.map(|&(_, one, other)| if leg == Legs::FIRST { one } else { other });
            let is_open = |place: &usize| side.get(*place).is_some_and(|slot| slot.leg.is_none());
            let mut places: Vec<usize> = places.filter(is_open).collect();
            places.sort_unstable();
            places.dedup();
            places.truncate(TURN);
            if !places.is_empty() {
                is_any = true;
                watch.begin(Doing::Channels, Some(self.first.len() + self.second.len()));
                let slots = self.first.iter().chain(&self.second);
                watch.did(slots.filter(|slot| slot.leg.is_some()).count());
                self.judge(judge, leg, &places, watch);
            }
        }
        is_any
    }

    /// What the checks of the net say of a pair, where both legs are judged and neither is shared.
    pub(super) fn said(
        &self,
        (judge, whole): (&Judge<'_>, &Whole),
        [first, second]: [Frequency; 2],
    ) -> Option<Arc<Said>> {
        if judge.shares([first, second]) {
            return None;
        }
        let of = |side: &'_ [Slot], at: Frequency| side.iter().position(|one| one.frequency == at);
        let pair = (of(&self.first, first)?, of(&self.second, second)?);
        let (one, other) = self.legs(pair)?;
        Some(one.said(other, judge, whole))
    }

    /// Both legs of a pair, where they are judged.
    fn legs(&self, (one, other): (usize, usize)) -> Option<(&Leg, &Leg)> {
        let first = self.first.get(one)?.leg.as_ref()?;
        let second = self.second.get(other)?.leg.as_ref()?;
        Some((first, second))
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

/// The places of so many channels in turns, each with places from all over.
fn by_turns(channels: usize) -> Vec<Vec<usize>> {
    let turns = channels.div_ceil(TURN);
    let of = |turn: usize| (turn..channels).step_by(turns.max(1)).collect();
    (0..turns).map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};
    use crate::search::leg::tests::{NEEDS, slot, tally};

    #[test]
    fn where_a_glance_comes_first_the_rows_are_those_of_judging_every_leg() {
        let plan = plan(&format!(
            "{CROWDED}search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let channels = |first: i64, count: i64| -> Vec<Frequency> {
            let steps = 0..count;
            steps.map(|n| Frequency::hz(first + 12_500 * n)).collect()
        };
        // The plan is on 433.45, 145.225 and 144.8.
        let (first, second) = (channels(433_250_000, 40), channels(144_800_000, 36));
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let whole = Whole::of(&judge);
        let rows = |are_many: bool| {
            let watch = Watch::default();
            let mut pairs = Pairs::begun(&judge, [&first, &second], are_many, &watch);
            let mut judged = Vec::new();
            assert!(pairs.settle((&judge, &whole), 30, &mut judged, &watch));
            judged.truncate(30);
            // Of what conflicts not everything is counted.
            let told = |one: Candidate| {
                let Tally {
                    worst_margin,
                    limited_by,
                    ..
                } = &one.tally;
                let told = (one.tally.verdict(), *worst_margin, limited_by.clone());
                (one.legs, told)
            };
            (
                judged.into_iter().map(told).collect::<Vec<_>>(),
                pairs.known(),
            )
        };
        let [(plain, all), (glanced, some)] = [false, true].map(rows);
        assert_eq!(plain, glanced);
        assert!(some < all, "{some} of {all}");
    }

    #[test]
    fn rows_stand_once_the_last_of_them_is_better_than_the_best_that_is_left() {
        let coarse = Decibels::db(6.0);
        let legs = |hertz: i64| vec![Frequency::hz(hertz), Frequency::hz(1)];
        let judged = [20.0, 10.0].map(|worst| Candidate::of(legs(5), tally(0, 0, worst), 0));
        let stands = |keep: usize, worst: f64, hertz: i64| {
            let best = Promise::of(&tally(0, 0, worst), 0, coarse);
            stands(&judged, keep, (best, &legs(hertz)), coarse)
        };
        assert!(stands(0, 50.0, 5));
        assert!(stands(1, 10.0, 5) && !stands(1, 30.0, 5));
        // Within a step of the reserve the frequencies decide: 10 dB and 7 dB are alike.
        assert!(stands(2, 7.0, 6) && !stands(2, 7.0, 4) && !stands(2, 7.0, 5));
        assert!(stands(2, 5.0, 4));
        // There are no three yet.
        assert!(!stands(3, -50.0, 6));
    }

    #[test]
    fn turns_come_by_every_channel_once_and_each_has_some_from_all_over() {
        for channels in [0, 1, 16, 17, 20, 100] {
            let turns = by_turns(channels);
            assert_eq!(turns.len(), channels.div_ceil(TURN));
            assert!(turns.iter().all(|turn| turn.len() <= TURN));
            let wide = turns
                .iter()
                .all(|turn| turn.last().unwrap() - turn[0] + turns.len() > channels - turns.len());
            assert!(wide, "{turns:?}");
            let mut all = turns.concat();
            all.sort_unstable();
            assert_eq!(all, (0..channels).collect::<Vec<_>>());
        }
    }

    /// Of 40 channels every third is judged beforehand, 14; of the side with 20 all.
    #[test]
    fn the_side_with_fewer_channels_is_judged_and_some_of_the_other_and_the_watch_says_so() {
        let plan = plan(&format!(
            "{CROWDED}search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let channels = |first: i64, count: i64| -> Vec<Frequency> {
            let steps = 0..count;
            steps
                .map(|step| Frequency::hz(first + 12_500 * step))
                .collect()
        };
        let (fewer, more) = (channels(433_500_000, 20), channels(145_200_000, 40));
        for [first, second] in [[&fewer, &more], [&more, &fewer]] {
            let judge = Judge::new(&plan, &plan.searches[0], [first, second]);
            let watch = Watch::default();
            let mut pairs = Pairs::of(&judge, [first, second], &watch);
            let (come, judged) = (watch.come(), 20 + 14);
            assert_eq!(
                (come.doing, come.done, come.of),
                (Doing::Channels, judged, Some(60))
            );
            assert_eq!((pairs.count(), pairs.known()), (800, 20 * 14));
            // Two pairs, of one of which a leg is not judged.
            let open = |at: usize| {
                let place = if first.len() == 20 { (0, at) } else { (at, 0) };
                (
                    Promise::of(&Tally::default(), 0, Decibels::ZERO),
                    place.0,
                    place.1,
                )
            };
            assert!(!pairs.ask(&judge, &[open(0)], &watch));
            assert!(pairs.ask(&judge, &[open(0), open(1)], &watch));
            let come = watch.come();
            assert_eq!(
                (come.doing, come.done, come.of),
                (Doing::Channels, judged + 1, Some(60))
            );
            assert_eq!(pairs.known(), 20 * 15);
            pairs.judge_all(&judge, &watch);
            assert_eq!(pairs.known(), 800);
            let refused = |side: &[Slot]| side.iter().filter(|one| one.is_refused()).count();
            let safe =
                (first.len() - refused(&pairs.first)) * (second.len() - refused(&pairs.second));
            assert_eq!(pairs.refused().1, 800 - safe);
            assert!(pairs.refused().0.len() == refused(&pairs.first) + refused(&pairs.second));
            // Told to stop before it began, it judges one of each side.
            let watch = Watch::default();
            watch.stop();
            let mut pairs = Pairs::of(&judge, [first, second], &watch);
            assert_eq!(pairs.known(), 1);
            pairs.judge_all(&judge, &watch);
            assert_eq!(pairs.known(), 1);
        }
    }

    /// Where all that a leg can be paired with conflicts, what is milder than the least bad of these decides nothing.
    #[test]
    fn beyond_the_least_bad_of_all_that_conflict_nothing_of_the_other_side_matters() {
        let most = |second: Vec<Slot>| {
            let pairs = Pairs {
                first: Vec::new(),
                second,
                open: BinaryHeap::new(),
                judged: 0,
                depths: Default::default(),
            };
            assert_eq!(pairs.most_that_matters(Legs::SECOND), None);
            pairs.most_that_matters(Legs::FIRST).map(Decibels::as_db)
        };
        let of = |conflicts, worst| slot(tally(conflicts, 0, worst), Tally::default(), false);
        assert_eq!(
            most(vec![of(1, -30.0), of(2, -12.0), of(1, -50.0)]),
            Some(-12.0)
        );
        assert_eq!(most(vec![of(1, -30.0), of(0, 3.0)]), None);
        let unknown = Slot {
            leg: None,
            ..of(1, -9.0)
        };
        assert_eq!(most(vec![of(1, -30.0), unknown]), None);
        // What lies on a channel of the plan is judged as a whole.
        let shared = slot(tally(0, 0, 9.0), Tally::default(), true);
        assert_eq!(most(vec![of(1, -30.0), shared]), Some(-30.0));
    }

    /// Without more to go by than this the pairs come by their places; the last of them promise most.
    #[test]
    fn the_pairs_that_promise_most_by_now_are_judged_first_whatever_they_promised_before() {
        let plan = plan(CROWDED_PAIR);
        let judge = Judge::new(&plan, &plan.searches[0], [&[], &[]]);
        let whole = Whole::of(&judge);
        let count = 80;
        let known = |place: usize| {
            let worst = -597.0 + 6.0 * f64::from(u32::try_from(place).unwrap());
            slot(tally(1, 0, worst), Tally::default(), false)
        };
        let before = Promise::of(&Tally::default(), 2, Decibels::ZERO);
        let open = (0..count).map(|place| Reverse((before, place, 0)));
        let mut pairs = Pairs {
            first: (0..count).map(known).collect(),
            second: vec![slot(tally(0, 0, 9.0), Tally::default(), false)],
            open: open.collect::<Vec<_>>().into(),
            judged: 0,
            depths: Default::default(),
        };
        let found = pairs.most_promising(&judge, &whole);
        assert_eq!((found.len(), pairs.open.len()), (BATCH, count - BATCH));
        assert!(
            found
                .iter()
                .all(|one| one.1 >= count - BATCH && one.0 > before)
        );
        assert!(found.is_sorted_by_key(|one| one.0));
    }

    const CROWDED_PAIR: &str = "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Packet, site: hill, radio: mobile-2m, power: low, antenna: {offset: {east: 300 m, north: 0 m}}, talk: 145.3000}
search:
  - {name: pair, station: Relay, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}
";

    /// A hundred pairs are two turns; where the second begins, the first is done.
    #[test]
    fn the_watch_says_how_many_pairs_are_judged() {
        let plan = plan(CROWDED_PAIR);
        let channels = |first: i64| -> Vec<Frequency> {
            let steps = 0..10;
            steps.map(|n| Frequency::hz(first + 25_000 * n)).collect()
        };
        let (first, second) = (channels(433_250_000), channels(145_500_000));
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let whole = Whole::of(&judge);
        let watch = Watch::default();
        let mut pairs = Pairs::of(&judge, [&first, &second], &watch);
        let mut judged = Vec::new();
        assert!(pairs.settle((&judge, &whole), 100, &mut judged, &watch));
        assert_eq!(judged.len(), 100);
        let come = watch.come();
        assert_eq!(
            (come.doing, come.done, come.of),
            (Doing::Pairs, BATCH, Some(100))
        );
    }

    #[test]
    fn what_the_net_says_of_a_pair_is_what_it_says_of_it_by_itself_where_both_legs_are_judged_and_none_is_shared()
     {
        let plan = plan(NEEDS);
        let (first, second) = (
            [433_425_000, 433_450_000].map(Frequency::hz),
            [145_275_000, 145_400_000, 145_405_000].map(Frequency::hz),
        );
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let whole = Whole::of(&judge);
        let watch = Watch::default();
        let mut pairs = Pairs::of(&judge, [&first, &second], &watch);
        pairs.judge_all(&judge, &watch);
        let said = |pairs: &Pairs, legs| pairs.said((&judge, &whole), legs);
        let mut refused = Vec::new();
        for one in first {
            for other in second {
                let found = said(&pairs, [one, other]);
                if other == second[1] {
                    assert!(found.is_none());
                } else {
                    let expected = Whole::of_the_net(&judge, [one, other]);
                    assert_eq!(*found.unwrap(), expected);
                    refused.push(expected.tally.conflicts > 0);
                }
            }
        }
        assert_eq!(refused, [true, false, true, false]);
        assert!(said(&pairs, [first[0], Frequency::hz(145_500_000)]).is_none());
        pairs.second[0].leg = None;
        assert!(said(&pairs, [first[0], second[0]]).is_none());
        assert!(said(&pairs, [first[0], second[2]]).is_some());
    }

    /// Every other of 20 channels and every third of 40 are judged beforehand; among many a glance is taken at those of the 20 that
    /// are left.
    #[test]
    fn among_many_the_first_turn_is_judged_and_a_glance_is_taken_at_the_others() {
        let plan = plan(CROWDED_PAIR);
        let channels = |first: i64, count: i64| -> Vec<Frequency> {
            let steps = 0..count;
            steps.map(|n| Frequency::hz(first + 12_500 * n)).collect()
        };
        let (first, second) = (channels(433_500_000, 20), channels(145_400_000, 40));
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        for are_many in [false, true] {
            let pairs = Pairs::begun(&judge, [&first, &second], are_many, &Watch::default());
            for (place, slot) in pairs.first.iter().enumerate() {
                let is_judged = !are_many || place % 2 == 0;
                assert_eq!(
                    (slot.leg.is_some(), slot.glanced.is_some()),
                    (is_judged, !is_judged)
                );
            }
            for (place, slot) in pairs.second.iter().enumerate() {
                assert_eq!(
                    (slot.leg.is_some(), slot.glanced.is_some()),
                    (place % 3 == 0, false)
                );
            }
        }
    }
}
