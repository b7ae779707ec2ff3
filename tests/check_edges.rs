//! Where a check of the net or of the law begins, ends or says something else: small plans, one for each edge.

use std::io;

use quietpair::assess::assess;
use quietpair::checks::{Situation, every};
use quietpair::finding::{Finding, Severity};
use quietpair::quantity::Bandwidth;
use quietpair::scenario::{Files, Legs, Plan, read};
use quietpair::scene::Scene;

/// A pack beside the scenario, of rules that no real one has.
const OWN: &str = "pack: own
title: A pack of our own
kind: local
jurisdiction: Nowhere
edition: of today
checked: 2026-11-25
sources:
  habit: {text: A habit, standing: published}
rules:
  - {id: names, demand: {identify: {minutes: 5}}, force: note, says: names every five minutes, source: habit}
";

struct Beside;

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        if path.ends_with("own.yaml") {
            Ok(OWN.into())
        } else {
            Err(io::ErrorKind::NotFound.into())
        }
    }
}

fn plan_under(rules: &str, rest: &str) -> Plan {
    let text = format!(
        "event: {{name: Test}}
{rules}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
  field: {{at: [54.4200, -0.5320], ground: 118 m}}
{rest}"
    );
    read("test.yaml", text.as_bytes(), &Beside).unwrap_or_else(|error| panic!("{error}"))
}

fn plan(rest: &str) -> Plan {
    plan_under("rules: [uk]\nlicence: full", rest)
}

/// What one check finds in a plan as it stands.
fn found(plan: &Plan, check: &str) -> Vec<Finding> {
    let scene = Scene::build(plan, None);
    let situation = Situation::new(&scene, None, Legs::NONE);
    let mut found = Vec::new();
    let check = every().find(|one| one.topic.id == check).unwrap();
    (check.run)(&situation, &mut found);
    found
}

fn says(found: &[Finding]) -> Vec<&str> {
    found.iter().map(|one| one.says.as_str()).collect()
}

#[test]
fn where_a_licence_opens_no_band_the_nearest_one_is_named() {
    let plan = plan("stations:\n  - {name: Car, site: hill, radio: mobile-2m, talk: 147.0000}\n");
    let found = found(&plan, "purpose");
    let told = "Car on 147.0000 MHz: the licence opens no band here";
    assert_eq!(says(&found), [told]);
    assert_eq!(
        found[0].arithmetic,
        "the nearest band is 144.0000–146.0000 MHz"
    );
    assert_eq!(found[0].severity, Severity::Conflict);
}

/// 47 CFR 97.305 (from memory): from 144.0 to 144.1 MHz Morse only.
#[test]
fn where_only_some_classes_of_emission_are_open_they_are_named() {
    let plan = plan_under(
        "rules: [us]\nlicence: general",
        "stations:\n  - {name: Car, site: hill, radio: mobile-2m, talk: 144.0500}\n",
    );
    let found = found(&plan, "emission-width");
    let of_class: Vec<&Finding> = found
        .iter()
        .filter(|one| one.says.ends_with("and only A1A, A1B is open"))
        .collect();
    let [one] = &of_class[..] else {
        panic!("{:?}", says(&found));
    };
    assert!(
        one.says.starts_with("Car on 144.0500 MHz sends 16K0F3E"),
        "{}",
        one.says
    );
    assert_eq!(one.remedies[0].text, "send A1A or A1B, or move");
    assert_eq!(one.width.map(Bandwidth::as_hz), Some(16_000));
}

/// 47 CFR 97.205 and 97.201 (from memory): from 145.5 to 145.8 MHz no repeater, but an auxiliary station.
#[test]
fn a_use_that_is_lawful_by_one_reading_only_is_told_with_that_reading() {
    let plan = plan_under(
        "rules: [us]\nlicence: general",
        "stations:\n  - {name: Hill, site: hill, radio: dual-band-mobile, cross_band: [446.1000, 145.6000]}\n",
    );
    let found = found(&plan, "purpose");
    let told = says(&found);
    assert!(
        told.iter()
            .any(|one| one.starts_with("Hill, 2m side on 145.6000 MHz")
                || one.starts_with("Hill on 145.6000 MHz")),
        "{told:?}"
    );
    assert!(
        told.iter().any(|one| one.ends_with("counts as auxiliary")),
        "{told:?}"
    );
}

#[test]
fn of_two_packs_the_shorter_time_between_call_signs_is_told() {
    for rules in ["[uk, own.yaml]", "[own.yaml, uk]"] {
        let plan = plan_under(
            &format!("rules: {rules}\nlicence: full"),
            "stations:\n  - {name: Car, site: hill, radio: mobile-2m, talk: 145.4500}\n",
        );
        let found = found(&plan, "identification");
        assert_eq!(says(&found), ["Car: call signs at least every 5 minutes"]);
    }
    let alone = plan("stations:\n  - {name: Car, site: hill, radio: mobile-2m, talk: 145.4500}\n");
    let found = found(&alone, "identification");
    assert_eq!(says(&found), ["Car: call signs at least every 15 minutes"]);
}

/// 50 W over a dipole are 10 W above what may be radiated between 430 and 432 MHz; behind a filter that takes 3 dB they are 25 W.
#[test]
fn what_a_filter_takes_of_the_carrier_is_not_radiated() {
    let with = |filters: &str| {
        let plan = plan(&format!(
            "stations:\n  - {{name: Base, site: hill, radio: dual-band-mobile, power: 50 W, antenna: {{gain: 2.15 dBi, feeder: 0 dB}}, {filters}talk: 430.5000}}\n"
        ));
        let found = found(&plan, "power-limit");
        found.iter().any(|one| one.severity == Severity::Conflict)
    };
    assert!(with(""));
    assert!(!with(
        "filters: [{name: cavity, at: 430-431 MHz, loss: 3 dB}], "
    ));
    // A filter for something else leaves the carrier as it is.
    assert!(with(
        "filters: [{name: notch, at: 860-862 MHz, loss: 30 dB}], "
    ));
}

/// A relay and some of its users on one side of it, too far from each other to be heard; each hears the relay only.
fn relayed(users: usize) -> Plan {
    let users: Vec<String> = (1..=users)
        .map(|one| {
            format!("  - {{name: U{one}, site: field, radio: handheld, via: Hill, leg: 70cm}}\n")
        })
        .collect();
    plan(&format!(
        "stations:
  - {{name: Hill, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250], antenna: {{height: 10 m}}}}
  - {{name: Desk, site: field, radio: dual-band-mobile, via: Hill, leg: 2m}}
{}",
        users.concat()
    ))
}

#[test]
fn six_lost_ways_are_all_named_and_of_more_there_are_dots() {
    // The users of one side hear each other; each of them and the desk on the other lose two ways, there and back.
    for (users, lost, is_cut) in [(1, 2, false), (3, 6, false), (4, 8, true)] {
        let found = found(&relayed(users), "single-point");
        let [one] = &found[..] else {
            panic!("{:?}", says(&found));
        };
        let told = format!("if Hill fails, {lost} ways between our operators are lost");
        assert_eq!(one.says, told);
        assert_eq!(one.arithmetic.matches('→').count(), lost.min(6));
        assert_eq!(one.arithmetic.ends_with(", …"), is_cut);
    }
}

/// Users of a relay that stands, hidden from each other and lost without it, and another relay that is only proposed.
#[test]
fn what_is_so_of_a_relay_that_stands_is_told_of_the_plan_and_not_of_what_is_proposed_beside_it() {
    let plan = plan_under(
        "rules: [uk]\nlicence: full",
        "  east: {at: [54.4150, -0.2500], ground: 20 m}
  west: {at: [54.4150, -0.8200], ground: 20 m}
stations:
  - {name: Hill, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250], tone: 77.0, antenna: {height: 10 m}}
  - {name: East, site: east, radio: handheld, talk: 433.4500, tone: 77.0}
  - {name: West, site: west, radio: handheld, talk: 433.4500, tone: 77.0}
  - {name: Desk, site: field, radio: dual-band-mobile, via: Hill, leg: 2m}
  - {name: Second, site: field, radio: dual-band-mobile, antenna: {offset: {east: 100 m, north: 0 m}}}
  - {name: Guest, site: field, radio: handheld, via: Second, leg: 70cm}
proposals:
  - {name: it, station: Second, cross_band: [433.5500, 145.3500]}
",
    );
    let assessment = assess(&plan);
    let of = |found: &[Finding], check: &str| {
        let about = |one: &&Finding| one.check == check && one.says.contains("Hill");
        found.iter().filter(about).count()
    };
    for check in ["hidden-user", "single-point"] {
        assert_eq!(of(&assessment.plan.findings, check), 1, "{check}");
        assert_eq!(of(&assessment.proposals[0].findings, check), 0, "{check}");
    }
}

#[test]
fn who_is_heard_and_hears_nobody_is_told_so_whichever_of_the_two_is_meant() {
    // One waits for a tone that the other does not send.
    let way = |first: &str, second: &str| {
        let plan = plan(&format!(
            "stations:
  - {{name: Course, site: hill, radio: dual-band-mobile, {first}, needs: [medical]}}
  - {{name: Doctor, site: field, radio: dual-band-mobile, {second}, role: medical}}
"
        ));
        let found = found(&plan, "unreachable");
        assert!(found.len() < 2);
        let one = found.first();
        one.map(|one| (one.severity, one.says.clone()))
    };
    let (open, closed) = ("talk: 145.4500", "talk: 145.4500, tone: 77.0");
    assert_eq!(way(open, open), None);
    assert_eq!(way(closed, closed), None);
    let told = |text: &str| Some((Severity::Conflict, text.to_owned()));
    assert_eq!(
        way(open, closed),
        told("Course hears Doctor, but has no way to answer")
    );
    assert_eq!(
        way(closed, open),
        told("Doctor hears Course, but has no way to answer")
    );
}

#[test]
fn who_only_would_listen_elsewhere_is_told_nothing_of_needs() {
    let plan = plan(
        "stations:
  - {name: Course, site: hill, radio: dual-band-mobile, talk: 145.4500, needs: [medical]}
  - {name: Doctor, site: field, radio: dual-band-mobile, talk: 145.5500, role: medical}
proposals:
  - {name: ear, station: Doctor, watch: 145.6500}
  - {name: voice, station: Doctor, talk: 145.5250}
",
    );
    let assessment = assess(&plan);
    let count = |found: &[Finding]| {
        let unmet = found.iter().filter(|one| one.check == "unreachable");
        unmet.count()
    };
    assert_eq!(count(&assessment.plan.findings), 1);
    assert_eq!(count(&assessment.proposals[0].findings), 0);
    assert_eq!(count(&assessment.proposals[1].findings), 1);
}

/// So many pairs of relays that key each other, each pair on channels of its own.
fn circles(pairs: i64) -> Vec<Finding> {
    let stations: Vec<String> = (0..pairs)
        .flat_map(|pair| ["A", "B"].map(|name| (pair, name)))
        .map(|(pair, name)| {
            format!(
                "  - {{name: {name}{pair}, site: hill, radio: dual-band-mobile, power: low, cross_band: [{} Hz, {} Hz]}}\n",
                433_000_000 + 100_000 * pair,
                145_000_000 + 25_000 * pair
            )
        })
        .collect();
    found(
        &plan(&format!("stations:\n{}", stations.concat())),
        "repeat-loop",
    )
}

#[test]
fn ten_circles_are_all_told_and_of_more_the_shortest_ten_with_a_word_on_the_rest() {
    let of_one = circles(1).len();
    assert!(of_one > 0 && 10 % of_one == 0, "{of_one}");
    let is_cut = |one: &Finding| {
        let mut assumed = one.assumed.iter();
        assumed.any(|text| text.starts_with("more loops than are shown"))
    };
    let ten = i64::try_from(10 / of_one).unwrap();
    let found = circles(ten);
    assert_eq!(found.len(), 10);
    assert!(!found.iter().any(is_cut));
    let found = circles(ten + 1);
    assert_eq!(found.len(), 10);
    assert!(found.iter().all(is_cut));
}

#[test]
fn that_the_mains_were_supposed_is_said_where_nobody_stated_them() {
    let hum = |settings: &str| {
        let plan = plan(&format!(
            "settings: {{{settings}}}
stations:
  - {{name: Base, site: hill, radio: mobile-2m, talk: 145.4500, tone: 100.0}}
"
        ));
        let found = found(&plan, "tone-close");
        let of_hum: Vec<bool> = found
            .iter()
            .filter(|one| one.why.starts_with("hum"))
            .map(|one| {
                let mut assumed = one.assumed.iter();
                assumed.any(|text| text.starts_with("mains of 50 or 60 Hz"))
            })
            .collect();
        of_hum
    };
    assert_eq!(hum(""), [true]);
    assert_eq!(hum("mains: 50 Hz"), [false]);
    assert!(hum("mains: 60 Hz").is_empty());
}

/// On the very edge with no tolerance half of the emission is outside: there is no narrower one that would fit.
#[test]
fn an_emission_that_no_narrowing_would_fit_is_not_to_be_narrowed() {
    let narrowed = |on: &str| {
        let plan = plan(&format!(
            "radios: {{exact: {{based_on: mobile-2m, transmitter: {{tolerance: 0 ppm}}}}}}
stations:
  - {{name: Car, site: hill, radio: exact, talk: {on}}}
"
        ));
        let found = found(&plan, "band-edge");
        let [one] = &found[..] else {
            panic!("{:?}", says(&found));
        };
        let narrower = |text: &str| text.starts_with("use an emission at most");
        let mut remedies = one.remedies.iter();
        remedies
            .find(|one| narrower(&one.text))
            .map(|one| one.text.clone())
    };
    assert_eq!(narrowed("144.0000"), None);
    let told = narrowed("144.0010");
    assert_eq!(told.as_deref(), Some("use an emission at most 2 kHz wide"));
}

#[test]
fn on_a_watched_output_of_several_the_one_that_is_meant_is_told_with_what_is_proposed_too() {
    let plan = plan(
        "settings: {reserve: 60 dB}
stations:
  - {name: Ear, site: hill, radio: mobile-2m}
  - {name: Other, site: hill, radio: mobile-2m, antenna: {offset: {east: 900 m, north: 0 m}}, talk: 144.5000}
in_use:
  - {name: Near, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.3400, -0.5320]}
  - {name: Far, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.2000, -0.5320]}
proposals:
  - {name: ear, station: Ear, watch: 145.6500}
",
    );
    let told = &assess(&plan).proposals[0].findings;
    let heard: Vec<&Finding> = told.iter().filter(|one| one.check == "service").collect();
    let meant = "of 2 on 145.6500 MHz, Near is the one that Ear listens to, as it arrives strongest; `wanted:` names another";
    assert!(!heard.is_empty());
    for one in heard {
        assert!(one.assumed.iter().any(|text| text == meant), "{one:#?}");
    }
}

/// Of a relay each way rests on one leg: with what is proposed it is told once, and those among the others with the plan.
#[test]
fn each_weak_way_of_a_relay_that_is_proposed_is_told_once() {
    let plan = plan(
        "settings: {reserve: 60 dB}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Control, site: field, radio: dual-band-mobile, via: Relay, leg: 2m}
  - {name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm}
  - {name: Ear, site: field, radio: mobile-2m, antenna: {offset: {east: 900 m, north: 0 m}}, watch: 145.6500}
in_use:
  - {name: Near, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.3400, -0.5320]}
proposals:
  - {name: pair, station: Relay, cross_band: [433.4500, 145.2250]}
",
    );
    let told = &assess(&plan).proposals[0].findings;
    let weak = told.iter().filter(|one| one.check == "service");
    let weak: Vec<&str> = weak
        .map(|one| one.says.as_str())
        .filter(|says| says.ends_with(" on a good one"))
        .collect();
    let mut once = weak.clone();
    once.sort_unstable();
    once.dedup();
    assert!(once.len() > 2 && weak.len() == once.len(), "{weak:#?}");
}
