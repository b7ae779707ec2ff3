//! A search for one channel over more places than are asked for at once: what is shown of it, what is told as alike, and what is
//! weighed, against all of its rows.

use std::collections::{BTreeMap, BTreeSet};

use quietpair::assess::Verdict;
use quietpair::quantity::{Decibels, Frequency};
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::search::{Answer, Question, Row, answer};

const STEP: i64 = 12_500;

/// Somebody who would listen between 430 and 436.25 MHz, beside talkers whose third harmonics lie there: 501 channels.
fn plan() -> Plan {
    let text = "
event: {name: Test}
rules: [uk]
licence: full
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Talker, site: hill, radio: dual-band-mobile, power: low, talk: 144.5000}
  - {name: Other, site: hill, radio: dual-band-mobile, power: low, antenna: {offset: {east: 300 m, north: 0 m}}, talk: 145.2500}
  - {name: Ear, site: hill, radio: dual-band-mobile, antenna: {offset: {east: 0 m, north: 300 m}}}
search:
  - {name: it, station: Ear, watch: 430.0000-436.2500, step: 12.5 kHz}
";
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

fn answered(plan: &Plan, question: &Question) -> Answer {
    answer(plan, &plan.searches[0], question)
}

fn every(plan: &Plan, top: usize) -> Vec<Row> {
    let question = Question {
        top,
        is_every: true,
        ..Question::default()
    };
    answered(plan, &question).ranking.rows
}

/// What rows that are told as one have in common: verdict, step of the margin, a caution, liking and what limits them.
fn likeness(row: &Row) -> (Verdict, Option<i64>, bool, i32, &str) {
    let rung = |margin: Decibels| -> i64 {
        let steps = (margin.as_db() / 6.0).floor();
        format!("{steps:.0}").parse().unwrap()
    };
    let is_safe = row.verdict != Verdict::Conflict;
    (
        row.verdict.min(Verdict::Caution),
        row.worst_margin.map(rung),
        is_safe && row.cautions > 0,
        row.preference,
        &row.limit,
    )
}

/// Runs of channels one step apart that are alike, by their first channel.
fn runs(rows: &[Row]) -> Vec<BTreeSet<i64>> {
    let by_channel: BTreeMap<i64, &Row> =
        rows.iter().map(|row| (row.legs[0].as_hz(), row)).collect();
    let mut runs: Vec<BTreeSet<i64>> = Vec::new();
    for (&channel, row) in &by_channel {
        let before = by_channel.get(&(channel - STEP));
        let is_alike = before.is_some_and(|before| likeness(before) == likeness(row));
        if let Some(run) = runs.last_mut().filter(|_| is_alike) {
            run.insert(channel);
        } else {
            runs.push(BTreeSet::from([channel]));
        }
    }
    runs
}

#[test]
fn few_rows_are_the_first_of_all_and_what_is_told_as_alike_is_alike_in_all() {
    let plan = plan();
    let all = every(&plan, 1_000);
    let safe = all.iter().filter(|row| row.verdict != Verdict::Conflict);
    // More than are asked for at first.
    assert!(safe.count() > 300, "{}", all.len());
    for top in [1, 3, 40] {
        assert_eq!(every(&plan, top), all[..top], "{top}");
    }
    let runs = runs(&all);
    for top in [1, 4, 1_000] {
        let question = Question {
            top,
            ..Question::default()
        };
        let answer = answered(&plan, &question);
        assert_eq!(answer.groups.len(), answer.ranking.rows.len());
        assert!(answer.groups.len() <= top && !answer.groups.is_empty());
        let mut told = 0;
        for (row, group) in answer.ranking.rows.iter().zip(&answer.groups) {
            let channel = row.legs[0].as_hz();
            let run = runs.iter().find(|run| run.contains(&channel)).unwrap();
            let [extent] = &group.extent[..] else {
                panic!("{group:?}");
            };
            if group.is_whole {
                assert_eq!(group.alike, run.len(), "{group:?}");
                assert_eq!(Some(&extent.low.as_hz()), run.first());
                assert_eq!(Some(&extent.high.as_hz()), run.last());
            } else {
                assert!(group.alike <= run.len(), "{group:?}");
                assert!(run.contains(&extent.low.as_hz()) && run.contains(&extent.high.as_hz()));
            }
            told += group.alike;
        }
        if top == 1_000 {
            assert!(answer.groups.iter().all(|group| group.is_whole));
            assert_eq!(told, all.len());
            assert_eq!(answer.groups.len(), runs.len());
        }
    }
}

/// The first of those alike is the one that is easiest to live with: first those far from anybody's channel, then round ones.
#[test]
fn of_channels_that_are_alike_a_round_one_is_shown() {
    let plan = plan();
    let rows = every(&plan, 1_000);
    let first = &rows[0];
    assert_eq!(first.legs[0].as_hz() % 25_000, 0, "{first:?}");
    let alike: Vec<&Row> = rows
        .iter()
        .take_while(|row| {
            let (one, other) = (likeness(first), likeness(row));
            (one.0, one.1, one.2, one.3) == (other.0, other.1, other.2, other.3)
                && row.cautions == first.cautions
        })
        .collect();
    let talked = [144_500_000, 145_250_000];
    let key = |row: &Row| -> (bool, Frequency) {
        let channel = row.legs[0];
        let is_far = |own: &i64| (channel - Frequency::hz(*own)).abs().as_hz() > 1_000_000;
        assert!(talked.iter().all(is_far));
        (channel.as_hz() % 25_000 != 0, channel)
    };
    let keys: Vec<(bool, Frequency)> = alike.iter().map(|row| key(row)).collect();
    assert!(keys.len() > 10 && keys.is_sorted(), "{keys:?}");
}

#[test]
fn of_very_many_that_are_safe_the_first_256_are_weighed_and_it_is_said_that_there_are_more() {
    let plan = plan();
    let question = Question {
        top: 1,
        is_every: true,
        wants_front: true,
        ..Question::default()
    };
    let front = answered(&plan, &question).front.unwrap();
    assert!(!front.is_all);
    assert_eq!(front.weighed, 256);
    assert!(!front.points.is_empty());
}

/// Somebody who would listen on very many channels where nothing is heard, and four clubs far beyond the horizon on some of them.
fn quiet(search: &str) -> Plan {
    let clubs = [430_006, 431_006, 432_006, 433_006].map(|khz| {
        format!("  - {{name: Club {khz}, frequency: {khz} kHz, power: 1 W, at: [50.10, -5.30]}}\n")
    });
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
  - {{name: Ear, site: hill, radio: dual-band-mobile}}
in_use:
{}search:
  - {{name: it, station: Ear, {search}}}
",
        clubs.concat()
    );
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

/// A megahertz above the highest club: of all that are alike the lowest round one as far from anybody's frequency as it matters,
/// which is the 322nd of them.
#[test]
fn the_easiest_of_those_alike_is_found_though_it_lies_behind_those_that_are_asked_for_at_first() {
    let plan = quiet("watch: 430.0125-436.2500, step: 12.5 kHz");
    let all = every(&plan, 1_000);
    assert_eq!(all.len(), 500);
    assert!(
        all.iter()
            .all(|row| row.worst_margin.is_none() && row.verdict == all[0].verdict)
    );
    let easiest = Frequency::hz(434_025_000);
    assert_eq!(all[0].legs, [easiest]);
    for top in [1, 2, 5] {
        assert_eq!(every(&plan, top), all[..top]);
        let question = Question {
            top,
            ..Question::default()
        };
        let found = answered(&plan, &question);
        let ([row], [group]) = (&found.ranking.rows[..], &found.groups[..]) else {
            panic!("{found:?}");
        };
        assert_eq!(row.legs, [easiest]);
        assert!(group.is_whole);
        assert_eq!(group.alike, 500);
    }
}

/// No more than 1024 are looked at for what is shown, and it is said that there may be more of those alike.
#[test]
fn of_more_that_are_alike_than_are_ever_asked_for_it_is_said_that_they_may_go_on() {
    let plan = quiet("watch: 430.0000-440.0000, step: 6.25 kHz");
    let question = Question {
        top: 1,
        ..Question::default()
    };
    let found = answered(&plan, &question);
    let [group] = &found.groups[..] else {
        panic!("{found:?}");
    };
    assert!(!group.is_whole);
    assert_eq!(group.alike, 1_024);
    assert_eq!(group.extent[0].low, Frequency::hz(430_000_000));
    assert_eq!(found.ranking.considered, 1_601);
    // Who asks for more than that gets them.
    assert_eq!(every(&plan, 1_200).len(), 1_200);
}
