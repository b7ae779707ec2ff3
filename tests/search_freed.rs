//! Why nothing is safe: the fewest without whom something would be, against trying everybody who could go.

use quietpair::assess::Verdict;
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::search::{Answer, Question, Supposed, answer};

/// A station to search for, one that talks, and neighbours whose channels are searched.
fn plan(search: &str) -> Plan {
    read_plan(&text(search))
}

fn read_plan(text: &str) -> Plan {
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

fn text(search: &str) -> String {
    format!(
        "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile}}
  - {{name: Packet, site: hill, radio: mobile-2m, power: low, antenna: {{offset: {{east: 300 m, north: 0 m}}}}, talk: 145.3000}}
in_use:
  - {{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m, listeners: {{nearest: 40 km}}}}
  - {{name: Coast, output: 433.2250, input: 434.8250, erp: 20 W, at: [54.2797, -0.4113], antenna: 18 m, listeners: {{nearest: 40 km}}}}
  - {{name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {{nearest: 40 km}}}}
search:
  - {{name: it, station: Relay, {search}, step: 12.5 kHz}}
"
    )
}

const OTHERS: [&str; 4] = ["Town", "Coast", "Gateway", "Packet"];

fn answered(plan: &Plan, without: &[&str], wants_freed: bool) -> Answer {
    let without = without.iter().map(|name| (*name).to_owned());
    let question = Question {
        top: 100,
        is_every: true,
        wants_freed,
        suppose: without.map(Supposed::Without).collect(),
        ..Question::default()
    };
    answer(plan, &plan.searches[0], &question)
}

fn is_anything_safe(answer: &Answer) -> bool {
    let rows = &answer.ranking.rows;
    rows.iter().any(|row| row.verdict != Verdict::Conflict)
}

/// How many of the others must go at least until something is safe, by trying every set of them.
fn fewest(plan: &Plan) -> usize {
    let sets = 0..1_u32 << OTHERS.len();
    let chosen = |set: u32| -> Vec<&str> {
        let all = OTHERS.iter().enumerate();
        let taken = all.filter(|(index, _)| set & (1 << index) != 0);
        taken.map(|(_, name)| *name).collect()
    };
    sets.map(chosen)
        .filter(|without| is_anything_safe(&answered(plan, without, false)))
        .map(|without| without.len())
        .min()
        .unwrap()
}

#[track_caller]
fn assert_freed(search: &str) -> Vec<String> {
    assert_freed_in(&plan(search))
}

#[track_caller]
fn assert_freed_in(plan: &Plan) -> Vec<String> {
    let answer = answered(plan, &[], true);
    assert!(!is_anything_safe(&answer));
    let freed = answer.freed.unwrap();
    assert!(freed.is_fewest);
    let without: Vec<&str> = freed.without.iter().map(String::as_str).collect();
    let then = answered(plan, &without, false);
    let row = then.ranking.rows.iter().find(|row| row.legs == freed.legs);
    assert!(row.is_some_and(|row| row.verdict != Verdict::Conflict));
    assert_eq!(without.len(), fewest(plan), "{without:?}");
    freed.without
}

#[test]
fn for_one_channel_on_that_of_a_neighbour_the_neighbour_must_go() {
    assert_eq!(assert_freed("talk: 145.0500"), ["Town"]);
    let without = assert_freed("watch: 145.2750");
    assert!(without.iter().any(|one| one == "Gateway"));
}

#[test]
fn of_several_channels_the_one_is_named_that_needs_the_fewest_to_go() {
    assert_freed("talk: [145.0500, 145.0375, 145.0625]");
}

#[test]
fn for_a_pair_those_on_either_leg_must_go() {
    let without = assert_freed("cross_band: [433.2250, 145.6500]");
    assert!(
        ["Coast", "Town"]
            .iter()
            .all(|name| without.iter().any(|one| one == name))
    );
}

#[test]
fn for_a_pair_with_a_leg_on_a_channel_that_the_plan_talks_on_it_is_so_too() {
    assert_freed("cross_band: [433.2250, 145.3000]");
    assert_freed("cross_band: [433.2250, [145.3000, 145.6500]]");
}

#[test]
fn nobody_is_named_where_nobody_asked_or_something_is_safe() {
    let refused = plan("talk: 145.0500");
    assert_eq!(answered(&refused, &[], false).freed, None);
    let open = plan("watch: [145.6500, 436.2000]");
    let answer = answered(&open, &[], true);
    assert!(is_anything_safe(&answer));
    assert_eq!(answer.freed, None);
}

/// Ten metres from somebody who talks no channel is quiet. Of so many only the least bad are looked at; that nobody need go is out of the
/// question, so one is the fewest all the same, and of two that is not known.
#[test]
fn of_more_channels_than_are_looked_at_one_who_must_go_is_the_fewest_and_two_may_not_be() {
    let near = |more: &str| {
        let text = format!(
            "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {{name: Ear, site: hill, radio: mobile-2m}}
  - {{name: Packet, site: hill, radio: mobile-2m, antenna: {{offset: {{east: 10 m, north: 0 m}}}}, talk: 144.3000}}
{more}search:
  - {{name: it, station: Ear, watch: 145.0000-145.9000, step: 12.5 kHz}}
"
        );
        read_plan(&text)
    };
    let freed = |plan: &Plan| {
        let answer = answered(plan, &[], true);
        assert!(!is_anything_safe(&answer));
        assert_eq!(answer.ranking.considered, 73);
        let freed = answer.freed.unwrap();
        assert_eq!(freed.looked_at, 64);
        let without: Vec<&str> = freed.without.iter().map(String::as_str).collect();
        assert!(is_anything_safe(&answered(plan, &without, false)));
        (freed.is_fewest, freed.without.len())
    };
    assert_eq!(freed(&near("")), (true, 1));
    let other = "  - {name: Other, site: hill, radio: mobile-2m, antenna: {offset: {east: 0 m, north: 10 m}}, talk: 144.5000}\n";
    assert_eq!(freed(&near(other)), (false, 2));
}
