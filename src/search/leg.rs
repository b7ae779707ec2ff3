//! A leg by itself, and what two of them come to.

use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::judge::{Depths, Judge, alone};
use super::promise::{Candidate, Promise};
use super::tally::Tally;
use super::watch::Watch;
use super::whole::{Links, Said, Whole};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::Legs;

/// A channel that a leg may lie on.
pub(super) struct Slot {
    pub(super) frequency: Frequency,
    pub(super) preference: i32,
    /// Its place among the channels of its side that the plan is on already.
    pub(super) shared: Option<usize>,
    /// What a glance shows of the leg, where one was taken.
    pub(super) glanced: Option<Leg>,
    /// The leg, once it is judged.
    pub(super) leg: Option<Leg>,
}

impl Slot {
    pub(super) fn all(judge: &Judge<'_>, leg: Legs, channels: &[Frequency]) -> Vec<Self> {
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
    pub(super) fn known(&self) -> Option<&Leg> {
        self.leg.as_ref().or(self.glanced.as_ref())
    }

    /// What is known of it beside another: by itself, or what of that holds where the plan is on the other's channel.
    pub(super) fn beside(&self, other: &Self) -> Option<&Tally> {
        let leg = self.known()?;
        match other.shared {
            None => Some(&leg.tally),
            // Who repeats to the channel he hears is never keyed.
            Some(_) if other.frequency == self.frequency => None,
            Some(place) => leg.firm.get(place),
        }
    }

    pub(super) fn is_refused(&self) -> bool {
        self.known().is_some_and(|leg| leg.tally.conflicts > 0)
    }
}

/// One leg by itself.
pub(super) struct Leg {
    pub(super) frequency: Frequency,
    pub(super) tally: Tally,
    /// What of it holds beside each channel of the plan that the other leg may lie on.
    pub(super) firm: Vec<Tally>,
    pub(super) preference: i32,
    /// Who hears whom on it, once that was asked for.
    pub(super) links: OnceLock<Links>,
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
    pub(super) fn said(&self, other: &Self, judge: &Judge<'_>, whole: &Whole) -> Arc<Said> {
        let legs = [self.frequency, other.frequency];
        let links = [(self, Legs::FIRST), (other, Legs::SECOND)].map(|(one, leg)| {
            let (legs, ..) = alone(one.frequency, leg);
            one.links.get_or_init(|| Whole::links(judge, legs, leg))
        });
        whole.of_links(judge, legs, links)
    }
}

/// Those of some places of a side that are not judged yet, with their channels.
pub(super) fn unjudged(side: &[Slot], places: &[usize]) -> (Vec<usize>, Vec<Frequency>) {
    let slots = places.iter();
    let slots = slots.filter_map(|&place| Some((place, side.get(place)?)));
    let unjudged = slots.filter(|(_, slot)| slot.leg.is_none());
    unjudged
        .map(|(place, slot)| (place, slot.frequency))
        .unzip()
}

/// What was found of the channels at some places, in order, though not of all, each with its slot.
pub(super) fn at<'s>(
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

/// The best a pair could be, by what is known of its legs and, where that is asked too, of the net.
pub(super) fn promise(
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

/// A pair judged whole, with what the checks of the net say: where a channel is shared that is dear and left for later, and
/// where it is refused anyway it would move nothing. None where a leg is not judged that has to be.
pub(super) fn in_the_net(
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
pub(super) mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};
    use itertools::Itertools;

    pub(in crate::search) fn tally(conflicts: usize, cautions: usize, worst: f64) -> Tally {
        Tally {
            conflicts,
            cautions,
            worst_margin: Some(Decibels::db(worst)),
            ..Tally::default()
        }
    }

    /// A channel that is judged, with what holds of it beside the second of two channels of the plan, which it may be itself.
    pub(in crate::search) fn slot(tally: Tally, firm: Tally, is_shared: bool) -> Slot {
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
            // What else the two legs bring may change these.
            assert_eq!(firm.cautions, 0, "{told}");
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
    fn a_pair_promises_what_its_legs_come_to_together_as_far_as_they_are_known() {
        let coarse = Decibels::db(6.0);
        let of = |first: Slot, second: Slot| {
            let second = Slot {
                frequency: Frequency::hz(145_000_000),
                ..second
            };
            promise([&first, &second], None, coarse)
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

    /// One who works through the hill needs another who is heard on 145.4 MHz alone.
    pub(in crate::search) const NEEDS: &str = "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  near: {at: [54.4250, -0.5400], ground: 60 m}
  far: {at: [54.4050, -0.5400], ground: 60 m}
stations:
  - {name: Hill, site: hill, radio: dual-band-mobile, power: low, control: attended}
  - {name: Course, site: near, radio: handheld, via: Hill, leg: 70cm, needs: [medical]}
  - {name: Doctor, site: far, radio: dual-band-mobile, role: medical, talk: {transmit: 145.4000, receive: 145.4000}}
search:
  - {name: pair, station: Hill, cross_band: [433.0-434.0, 144.7-146.0], step: 5 kHz}
";

    /// A channel of one of the two legs, with what somebody says was found of it.
    fn told(judge: &Judge<'_>, leg: Legs, khz: i64, tally: &Tally) -> Slot {
        let frequency = Frequency::hz(1_000 * khz);
        let [slot] = <[Slot; 1]>::try_from(Slot::all(judge, leg, &[frequency]))
            .ok()
            .unwrap();
        let preference = if leg == Legs::FIRST { 2 } else { 3 };
        let leg = Leg {
            frequency,
            tally: tally.clone(),
            firm: Vec::new(),
            preference,
            links: OnceLock::new(),
        };
        Slot {
            preference,
            leg: Some(leg),
            ..slot
        }
    }

    /// Of a leg that is refused beyond all measure nothing more is found than that; what is said of one that is safe is not
    /// taken for what it is beside another.
    #[test]
    fn a_pair_on_a_channel_of_the_plan_is_judged_whole_unless_that_leg_is_refused_by_itself() {
        let plan = plan(&format!(
            "{CROWDED}search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let (first, second) = (
            [433_450_000, 433_550_000].map(Frequency::hz),
            [145_225_000, 145_350_000].map(Frequency::hz),
        );
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let refused = tally(1, 7, -200.0);
        let safe = tally(0, 7, 90.0);
        for (one, other) in [(433_450, 145_350), (433_550, 145_225), (433_450, 145_225)] {
            let [shared, beside] = [
                (Legs::FIRST, one, one == 433_450),
                (Legs::SECOND, other, other == 145_225),
            ]
            .map(|(leg, khz, is_shared)| {
                let slot = told(&judge, leg, khz, &safe);
                assert_eq!(slot.shared.is_some(), is_shared);
                (leg, khz, is_shared)
            });
            let legs = [one, other].map(|khz| Frequency::hz(1_000 * khz));
            let whole = as_a_whole(&judge, legs);
            assert!(
                whole
                    .worst_margin
                    .is_some_and(|worst| worst > Decibels::db(-200.0))
            );
            let found = |first: &Tally, second: &Tally| {
                let first = told(&judge, shared.0, shared.1, first);
                let second = told(&judge, beside.0, beside.1, second);
                beside_the_plan(&judge, [&first, &second])
            };
            assert_eq!(found(&safe, &safe), whole);
            // What the law says of the rest is asked all the same, and nothing that is heard is as bad as this.
            let is_taken = |found: Tally| {
                let worst = found.worst_margin;
                assert!(found == whole || worst == refused.worst_margin);
                assert!(found == whole || (found.conflicts >= 1 && found.cautions >= 7));
                found != whole
            };
            let is_both = shared.2 && beside.2;
            assert_eq!(is_taken(found(&refused, &safe)), shared.2 && !is_both);
            assert_eq!(is_taken(found(&safe, &refused)), beside.2 && !is_both);
        }
    }

    /// Where nothing is shared what is known of the legs counts, and what rests on both with it.
    #[test]
    fn a_pair_is_what_its_legs_are_and_what_rests_on_both_and_asks_the_net_where_it_is_safe() {
        let plan = plan(NEEDS);
        let (first, second) = (
            [433_425_000].map(Frequency::hz),
            [145_275_000, 145_400_000, 145_405_000].map(Frequency::hz),
        );
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let net = Whole::of(&judge);
        let pair = |other: i64, of_first: &Tally, of_second: &Tally| {
            let first = told(&judge, Legs::FIRST, 433_425, of_first);
            let second = told(&judge, Legs::SECOND, other, of_second);
            let legs = [first.leg.as_ref().unwrap(), second.leg.as_ref().unwrap()];
            let whole = whole(&judge, legs[0], legs[1]);
            (whole, in_the_net(&judge, &net, (&first, &second)).unwrap())
        };
        let (one, other) = (tally(0, 2, 70.0), tally(0, 3, 60.0));
        for khz in [145_275, 145_405] {
            // The band plan has its say on what joins the two.
            let (both, _) = pair(khz, &Tally::default(), &Tally::default());
            assert_eq!((both.tally.conflicts, both.tally.cautions), (0, 2));
            let (whole, asked) = pair(khz, &one, &other);
            assert_eq!(whole.tally, one.and(&other).and(&both.tally));
            assert_eq!((whole.preference, whole.has_asked_the_net), (5, false));
            assert!(asked.has_asked_the_net && asked.preference == 5);
            let legs = [433_425, khz].map(|khz| Frequency::hz(1_000 * khz));
            let said = Whole::of_the_net(&judge, legs);
            assert_eq!(asked.tally, whole.tally.and(&said.tally));
            assert_eq!(asked.tally.conflicts > 0, khz == 145_275);
            // What is refused already is not asked.
            let (whole, asked) = pair(khz, &tally(1, 2, -90.0), &other);
            assert_eq!(whole.tally, tally(1, 5, -90.0).and(&both.tally));
            assert!(asked.tally == whole.tally && !asked.has_asked_the_net);
        }
        let (whole, asked) = pair(145_400, &one, &other);
        let legs = [433_425_000, 145_400_000].map(Frequency::hz);
        assert_eq!(whole.tally, as_a_whole(&judge, legs));
        assert!(!asked.has_asked_the_net && asked.preference == 5);
        // A leg that is not judged has to be, unless the pair is judged as a whole.
        for (khz, is_judged) in [(145_275, false), (145_400, true)] {
            let first = told(&judge, Legs::FIRST, 433_425, &one);
            let second = Slot {
                leg: None,
                ..told(&judge, Legs::SECOND, khz, &other)
            };
            let found = in_the_net(&judge, &net, (&first, &second));
            assert_eq!(found.is_some(), is_judged);
        }
    }

    /// The net refuses what leaves somebody unheard, and has a caution on how near people come to the other's antenna.
    #[test]
    fn a_pair_promises_no_more_than_the_net_leaves_of_what_its_legs_come_to() {
        let plan = plan(&NEEDS.replace("leg: 70cm", "leg: 70cm, public: 0.3 m"));
        let channels = [[433_425_000, 433_450_000], [145_275_000, 145_405_000]];
        let [first, second] = channels.map(|side| side.map(Frequency::hz));
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let whole = Whole::of(&judge);
        let coarse = judge.coarse();
        let of = |khz: i64, one: &Tally, other: &Tally| {
            let first = told(&judge, Legs::FIRST, 433_425, one);
            let second = told(&judge, Legs::SECOND, khz, other);
            promise([&first, &second], Some((&judge, &whole)), coarse)
        };
        let (one, other) = (tally(0, 2, 70.0), tally(0, 3, 60.0));
        for khz in [145_275, 145_405] {
            let said =
                Whole::of_the_net(&judge, [433_425, khz].map(|khz| Frequency::hz(1_000 * khz)));
            let count = (said.tally.conflicts, said.tally.cautions);
            assert_eq!(count, (usize::from(khz == 145_275), 1));
            let sum = one.and(&other).and(&said.tally);
            assert_eq!(of(khz, &one, &other), Promise::of(&sum, 5, coarse), "{khz}");
            // Nothing moves what is refused already.
            let refused = tally(1, 2, 70.0);
            assert_eq!(
                of(khz, &refused, &other),
                Promise::of(&refused.and(&other), 5, coarse)
            );
        }
    }

    /// Whatever the net would say: of a pair on a channel of the plan it is asked when that is judged.
    #[test]
    fn a_pair_on_a_channel_of_the_plan_promises_what_is_firm_and_asks_no_net() {
        let plan = plan(&NEEDS.replace("leg: 70cm", "leg: 70cm, public: 0.1 m"));
        let [first, second] = [433_425_000, 145_400_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&[first], &[second]]);
        assert!(Whole::of_the_net(&judge, [first, second]).tally.conflicts > 0);
        let whole = Whole::of(&judge);
        let coarse = judge.coarse();
        let (one, other) = (tally(0, 2, 70.0), tally(0, 3, 60.0));
        let first = told(&judge, Legs::FIRST, 433_425, &one);
        let second = told(&judge, Legs::SECOND, 145_400, &other);
        let found = promise([&first, &second], Some((&judge, &whole)), coarse);
        assert_eq!(found, Promise::of(&other, 5, coarse));
    }
}
