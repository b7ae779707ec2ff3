//! Pairs of legs, the most promising first, until the rows stand.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::judge::{ANYWHERE, Depths, Judge, alone};
use super::promise::{Candidate, Promise, order};
use super::tally::Tally;
use super::watch::{Doing, Watch};
use super::whole::{Links, Said, Whole};
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

/// A channel that a leg may lie on.
struct Slot {
    frequency: Frequency,
    preference: i32,
    /// Its place among the channels of its side that the plan is on already.
    shared: Option<usize>,
    /// What a glance shows of the leg, where one was taken.
    glanced: Option<Leg>,
    /// The leg, once it is judged.
    leg: Option<Leg>,
}

impl Slot {
    fn all(judge: &Judge<'_>, leg: Legs, channels: &[Frequency]) -> Vec<Self> {
        let shared = judge.shared_of(leg);
        let slot = |&frequency: &Frequency| Self {
            frequency,
            preference: judge.preference(&[frequency]),
            shared: shared.iter().position(|&channel| channel == frequency),
            glanced: None,
            leg: None,
        };
        channels.iter().map(slot).collect()
    }

    /// What is known of the leg: it may be worse where it is not judged.
    fn known(&self) -> Option<&Leg> {
        self.leg.as_ref().or(self.glanced.as_ref())
    }

    /// What is known of it beside another: by itself, or what of that holds where the plan is on the other's channel.
    fn beside(&self, other: &Self) -> Option<&Tally> {
        let leg = self.known()?;
        match other.shared {
            None => Some(&leg.tally),
            // Who repeats to the channel he hears is never keyed.
            Some(_) if other.frequency == self.frequency => None,
            Some(place) => leg.firm.get(place),
        }
    }

    fn is_refused(&self) -> bool {
        self.known().is_some_and(|leg| leg.tally.conflicts > 0)
    }
}

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
                Reverse((Self::promise([first, second], None, coarse), one, other))
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
            let promise = Self::promise([first, second], Some((judge, whole)), judge.coarse());
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

    /// The best a pair could be, by what is known of its legs and, where that is asked too, of the net.
    fn promise(
        [first, second]: [&Slot; 2],
        net: Option<(&Judge<'_>, &Whole)>,
        coarse: Decibels,
    ) -> Promise {
        let is_shared = first.shared.or(second.shared).is_some();
        let mut tally = Tally::default();
        let known = [first.beside(second), second.beside(first)];
        for of_the_leg in known.into_iter().flatten() {
            tally.conflicts += of_the_leg.conflicts;
            tally.cautions += of_the_leg.cautions;
            let margins = [tally.worst_margin, of_the_leg.worst_margin];
            tally.worst_margin = margins.into_iter().flatten().min();
        }
        // What the net says moves nothing that is refused already.
        if tally.conflicts == 0
            && !is_shared
            && let Some((judge, whole)) = net
            && let Some((one, other)) = first.leg.as_ref().zip(second.leg.as_ref())
        {
            let net = &one.said(other, judge, whole).tally;
            tally.conflicts += net.conflicts;
            tally.cautions += net.cautions;
            tally.worst_margin = tally.worst_margin.into_iter().chain(net.worst_margin).min();
        }
        Promise::of(&tally, first.preference + second.preference, coarse)
    }
}

/// Those of some places of a side that are not judged yet, with their channels.
fn unjudged(side: &[Slot], places: &[usize]) -> (Vec<usize>, Vec<Frequency>) {
    let slots = places.iter();
    let slots = slots.filter_map(|&place| Some((place, side.get(place)?)));
    let unjudged = slots.filter(|(_, slot)| slot.leg.is_none());
    unjudged
        .map(|(place, slot)| (place, slot.frequency))
        .unzip()
}

/// What was found of the channels at some places, in order, though not of all, each with its slot.
fn at<'s>(
    side: &'s mut [Slot],
    places: &[usize],
    found: Vec<Leg>,
) -> impl Iterator<Item = (&'s mut Slot, Leg)> {
    let mut found = found.into_iter().peekable();
    let slots = side.iter_mut().enumerate();
    let slots = slots.filter(|(place, _)| places.contains(place));
    slots.filter_map(move |(_, slot)| {
        let leg = found.next_if(|leg| leg.frequency == slot.frequency)?;
        Some((slot, leg))
    })
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
    /// What of it holds beside each channel of the plan that the other leg may lie on.
    firm: Vec<Tally>,
    preference: i32,
    /// Who hears whom on it, once that was asked for.
    links: OnceLock<Links>,
}

/// The places of so many channels in turns, each with places from all over.
fn by_turns(channels: usize) -> Vec<Vec<usize>> {
    let turns = channels.div_ceil(TURN);
    let of = |turn: usize| (turn..channels).step_by(turns.max(1)).collect();
    (0..turns).map(of).collect()
}

/// Judges some channels of a leg, or without depths takes a glance at them; when it is told to stop, those that are begun, and
/// always one.
pub(super) fn legs(
    judge: &Judge<'_>,
    channels: &[Frequency],
    (leg, depths): (Legs, Option<&Depths>),
    watch: &Watch,
) -> Vec<Leg> {
    channels
        .par_iter()
        .enumerate()
        .filter(|(place, _)| *place == 0 || !watch.is_stopped())
        .map(|(_, &frequency)| {
            let (legs, present, focuses) = alone(frequency, leg);
            let (tally, firm) = judge.tally_of_leg((legs, present, focuses), depths);
            let leg = Leg {
                frequency,
                tally,
                firm,
                preference: judge.preference(&[frequency]),
                links: OnceLock::new(),
            };
            watch.did(1);
            leg
        })
        .collect()
}

impl Leg {
    /// What the checks of the net say of a pair of these legs, neither of them shared.
    fn said(&self, other: &Self, judge: &Judge<'_>, whole: &Whole) -> Arc<Said> {
        let legs = [self.frequency, other.frequency];
        let links = [(self, Legs::FIRST), (other, Legs::SECOND)].map(|(one, leg)| {
            let (legs, ..) = alone(one.frequency, leg);
            one.links.get_or_init(|| Whole::links(judge, legs, leg))
        });
        whole.of_links(judge, legs, links)
    }
}

/// A pair judged whole, with what the checks of the net say: where a channel is shared that is dear and left for later, and
/// where it is refused anyway it would move nothing. None where a leg is not judged that has to be.
fn in_the_net(
    judge: &Judge<'_>,
    plan: &Whole,
    (first, second): (&Slot, &Slot),
) -> Option<Candidate> {
    if first.shared.or(second.shared).is_some() {
        let legs = [first.frequency, second.frequency];
        let tally = beside_the_plan(judge, [first, second]);
        let preference = first.preference + second.preference;
        return Some(Candidate::of(legs.to_vec(), tally, preference));
    }
    let (first, second) = (first.leg.as_ref()?, second.leg.as_ref()?);
    let mut pair = whole(judge, first, second);
    if pair.tally.conflicts == 0 {
        pair.hear_of_the_net(&first.said(second, judge, plan));
    }
    Some(pair)
}

/// What is found of a pair with a leg on a channel of the plan. Where that conflicts by itself, what is milder is left out.
fn beside_the_plan(judge: &Judge<'_>, [first, second]: [&Slot; 2]) -> Tally {
    let legs = [first.frequency, second.frequency];
    let (shared, rest) = match (first.shared, second.shared) {
        (Some(_), None) => (first, [Legs::SECOND, Legs::BOTH]),
        (None, Some(_)) => (second, [Legs::FIRST, Legs::BOTH]),
        _ => return as_a_whole(judge, legs),
    };
    match &shared.leg {
        Some(leg) if leg.tally.conflicts > 0 => {
            let within = judge.within_which_more_matters(&leg.tally);
            leg.tally
                .and(&judge.tally_down_to(within, (legs, Legs::BOTH, &rest)))
        }
        _ => as_a_whole(judge, legs),
    }
}

/// What is found of a pair of which nothing is known yet.
fn as_a_whole(judge: &Judge<'_>, legs: [Frequency; 2]) -> Tally {
    let all = &[Legs::FIRST, Legs::SECOND, Legs::BOTH];
    judge.tally((legs, Legs::BOTH, all), &Depths::default())
}

/// A pair judged whole. Where a leg conflicts by itself, what is milder than that is left out.
pub(super) fn whole(judge: &Judge<'_>, first: &Leg, second: &Leg) -> Candidate {
    let legs = [first.frequency, second.frequency];
    let tally = if judge.shares(legs) {
        as_a_whole(judge, legs)
    } else {
        let alone = first.tally.and(&second.tally);
        let within = judge.within_which_more_matters(&alone);
        alone.and(&judge.tally_within(within, legs, Legs::BOTH, &[Legs::BOTH]))
    };
    Candidate::of(legs.to_vec(), tally, first.preference + second.preference)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};
    use itertools::Itertools;

    /// What a pair with one leg on a channel of the plan promises rests on this.
    #[test]
    fn a_leg_on_a_channel_of_the_plan_is_no_better_with_another_than_by_itself() {
        let plan = plan(&format!(
            "{CROWDED}  - {{name: Club, frequency: 433.5500, erp: 25 W, at: [54.4160, -0.5320]}}
search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let search = &plan.searches[0];
        let mhz = |text: &str| text.parse::<Frequency>().unwrap();
        let of_the_plan = [mhz("433.4500"), mhz("145.2250"), mhz("144.8000")];
        let others = [
            mhz("433.5500"),
            mhz("145.6750"),
            mhz("433.1250"),
            mhz("145.9250"),
        ];
        let all: Vec<Frequency> = of_the_plan.into_iter().chain(others).collect();
        let judge = Judge::new(&plan, search, [&all, &all]);
        let depths = Depths::default();
        let mut firm_ones = 0;
        for (shared, other) in of_the_plan.into_iter().cartesian_product(others) {
            assert!(judge.is_shared(shared) && !judge.is_shared(other));
            for (leg, legs) in [
                (Legs::FIRST, [shared, other]),
                (Legs::SECOND, [other, shared]),
            ] {
                let beside = judge.tally((legs, Legs::BOTH, &[leg]), &depths);
                let by_itself = judge.tally(alone(shared, leg), &depths);
                assert_eq!(
                    beside.worst_margin, by_itself.worst_margin,
                    "{shared} beside {other}"
                );
                assert!(beside.conflicts >= by_itself.conflicts);
                assert!(beside.cautions >= by_itself.cautions);
                assert!(by_itself.worst_margin.is_some());
                let rest = if leg == Legs::FIRST {
                    Legs::SECOND
                } else {
                    Legs::FIRST
                };
                let beside = judge.tally((legs, Legs::BOTH, &[rest]), &depths);
                firm_ones += promised(&judge, (other, rest), (shared, leg), &beside);
            }
        }
        // Where both legs are on such channels, what each is by itself is promised only as far as it is firm.
        for [one, other] in of_the_plan
            .into_iter()
            .permutations(2)
            .map(|legs| [legs[0], legs[1]])
        {
            let legs = [one, other];
            for (leg, rest) in [(0, 1), (1, 0)] {
                let [leg, rest] = [leg, rest].map(|place| (legs[place], Legs::of(place)));
                let beside = judge.tally((legs, Legs::BOTH, &[leg.1]), &depths);
                firm_ones += promised(&judge, leg, rest, &beside);
            }
        }
        assert!(firm_ones > 20, "{firm_ones}");
        // On one channel with both legs it is never keyed, and nothing is promised.
        let slots = Slot::all(&judge, Legs::FIRST, &of_the_plan);
        let [mut one, other, _] = <[Slot; 3]>::try_from(slots).ok().unwrap();
        let watch = Watch::default();
        one.leg = legs(
            &judge,
            &of_the_plan[..1],
            (Legs::FIRST, Some(&depths)),
            &watch,
        )
        .pop();
        assert!(one.beside(&one).is_none() && one.beside(&other).is_some());
    }

    /// Holds what is promised of a leg beside a channel of the plan, judged or at a glance, against what it is there; how many
    /// promised anything.
    fn promised(
        judge: &Judge<'_>,
        (channel, leg): (Frequency, Legs),
        (shared, other): (Frequency, Legs),
        beside: &Tally,
    ) -> usize {
        let among = judge.shared_of(other).iter();
        let place = among.copied().position(|one| one == shared).unwrap();
        let depths = Depths::default();
        let known = [Some(&depths), None].map(|depths| {
            let (_, firm) = judge.tally_of_leg(alone(channel, leg), depths);
            assert_eq!(firm.len(), judge.shared_of(other).len());
            firm[place].clone()
        });
        let promises = known.iter().filter(|firm| {
            let told = format!("{channel} beside {shared}: {firm:?} {beside:?}");
            assert!(beside.conflicts > 0 || firm.conflicts == 0, "{told}");
            let worst = firm.worst_margin;
            assert!(worst.is_none_or(|worst| beside.worst_margin.is_some_and(|it| it <= worst)));
            worst.is_some()
        });
        promises.count()
    }

    #[test]
    fn a_glance_at_a_leg_finds_it_no_worse_than_it_is() {
        let plan = plan(&format!(
            "{CROWDED}search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let first: Vec<Frequency> = (0..80)
            .map(|n| Frequency::hz(433_000_000 + n * 12_500))
            .collect();
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &[]]);
        let found = first.iter().map(|&channel| {
            let [(glance, _), (whole, _)] = [None, Some(&Depths::default())]
                .map(|depths| judge.tally_of_leg(alone(channel, Legs::FIRST), depths));
            assert!(whole.conflicts > 0 || glance.conflicts == 0, "{channel}");
            let worst = glance.worst_margin;
            assert!(worst.is_none_or(|worst| whole.worst_margin.unwrap() <= worst));
            (worst.is_some(), worst == whole.worst_margin)
        });
        let (all, same): (Vec<bool>, Vec<bool>) = found.unzip();
        // Some are far too strong at a glance, and some of these are worse than that.
        assert!(all.contains(&true) && all.contains(&false));
        assert!(same.contains(&true) && same.contains(&false));
    }

    /// The third harmonic of our own packet station falls on a leg. Where the other leg is on its channel the box sends on this
    /// one whenever it is heard, and so does not listen here.
    #[test]
    fn what_a_station_of_ours_does_to_a_leg_is_not_promised_beside_its_channel() {
        let plan = plan(
            "
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Packet, site: hill, radio: mobile-2m, antenna: {offset: {east: 10 m, north: 0 m}}, talk: 144.8000}
search:
  - {name: pair, station: Relay, cross_band: [434.0-435.0, 144.7-146.0], step: 12.5 kHz}
",
        );
        let [harmonic, packet] = [434_400_000, 144_800_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&[harmonic], &[packet]]);
        let depths = Depths::default();
        let (by_itself, firm) = judge.tally_of_leg(alone(harmonic, Legs::FIRST), Some(&depths));
        let [firm] = firm.try_into().unwrap();
        let legs = [harmonic, packet];
        let beside = judge.tally((legs, Legs::BOTH, &[Legs::FIRST]), &depths);
        assert!(by_itself.conflicts > 0 && by_itself.refused_by.contains_key("harmonic"));
        assert!(!beside.refused_by.contains_key("harmonic"), "{beside:?}");
        assert!(!firm.refused_by.contains_key("harmonic"), "{firm:?}");
        assert!(firm.worst_margin >= beside.worst_margin || firm.worst_margin.is_none());
        assert!(firm.conflicts <= beside.conflicts);
    }

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

    fn tally(conflicts: usize, cautions: usize, worst: f64) -> Tally {
        Tally {
            conflicts,
            cautions,
            worst_margin: Some(Decibels::db(worst)),
            ..Tally::default()
        }
    }

    /// A channel that is judged, with what holds of it beside the second of two channels of the plan, which it may be itself.
    fn slot(tally: Tally, firm: Tally, is_shared: bool) -> Slot {
        let frequency = Frequency::hz(433_000_000);
        Slot {
            frequency,
            preference: 1,
            shared: is_shared.then_some(1),
            glanced: None,
            leg: Some(Leg {
                frequency,
                tally,
                firm: vec![Tally::default(), firm],
                preference: 1,
                links: OnceLock::new(),
            }),
        }
    }

    #[test]
    fn a_pair_promises_what_its_legs_come_to_together_as_far_as_they_are_known() {
        let coarse = Decibels::db(6.0);
        let of = |first: Slot, second: Slot| {
            let second = Slot {
                frequency: Frequency::hz(145_000_000),
                ..second
            };
            Pairs::promise([&first, &second], None, coarse)
        };
        let promise = |tally: &Tally, preference: i32| Promise::of(tally, preference, coarse);
        let safe = |cautions, worst| slot(tally(0, cautions, worst), tally(0, 0, worst), false);
        let unknown = || Slot {
            leg: None,
            ..slot(tally(0, 0, 0.0), tally(0, 0, 0.0), false)
        };
        assert_eq!(
            of(safe(2, 9.0), safe(3, 20.0)),
            promise(&tally(0, 5, 9.0), 2)
        );
        let refused = slot(tally(1, 0, -5.0), tally(1, 0, -5.0), false);
        assert_eq!(of(safe(2, 9.0), refused), promise(&tally(1, 2, -5.0), 2));
        assert_eq!(of(safe(2, 9.0), unknown()), promise(&tally(0, 2, 9.0), 2));
        assert_eq!(of(unknown(), unknown()), promise(&Tally::default(), 2));
        // What a glance shows serves until it is judged.
        let glanced = Slot {
            glanced: slot(tally(1, 0, -70.0), Tally::default(), false).leg,
            ..unknown()
        };
        assert_eq!(of(safe(2, 9.0), glanced), promise(&tally(1, 2, -70.0), 2));
        let judged = Slot {
            glanced: slot(tally(1, 0, -70.0), Tally::default(), false).leg,
            ..safe(1, 8.0)
        };
        assert_eq!(of(safe(2, 9.0), judged), promise(&tally(0, 3, 8.0), 2));
        // Beside a leg on a channel of the plan only what is firm of the other.
        let shared = |worst| slot(tally(0, 1, worst), tally(0, 0, worst + 40.0), true);
        let firm = slot(tally(1, 4, -30.0), tally(0, 0, 3.0), false);
        assert_eq!(of(shared(9.0), firm), promise(&tally(0, 1, 3.0), 2));
        assert_eq!(
            of(shared(-29.0), shared(9.0)),
            promise(&tally(0, 0, 11.0), 2)
        );
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
}
