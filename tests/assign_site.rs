//! A least distance between all that is used at one site: whose frequencies count, and what the plan has there already.

use quietpair::quantity::Frequency;
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::search::assign::{Assignment, assign};

/// A relay on the hill and two talkers in the field; `FIELD` and `HILL` are stations to come.
const PLAN: &str = "
event: {name: Test}
rules: [uk]
licence: full
settings: {order: 3}
absent: [marine, marine-distress]
sites:
  hill: {at: [54.4150, -0.5320]}
  field: {at: [54.4240, -0.5320]}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: low, control: attended}
  - {name: Base, site: field, radio: mobile-2m, power: low}
  - {name: Car, site: field, radio: mobile-2m, power: low, antenna: {offset: {east: 300 m, north: 0 m}}}
  - {name: Desk, site: DESK, radio: dual-band-mobile, power: low, antenna: {offset: {east: 0 m, north: 200 m}}, via: WAY}
MORE
in_use:
  - {name: Town repeater, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43]}
";

fn plan(desk: &str, way: &str, more: &str, rest: &str) -> Plan {
    let text = PLAN
        .replace("DESK", desk)
        .replace("WAY", way)
        .replace("MORE\n", more);
    read("test.yaml", format!("{text}{rest}").as_bytes(), &NoFiles)
        .unwrap_or_else(|error| panic!("{error}"))
}

fn assigned(plan: &Plan) -> Assignment {
    assign(plan, plan.assign.as_ref().unwrap(), &|| false)
}

/// The frequencies given, channel by channel; none where nothing holds.
fn given(plan: &Plan) -> Option<Vec<Frequency>> {
    let found = assigned(plan).found?;
    Some(found.given.into_iter().flat_map(|one| one.legs).collect())
}

fn pair(by: &str, first: &str, second: &str, field: &str) -> String {
    format!(
        "
assign:
  channels:
    - {{name: Pair, stations: [Relay], cross_band: [{first}, {second}], step: 12.5 kHz}}
    - {{name: Field, stations: [Base, Car], talk: {field}, step: 12.5 kHz}}
  apart: [{{site: field, by: {by}}}]
"
    )
}

#[test]
fn the_leg_by_which_somebody_there_works_through_a_relay_keeps_the_distance() {
    let open = |by: &str| pair(by, "433.4500", "145.2000-145.3000", "145.2000-145.3000");
    let there = given(&plan("field", "Relay, leg: 2m", "", &open("100 kHz"))).unwrap();
    assert_eq!((there[1] - there[2]).abs().as_hz(), 100_000);
    let beyond = assigned(&plan("field", "Relay, leg: 2m", "", &open("100.001 kHz")));
    assert_eq!(
        beyond.contradiction.unwrap().asked.last().unwrap(),
        "100.001 kHz between the channels at field"
    );
    // The other leg is not used there, nor is this one where its user stands on the hill.
    let open = open("100.001 kHz");
    assert!(given(&plan("field", "Relay, leg: 70cm", "", &open)).is_some());
    assert!(given(&plan("hill", "Relay, leg: 2m", "", &open)).is_some());
    assert!(given(&plan("field", "Town repeater", "", &open)).is_some());
}

#[test]
fn a_channel_keeps_the_distance_from_what_is_said_and_heard_there_already() {
    let third = "  - {name: Stall, site: SITE, radio: mobile-2m, power: low, antenna: {offset: {east: 0 m, north: -300 m}}, talk: 145.3000}\n";
    let at = |site: &str, by: &str, field: &str| {
        let open = pair(by, "433.4500", "145.4500", field);
        let more = third.replace("SITE", site);
        given(&plan("field", "Relay, leg: 70cm", &more, &open)).is_some()
    };
    assert!(at("field", "50 kHz", "145.3500"));
    assert!(!at("field", "50.001 kHz", "145.3500"));
    assert!(!at("field", "50.001 kHz", "145.2500"));
    assert!(at("hill", "50.001 kHz", "145.3500"));
}

#[test]
fn a_user_of_a_repeater_of_others_is_on_both_of_its_frequencies() {
    let at = |desk: &str, by: &str, field: &str| {
        let open = pair(by, "433.4500", "145.4500", field);
        given(&plan(desk, "Town repeater", "", &open)).is_some()
    };
    for field in ["145.6000", "145.1000"] {
        assert!(at("field", "50 kHz", field), "{field}");
        assert!(!at("field", "50.001 kHz", field), "{field}");
        assert!(at("hill", "50.001 kHz", field), "{field}");
    }
}

#[test]
fn a_channel_that_the_plan_talks_on_is_not_given_to_who_talks_but_to_who_listens() {
    let third = "  - {name: Stall, site: hill, radio: mobile-2m, power: low, antenna: {offset: {east: 0 m, north: -300 m}}, talk: 145.3000}\n";
    let open = |kind: &str| {
        format!(
            "
assign:
  channels:
    - {{name: Field, stations: [Base], {kind}: [145.3000]}}
"
        )
    };
    let talk = assigned(&plan("field", "Town repeater", third, &open("talk")));
    let contradiction = talk.contradiction.unwrap();
    assert!(contradiction.is_smallest);
    assert_eq!(
        contradiction.asked,
        [
            "Field on 145.3000 MHz",
            "no channel that the plan talks on already"
        ]
    );
    let listening = given(&plan("field", "Town repeater", third, &open("watch"))).unwrap();
    assert_eq!(listening[0].as_hz(), 145_300_000);
}
