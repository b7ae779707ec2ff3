//! Each check of law and band plan on one plan that trips it and one that just does not (`tests/checks/<id>/`).

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use quietpair::assess::{Assessment, Verdict, assess};
use quietpair::finding::{Change, Finding, Matter, Severity};
use quietpair::quantity::{Frequency, Level, Power};
use quietpair::scenario::{Files, read};

/// The checks, with how bad the plan that trips it is and which kind of "no" it is.
const CHECKS: [(&str, Severity, Matter); 19] = [
    ("band-edge", Severity::Conflict, Matter::Law),
    ("band-plan", Severity::Note, Matter::BandPlan),
    ("border", Severity::Caution, Matter::Law),
    ("calling-frequency", Severity::Caution, Matter::BandPlan),
    ("control", Severity::Caution, Matter::Law),
    ("emission-width", Severity::Caution, Matter::BandPlan),
    ("identification", Severity::Conflict, Matter::Law),
    ("idle-permission", Severity::Caution, Matter::Law),
    ("likely-neighbour", Severity::Note, Matter::Interference),
    ("messages", Severity::Conflict, Matter::Law),
    ("no-law-pack", Severity::Note, Matter::Law),
    ("operating-duty", Severity::Note, Matter::Law),
    ("power-limit", Severity::Conflict, Matter::Law),
    ("purpose", Severity::Conflict, Matter::Law),
    ("relay-pair", Severity::Caution, Matter::BandPlan),
    ("reserved-segment", Severity::Caution, Matter::BandPlan),
    ("spurious", Severity::Conflict, Matter::Law),
    ("time-limited", Severity::Conflict, Matter::BandPlan),
    ("zone", Severity::Conflict, Matter::Law),
];

struct Beside(PathBuf);

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(self.0.join(path))
    }
}

fn assessed(check: &str, which: &str) -> Assessment {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/checks")
        .join(check);
    let bytes = fs::read(folder.join(which)).unwrap();
    match read(which, &bytes, &Beside(folder)) {
        Ok(plan) => assess(&plan),
        Err(error) => panic!("{check}/{which}: {error}"),
    }
}

fn found(check: &str, which: &str) -> Vec<Finding> {
    let assessment = assessed(check, which);
    let of_proposals = assessment
        .proposals
        .into_iter()
        .flat_map(|judged| judged.findings);
    assessment
        .plan
        .findings
        .into_iter()
        .chain(of_proposals)
        .filter(|finding| finding.check == check)
        .collect()
}

#[test]
fn each_check_fires_on_the_plan_that_trips_it_and_is_quiet_on_the_one_that_just_does_not() {
    for (check, severity, matter) in CHECKS {
        let fired = found(check, "fires.yaml");
        let worst = fired.iter().max_by_key(|finding| finding.severity);
        let worst = worst.map(|finding| (finding.severity, finding.matter));
        assert_eq!(worst, Some((severity, matter)), "{check}");
        let quiet = found(check, "quiet.yaml");
        assert!(quiet.is_empty(), "{check}: {:?}", quiet.first());
    }
}

/// Source: 47 CFR 97.115(c), second-hand: no voice of third parties under automatic control; 97.113: no pay.
#[test]
fn messages_are_judged_together_with_who_is_in_control() {
    let worst = |which| {
        let fired = found("messages", which);
        fired.iter().map(|finding| finding.severity).max()
    };
    assert_eq!(worst("fires.yaml"), Some(Severity::Conflict));
    assert_eq!(worst("attended.yaml"), Some(Severity::Note));
    assert_eq!(worst("unstated.yaml"), Some(Severity::Caution));
    assert_eq!(worst("hire.yaml"), Some(Severity::Conflict));
    let unstated = found("messages", "unstated.yaml");
    assert!(unstated.iter().any(|finding| {
        finding.severity == Severity::Caution && finding.says.contains("is not stated")
    }));
}

/// Source: 47 CFR 97.119(a), second-hand: at least every 10 minutes.
#[test]
fn a_relay_that_does_not_say_how_it_identifies_is_a_caution_and_one_that_is_too_slow_a_conflict() {
    let said = |which: &str| -> Vec<(Severity, String)> {
        let fired = found("identification", which).into_iter();
        fired
            .map(|finding| (finding.severity, finding.says))
            .collect()
    };
    let unstated = said("unstated.yaml");
    assert_eq!(unstated.len(), 2, "{unstated:?}");
    assert_eq!(unstated[0].0, Severity::Note);
    assert!(unstated[0].1.starts_with("Control:"), "{unstated:?}");
    assert_eq!(unstated[1].0, Severity::Caution);
    let slow = said("slow.yaml");
    assert_eq!(slow.len(), 1, "{slow:?}");
    assert_eq!(slow[0].0, Severity::Conflict);
    for part in ["in Morse", "every 10.1 minutes", "every 10 minutes"] {
        assert!(slow[0].1.contains(part), "{slow:?}");
    }
}

#[test]
fn a_channel_that_is_an_amateur_one_on_both_sides_is_only_told_to_be_near_a_border() {
    let inside = found("border", "inside.yaml");
    assert_eq!(inside.len(), 1);
    assert_eq!(inside[0].severity, Severity::Note);
    assert!(inside[0].says.contains("15"), "{}", inside[0].says);
    let outside = found("border", "fires.yaml");
    let caution = outside
        .iter()
        .find(|finding| finding.severity == Severity::Caution);
    assert!(
        caution
            .unwrap()
            .why
            .starts_with("The rule (uk/bands) across the border")
    );
}

/// 20 W less 50 dB is −7.0 dBm; 25 µW, −16.0 dBm, is the most up to 25 W (47 CFR 97.307(e), second-hand).
#[test]
fn a_harmonic_that_is_too_strong_is_mended_by_a_filter_of_the_difference() {
    let fired = found("spurious", "fires.yaml");
    let Some(Change::Filter { loss, at, .. }) = fired[0].remedies[0].change.clone() else {
        panic!("{:?}", fired[0].remedies);
    };
    assert!((loss.as_db() - 9.03).abs() < 0.01, "{loss}");
    assert_eq!(at, Frequency::hz(293_100_000));
}

#[test]
fn law_and_custom_are_told_apart_in_every_citation() {
    for (check, ..) in CHECKS
        .into_iter()
        .filter(|(id, ..)| !matches!(*id, "idle-permission" | "no-law-pack"))
    {
        // That a border is near is no rule of any pack.
        let fired = found(check, "fires.yaml").into_iter();
        for finding in fired.filter(|one| check != "border" || one.severity > Severity::Note) {
            let ending = match finding.matter {
                Matter::Law => "the licence text itself decides",
                Matter::BandPlan => "custom, not law",
                _ => "worth asking about",
            };
            assert!(
                finding.citation.ends_with(ending),
                "{check}: {}",
                finding.citation
            );
            assert!(
                finding.why.starts_with("The rule ("),
                "{check}: {}",
                finding.why
            );
        }
    }
}

/// 25 W is the most (Foundation); the radio's steps on 2 m are 50, 20 and 5 W.
#[test]
fn too_much_power_is_mended_by_the_highest_lawful_step() {
    let fired = found("power-limit", "fires.yaml");
    let conflict = fired
        .iter()
        .find(|finding| finding.severity == Severity::Conflict);
    let remedy = &conflict.unwrap().remedies[0];
    let twenty: Level = Power::watts(20.0).level();
    assert_eq!(
        remedy.change,
        Some(Change::LowerPower {
            station: "Hill".to_owned(),
            to: twenty
        })
    );
    assert!(remedy.text.contains("at most 25 W"), "{}", remedy.text);
}

#[test]
fn an_emission_past_the_edge_is_moved_to_a_channel_that_nobody_keeps() {
    let fired = found("band-edge", "fires.yaml");
    let moves: Vec<Option<Change>> = fired[0]
        .remedies
        .iter()
        .map(|remedy| remedy.change.clone())
        .collect();
    // 145.806 to 146 is the satellites', 145.794 to 145.806 a space station's, below them repeaters have their outputs.
    assert_eq!(
        moves[0],
        Some(Change::Move {
            leg: 1,
            to: Frequency::hz(145_587_500)
        })
    );
}

#[test]
fn a_relay_that_is_attended_for_a_day_keeps_its_clear_verdict_on_the_note_of_1978() {
    let relay = found("relay-pair", "fires.yaml");
    assert_eq!(relay.len(), 1);
    let attended = assessed("control", "quiet.yaml");
    let judged = &attended.proposals[0];
    let note = judged
        .findings
        .iter()
        .find(|finding| finding.check == "relay-pair");
    assert_eq!(note.map(|finding| finding.severity), Some(Severity::Note));
    let lawful: Vec<&Finding> = judged
        .findings
        .iter()
        .filter(|finding| finding.matter == Matter::Law && finding.severity > Severity::Note)
        .collect();
    assert!(lawful.is_empty(), "{lawful:?}");
    assert_ne!(Verdict::of(&relay), Verdict::Conflict);
}

/// Between 145.5 and 146 MHz no repeater may transmit (47 CFR 97.205(b)), and the nearest channel that clears the neighbour
/// lies there, as does one of the two nearest of the band plan.
#[test]
fn no_move_that_is_proposed_leads_to_where_the_law_forbids_the_use() {
    let assessment = assessed("purpose", "moves.yaml");
    let findings = &assessment.plan.findings;
    let mut moves: Vec<Frequency> = findings
        .iter()
        .flat_map(|finding| &finding.remedies)
        .filter_map(|remedy| {
            let (from, to) = remedy.text.strip_prefix("move ")?.split_once(" to ")?;
            let to: String = to.split_inclusive(" MHz").next()?.to_owned();
            (from.starts_with("145.4950 MHz")).then(|| to.trim_end_matches(':').parse().unwrap())
        })
        .collect();
    moves.sort_unstable();
    moves.dedup();
    assert!(moves.len() > 3, "{moves:?}");
    let shut = Frequency::hz(145_500_000)..Frequency::hz(146_000_000);
    for to in moves {
        assert!(!shut.contains(&to), "{to}");
    }
}
