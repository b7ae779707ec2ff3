//! What the checks of the plan as a whole say of a candidate, as `check` would, with what is alike worked out once.
//!
//! What they find only makes a candidate worse, as what rests on both legs does, so a best-first search stays exact. Those
//! that look at the net go by who hears whom and how surely that compares: the many pairs alike in this are asked about once,
//! and what is said counts in the promise of each that its legs leave safe. Those that add up what is met are dear, find no
//! conflict, and are asked of the rows that are shown.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

use super::judge::{ANYWHERE, Judge, proposal};
use super::tally::Tally;
use crate::assess::{findings_of_sums, findings_of_the_net};
use crate::checks::Situation;
use crate::emissions::Wanted;
use crate::encounter::Encounter;
use crate::finding::{Finding, Severity};
use crate::net::{HearerId, Network, SenderId, View};
use crate::quantity::{Decibels, Frequency, Offset};
use crate::scenario::{Legs, Proposal};
use crate::scene::{Scene, Trial};

/// What was found of the plan as a whole.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Said {
    pub(super) tally: Tally,
    /// The checks that found a caution or worse, in order.
    pub(super) checks: Vec<&'static str>,
}

impl Said {
    fn of(findings: &[Finding]) -> Self {
        let grave = |one: &&Finding| one.severity > Severity::Note;
        let mut checks: Vec<&'static str> =
            findings.iter().filter(grave).map(|one| one.check).collect();
        checks.sort_unstable();
        checks.dedup();
        Self {
            tally: Tally::of(findings),
            checks,
        }
    }
}

/// Who hears whom on one leg, and how surely.
pub(super) type Links = Vec<((SenderId, HearerId), Decibels)>;

/// What the checks of the net go by: who hears whom on which leg, and how the sureness of each compares with that of all
/// others. Candidates alike in this fare alike. Where it matters how near people come to antennas, the frequency
/// counts too.
type Class = (
    Vec<(usize, SenderId, HearerId, usize, usize)>,
    Vec<Frequency>,
);

/// Legs nearer to each other than this may be heard on each other's channel.
const NEAR: Offset = Offset::hz(1_000_000);

/// Encounters of single legs, by which leg and where.
type OfLegs = BTreeMap<(Legs, Frequency), Arc<[Encounter]>>;

/// So many encounters of single legs are kept at most.
const MOST_KEPT: usize = 500_000;

/// What was worked out of the plan as a whole.
pub(super) struct Whole {
    /// How surely those hear each other who have no part in any leg, in order, with the least that may be relied on.
    sure: Vec<Decibels>,
    /// What the checks of the net say, by what they go by.
    said: Mutex<BTreeMap<Class, Arc<Said>>>,
    /// What is met without anything under trial, by receiver.
    standing: OnceLock<BTreeMap<usize, Vec<Encounter>>>,
    /// What rests on a leg alone, by which leg and where.
    of_legs: Mutex<OfLegs>,
}

impl Whole {
    pub(super) fn of(judge: &Judge<'_>) -> Self {
        let heard = judge
            .usual
            .network
            .heard
            .iter()
            .map(|(_, heard)| heard.sure);
        let mut sure: Vec<Decibels> = heard.chain([Decibels::ZERO]).collect();
        sure.sort_unstable();
        sure.dedup();
        Self {
            sure,
            said: Mutex::default(),
            standing: OnceLock::new(),
            of_legs: Mutex::default(),
        }
    }

    /// Who hears whom on one leg by itself.
    pub(super) fn links(judge: &Judge<'_>, legs: [Frequency; 2], leg: Legs) -> Links {
        let proposal = proposal(judge.search, legs);
        let setting = judge.setting(legs);
        let scene = setting.common.scene(legs, leg);
        let network = Network::among(&setting.network, &scene, Some(Trial::whole(&proposal)));
        let heard = network.heard.own();
        heard.map(|(who, heard)| (who, heard.sure)).collect()
    }

    /// What the checks say that look at the net, its load and the people near it, of a candidate that shares no channel
    /// with the plan.
    pub(super) fn of_links(
        &self,
        judge: &Judge<'_>,
        legs: [Frequency; 2],
        links: [&Links; 2],
    ) -> Arc<Said> {
        let [first, second] = legs;
        if (first - second).abs() < NEAR {
            return Arc::new(Self::of_the_net(judge, legs));
        }
        let class = self.class(judge, legs, links);
        let known = self
            .said
            .lock()
            .ok()
            .and_then(|said| said.get(&class).cloned());
        if let Some(known) = known {
            return known;
        }
        let found = Arc::new(Self::of_the_net(judge, legs));
        if let Ok(mut said) = self.said.lock() {
            said.insert(class, Arc::clone(&found));
        }
        found
    }

    fn class(&self, judge: &Judge<'_>, legs: [Frequency; 2], links: [&Links; 2]) -> Class {
        let all = links
            .iter()
            .flat_map(|links| links.iter().map(|(_, sure)| *sure));
        let mut among: Vec<Decibels> = all.collect();
        among.sort_unstable();
        among.dedup();
        // Below, at, above one of them: an odd place is that of an equal.
        let place = |all: &[Decibels], sure: &Decibels| match all.binary_search(sure) {
            Ok(place) => 2 * place + 1,
            Err(place) => 2 * place,
        };
        let links = links.into_iter().enumerate().flat_map(|(leg, links)| {
            let links = links.iter();
            links.map(move |((from, by), sure)| (leg, *from, *by, sure))
        });
        let links = links.map(|(leg, from, by, sure)| {
            (leg, from, by, place(&self.sure, sure), place(&among, sure))
        });
        let counts_where = judge.plan.stations.iter().any(|one| one.public.is_some());
        let at = if counts_where {
            legs.to_vec()
        } else {
            Vec::new()
        };
        (links.collect(), at)
    }

    /// What the checks say that look at the net, its load and the people near it.
    pub(super) fn of_the_net(judge: &Judge<'_>, legs: [Frequency; 2]) -> Said {
        let proposal = proposal(judge.search, legs);
        let trial = Trial::whole(&proposal);
        let setting = judge.setting(legs);
        let scene = setting.common.scene(legs, trial.present);
        let situation = Situation::brief(&scene, Some(&proposal), trial.present);
        // Just made, so nobody can have filled it before.
        let view = View::among(&setting.network, &scene, Some(trial));
        let _ = situation.net.set(judge.having_run(view, legs));
        Said::of(&findings_of_the_net(&situation))
    }

    /// What the checks say that add up what is met.
    pub(super) fn of_sums(&self, judge: &Judge<'_>, legs: [Frequency; 2]) -> Said {
        let proposal = proposal(judge.search, legs);
        let trial = Trial::whole(&proposal);
        if judge.shares(legs) {
            return by_itself(judge, &proposal);
        }
        let scene = judge.usual.common.scene(legs, trial.present);
        let [first, second] = legs;
        let gathering = judge.usual.standing.gather(&scene);
        let of_all = || gathering.meet(Wanted::of(&scene, trial.present));
        let of_leg = |leg: (Legs, Frequency)| self.of_leg(judge, &scene, leg);
        let mut met = if trial.present == Legs::BOTH {
            let of_legs = || {
                rayon::join(
                    || of_leg((Legs::FIRST, first)),
                    || of_leg((Legs::SECOND, second)),
                )
            };
            let (mut met, (one, other)) = rayon::join(of_all, of_legs);
            met.extend(one.iter().chain(&*other).cloned());
            met
        } else {
            of_all()
        };
        let mut by: Vec<usize> = met.iter().map(|one| one.receiver).collect();
        by.sort_unstable();
        by.dedup();
        let standing = self.standing(judge);
        let beside = by.iter().filter_map(|receiver| standing.get(receiver));
        met.extend(beside.flatten().cloned());
        let situation = Situation {
            gathering: Some(&gathering),
            ..Situation::brief(&scene, Some(&proposal), trial.present)
        };
        // Just made, so nobody can have filled it before.
        let _ = situation.met_within.set(met);
        Said::of(&findings_of_sums(&situation))
    }

    /// What rests on a leg alone: it depends on its sources and its victim, so the other leg may lie anywhere.
    fn of_leg(
        &self,
        judge: &Judge<'_>,
        scene: &Scene<'_>,
        leg: (Legs, Frequency),
    ) -> Arc<[Encounter]> {
        let known = self
            .of_legs
            .lock()
            .ok()
            .and_then(|known| known.get(&leg).cloned());
        if let Some(known) = known {
            return known;
        }
        let gathering = judge.usual.standing.gather(scene);
        let met: Arc<[Encounter]> = gathering.meet(Wanted::of(scene, leg.0)).into();
        if let Ok(mut known) = self.of_legs.lock()
            && known.values().map(|met| met.len()).sum::<usize>() < MOST_KEPT
        {
            known.insert(leg, Arc::clone(&met));
        }
        met
    }

    /// What is met without anything under trial, by receiver.
    fn standing(&self, judge: &Judge<'_>) -> &BTreeMap<usize, Vec<Encounter>> {
        self.standing.get_or_init(|| {
            let scene = judge.usual.common.scene([ANYWHERE; 2], Legs::NONE);
            let mut met: BTreeMap<usize, Vec<Encounter>> = BTreeMap::new();
            let gathering = judge.usual.standing.gather(&scene);
            for one in gathering.meet(Wanted::of(&scene, Legs::NONE)) {
                met.entry(one.receiver).or_default().push(one);
            }
            met
        })
    }
}

/// What adds up in a receiver with a candidate in place that shares a channel with the plan: nothing that is known of others
/// holds for it.
fn by_itself(judge: &Judge<'_>, proposal: &Proposal) -> Said {
    let trial = Trial::whole(proposal);
    let scene = Scene::on(&judge.ground, judge.plan, Some(trial));
    let situation = Situation::brief(&scene, Some(proposal), trial.present);
    Said::of(&findings_of_sums(&situation))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};
    use crate::search::leg::tests::NEEDS;
    use itertools::Itertools;

    /// Below, at and above each of those that stand: candidates alike in this are asked about once, and no others.
    #[test]
    fn candidates_are_alike_where_what_they_hear_compares_alike_with_what_stands() {
        let plan = plan(&format!(
            "{CROWDED}search:
  - {{name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
"
        ));
        let legs = [433_550_000, 145_350_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&legs[..1], &legs[1..]]);
        let whole = Whole {
            sure: [-10.0, 0.0, 20.0].map(Decibels::db).to_vec(),
            said: Mutex::default(),
            standing: OnceLock::new(),
            of_legs: Mutex::default(),
        };
        let links = |sure: &[f64]| -> Links {
            let all = sure.iter().enumerate();
            all.map(|(by, &sure)| ((SenderId(7), HearerId(by)), Decibels::db(sure)))
                .collect()
        };
        let class = |first: &[f64], second: &[f64]| {
            whole.class(&judge, legs, [&links(first), &links(second)])
        };
        let told_apart = [-15.0, -10.0, -5.0, 0.0, 10.0, 20.0, 30.0];
        for (at, &one) in told_apart.iter().enumerate() {
            for (beside, &other) in told_apart.iter().enumerate() {
                assert_eq!(
                    class(&[one], &[]) == class(&[other], &[]),
                    at == beside,
                    "{one} {other}"
                );
            }
        }
        assert!(
            class(&[-5.0], &[]) == class(&[-1.0], &[])
                && class(&[25.0], &[]) == class(&[90.0], &[])
        );
        // Which leg, and which of two is heard the more surely.
        assert!(class(&[5.0], &[]) != class(&[], &[5.0]));
        assert!(class(&[5.0], &[7.0]) != class(&[7.0], &[5.0]));
        assert!(class(&[5.0], &[7.0]) == class(&[4.0], &[9.0]));
        assert!(class(&[5.0], &[5.0]) != class(&[5.0], &[7.0]));
        assert!(class(&[5.0], &[5.0]) == class(&[7.0], &[7.0]));
    }

    /// Who is heard on 145.4 MHz is heard 5 kHz beside it too, and nowhere else.
    #[test]
    fn what_the_net_says_is_asked_once_of_pairs_alike_and_of_legs_near_each_other_each_time() {
        let plan = plan(NEEDS);
        let mhz = |khz: i64| Frequency::hz(1_000 * khz);
        let (first, second) = ([433_425, 433_450].map(mhz), [145_275, 145_405].map(mhz));
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let whole = Whole::of(&judge);
        let asked = |whole: &Whole, legs: [Frequency; 2]| {
            let [one, other] = [(0, Legs::FIRST), (1, Legs::SECOND)].map(|(place, leg)| {
                let mut alone = [ANYWHERE; 2];
                alone[place] = legs[place];
                Whole::links(&judge, alone, leg)
            });
            let found = whole.of_links(&judge, legs, [&one, &other]);
            assert_eq!(*found, Whole::of_the_net(&judge, legs), "{legs:?}");
            (found.tally.conflicts > 0, whole.said.lock().unwrap().len())
        };
        assert_eq!(asked(&whole, [first[0], second[0]]), (true, 1));
        assert_eq!(asked(&whole, [first[1], second[0]]), (true, 1));
        assert_eq!(asked(&whole, [first[0], second[1]]), (false, 2));
        assert_eq!(asked(&whole, [first[1], second[1]]), (false, 2));
        for (apart, is_known) in [(25_000, 0), (999_999, 0), (1_000_001, 1)] {
            let whole = Whole::of(&judge);
            let legs = [second[0], second[0] + Offset::hz(apart)];
            assert_eq!(asked(&whole, legs).1, is_known, "{apart}");
        }
    }

    #[test]
    fn who_hears_whom_on_a_leg_is_who_is_heard_there_in_the_net_of_that_leg() {
        let plan = plan(NEEDS);
        let [first, near, far] = [433_425_000, 145_405_000, 145_275_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&[first], &[near, far]]);
        let links = |legs, leg| Whole::links(&judge, legs, leg);
        // The one who works through the relay hears it and is heard; the other is heard on his channel and hears.
        assert_eq!(links([first, ANYWHERE], Legs::FIRST).len(), 2);
        assert_eq!(links([ANYWHERE, near], Legs::SECOND).len(), 2);
        assert!(links([ANYWHERE, far], Legs::SECOND).is_empty());
    }

    #[test]
    fn what_stands_meets_the_same_whatever_is_under_trial_by_receiver() {
        let plan = plan(&format!("{CROWDED}{PAIR}"));
        let legs = [433_550_000, 145_350_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&legs[..1], &legs[1..]]);
        let whole = Whole::of(&judge);
        let scene = judge.usual.common.scene([ANYWHERE; 2], Legs::NONE);
        let mut all = crate::encounter::meet(&scene, Legs::NONE);
        let found = whole.standing(&judge);
        assert!(
            !found.is_empty()
                && found
                    .iter()
                    .all(|(by, met)| met.iter().all(|one| one.receiver == *by))
        );
        all.sort_by_key(|one| one.receiver);
        let said = |all: Vec<&Encounter>| all.into_iter().map(|one| format!("{one:?}")).sorted();
        assert!(said(found.values().flatten().collect()).eq(said(all.iter().collect())));
    }

    const PAIR: &str = "search:
  - {name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}
";

    /// Two neighbours some channels off, each stronger and stronger: at some power both together are too strong, and neither alone.
    #[test]
    fn what_adds_up_with_a_candidate_is_what_adds_up_with_it_by_itself() {
        let mut found = [0, 0];
        for power in 10..75 {
            let plan = plan(&format!(
                "
settings: {{order: 3}}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
stations:
  - {{name: Ear, site: hill, radio: dual-band-mobile}}
  - {{name: Packet, site: hill, radio: mobile-2m, antenna: {{offset: {{east: 300 m, north: 0 m}}}}, talk: 144.8000}}
in_use:
  - {{name: North, output: 145.7000, eirp: {power} dBm, distance: 1 km, ground: 100 m}}
  - {{name: South, output: 145.7750, eirp: {power} dBm, distance: 1 km, ground: 100 m}}
search:
  - {{name: pair, station: Ear, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}}
  - {{name: one, station: Ear, watch: 144.7-146.0, step: 12.5 kHz}}
"
            ));
            let [first, second] = [433_425_000, 145_450_000].map(Frequency::hz);
            let asked = [([first, second], 0), ([second, ANYWHERE], 1)];
            for ((legs, which), found) in asked.into_iter().zip(&mut found) {
                let search = &plan.searches[which];
                let [one, other] = [&legs[..1], &legs[1..2 - which]];
                let judge = Judge::new(&plan, search, [one, other]);
                let said = Whole::of(&judge).of_sums(&judge, legs);
                assert_eq!(
                    said,
                    by_itself(&judge, &proposal(search, legs)),
                    "{power} {which}"
                );
                *found += said.checks.len();
            }
        }
        assert!(found[0] > 0, "{found:?}");
    }
}
