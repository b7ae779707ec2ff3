#![doc = include_str!("build_up.md")]

use std::collections::{BTreeMap, BTreeSet};

use super::interference::{Grade, grade, phases_of, term};
use super::{Check, Situation};
use crate::budget::Step;
use crate::emissions::Source;
use crate::encounter::Encounter;
use crate::finding::{Finding, Matter, Severity, Victim};
use crate::physics::build_up::{Part, drawn, together};
use crate::quantity::Decibels;
use crate::scenario::Legs;
use crate::scene::{Receiver, Scene};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "build-up",
        title: "Several together hurt where none does alone",
        text: include_str!("build_up.md"),
    },
    run,
};

/// Why it is no conflict.
const SELDOM: &str = "it hurts only while all of them are on the air at once";

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let scene = situation.scene;
    let mut heard: BTreeMap<usize, Vec<Encounter>> = BTreeMap::new();
    for encounter in situation.encounters_within() {
        heard
            .entry(encounter.receiver)
            .or_default()
            .push(encounter.clone());
    }
    // Where the trial has no part in anything, it is told of the plan.
    heard.retain(|_, met| situation.focus.is_none() || met.iter().any(|one| !one.legs.is_none()));
    heard.retain(|&index, met| {
        let receiver = scene.receivers.get(index);
        receiver.is_some_and(|receiver| can_add_up(scene, receiver, met))
    });
    // What others do to each other counts where something of ours comes on top of it.
    let others = heard.keys().copied().filter(|&index| {
        let receiver = scene.receivers.get(index);
        receiver.is_some_and(|receiver| !receiver.owner.is_ours())
    });
    let others: Vec<usize> = others.collect();
    for encounter in situation.met_beside(&others) {
        heard.entry(encounter.receiver).or_default().push(encounter);
    }
    for (index, encounters) in heard {
        let receiver = scene.receivers.get(index);
        let together = receiver.and_then(|receiver| at_once(scene, receiver, encounters));
        found.extend(together.and_then(|parts| judge(situation, &parts)));
    }
}

/// Whether what a receiver meets is to be added up: not where one of it hurts alone, which is told of it, and not where it
/// is not known that there is such a receiver.
fn can_add_up(scene: &Scene<'_>, receiver: &Receiver, met: &[Encounter]) -> bool {
    let mast = scene.masts.get(receiver.mast);
    let is_bystander =
        mast.is_none_or(|mast| mast.near.is_some()) || receiver.anywhere_in.is_some();
    !is_bystander && met.iter().all(|one| one.margin() >= Decibels::ZERO)
}

/// The encounters of a receiver that can all happen at one instant, the strongest first.
fn at_once(
    scene: &Scene<'_>,
    receiver: &Receiver,
    mut encounters: Vec<Encounter>,
) -> Option<Vec<Encounter>> {
    if !can_add_up(scene, receiver, &encounters) {
        return None;
    }
    // What somebody else's repeater does to itself is theirs to know.
    let is_its_own = |one: &Encounter| {
        let mut sources = one.line.transmitters();
        sources.any(|index| {
            let source = scene.transmitters.get(index);
            source.is_some_and(|source| source.unit == receiver.unit)
        })
    };
    encounters.retain(|one| one.supposed().next().is_none());
    encounters.retain(|one| receiver.owner.is_ours() || !is_its_own(one));
    encounters.sort_by(|one, other| {
        (one.margin().cmp(&other.margin()))
            .then_with(|| one.id().cmp(other.id()))
            .then_with(|| one.line.terms.cmp(&other.line.terms))
            .then_with(|| one.response.centre.cmp(&other.response.centre))
    });
    let mut keyed: BTreeSet<usize> = BTreeSet::new();
    let mut kept: Vec<Encounter> = Vec::new();
    for encounter in encounters {
        let mut with: BTreeSet<usize> = keyed.clone();
        with.extend(encounter.line.transmitters());
        let sources: Vec<usize> = with.iter().copied().collect();
        if scene.coexist(&sources, receiver) {
            keyed = with;
            kept.push(encounter);
        }
    }
    // What happens between others only is theirs to know.
    let is_ours = kept.iter().any(|one| one.concerns_us(scene));
    (kept.len() > 1 && is_ours).then_some(kept)
}

/// What is to be said of encounters that happen at once, if their sum is worse than the worst of them.
fn judge(situation: &Situation<'_>, parts: &[Encounter]) -> Option<Finding> {
    let scene = situation.scene;
    let worst = parts.first()?;
    let legs = parts
        .iter()
        .fold(Legs::NONE, |legs, one| legs.and(one.legs));
    let mut alone: Vec<Part> = parts
        .iter()
        .map(|one| Part {
            excess: -one.margin(),
            spread: Decibels::ZERO,
        })
        .collect();
    let margin = -together(&alone);
    let reserve = scene.plan.settings.reserve.value;
    let is_worse =
        |sum: Decibels| sum < Decibels::ZERO || (sum < reserve && worst.margin() >= reserve);
    // What the plan adds up to without the trial is told of the plan.
    let standing: Vec<Part> = parts
        .iter()
        .zip(&alone)
        .filter(|(one, _)| one.legs.is_none())
        .map(|(_, part)| *part)
        .collect();
    let is_old = !situation.focus.is_none() && is_worse(-together(&standing));
    let is_new = situation.focus.is_none() || !legs.is_none();
    if !is_worse(margin) || is_old || !is_new {
        return None;
    }
    let receiver = scene.receivers.get(worst.receiver)?;
    let sum = Encounter {
        level: worst.threshold - margin,
        ..worst.clone()
    };
    let Grade { severity, spared } = grade(scene, &sum);
    // So many keyed at one instant is possible and seldom.
    let (severity, spared) = match severity {
        Severity::Conflict => (Severity::Caution, Some(SELDOM.to_owned())),
        severity => (severity, spared),
    };
    let count = parts.len();
    let says = says(count, &receiver.name, margin);
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Interference, legs, says);
    finding.spared = spared;
    finding.when = {
        let mut phases = parts.iter().map(|one| phases_of(scene, one));
        let first = phases.next().unwrap_or_default();
        let common = phases.fold(first, |common, next| &common & &next);
        scene.plan.event.told(&common)
    };
    finding.victim = Some(Victim {
        station: receiver.station.clone(),
        receiver: receiver.part.clone(),
        frequency: receiver.frequency,
    });
    let sources: BTreeSet<Source> = parts
        .iter()
        .flat_map(|one| one.line.terms.iter().map(|&(source, _)| source))
        .collect();
    finding.sources = sources
        .iter()
        .map(|&source| term(scene, source, 1))
        .collect();
    finding.level = Some(sum.level);
    finding.threshold = Some(sum.threshold);
    finding.margin = Some(margin);
    if situation.is_brief {
        return Some(finding);
    }
    // How each level comes about is dear to tell, and decides nothing above.
    let told: Vec<_> = parts.iter().map(|one| one.tell(scene)).collect();
    for (part, (level, _)) in alone.iter_mut().zip(&told) {
        part.spread = level.spread();
    }
    let limit = &told.first()?.1;
    let drawn = drawn(&really(receiver, parts, &alone), limit.spread());
    finding.spread = Some(drawn.spread);
    finding.chance = Some(drawn.chance);
    finding.arithmetic = format!(
        "10·log10 Σ 10^(−margin/10) of margins {}",
        margins(parts).join(", ")
    );
    finding.why = format!(
        "powers add: each of them keeps below the limit, all at once do so less; the chance by {} draws, give or take {:.1} %",
        drawn.draws,
        drawn.error.as_fraction() * 100.0
    );
    finding.citation =
        "powers add; levels in dB as normal, their sum drawn with a fixed seed".to_owned();
    for (level, limit) in &told {
        for text in level.assumed.iter().chain(&limit.assumed) {
            if !finding.assumed.contains(text) {
                finding.assumed.push(text.clone());
            }
        }
    }
    finding.budget = steps(scene, parts, &alone, &sum);
    finding.limit.clone_from(&limit.steps);
    Some(finding.remedy(format!(
        "begin with what adds most: {} takes {} of the sum",
        called(scene, worst),
        share(&alone)
    )))
}

fn says(count: usize, whom: &str, margin: Decibels) -> String {
    if margin < Decibels::ZERO {
        format!(
            "{count} signals that {whom} can stand one by one come together {} above what it can stand",
            -margin
        )
    } else {
        format!(
            "{count} signals that {whom} hears at once stay together only {margin} below what it can stand"
        )
    }
}

/// The parts without the further protection of a safety service, which is a pad and no harm.
fn really(receiver: &Receiver, parts: &[Encounter], alone: &[Part]) -> Vec<Part> {
    let each = alone.iter().zip(parts);
    each.map(|(part, one)| Part {
        excess: part.excess - pad(receiver, one),
        ..*part
    })
    .collect()
}

/// The further protection of a safety service, which is a pad and no harm.
fn pad(receiver: &Receiver, encounter: &Encounter) -> Decibels {
    let safety = receiver.safety.as_ref();
    safety
        .filter(|_| encounter.response.is_landing())
        .map_or(Decibels::ZERO, |safety| safety.value)
}

fn called(scene: &Scene<'_>, encounter: &Encounter) -> String {
    let kind = encounter.line.emission();
    kind.map_or_else(String::new, |kind| (kind.called)(scene, &encounter.line))
}

fn margins(parts: &[Encounter]) -> Vec<String> {
    parts.iter().map(|one| one.margin().to_string()).collect()
}

/// The share of the first in the sum of the powers.
fn share(parts: &[Part]) -> String {
    let first = parts.first().map_or(0.0, |part| part.excess.as_power());
    format!("{:.0} %", 100.0 * first / together(parts).as_power())
}

/// The level of the sum, one after the other.
fn steps(scene: &Scene<'_>, parts: &[Encounter], alone: &[Part], sum: &Encounter) -> Vec<Step> {
    let mut before = None;
    parts
        .iter()
        .enumerate()
        .map(|(index, one)| {
            let so_far = together(alone.get(..=index).unwrap_or(alone));
            let change = match before.replace(so_far) {
                None => Decibels::db((sum.threshold + so_far).as_dbm()),
                Some(before) => so_far - before,
            };
            Step {
                what: called(scene, one),
                change,
                note: format!("{}, alone {} below what hurts", one.id(), one.margin()),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::interference;
    use crate::scene::sample::plan;

    /// Two neighbours some channels off, each stronger and stronger, and what our receiver has of them.
    fn found(power: &str) -> Vec<Finding> {
        let plan = plan(&format!(
            "
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
stations:
  - {{name: Ear, site: hill, radio: mobile-2m, watch: 145.4500}}
in_use:
  - {{name: North, output: 145.7000, eirp: {power}, distance: 1 km, ground: 100 m}}
  - {{name: South, output: 145.7750, eirp: {power}, distance: 1 km, ground: 100 m}}
"
        ));
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let mut findings = Vec::new();
        (interference::CHECK.run)(&situation, &mut findings);
        run(&situation, &mut findings);
        let of_ear = |one: &Finding| one.victim.as_ref().is_some_and(|one| one.station == "Ear");
        findings.into_iter().filter(of_ear).collect()
    }

    fn sums(found: &[Finding]) -> Vec<&Finding> {
        found
            .iter()
            .filter(|one| one.check == CHECK.topic.id)
            .collect()
    }

    #[test]
    fn what_each_keeps_two_exceed_and_the_steps_add_up() {
        let told: Vec<String> = (0..60)
            .map(|step| format!("{} dBm", 10 + step))
            .filter(|power| !sums(&found(power)).is_empty())
            .collect();
        assert!(!told.is_empty());
        for power in told {
            let all = found(&power);
            let sum = sums(&all)[0];
            let alone = all.iter().filter(|one| one.matter == Matter::Interference);
            let alone = alone.filter(|one| one.check != CHECK.topic.id);
            for one in alone {
                assert!(
                    one.margin > sum.margin && one.margin >= Some(Decibels::ZERO),
                    "{power}"
                );
            }
            let steps: f64 = sum.budget.iter().map(|step| step.change.as_db()).sum();
            assert!((steps - sum.level.unwrap().as_dbm()).abs() < 1e-6);
            assert!(sum.chance.is_some());
        }
    }

    const EAR: &str = "
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
stations:
  - {name: Ear, site: hill, radio: mobile-2m, watch: 145.4500}
in_use:
  - {name: North, output: 145.7000, eirp: 100 W, distance: 1 km, ground: 100 m}
  - {name: South, output: 145.7750, eirp: 100 W, distance: 1 km, ground: 100 m}
  - {name: West, output: 145.8500, eirp: 100 W, distance: 1 km, ground: 100 m}
";

    /// One encounter of the ear with each of its neighbours, with these margins and legs.
    fn met(scene: &Scene<'_>, of: &[(f64, Legs)]) -> Vec<Encounter> {
        let all = crate::encounter::meet(scene, Legs::NONE);
        let each = ["North", "South", "West"].iter().zip(of);
        each.map(|(name, &(margin, legs))| {
            let source = scene.transmitters.iter().position(|one| one.name == *name);
            let mut one = all
                .iter()
                .find(|one| {
                    scene.receivers.get(one.receiver).unwrap().station == "Ear"
                        && one.line.transmitters().eq(source)
                })
                .unwrap()
                .clone();
            one.threshold = one.level + Decibels::db(margin);
            one.legs = legs;
            one
        })
        .collect()
    }

    fn judged(focus: Legs, of: &[(f64, Legs)]) -> Option<(Severity, f64, String)> {
        let mut plan = plan(EAR);
        plan.settings.reserve.value = Decibels::db(6.0);
        let scene = Scene::build(&plan, None);
        let finding = judge(&Situation::new(&scene, None, focus), &met(&scene, of))?;
        let margin = finding.margin.unwrap().as_db();
        Some((finding.severity, margin, finding.remedies[0].text.clone()))
    }

    /// Two equal powers are 3.01 dB more than one of them.
    #[test]
    fn two_alike_are_three_decibels_worse_than_one() {
        let of = |margin: f64| judged(Legs::NONE, &[(margin, Legs::NONE), (margin, Legs::NONE)]);
        for (margin, is_told) in [
            (0.0, true),
            (3.0, true),
            (3.02, false),
            (5.9, false),
            (6.0, true),
            (9.0, true),
            (9.02, false),
        ] {
            let found = of(margin);
            assert_eq!(found.is_some(), is_told, "{margin}");
            if let Some((severity, sum, remedy)) = found {
                assert!((sum - (margin - 3.0103)).abs() < 1e-3);
                assert_eq!(severity, Severity::Caution);
                assert!(remedy.ends_with("takes 50 % of the sum"), "{remedy}");
            }
        }
        // Ten times the power is ten elevenths of the sum.
        let (.., remedy) = judged(Legs::NONE, &[(0.1, Legs::NONE), (10.1, Legs::NONE)]).unwrap();
        assert!(remedy.ends_with("takes 91 % of the sum"), "{remedy}");
    }

    #[test]
    fn what_the_plan_adds_up_to_by_itself_is_told_of_the_plan_and_not_of_the_trial() {
        let [none, first] = [Legs::NONE, Legs::FIRST];
        assert!(judged(first, &[(3.0, first), (3.0, none)]).is_some());
        assert!(judged(first, &[(3.0, none), (3.0, none)]).is_none());
        assert!(judged(first, &[(2.0, none), (2.0, none), (3.0, first)]).is_none());
        assert!(judged(first, &[(4.0, none), (4.0, none), (4.0, first)]).is_some());
        assert!(judged(none, &[(2.0, none), (2.0, none)]).is_some());
    }

    #[test]
    fn only_what_is_certain_ours_and_possible_at_one_instant_adds_up() {
        let plan = plan(EAR);
        let scene = Scene::build(&plan, None);
        let ear = scene
            .receivers
            .iter()
            .find(|one| one.station == "Ear")
            .unwrap();
        let three = || {
            met(
                &scene,
                &[(5.0, Legs::NONE), (3.0, Legs::NONE), (4.0, Legs::NONE)],
            )
        };
        let margins = |kept: Option<Vec<Encounter>>| -> Option<Vec<f64>> {
            let kept = kept?;
            Some(
                kept.iter()
                    .map(|one| one.margin().as_db().round())
                    .collect(),
            )
        };
        assert_eq!(
            margins(at_once(&scene, ear, three())),
            Some(vec![3.0, 4.0, 5.0])
        );
        let mut one_supposed = three();
        one_supposed[0].line.supposed = Some("if it is so".to_owned());
        assert_eq!(
            margins(at_once(&scene, ear, one_supposed)),
            Some(vec![3.0, 4.0])
        );
        // One alone is no sum, and one that hurts alone is told of itself.
        assert_eq!(
            margins(at_once(&scene, ear, met(&scene, &[(5.0, Legs::NONE)]))),
            None
        );
        let mut worst = three();
        worst[2].threshold = worst[2].level - Decibels::db(0.1);
        assert_eq!(margins(at_once(&scene, ear, worst)), None);
        // What one source sends twice comes twice.
        let twice = [three()[0].clone(), three()[0].clone()].to_vec();
        assert_eq!(margins(at_once(&scene, ear, twice)), Some(vec![5.0, 5.0]));
        // What happens between others only is theirs to know, and so is what a repeater does to itself.
        let mut other = ear.clone();
        other.owner = crate::scene::Owner::InUse(0);
        let mut theirs = scene.clone();
        theirs.receivers = scene.receivers.changed_where(
            |one| one.station == "Ear",
            |one| one.owner = crate::scene::Owner::InUse(0),
        );
        assert_eq!(margins(at_once(&theirs, &other, three())), None);
        let mut ours = three();
        ours[0].line.is_ours = true;
        assert_eq!(
            margins(at_once(&theirs, &other, ours.clone())),
            Some(vec![3.0, 4.0, 5.0])
        );
        let south = ours[1].line.transmitters().next().unwrap();
        other.unit = scene.transmitters.get(south).unwrap().unit;
        assert_eq!(
            margins(at_once(&theirs, &other, ours)),
            Some(vec![4.0, 5.0])
        );
        // Not where a bystander may or may not be.
        let mut anywhere = ear.clone();
        anywhere.anywhere_in = Some(crate::quantity::Span::between(
            crate::quantity::Frequency::hz(144_000_000),
            crate::quantity::Frequency::hz(146_000_000),
        ));
        assert_eq!(margins(at_once(&scene, &anywhere, three())), None);
    }

    #[test]
    fn the_pad_of_a_safety_service_is_no_harm() {
        let plan = plan(EAR);
        let scene = Scene::build(&plan, None);
        let mut ear = scene
            .receivers
            .iter()
            .find(|one| one.station == "Ear")
            .unwrap()
            .clone();
        let mut parts = met(&scene, &[(5.0, Legs::NONE), (3.0, Legs::NONE)]);
        // One falls on the channel, the other is merely strong beside it.
        parts[0].response.shape = crate::responses::Shape::Window(ear.figures.bandwidth.value);
        parts[1].response.shape = crate::responses::Shape::Ring {
            from: crate::quantity::Offset::hz(0),
            to: crate::quantity::Offset::hz(1_000_000),
        };
        let alone = [-5.0, -3.0].map(|excess| Part {
            excess: Decibels::db(excess),
            spread: Decibels::db(7.0),
        });
        assert_eq!(really(&ear, &parts, &alone), alone);
        ear.safety = Some(crate::provenance::Sourced::new(
            Decibels::db(10.0),
            crate::provenance::Origin::Said("a test".into()),
        ));
        let without = really(&ear, &parts, &alone);
        let taken = |at: usize| (alone[at].excess - without[at].excess).as_db();
        assert!((taken(0) - 10.0).abs() < 1e-9 && taken(1).abs() < 1e-9);
        assert_eq!(without[0].spread, alone[0].spread);
    }

    #[test]
    fn a_sum_of_nothing_to_spare_is_told_as_staying_below() {
        let told = |margin| says(2, "Ear", Decibels::db(margin));
        assert!(told(0.0).ends_with("stay together only 0.0 dB below what it can stand"));
        assert!(told(-0.1).ends_with("come together 0.1 dB above what it can stand"));
    }
}
