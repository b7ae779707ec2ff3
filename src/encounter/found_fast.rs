//! What is met fast, against what plain enumeration meets: one small question at a time. A wider sample stands beside.

use super::ear::Ear;
use super::meet::{Standing, keys_no_more, meet_plainly};
use super::{Encounter, departure, meet};
use crate::emissions::{self, Audience, Crowd, Line, Listening, Part, Request, Wanted, Within};
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Decibels, Frequency, Offset};
use crate::scenario::{Channel, Legs, Plan, Use};
use crate::scene::sample::{CROWDED, plan};
use crate::scene::{Rest, Scene, Trial};
use itertools::Itertools;
use std::sync::Arc;

/// The crowded hill with somebody half a second IF beside the relay, and joints that are no good.
fn crowded() -> Plan {
    let mut plan = plan(&format!(
        "{CROWDED}  - {{name: Near, frequency: 145.4525, erp: 25 W, at: [54.4160, -0.5320]}}\n"
    ));
    plan.settings.passive = Some(Sourced::new(
        Decibels::db(80.0),
        Origin::Said(Arc::from("a test")),
    ));
    plan
}

fn cross_band(khz: [i64; 2]) -> Use {
    let legs = khz.map(|khz| Channel {
        frequency: Frequency::hz(khz * 1000),
        tone: None,
    });
    Use::CrossBand { legs }
}

fn agree(plan: &Plan, station: usize, khz: [i64; 2], are_many: bool) {
    let what = cross_band(khz);
    let scene = Scene::build(plan, Some(Trial::of(station, &what)));
    let count = if are_many { 16 } else { 1 };
    let standing = Standing::of(&vec![scene.clone(); count]);
    // What is known of those who stand while the relay is elsewhere serves here too.
    let elsewhere = cross_band([145_300, 433_500]);
    let elsewhere = Scene::build(plan, Some(Trial::of(station, &elsewhere)));
    assert!(elsewhere.stands_like(&scene));
    let mut scenes = vec![elsewhere.clone(); count];
    scenes.push(scene.clone());
    let known = Standing::of(&scenes);
    for focus in Legs::ALL {
        known.gather(&elsewhere).meet(Wanted::of(&elsewhere, focus));
    }
    let like = Standing::like(&known, &elsewhere, std::slice::from_ref(&scene));
    same_as_plain(&scene, &[&standing, &like]);
    // What is known of all serves for those who are left when a neighbour and a station of ours are silent.
    for gone in (0..plan.stations.len()).filter(|&one| one != station) {
        let mut fewer = plan.clone();
        let silent = fewer.in_use.get_mut(gone % plan.in_use.len()).unwrap();
        (silent.output, silent.input, silent.listener) = (None, None, None);
        fewer.stations.get_mut(gone).unwrap().uses.clear();
        let scene = Scene::build(&fewer, Some(Trial::of(station, &what)));
        let rest = Rest::of(&scene, &elsewhere).unwrap();
        let left = Standing::left(&known, &elsewhere, (&rest, std::slice::from_ref(&scene)));
        same_as_plain(&scene, &[&left]);
    }
}

fn same_as_plain(scene: &Scene<'_>, standings: &[&Standing]) {
    let horizon = scene.plan.settings.horizon.value;
    for focus in Legs::ALL {
        let mut plain = meet_plainly(scene, Wanted::of(scene, focus));
        plain.retain(|one| one.concerns_us(scene));
        assert!(!plain.is_empty());
        for within in [horizon, Decibels::db(-25.0)] {
            let wanted = Wanted {
                focus,
                within: Within::all(within),
            };
            let plain = plain.iter().filter(|one| one.margin() <= within);
            let plain: Vec<&Encounter> = plain.collect();
            for standing in standings {
                let fast = standing.gather(scene).meet(wanted);
                assert_eq!(format!("{fast:?}"), format!("{plain:?}"));
            }
        }
    }
}

/// 434 − 2 × 144.5 = 145 MHz, once nobody keeps the two from being keyed together.
#[test]
fn where_a_relay_is_gone_those_whom_it_joined_are_keyed_together() {
    let all = plan(
        "
sites:
  hill: {at: [54.4150, -0.5320]}
stations:
  - {name: Joint, site: hill, radio: dual-band-mobile, antenna: {offset: {east: 30 m, north: 0 m}}, cross_band: [434.0000, 144.5000]}
  - {name: Upper, site: hill, radio: dual-band-mobile, talk: 434.0000}
  - {name: Lower, site: hill, radio: mobile-2m, antenna: {offset: {east: 10 m, north: 0 m}}, talk: 144.5000}
  - {name: New, site: hill, radio: dual-band-mobile, antenna: {offset: {east: 60 m, north: 0 m}}, watch: 145.9000}
",
    );
    let mut fewer = all.clone();
    fewer.stations.get_mut(0).unwrap().uses.clear();
    let what = cross_band([145_000, 433_300]);
    let [known, scene] = [&all, &fewer].map(|plan| Scene::build(plan, Some(Trial::of(3, &what))));
    let rest = Rest::of(&scene, &known).unwrap();
    let was = |index: usize| rest.senders()[index];
    assert!(keys_no_more((&known, &known), |index| index));
    assert!(!keys_no_more((&scene, &known), was));
    let standing = Standing::of(std::slice::from_ref(&known));
    let left = Standing::left(&standing, &known, (&rest, std::slice::from_ref(&scene)));
    same_as_plain(&scene, &[&left]);
    let met = left.gather(&scene).meet(Wanted::of(&scene, Legs::FIRST));
    let is_theirs = |one: &&Encounter| {
        let times = one.line.terms.iter().map(|term| term.1);
        one.id() == "transmitter-intermodulation" && times.sorted().eq([-2, 1])
    };
    assert!(met.iter().any(|one| is_theirs(&one)));
}

#[test]
fn of_a_relay_on_usual_channels_nothing_is_missed() {
    agree(&crowded(), 0, [145_350, 433_550], false);
}

#[test]
fn of_a_relay_on_usual_channels_nothing_is_missed_where_many_ask() {
    agree(&crowded(), 0, [145_350, 433_550], true);
}

#[test]
fn of_a_relay_that_the_edge_of_a_carrier_reaches_nothing_is_missed() {
    agree(&crowded(), 2, [145_659, 433_459], true);
}

#[test]
fn of_a_relay_on_its_own_third_harmonic_nothing_is_missed() {
    agree(&crowded(), 0, [145_225, 435_675], true);
}

#[test]
fn of_a_relay_beside_a_packet_station_nothing_is_missed() {
    agree(&crowded(), 2, [145_103, 433_450], false);
}

#[test]
fn of_a_relay_on_a_channel_of_the_plan_nothing_is_missed() {
    agree(&crowded(), 2, [144_800, 433_550], true);
}

#[test]
fn of_a_plan_without_anything_under_trial_nothing_is_missed() {
    let plan = crowded();
    let scene = Scene::build(&plan, None);
    let mut plain = meet_plainly(&scene, Wanted::of(&scene, Legs::NONE));
    plain.retain(|one| one.concerns_us(&scene));
    assert!(plain.len() > 10);
    let fast = meet(&scene, Legs::NONE);
    assert_eq!(format!("{fast:?}"), format!("{plain:?}"));
}

/// Whether somebody who makes the focus whole might hear a line, by bounds alone, each a little wider than it is.
fn might_be_heard(
    scene: &Scene<'_>,
    ears: &[Ear],
    line: &Line,
    (part, wanted): (Part, Wanted),
) -> bool {
    let slack = Decibels::db(3.0);
    let from = departure(scene, line);
    let worse = scene.plan.settings.horizon.value - wanted.within.plain;
    let might = |(index, receiver): (usize, &crate::scene::Receiver)| {
        let is_asked = match part {
            Part::Standing => line.is_ours || receiver.owner.is_ours(),
            Part::Beside => !line.is_ours && !receiver.owner.is_ours(),
            Part::OnTrial | Part::Plain => true,
        };
        let lost = from.map_or(Decibels::ZERO, |from| {
            scene.least_loss(from, receiver, line.frequency)
        });
        let level = line.level - lost + slack;
        is_asked
            && line.legs.and(receiver.legs) == wanted.focus
            && if line.heard_by.is_some() {
                let floor = ears[index].listening.floor.map(|floor| floor + worse);
                line.heard_by == Some(index) && floor.is_some_and(|floor| level >= floor)
            } else {
                ears[index].listening.places.iter().any(|heard| {
                    let wider = heard.reach + Offset::hz(25_000);
                    let as_faint = (heard.faintest, heard.sense);
                    let wider = emissions::Heard::new((heard.middle, wider), as_faint);
                    wider.covers(&line.trace()) && level >= heard.faintest(Within::all(worse))
                })
            }
    };
    scene.receivers.from(0).any(might)
}

/// What is left out beforehand is what saves the time of a search.
#[test]
fn no_line_is_made_that_by_all_bounds_nobody_can_hear() {
    let plan = crowded();
    let what = cross_band([145_350, 433_550]);
    let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
    let ears: Vec<Ear> = scene
        .receivers
        .iter()
        .map(|one| Ear::of(&scene, one))
        .collect();
    let listening: Vec<&Listening> = ears.iter().map(|ear| &ear.listening).collect();
    let first = scene.receivers.standing();
    let on_trial = listening.iter().enumerate().skip(first);
    let audience = Audience::of(on_trial.map(|(index, one)| (index, *one)));
    let horizon = plan.settings.horizon.value;
    let others: Vec<usize> = (0..first)
        .filter(|&index| !scene.receivers.get(index).unwrap().owner.is_ours())
        .collect();
    for (part, focus) in [
        (Part::Standing, Legs::NONE),
        (Part::Beside, Legs::NONE),
        (Part::OnTrial, Legs::FIRST),
        (Part::OnTrial, Legs::SECOND),
        (Part::OnTrial, Legs::BOTH),
    ] {
        let mut few = 0;
        for are_many in [false, true] {
            let crowd = if part == Part::Beside {
                Crowd::beside(&scene, &listening, others.clone())
            } else {
                Crowd::of(&scene, &listening, are_many)
            };
            let lines = |part: Part, within: Decibels| {
                let wanted = Wanted {
                    focus,
                    within: Within::all(within),
                };
                let request = Request::new(&scene, &crowd, &listening, &audience, (part, wanted));
                let mut lines = Vec::new();
                // Carriers and their harmonics are so few that all are made.
                let many = emissions::ALL.iter();
                for emission in many.filter(|one| !one.is_plain && one.topic.id != "harmonic") {
                    (emission.generate)(&request, &mut lines);
                }
                lines
            };
            for within in [horizon, Decibels::db(-25.0)] {
                let made = lines(part, within);
                // For many who ask, one look at a coarser map stands for all who stand.
                for line in made.iter().filter(|_| !are_many) {
                    let wanted = Wanted {
                        focus,
                        within: Within::all(within),
                    };
                    assert!(
                        might_be_heard(&scene, &ears, line, (part, wanted)),
                        "{part:?} {focus:?} {within} {line:?}"
                    );
                }
                if are_many {
                    assert!(
                        within < horizon || made.len() <= 4 * few,
                        "{} for {few}",
                        made.len()
                    );
                } else if within == horizon {
                    few = made.len();
                }
                if within == horizon {
                    assert!(!made.is_empty());
                    let plain = lines(Part::Plain, within);
                    assert!(
                        plain.len() > made.len(),
                        "{} of {}",
                        made.len(),
                        plain.len()
                    );
                }
            }
        }
    }
}

/// The lowest place of all where the one under trial hears, and that of another decade, with somebody who sends on the lower edge.
#[test]
fn what_others_send_on_the_lowest_edge_where_a_trial_hears_is_met() {
    let mut all = plan(
        "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Ear, site: hill, radio: dual-band-mobile}
in_use:
  - {name: Low, output: 145.7000, erp: 25 W, at: [54.4152, -0.5320]}
  - {name: High, output: 145.7000, erp: 25 W, at: [54.4152, -0.5320]}
",
    );
    let channel = Channel {
        frequency: Frequency::hz(145_300_000),
        tone: None,
    };
    let what = Use::Watch {
        channel,
        wanted: None,
        from: None,
    };
    let trial = Some(Trial::of(0, &what));
    let lowest: Vec<Frequency> = {
        let scene = Scene::build(&all, trial);
        let on_trial = scene.receivers.from(scene.receivers.standing());
        let ears = on_trial.map(|(_, receiver)| Ear::of(&scene, receiver));
        let edges: Vec<i64> = ears
            .flat_map(|ear| ear.listening.places)
            .map(|one| (one.middle - one.reach).as_hz())
            .filter(|&edge| edge > 0)
            .collect();
        let by_decade = edges.into_iter().into_grouping_map_by(|edge| edge.ilog10());
        let lowest = by_decade.min().into_values().map(Frequency::hz);
        lowest.sorted().take(2).collect()
    };
    for (entry, at) in all.in_use.iter_mut().zip(&lowest) {
        entry.output = Some(*at);
    }
    let scene = Scene::build(&all, trial);
    let wanted = Wanted::of(&scene, Legs::FIRST);
    let mut plain = meet_plainly(&scene, wanted);
    plain.retain(|one| one.concerns_us(&scene));
    let by = |at: &&Frequency| plain.iter().any(|one| one.line.frequency == **at);
    assert!(by(&&lowest[0]), "{lowest:?}");
    let fast = Standing::of(std::slice::from_ref(&scene));
    let fast = fast.gather(&scene).meet(wanted);
    assert_eq!(format!("{fast:?}"), format!("{plain:?}"));
}
