//! A made-up assessment and a made-up ranking, written in every format and recorded.

use std::collections::BTreeMap;
use std::time::Duration;

use super::*;
use crate::assess::{Judged, Verdict};
use crate::budget::Step;
use crate::finding::{Change, Finding, Remedy, Term, Victim};
use crate::net::{BreakIn, Spread, Tone};
use crate::overview::{
    Alternative, Busy, Channel, Input, Interruption, Lasting, Mend, Operator, Relay, Room, Stamina,
    Waiting, Weakest,
};
use crate::physics::mixing::{combinations, landings};
use crate::physics::statistics::Chance;
use crate::provenance::{Authority, Standing};
use crate::quantity::{Bandwidth, Decibels, Length, Level, Power, Span};
use crate::scenario::{Aim, Legs};
use crate::search::assign::{Contradiction, Found, Given};
use crate::search::{Bought, Freed, Front, Group, Point, Prospect, Ranking, Row, Share, Strangers};

fn mhz(text: &str) -> Frequency {
    text.parse().unwrap()
}

fn harmonic(multiple: i32, receiver: &str, margin: f64) -> Finding {
    let carrier = mhz("145.2250");
    let product = carrier.times(i64::from(multiple));
    Finding {
        check: "harmonic",
        severity: if margin < 0.0 {
            Severity::Conflict
        } else {
            Severity::Caution
        },
        matter: Matter::Interference,
        legs: Legs::BOTH,
        says: format!(
            "harmonic {multiple} of the relay's 2m side lands on {receiver}, {} beyond what it can bear",
            Decibels::db(-margin)
        ),
        when: None,
        victim: Some(Victim {
            station: "Hill relay".to_owned(),
            receiver: receiver.to_owned(),
            frequency: product,
        }),
        sources: vec![Term {
            name: "Hill relay, 2m side".to_owned(),
            frequency: carrier,
            coefficient: multiple,
        }],
        product: Some(product),
        offset: Some(Offset::hz(0)),
        width: Some(Bandwidth::hz(48_000)),
        level: Some(Level::dbm(-124.6 - margin)),
        threshold: Some(Level::dbm(-124.6)),
        margin: Some(Decibels::db(margin)),
        spread: None,
        chance: None,
        spared: None,
        arithmetic: format!("{multiple} × 145.2250 = {product}"),
        why: "The final stage of a transmitter is not quite linear and radiates multiples of its carrier. The receiver \
              takes whatever falls into its channel for the signal it waits for."
            .to_owned(),
        remedies: vec![
            Remedy {
                text: "move the 70cm leg to 435.7250 MHz: margin 12.4 dB".to_owned(),
                change: Some(Change::Move {
                    leg: 0,
                    to: mhz("435.7250"),
                }),
            },
            Remedy {
                text: "a low-pass filter on the 2m side that takes 51.6 dB at 435.6750 MHz".to_owned(),
                change: Some(Change::Filter {
                    station: "Hill relay".to_owned(),
                    at: product,
                    loss: Decibels::db(51.6),
                }),
            },
        ],
        citation: "47 CFR 97.307(e) (from memory)".to_owned(),
        assumed: vec![
            "harmonic 60.0 dB below the carrier".to_owned(),
            "isolation between the sides 50.0 dB".to_owned(),
        ],
        limit: vec![Step {
            what: "noise floor".to_owned(),
            change: Decibels::db(-118.6),
            note: "bandwidth 16 kHz, ITU-R P.372 residential".to_owned(),
        }],
        budget: vec![
            Step {
                what: "carrier at the socket".to_owned(),
                change: Decibels::db(37.04),
                note: "profile dual-band-mobile, step mid".to_owned(),
            },
            Step {
                what: "suppression".to_owned(),
                change: Decibels::db(-60.04),
                note: "harmonic 3".to_owned(),
            },
        ],
    }
}

fn edge() -> Finding {
    Finding {
        check: "band-edge",
        severity: Severity::Caution,
        matter: Matter::BandPlan,
        when: None,
        victim: None,
        sources: Vec::new(),
        product: None,
        offset: None,
        width: None,
        level: None,
        threshold: None,
        margin: None,
        spread: None,
        chance: None,
        spared: None,
        says: "the emission reaches 1.2 kHz past the edge of 435.0000–436.0000 MHz | <b>"
            .to_owned(),
        arithmetic: "435.9925 ± 8 kHz ± 1.2 kHz".to_owned(),
        why: String::new(),
        remedies: Vec::new(),
        citation: "a band plan".to_owned(),
        assumed: Vec::new(),
        budget: Vec::new(),
        limit: Vec::new(),
        ..harmonic(3, "", 0.0)
    }
}

fn judged(proposal: Option<&str>, findings: Vec<Finding>) -> Judged {
    Judged {
        proposal: proposal.map(str::to_owned),
        what: proposal.map_or(String::new(), |_| {
            "Hill relay repeats 435.6750 ↔ 145.2250 MHz".to_owned()
        }),
        legs: proposal.map_or(Vec::new(), |_| vec![mhz("435.6750"), mhz("145.2250")]),
        verdict: Verdict::of(&findings),
        worst_margin: findings.iter().filter_map(|finding| finding.margin).min(),
        findings,
    }
}

fn assessment() -> Assessment {
    let mut alike: Vec<Finding> = (0..8)
        .map(|step| harmonic(3, "70cm side", -51.6 + 8.0 * f64::from(step)))
        .collect();
    alike.push(edge());
    Assessment {
        event: "Saltmarsh Harbour Half-Marathon".to_owned(),
        plan: judged(None, Vec::new()),
        proposals: vec![
            judged(Some("A"), Vec::new()),
            judged(Some("B"), alike),
            judged(Some("W1"), vec![edge()]),
        ],
    }
}

fn ranking() -> Ranking {
    let row = |first: &str, verdict, margin: Option<f64>, limited_by: &str| Row {
        legs: vec![mhz(first), mhz("145.2250")],
        verdict,
        conflicts: 0,
        cautions: usize::from(verdict == Verdict::Caution),
        worst_margin: margin.map(Decibels::db),
        preference: 2,
        limited_by: limited_by.to_owned(),
        limit: limited_by.to_owned(),
        of_the_plan: vec!["hidden-user"],
    };
    Ranking {
        search: "relay pair".to_owned(),
        station: "Hill relay".to_owned(),
        what: "cross-band pairs at 12.5 kHz steps".to_owned(),
        considered: 101_441,
        refused_by_a_leg: 96_123,
        is_finished: true,
        looked_at: 101_441,
        judged: 64,
        refused: vec![("harmonic".to_owned(), 212), ("band-edge".to_owned(), 36)],
        rows: vec![
            row("433.4500", Verdict::Clear, None, "nothing within reach"),
            row(
                "433.4625",
                Verdict::Clear,
                Some(31.24),
                "image of the Town repeater's input, 31.2 dB in hand",
            ),
            row(
                "446.00625",
                Verdict::Caution,
                Some(-0.04),
                "receiver intermodulation of the Airfield tower with the Town repeater on the Control station's second side",
            ),
        ],
        blocked_by: None,
    }
}

/// Every view that `rank` has, though no search would show all of them at once.
fn answered() -> Answer {
    let ranking = ranking();
    let best = ranking.rows.first().unwrap().clone();
    let legs = best.legs.clone();
    let group = |alike, to: &str, is_whole| Group {
        alike,
        extent: vec![
            Span::between(mhz("433.4000"), mhz(to)),
            Span::between(mhz("145.2250"), mhz("145.2250")),
        ],
        is_whole,
    };
    let prospect = |at_most, best| Prospect {
        at_least: 1_024.min(at_most),
        at_most,
        best,
    };
    let shares = [1000, 973, 251].map(|safe| Share { safe, trials: 1000 });
    Answer {
        is_whole: true,
        groups: vec![
            group(18, "433.6250", true),
            group(1, "433.4000", true),
            group(1_204, "434.6250", false),
        ],
        shares: shares.to_vec(),
        front: Some(Front {
            points: vec![Point {
                row: best.clone(),
                chance: Chance::fraction(0.043),
                balance: Some(Decibels::db(6.3)),
                alike: 4,
            }],
            weighed: 256,
            is_all: false,
        }),
        freed: Some(Freed {
            legs: legs.clone(),
            without: vec!["Town repeater".to_owned(), "Marine | watch".to_owned()],
            is_fewest: false,
            looked_at: 64,
        }),
        bought: vec![
            Bought {
                what: "as planned".to_owned(),
                then: prospect(0, None),
            },
            Bought {
                what: "without Town repeater".to_owned(),
                then: prospect(84_211, Some(best)),
            },
        ],
        strangers: Some(Strangers {
            legs,
            distance: Length::metres(10_000.0),
            tried: 358,
            spoilt: vec![Span::between(mhz("145.2125"), mhz("145.2375"))],
            channels: 3,
        }),
        ranking,
    }
}

fn defaults() -> Vec<DefaultTaken> {
    vec![(
        "Hill relay: feeder loss".to_owned(),
        "1.0 dB".to_owned(),
        Origin::Default(Authority {
            text: "10 m of common coaxial cable".into(),
            standing: Standing::CommonPractice,
        }),
    )]
}

/// A report of `check` in a format.
fn checked(name: &str, look: &Look, with_defaults: bool) -> String {
    let format = ALL.iter().find(|format| format.name == name).unwrap();
    let (assessment, defaults) = (assessment(), defaults());
    let report = CheckReport {
        assessment: &assessment,
        defaults: with_defaults.then_some(defaults.as_slice()),
    };
    (format.check)(&report, look)
}

fn ranked(name: &str, look: &Look) -> String {
    let format = ALL.iter().find(|format| format.name == name).unwrap();
    let answers = [answered()];
    let report = RankReport {
        event: "Saltmarsh Harbour Half-Marathon",
        answers: &answers,
    };
    (format.rank)(&report, look)
}

/// A whole plan, or one that cannot be.
fn assignment(is_possible: bool) -> Assignment {
    let given = |name: &str, what, legs: &[&str], tone| Given {
        name: name.to_owned(),
        stations: vec!["Hill relay".to_owned()],
        what,
        legs: legs.iter().map(|leg| mhz(leg)).collect(),
        tone,
        last_year: legs.iter().map(|_| mhz("145.2250")).collect(),
        verdict: Verdict::Caution,
        conflicts: 0,
        cautions: 1,
        worst_margin: Some(Decibels::db(3.2)),
        preference: 2,
        limited_by: "channel of Town repeater at Hill relay, 3.2 dB to spare".to_owned(),
    };
    Assignment {
        aim: Aim::Quietest,
        channels: 2,
        frequencies: 3,
        ways: 1_234_567,
        looked_into: 42,
        found: is_possible.then(|| Found {
            given: vec![
                given("North", "repeat", &["433.4500", "145.2250"], Some(770)),
                given("Medical", "talk", &["145.3250"], None),
            ],
            cost: "no conflict, a least margin between 0.0 dB and 6.0 dB, 2 cautions".to_owned(),
            changes: 2,
            judged: judged(None, vec![edge()]),
        }),
        is_proved: !is_possible,
        no_better_than: is_possible.then(|| "no conflict".to_owned()),
        contradiction: (!is_possible).then(|| Contradiction {
            asked: vec![
                "Medical on 145.3250 MHz".to_owned(),
                "100 kHz between North and Medical".to_owned(),
            ],
            is_smallest: true,
        }),
    }
}

fn assigned(name: &str, look: &Look, is_possible: bool) -> String {
    let format = ALL.iter().find(|format| format.name == name).unwrap();
    let report = AssignReport {
        event: "Saltmarsh Harbour Half-Marathon",
        assignment: &assignment(is_possible),
    };
    (format.assign)(&report, look)
}

fn combined(name: &str) -> String {
    let format = ALL.iter().find(|format| format.name == name).unwrap();
    let frequencies = ["145.2250", "433.4500", "145.6500"].map(mhz);
    let targets = ["435.6750", "145.2300"].map(mhz);
    let within = Offset::hz(12_500);
    let report = ProductsReport {
        frequencies: &frequencies,
        targets: &targets,
        order: 5,
        within,
        combinations: combinations(3, 5),
        landings: &landings(&frequencies, &targets, 5, within).unwrap(),
    };
    (format.products)(&report, &Look::default())
}

const WIDE: Look = Look {
    width: 120,
    is_coloured: false,
    shows_all: false,
    shows_budget: true,
};

fn spread(mean: f64) -> Spread {
    Spread {
        least: mean - 0.02,
        mean,
        most: mean + 0.03,
    }
}

fn interruption(answer: BreakIn) -> Interruption {
    Interruption {
        talks: "Marshals".to_owned(),
        waits: "Control".to_owned(),
        answer,
    }
}

fn hill_relay() -> Relay {
    Relay {
        name: "Hill relay".to_owned(),
        carries: 2,
        duty: Some(spread(0.23)),
        busiest: Some(spread(0.4)),
        phases: vec![("race".to_owned(), spread(0.35))],
        stands: Some(Stamina {
            step: "mid".to_owned(),
            duty: 0.4,
        }),
        battery: Some(Lasting {
            lasts: Duration::from_mins(350),
            needed: Duration::from_hours(8),
        }),
        break_in: Some(interruption(BreakIn::After(Duration::from_millis(750)))),
        time_outs: Some(spread(0.3)),
        hang: Duration::from_millis(250),
        time_out: Some(Duration::from_mins(3)),
    }
}

fn room() -> Room {
    Room {
        name: "Hill relay, 2m side".to_owned(),
        frequency: mhz("145.2250"),
        power: Power::watts(12.5),
        public: Length::metres(1.5),
        averaged: Length::metres(0.9),
        averaging_minutes: 30,
        trained: Length::metres(0.7),
        comes: Some(Length::metres(3.0)),
        limit: "general public".to_owned(),
    }
}

fn seen() -> Overview {
    let operator = |name: &str, reaches: &[&str], misses: &[&str]| Operator {
        name: name.to_owned(),
        role: Some("control".to_owned()),
        reaches: reaches.iter().map(|name| (*name).to_owned()).collect(),
        perhaps: Vec::new(),
        only_in: BTreeMap::from([("Marshals".to_owned(), "race".to_owned())]),
        misses: misses.iter().map(|name| (*name).to_owned()).collect(),
        lacks: Vec::new(),
        wait: Duration::from_millis(840),
        words_lost: 3,
        slowest: Some(format!("{name} → Hill relay → Control")),
        break_in: Some(interruption(BreakIn::Doubles)),
        duty: Some(spread(0.12)),
        phases: vec![("race".to_owned(), spread(0.2))],
        battery: None,
    };
    Overview {
        event: "Harbour | Half-Marathon".to_owned(),
        subject: Some("B".to_owned()),
        what: "Hill relay repeats 433.4500 ↔ 145.2250 MHz".to_owned(),
        verdict: Verdict::Conflict,
        channels: vec![Channel {
            frequency: mhz("145.2250"),
            tones: vec![Tone::tenths(770)],
            talk: vec!["Control".to_owned()],
            listen: Vec::new(),
            relays: vec!["Hill relay".to_owned()],
        }],
        operators: vec![
            operator("Control", &["Marshals"], &[]),
            operator("Marshals", &["Control"], &["Sweep"]),
        ],
        weakest: Some(Weakest {
            way: "Marshals → Hill relay → Control".to_owned(),
            margin: Decibels::db(4.2),
        }),
        relays: vec![hill_relay()],
        tones: vec![Input {
            name: "Hill relay, 70cm side".to_owned(),
            frequency: mhz("433.4500"),
            tone: None,
            proposed: Some(Tone::tenths(1035)),
        }],
        traffic: Some(Busy {
            found_busy: spread(0.2),
            waited_s: spread(2.5),
            doubled: spread(0.02),
        }),
        identifies: Some(Duration::from_mins(15)),
        identifications: 32,
        rooms: vec![room()],
        waiting: vec![Waiting {
            relay: "Hill relay".to_owned(),
            stations: vec!["Marshals".to_owned()],
        }],
        idle: vec!["Spare".to_owned()],
        proposals: vec![Alternative {
            name: "C".to_owned(),
            what: "Hill relay repeats 433.5500 ↔ 145.3500 MHz".to_owned(),
            verdict: Verdict::Caution,
            worst: Some("it is close".to_owned()),
        }],
        mend: vec![Mend {
            check: "unreachable",
            severity: Severity::Conflict,
            says: "Sweep and Control have no way to each other".to_owned(),
            when: Some("race".to_owned()),
            spared: None,
            remedy: Some("more height".to_owned()),
            alike: 1,
        }],
        assumed: vec!["10 s an over".to_owned()],
    }
}

fn reviewed(name: &str, look: &Look) -> String {
    let format = ALL.iter().find(|format| format.name == name).unwrap();
    (format.review)(&seen(), look)
}

#[test]
fn a_review_is_recorded_in_every_format() {
    for format in ALL {
        insta::assert_snapshot!(
            format!("review_{}", format.name),
            reviewed(format.name, &Look::default())
        );
    }
}

#[test]
fn a_check_reads_well_at_80_columns() {
    insta::assert_snapshot!(checked("text", &Look::default(), true));
}

#[test]
fn a_check_reads_well_at_120_columns() {
    insta::assert_snapshot!(checked("text", &WIDE, false));
}

#[test]
fn a_check_is_recorded_for_programs() {
    insta::assert_snapshot!("check_json", checked("json", &Look::default(), true));
    insta::assert_snapshot!("check_csv", checked("csv", &Look::default(), true));
    insta::assert_snapshot!(
        "check_markdown",
        checked("markdown", &Look::default(), true)
    );
}

#[test]
fn a_ranking_is_recorded_in_every_format() {
    for format in ALL {
        insta::assert_snapshot!(
            format!("rank_{}", format.name),
            ranked(format.name, &Look::default())
        );
    }
}

#[test]
fn an_assignment_is_recorded_in_every_format() {
    for format in ALL {
        for (what, is_possible) in [("assign", true), ("assign_impossible", false)] {
            insta::assert_snapshot!(
                format!("{what}_{}", format.name),
                assigned(format.name, &Look::default(), is_possible)
            );
        }
    }
}

#[test]
fn products_are_recorded_in_every_format() {
    for format in ALL {
        insta::assert_snapshot!(format!("products_{}", format.name), combined(format.name));
    }
}

#[test]
fn no_line_for_people_is_wider_than_the_page() {
    use unicode_width::UnicodeWidthStr;
    for width in [60, 72, 80, 100, 120, 200] {
        let look = Look {
            width,
            shows_budget: true,
            ..Look::default()
        };
        for page in [
            checked("text", &look, true),
            ranked("text", &look),
            assigned("text", &look, true),
            assigned("text", &look, false),
            reviewed("text", &look),
        ] {
            for line in page.lines() {
                assert!(line.width() <= width, "{width}: {line}");
                assert_eq!(line, line.trim_end());
            }
        }
    }
}

#[test]
fn colour_changes_no_word() {
    let coloured = Look {
        is_coloured: true,
        ..Look::default()
    };
    let page = checked("text", &coloured, true);
    assert!(page.contains('\u{1b}'));
    assert_eq!(
        anstream::adapter::strip_str(&page).to_string(),
        checked("text", &Look::default(), true)
    );
}

#[test]
fn all_shows_every_finding_in_full() {
    let all = Look {
        shows_all: true,
        ..Look::default()
    };
    let whole = checked("text", &all, false);
    assert_eq!(whole.matches("remedy").count(), 2 * 8);
    assert!(!whole.contains("more like it"));
}

#[test]
fn programs_read_an_ascii_minus_and_people_a_true_one() {
    for name in ["json", "lines"] {
        assert!(checked(name, &Look::default(), false).contains(r#""margin_db""#));
    }
    assert!(checked("json", &Look::default(), false).contains(r#""margin_db": -51.6"#));
    assert!(checked("csv", &Look::default(), false).contains(",-51.6,"));
    assert!(checked("text", &Look::default(), false).contains("−51.6 dB"));
}

#[test]
fn every_finding_and_row_is_a_line_of_its_own() {
    let lines = checked("lines", &Look::default(), false);
    assert_eq!(lines.lines().count(), 10);
    for line in lines.lines() {
        let record: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(record["subject"].is_string());
    }
}

/// A list as JSON.
fn listed(command: &'static str) -> String {
    let listing = Listing {
        command,
        title: "What there is".to_owned(),
        notes: vec!["Look before relying on it.".to_owned()],
        columns: vec!["entry", "says"],
        rows: vec![vec!["one".to_owned(), "something".to_owned()], Vec::new()],
    };
    (json::FORMAT.list)(&listing, &Look::default())
}

#[test]
fn every_json_document_is_what_its_schema_says() {
    let documents = [
        ("check", checked("json", &Look::default(), true)),
        ("rank", ranked("json", &Look::default())),
        ("assign", assigned("json", &Look::default(), true)),
        ("review", reviewed("json", &Look::default())),
        ("products", combined("json")),
        ("explain", listed("explain")),
        ("rules", listed("rules")),
        ("radios", listed("radios")),
    ];
    let schemas = schemas();
    for (name, document) in documents {
        let (_, schema) = schemas.iter().find(|(known, _)| *known == name).unwrap();
        let document: serde_json::Value = serde_json::from_str(&document).unwrap();
        assert_eq!(document["format"], format!("quietpair.{name}/1"));
        assert_eq!(conformance::faults(schema, &document), Vec::<String>::new());
    }
}
