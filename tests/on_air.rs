//! Who is on the air together, from a scenario file to what meets whom.

use quietpair::emissions::Source;
use quietpair::encounter::{Encounter, meet};
use quietpair::scenario::{Legs, NoFiles, Plan, read};
use quietpair::scene::{Scene, Trial};

/// A relay, a user on either side, a second user of the 70 cm side, and two neighbours of whom one goes home before the event,
/// and two receivers where the relay's 2 m side mixes with either.
const PLAN: &str = "
event: {name: Test, from: '2027-05-16T08:00+01:00[Europe/London]', to: '2027-05-16T15:00+01:00[Europe/London]'}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  town: {at: [54.4200, -0.5400], ground: 60 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}
  - {name: One, site: town, radio: handheld, via: Relay, leg: 70cm}
  - {name: Two, site: town, radio: handheld, via: Relay, leg: 70cm}
  - {name: Control, site: town, radio: dual-band-mobile, via: Relay, leg: 2m}
in_use:
  - {name: Early, service: amateur, frequency: 145.0375, mode: fm, eirp: 50 W, at: [54.4160, -0.5330], windows: [{from: '2027-05-16T05:00+01:00[Europe/London]', to: '2027-05-16T07:00+01:00[Europe/London]'}]}
  - {name: Late, service: amateur, frequency: 145.6125, mode: fm, eirp: 50 W, at: [54.4160, -0.5330]}
  - {name: Low, service: amateur, frequency: 144.8375, mode: fm, receives_only: yes, at: [54.4160, -0.5330]}
  - {name: High, service: amateur, frequency: 145.4125, mode: fm, receives_only: yes, at: [54.4160, -0.5330]}
  - {name: Between, service: unknown, frequency: 288.2250, mode: fm, receives_only: yes, at: [54.4190, -0.5380]}
proposals:
  - {name: A, station: Relay, cross_band: [433.4500, 145.2250]}
";

fn plan(text: &str) -> Plan {
    match read("test.yaml", text.as_bytes(), &NoFiles) {
        Ok(plan) => plan,
        Err(error) => panic!("{error}"),
    }
}

/// The names of the transmitters behind an encounter, and of its victim.
fn names(scene: &Scene<'_>, encounter: &Encounter) -> (Vec<String>, String) {
    let sources = encounter
        .line
        .terms
        .iter()
        .filter_map(|&(source, _)| match source {
            Source::Transmitter(index) => Some(scene.transmitters.get(index).unwrap().name.clone()),
            Source::Oscillator(_) | Source::Reference(_) => None,
        })
        .collect();
    (
        sources,
        scene
            .receivers
            .get(encounter.receiver)
            .unwrap()
            .name
            .clone(),
    )
}

fn all_encounters(plan: &Plan) -> Vec<(Vec<String>, String)> {
    let scene = Scene::build(plan, Some(Trial::whole(&plan.proposals[0])));
    [Legs::NONE, Legs::FIRST, Legs::SECOND, Legs::BOTH]
        .into_iter()
        .flat_map(|focus| meet(&scene, focus))
        .map(|encounter| names(&scene, &encounter))
        .filter(|(sources, victim)| sources.iter().chain([victim]).any(|name| is_ours(name)))
        .collect()
}

/// What others do to each other is not looked at here.
fn is_ours(name: &str) -> bool {
    ["Relay", "One", "Two", "Control"]
        .iter()
        .any(|ours| name.starts_with(ours))
}

fn are_together(found: &[(Vec<String>, String)], one: &str, other: &str) -> bool {
    found.iter().any(|(sources, _)| {
        let has = |name: &str| sources.iter().any(|source| source.starts_with(name));
        has(one) && has(other)
    })
}

#[test]
fn the_two_sides_of_a_half_duplex_relay_make_no_product_together() {
    let found = all_encounters(&plan(PLAN));
    assert!(!are_together(&found, "Relay, 2m", "Relay, 70cm"));
    // The scene is crowded enough for the check to mean something.
    assert!(are_together(&found, "Relay, 2m", "Late"));
}

#[test]
fn the_listening_side_of_a_relay_is_judged_while_the_other_side_sends() {
    let text = PLAN.replace("[433.4500, 145.2250]", "[435.6750, 145.2250]");
    let found = all_encounters(&plan(&text));
    assert!(found.iter().any(|(sources, victim)| {
        sources.as_slice() == ["Relay, 2m side"] && victim == "Relay, 70cm side"
    }));
}

#[test]
fn a_side_is_never_judged_against_its_own_carrier() {
    let found = all_encounters(&plan(PLAN));
    for side in ["Relay, 2m side", "Relay, 70cm side"] {
        assert!(
            !found
                .iter()
                .any(|(sources, victim)| victim == side && sources.iter().any(|one| one == side))
        );
    }
}

#[test]
fn two_talkers_of_one_channel_are_never_on_the_air_together() {
    let found = all_encounters(&plan(PLAN));
    assert!(!are_together(&found, "One", "Two"));
    // 433.4500 − 145.2250 is heard between the bands: from a talker and the relay it keys, never from two talkers.
    assert!(are_together(&found, "One", "Relay, 2m"));
    assert!(!are_together(&found, "One", "Control"));
    assert!(are_together(&found, "One", "Late") || are_together(&found, "Control", "Late"));
}

#[test]
fn a_neighbour_whose_hours_never_meet_the_event_does_not_count() {
    let found = all_encounters(&plan(PLAN));
    let is_early = |name: &str| name.contains("Early");
    assert!(
        !found
            .iter()
            .any(|(sources, victim)| sources.iter().any(|one| is_early(one)) || is_early(victim))
    );
    let always = PLAN.replace("05:00", "09:00").replace("T07:00", "T12:00");
    let found = all_encounters(&plan(&always));
    assert!(
        found
            .iter()
            .any(|(sources, _)| sources.iter().any(|one| is_early(one)))
    );
}
