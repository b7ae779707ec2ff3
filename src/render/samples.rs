//! A made-up assessment and a made-up ranking, written in every format and recorded.

use std::time::Duration;

use super::*;
use crate::assess::{Judged, Verdict};
use crate::budget::Step;
use crate::finding::{Change, Finding, Remedy, Term, Victim};
use crate::net::{Spread, Tone};
use crate::overview::{Busy, Channel, Input, Mend, Operator, Relay, Weakest};
use crate::physics::mixing::{combinations, landings};
use crate::provenance::{Authority, Standing};
use crate::quantity::{Bandwidth, Decibels, Level};
use crate::scenario::Legs;
use crate::search::Row;

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
    };
    Ranking {
        search: "relay pair".to_owned(),
        station: "Hill relay".to_owned(),
        what: "pairs of 70cm and 2m in steps of 12.5 kHz".to_owned(),
        considered: 101_441,
        refused_by_a_leg: 96_123,
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
    let rankings = [ranking()];
    let report = RankReport {
        event: "Saltmarsh Harbour Half-Marathon",
        rankings: &rankings,
    };
    (format.rank)(&report, look)
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

fn seen() -> Overview {
    let spread = |mean: f64| Spread {
        least: mean - 0.02,
        mean,
        most: mean + 0.03,
    };
    let operator = |name: &str, reaches: &[&str], misses: &[&str]| Operator {
        name: name.to_owned(),
        role: Some("control".to_owned()),
        reaches: reaches.iter().map(|name| (*name).to_owned()).collect(),
        perhaps: Vec::new(),
        misses: misses.iter().map(|name| (*name).to_owned()).collect(),
        lacks: Vec::new(),
        wait: Duration::from_millis(840),
        words_lost: 3,
        slowest: Some(format!("{name} → Hill relay → Control")),
        duty: Some(spread(0.12)),
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
        relays: vec![Relay {
            name: "Hill relay".to_owned(),
            carries: 2,
            duty: Some(spread(0.23)),
            busiest: Some(spread(0.4)),
            hang: Duration::from_millis(250),
            time_out: None,
        }],
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
        mend: vec![Mend {
            check: "unreachable",
            severity: Severity::Conflict,
            says: "Sweep and Control have no way to each other".to_owned(),
            when: Some("race".to_owned()),
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
