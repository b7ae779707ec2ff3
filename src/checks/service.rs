#![doc = include_str!("service.md")]

mod link;

use std::collections::BTreeMap;

use super::{Check, Situation};
use crate::encounter::Encounter;
use crate::finding::{Finding, Matter, Remedy, Severity, Term, Victim};
use crate::net::RadioId;
use crate::physics::statistics::{chance_below_zero, combined_spread};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::Use;
use crate::scene::{Owner, Receiver, Transmitter};
use crate::topic::Topic;

use link::Link;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "service",
        title: "The wanted signal itself is too weak",
        text: include_str!("service.md"),
    },
    run,
};

/// The difference between two directions from which on one side hears and is not heard.
///
/// # Source
/// Choice: 6 dB, half the distance in free space; less is lost in the figures.
const IMBALANCE: Decibels = Decibels::db(6.0);

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let mut simplex: BTreeMap<Frequency, Vec<Link<'_>>> = BTreeMap::new();
    for link in links(situation) {
        let ends = [link.transmitter.owner, link.receiver.owner];
        let is_passed_on = ends.into_iter().any(|owner| relays(situation, owner));
        if link.receiver.owner.is_ours() && only_listens(situation, link.receiver) {
            found.extend(weak(situation, &link, 0));
            found.extend(drowned(situation, &link));
        } else if is_passed_on {
            found.extend(weak(situation, &link, 0));
            found.extend(imbalance(situation, &link));
        } else if !relay_is_on(situation, link.receiver) {
            // Two users of one leg of a relay are not meant for each other.
            let channel = simplex.entry(link.receiver.frequency).or_default();
            channel.push(link);
        }
    }
    // On a simplex channel everybody is to hear everybody: the worst of them is told.
    for mut channel in simplex.into_values() {
        channel.sort_by_key(Link::margin);
        let more = channel
            .iter()
            .skip(1)
            .filter(|link| severity(situation, link).is_some());
        let more = more.count();
        found.extend(channel.first().and_then(|link| weak(situation, link, more)));
    }
}

/// Every wanted way that rests on exactly the focus and has one of our stations at an end.
fn links<'a>(situation: &Situation<'a>) -> impl Iterator<Item = Link<'a>> {
    let scene = situation.scene;
    let focus = situation.focus;
    let standing = scene.receivers.standing();
    (scene.receivers.from(0)).flat_map(move |(place, receiver)| {
        // What stands on both ends rests on no leg.
        let is_apart = !focus.is_none() && place < standing;
        let first = if is_apart {
            scene.transmitters.standing()
        } else {
            0
        };
        let senders = scene.transmitters.from(first);
        senders
            .filter(move |&(index, transmitter)| {
                transmitter.unit != receiver.unit
                    && transmitter.legs.and(receiver.legs) == focus
                    && (transmitter.owner.is_ours() || receiver.owner.is_ours())
                    && scene.is_wanted(transmitter, receiver)
                    && scene.coexist(&[index], receiver)
            })
            .map(move |(_, transmitter)| Link::between(scene, transmitter, receiver))
    })
}

/// Whether a station passes on what it hears.
fn relays(situation: &Situation<'_>, owner: Owner) -> bool {
    let is_relay = |what: &Use| matches!(what, Use::CrossBand { .. });
    match owner {
        Owner::Station(index) => {
            let planned = situation.plan.stations.get(index);
            planned.is_some_and(|station| station.uses.iter().any(|one| is_relay(&one.what)))
                || situation
                    .trial
                    .is_some_and(|trial| trial.station == index && is_relay(&trial.what))
        }
        Owner::InUse(index) => situation.plan.in_use.get(index).is_some_and(|entry| {
            !entry.is_simplex && entry.input.is_some() && entry.output.is_some()
        }),
        Owner::Protected(_) => false,
    }
}

/// Whether somebody passes on what is heard on a receiver's channel.
fn relay_is_on(situation: &Situation<'_>, receiver: &Receiver) -> bool {
    situation.scene.receivers.iter().any(|other| {
        other.frequency == receiver.frequency
            && other.activity.net == receiver.activity.net
            && relays(situation, other.owner)
    })
}

/// Whether a receiver's station never answers on its channel.
fn only_listens(situation: &Situation<'_>, receiver: &Receiver) -> bool {
    situation
        .scene
        .transmitters
        .iter()
        .all(|one| one.unit != receiver.unit || one.activity.net != receiver.activity.net)
}

/// How bad it is that a wanted signal is so weak; none when it is not.
fn severity(situation: &Situation<'_>, link: &Link<'_>) -> Option<Severity> {
    if link.best_margin() < Decibels::ZERO {
        Some(Severity::Conflict)
    } else if link.margin() < Decibels::ZERO {
        Some(Severity::Caution)
    } else if link.margin() < situation.plan.settings.reserve.value {
        Some(Severity::Note)
    } else {
        None
    }
}

fn weak(situation: &Situation<'_>, link: &Link<'_>, more: usize) -> Option<Finding> {
    let severity = severity(situation, link)?;
    let (who, whom) = (&link.transmitter.name, &link.receiver.name);
    let (worst, best) = (link.margin(), link.best_margin());
    let mut says = if best < Decibels::ZERO {
        format!(
            "{whom} does not hear {who}: even on the best path {} are missing",
            -best
        )
    } else if worst < Decibels::ZERO {
        format!(
            "{whom} may not hear {who}: on a poor path {} are missing, on a good one {best} are to spare",
            -worst
        )
    } else {
        format!("{whom} hears {who} with {worst} to spare on a poor path, {best} on a good one")
    };
    if more > 0 {
        let are = if more == 1 { "is" } else { "are" };
        says = format!("{says}; {more} more on the same channel {are} short of the reserve");
    }
    let mut finding = of(situation, link, severity, says);
    finding.remedies = remedies(situation, link);
    Some(finding)
}

/// What would mend a weak signal.
fn remedies(situation: &Situation<'_>, link: &Link<'_>) -> Vec<Remedy> {
    let lacking = situation.plan.settings.reserve.value - link.margin();
    let mut found = vec![format!(
        "{lacking} more on the way: a higher antenna at {} or {}, one with more gain, a place nearer by",
        link.transmitter.name, link.receiver.name
    )];
    let strongest = link
        .transmitter
        .figures
        .steps
        .iter()
        .filter(|step| step.power.value.level() > link.transmitter.power.value)
        .max_by_key(|step| step.power.value);
    if let Some(step) = strongest.filter(|_| link.transmitter.owner.is_ours()) {
        found.push(format!(
            "{} on power step {} ({}), as far as interference allows",
            link.transmitter.name, step.name, step.power.value
        ));
    }
    found
        .into_iter()
        .map(|text| Remedy { text, change: None })
        .collect()
}

/// A relay that hears a user much better than the user hears it, or the other way; told once, at the relay's receiver.
fn imbalance(situation: &Situation<'_>, link: &Link<'_>) -> Option<Finding> {
    let scene = situation.scene;
    if !relays(situation, link.receiver.owner) || relays(situation, link.transmitter.owner) {
        return None;
    }
    let talk_out = scene.transmitters.iter().find(|one| {
        one.unit == link.receiver.unit
            && one.activity.net == link.transmitter.activity.net
            && is_heard_at(situation, one, link.transmitter)
    })?;
    let ear = scene
        .receivers
        .iter()
        .find(|one| one.unit == link.transmitter.unit && scene.is_wanted(talk_out, one))?;
    if talk_out.legs.and(ear.legs) != situation.focus {
        return None;
    }
    let back = Link::between(scene, talk_out, ear);
    let difference = back.margin() - link.margin();
    if difference.as_db().abs() < IMBALANCE.as_db() {
        return None;
    }
    let (relay, user) = (&link.receiver.station, &link.transmitter.name);
    let says = if difference > Decibels::ZERO {
        format!(
            "{user} hears {relay} {difference} better than {relay} hears it: at the edge of the reach it hears {relay} and is not heard"
        )
    } else {
        format!(
            "{relay} hears {user} {} better than it is heard there",
            -difference
        )
    };
    let mut finding = of(situation, link, Severity::Note, says);
    finding.arithmetic = format!("{} in, {} out", link.margin(), back.margin());
    Some(finding)
}

/// Whether a relay's transmitter is what a user listens to.
fn is_heard_at(situation: &Situation<'_>, relay: &Transmitter, user: &Transmitter) -> bool {
    situation
        .scene
        .receivers
        .iter()
        .any(|one| one.unit == user.unit && situation.scene.is_wanted(relay, one))
}

/// A wanted signal that arrives, but not above the worst that comes with it.
///
/// The interference is judged against the noise elsewhere; here it is judged against the signal.
fn drowned(situation: &Situation<'_>, link: &Link<'_>) -> Option<Finding> {
    let index = situation
        .scene
        .receivers
        .iter()
        .position(|one| std::ptr::eq(one, link.receiver))?;
    // Interference is judged against what is stated to be wanted already.
    if link.receiver.wanted.is_some() {
        return None;
    }
    let worst: &Encounter = situation
        .encounters()
        .iter()
        .filter(|one| one.receiver == index && one.margin() < Decibels::ZERO)
        .max_by_key(|one| one.level)?;
    let (cautious, optimistic) = link.bears();
    let called = worst.line.emission().map_or_else(String::new, |one| {
        (one.called)(situation.scene, &worst.line)
    });
    let (who, whom) = (&link.transmitter.name, &link.receiver.name);
    let (poor, good) = (cautious - worst.level, optimistic - worst.level);
    let (severity, says) = if good < Decibels::ZERO {
        (
            Severity::Conflict,
            format!(
                "{called} drowns {who} at {whom}: even a strong signal is {} short",
                -good
            ),
        )
    } else if poor < Decibels::ZERO {
        (
            Severity::Caution,
            format!(
                "{called} drowns {who} at {whom} on a poor path by {}; on a good one {good} are to spare",
                -poor
            ),
        )
    } else {
        (
            Severity::Note,
            format!(
                "{who} stays readable at {whom} under {called}, with {poor} to spare on a poor path"
            ),
        )
    };
    let mut finding = of(situation, link, severity, says);
    finding.arithmetic = format!(
        "wanted {} − protection {} against {}",
        link.cautious.level(),
        link.receiver.figures.protection.value,
        worst.level
    );
    finding.level = Some(worst.level);
    finding.threshold = Some(cautious);
    finding.margin = Some(poor);
    finding.spread = None;
    finding.chance = None;
    finding.budget = worst.tell(situation.scene).0.steps;
    finding.limit = bearing(link);
    finding.legs = worst.legs;
    Some(finding)
}

/// How the level comes about above which interference spoils a signal.
fn bearing(link: &Link<'_>) -> Vec<crate::budget::Step> {
    let protection = &link.receiver.figures.protection;
    let mut steps = link.cautious.steps.clone();
    steps.push(crate::budget::Step {
        what: "co-channel protection".to_owned(),
        change: -protection.value,
        note: protection.origin.to_string(),
    });
    steps
}

/// Which of several on a watched frequency was taken for the one that is meant, where nobody said so.
fn listened_to(situation: &Situation<'_>, link: &Link<'_>) -> Option<String> {
    let (Owner::InUse(_), Owner::Station(station)) = (link.transmitter.owner, link.receiver.owner)
    else {
        return None;
    };
    let watched = link.receiver.frequency;
    let others = situation.plan.in_use.iter();
    let on_it = others.filter(|entry| entry.output == Some(watched)).count();
    let planned = situation.plan.stations.get(station)?.uses.iter();
    let trial = situation.trial.filter(|trial| trial.station == station);
    let mut uses = planned
        .map(|one| &one.what)
        .chain(trial.map(|trial| &trial.what));
    let is_open = uses.any(|what| {
        matches!(what, Use::Watch { channel, from: None, .. } if channel.frequency == watched)
    });
    (on_it > 1 && is_open).then(|| {
        format!(
            "of {on_it} on {watched}, {} is the one that {} listens to, as it arrives strongest; `wanted:` names another",
            link.transmitter.name, link.receiver.station
        )
    })
}

fn of(situation: &Situation<'_>, link: &Link<'_>, severity: Severity, says: String) -> Finding {
    let margin = link.margin();
    let spread = combined_spread([link.cautious.spread(), link.need.spread()]);
    let mut assumed = link.cautious.assumed.clone();
    for text in &link.need.assumed {
        if !assumed.contains(text) {
            assumed.push(text.clone());
        }
    }
    assumed.extend(listened_to(situation, link));
    Finding {
        check: CHECK.topic.id,
        severity,
        matter: Matter::Net,
        legs: link.transmitter.legs.and(link.receiver.legs),
        says,
        when: situation.when([link.transmitter.unit, link.receiver.unit].map(RadioId)),
        victim: Some(Victim {
            station: link.receiver.station.clone(),
            receiver: link.receiver.part.clone(),
            frequency: link.receiver.frequency,
        }),
        sources: vec![Term {
            name: link.transmitter.name.clone(),
            frequency: link.transmitter.frequency,
            coefficient: 1,
        }],
        product: None,
        offset: None,
        width: None,
        level: Some(link.cautious.level()),
        threshold: Some(link.need.level()),
        margin: Some(margin),
        spread: Some(spread),
        chance: Some(chance_below_zero(margin, spread)),
        spared: None,
        arithmetic: format!(
            "{} to {} arrive, {} are needed",
            link.cautious.level(),
            link.optimistic,
            link.need.level()
        ),
        why: "service is judged by the greatest loss of all models that apply, interference by the least; the truth \
              lies between"
            .to_owned(),
        remedies: Vec::new(),
        citation: "paths by ITU-R P.525, P.526 and Okumura-Hata, noise by ITU-R P.372".to_owned(),
        assumed,
        budget: link.cautious.steps.clone(),
        limit: link.need.steps.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{Channel, Legs, Use};
    use crate::scene::sample::plan;
    use crate::scene::{Scene, Trial};

    /// What is said of a handheld so far north of a relay on level ground.
    fn at(degrees: f64) -> Vec<Finding> {
        let north = 54.4150 + degrees;
        let plan = plan(&format!(
            "
sites:
  hill: {{at: [54.4150, -0.5320]}}
  wood: {{at: [{north}, -0.5320]}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, power: 50 W, antenna: {{height: 10 m}}, cross_band: [433.4500, 145.2250]}}
  - {{name: Marshal, site: wood, radio: handheld, via: Relay, leg: 2m}}
"
        ));
        let scene = Scene::build(&plan, None);
        let mut found = Vec::new();
        run(&Situation::new(&scene, None, Legs::NONE), &mut found);
        found
    }

    #[test]
    fn a_handheld_close_by_is_heard_and_one_far_away_is_not() {
        let worst = |degrees| at(degrees).iter().map(|finding| finding.severity).max();
        assert!(
            at(0.003)
                .iter()
                .all(|finding| finding.severity == Severity::Note)
        );
        assert_eq!(worst(0.15), Some(Severity::Caution));
        assert_eq!(worst(1.5), Some(Severity::Conflict));
    }

    #[test]
    fn a_relay_of_ten_times_the_power_is_heard_better_than_it_hears() {
        let found = at(0.003);
        assert!(
            found
                .iter()
                .any(|finding| finding.says.contains("better than"))
        );
    }

    #[test]
    fn the_budgets_add_up_to_what_arrives_and_what_is_needed() {
        for finding in at(0.15) {
            let sum = |steps: &[crate::budget::Step]| -> f64 {
                steps.iter().map(|step| step.change.as_db()).sum()
            };
            assert!((sum(&finding.budget) - finding.level.unwrap().as_dbm()).abs() < 0.1);
            assert!((sum(&finding.limit) - finding.threshold.unwrap().as_dbm()).abs() < 0.1);
            assert!(finding.chance.is_some());
        }
    }

    /// A watch receiver beside a packet station that hears a repeater.
    const EAR: &str = "
sites:
  hill: {at: [54.4150, -0.5320]}
stations:
  - {name: Ear, site: hill, radio: mobile-2m, watch: 145.6500}
  - {name: Packet, site: hill, radio: mobile-2m, antenna: {offset: {east: 10 m, north: 0 m}}, talk: 144.8000}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Club, frequency: 145.3000, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Beacon, output: 144.4300, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
";

    #[test]
    fn a_signal_that_just_does_is_graded_as_one_that_does() {
        let mut plan = plan(EAR);
        plan.settings.reserve.value = Decibels::db(6.0);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let link = links(&situation)
            .find(|one| one.receiver.station == "Ear")
            .unwrap();
        let of = |poor: f64, good: f64| {
            let mut link = link.clone();
            let at = |level: crate::quantity::Level| {
                let mut budget = crate::budget::Budget::default();
                let step = || (String::new(), String::new());
                crate::budget::Ledger::enter(&mut budget, crate::budget::starting_at(level), step);
                budget
            };
            let need = crate::quantity::Level::dbm(-100.0);
            link.need = at(need);
            link.cautious = at(need + Decibels::db(poor));
            link.optimistic = need + Decibels::db(good);
            severity(&situation, &link)
        };
        assert_eq!(of(-9.0, -0.5), Some(Severity::Conflict));
        assert_eq!(of(-9.0, 0.0), Some(Severity::Caution));
        assert_eq!(of(-0.5, 9.0), Some(Severity::Caution));
        assert_eq!(of(0.0, 9.0), Some(Severity::Note));
        assert_eq!(of(5.5, 9.0), Some(Severity::Note));
        assert_eq!(of(6.0, 9.0), None);
    }

    #[test]
    fn what_drowns_a_signal_does_so_from_its_protection_on() {
        let plan = plan(EAR);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let link = links(&situation)
            .find(|one| one.receiver.station == "Ear")
            .unwrap();
        let (cautious, optimistic) = link.bears();
        assert!(cautious < optimistic);
        let met = crate::encounter::meet(&scene, Legs::NONE);
        let at_ear = |one: &&Encounter| scene.receivers.get(one.receiver).unwrap().station == "Ear";
        let mut one = met.iter().find(at_ear).unwrap().clone();
        let mut of = |level: crate::quantity::Level, margin: f64| {
            one.level = level;
            one.threshold = level + Decibels::db(margin);
            let mut situation = Situation::new(&scene, None, Legs::NONE);
            situation.met = std::sync::OnceLock::from(vec![one.clone()]);
            let found = drowned(&situation, &link);
            found.map(|one| (one.severity, one.margin.unwrap().as_db().round()))
        };
        let tenth = Decibels::db(0.1);
        assert_eq!(of(optimistic + tenth, -1.0).unwrap().0, Severity::Conflict);
        assert_eq!(of(optimistic, -1.0).unwrap().0, Severity::Caution);
        assert_eq!(of(cautious + tenth, -1.0).unwrap().0, Severity::Caution);
        assert_eq!(of(cautious, -1.0), Some((Severity::Note, 0.0)));
        assert_eq!(
            of(cautious - Decibels::db(10.0), -1.0),
            Some((Severity::Note, 10.0))
        );
        // What does not hurt by itself drowns nobody.
        assert_eq!(of(optimistic + tenth, 0.0), None);
    }

    #[test]
    fn where_the_level_of_what_is_wanted_is_stated_interference_is_judged_by_that_and_not_again() {
        let drowns = |watched: &str| {
            let plan = plan(&EAR.replace("watch: 145.6500", watched));
            let scene = Scene::build(&plan, None);
            let situation = Situation::new(&scene, None, Legs::NONE);
            let links: Vec<Link<'_>> = links(&situation).collect();
            let link = links.iter().find(|one| one.receiver.station == "Ear");
            let found = drowned(&situation, link.unwrap());
            // Either way the packet station beside it blocks.
            let hurts = |one: &&Encounter| {
                let receiver = scene.receivers.get(one.receiver).unwrap();
                receiver.station == "Ear" && one.margin() < Decibels::ZERO
            };
            assert!(situation.encounters().iter().any(|one| hurts(&one)));
            found.is_some()
        };
        assert!(drowns("watch: 145.6500"));
        assert!(!drowns("watch: 145.6500, wanted: -90 dBm"));
    }

    /// A relay with a radio that hears more than two channels, which also works through another one of a hundred times its power:
    /// it hears that 20 dB better than it is heard, and is no user whom that leaves at the edge.
    #[test]
    fn between_two_relays_nothing_is_said_of_who_hears_whom_better() {
        let mut plan = plan(
            "
sites:
  hill: {at: [54.4150, -0.5320]}
  wood: {at: [54.4200, -0.5320]}
stations:
  - {name: One, site: hill, radio: dual-band-mobile, power: 50 W, cross_band: [433.4500, 145.2250]}
  - {name: Two, site: wood, radio: dual-band-mobile, power: 0.5 W, cross_band: [433.5500, 145.3250]}
  - {name: Three, site: wood, radio: dual-band-mobile, power: 0.5 W, via: One, leg: 2m}
",
        );
        let through_one = plan.stations[2].uses[0].clone();
        plan.stations[1].uses.push(through_one);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let by = |index: usize| {
            let of = |one: &Link<'_>| one.transmitter.owner == Owner::Station(index);
            let link = links(&situation).find(of).unwrap();
            assert_eq!(link.receiver.station, "One");
            imbalance(&situation, &link).is_some()
        };
        assert!(by(2) && !by(1));
    }

    #[test]
    fn whoever_passes_on_what_is_heard_relays_and_nobody_else() {
        let plan = plan(&EAR.replace(
            "in_use:",
            "  - {name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}\nin_use:",
        ));
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let of = |owner: Owner| relays(&situation, owner);
        assert_eq!(
            [0, 1, 2].map(|one| of(Owner::Station(one))),
            [false, false, true]
        );
        assert_eq!(
            [0, 1, 2].map(|one| of(Owner::InUse(one))),
            [true, false, false]
        );
        assert!(!of(Owner::Protected(0)));
        let on_relay = scene
            .receivers
            .iter()
            .find(|one| one.name == "Relay, 2m side")
            .unwrap();
        let on_ear = scene
            .receivers
            .iter()
            .find(|one| one.station == "Packet")
            .unwrap();
        assert!(relay_is_on(&situation, on_relay) && !relay_is_on(&situation, on_ear));
        let mut elsewhere = on_relay.clone();
        elsewhere.activity.net += 1;
        assert!(!relay_is_on(&situation, &elsewhere));
        let mut beside = on_relay.clone();
        beside.frequency = Frequency::hz(145_237_500);
        assert!(!relay_is_on(&situation, &beside));
    }

    /// By going through all of them: whom each wants, and on which legs the two rest.
    #[test]
    fn a_wanted_way_is_told_once_with_exactly_the_legs_that_it_rests_on() {
        let plan = plan(crate::scene::sample::CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let mut count = [0; 4];
        for (focus, count) in Legs::ALL.into_iter().zip(&mut count) {
            let situation = Situation::new(&scene, None, focus);
            let found = links(&situation)
                .map(|link| (link.transmitter.name.as_str(), link.receiver.name.as_str()));
            let mut found: Vec<(&str, &str)> = found.collect();
            found.sort_unstable();
            let mut expected = Vec::new();
            for receiver in scene.receivers.iter() {
                for (index, sender) in scene.transmitters.from(0) {
                    let is_wanted = sender.unit != receiver.unit
                        && (sender.owner.is_ours() || receiver.owner.is_ours())
                        && scene.is_wanted(sender, receiver)
                        && scene.coexist(&[index], receiver);
                    if is_wanted && sender.legs.and(receiver.legs) == focus {
                        expected.push((sender.name.as_str(), receiver.name.as_str()));
                    }
                }
            }
            expected.sort_unstable();
            assert_eq!(found, expected);
            *count = found.len();
        }
        assert!(
            count.iter().filter(|&&count| count > 0).count() > 2,
            "{count:?}"
        );
    }
}
