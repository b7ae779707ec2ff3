//! What is found, in words, as it was read when it was recorded: every plan of `tests/checks/` that trips its check in short, and
//! of some rich plans one finding of each kind with the whole build-up of its levels.
//!
//! `INSTA_UPDATE=always cargo test --test told` records anew: read the difference before it is kept.

use std::collections::BTreeSet;
use std::path::Path;
use std::{fs, io};

use quietpair::assess::{Assessment, Judged, assess};
use quietpair::finding::{Matter, Severity};
use quietpair::overview::overview;
use quietpair::quantity::{Decibels, Length};
use quietpair::render::{self, AssignReport, CheckReport, Format, Look, RankReport};
use quietpair::scenario::{Files, NoFiles, Plan, read};
use quietpair::search::assign::assign;
use quietpair::search::{Question, Supposed, Trials, answer};

fn text() -> &'static Format {
    render::ALL.iter().find(|one| one.name == "text").unwrap()
}

/// Files beside a plan.
struct Beside<'a>(&'a Path);

impl Files for Beside<'_> {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(self.0.join(path))
    }
}

fn plan(path: &str) -> Plan {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let beside = Beside(file.parent().unwrap());
    let bytes = fs::read(&file).unwrap();
    read(path, &bytes, &beside).unwrap_or_else(|faults| panic!("{faults}"))
}

/// The page of a check as a reader sees it unasked, then in full one finding of each check that is no matter of
/// levels.
fn short(path: &str) -> String {
    let mut assessment = assess(&plan(path));
    let page = |assessment: &Assessment, shows_all| {
        let report = CheckReport {
            assessment,
            defaults: None,
        };
        let look = Look {
            shows_all,
            ..Look::default()
        };
        (text().check)(&report, &look)
    };
    let mut told = page(&assessment, false);
    let mut known = BTreeSet::new();
    let mut ruled = |judged: &mut Judged| {
        judged.findings.retain(|one| {
            one.matter != Matter::Interference
                && one.severity < Severity::Conflict
                && known.insert((one.check, one.severity))
        });
    };
    ruled(&mut assessment.plan);
    assessment.proposals.iter_mut().for_each(ruled);
    told += "\nIn full, what is no matter of levels:\n\n";
    told += &page(&assessment, true);
    told
}

/// The first finding of each kind and severity, in full.
fn in_full(path: &str) -> String {
    let mut assessment = assess(&plan(path));
    let mut known = BTreeSet::new();
    let mut first = |judged: &mut Judged| {
        judged
            .findings
            .retain(|one| known.insert((one.check, one.severity)));
    };
    first(&mut assessment.plan);
    assessment.proposals.iter_mut().for_each(first);
    let report = CheckReport {
        assessment: &assessment,
        defaults: None,
    };
    let look = Look {
        shows_all: true,
        shows_budget: true,
        ..Look::default()
    };
    (text().check)(&report, &look)
}

/// The same, then every finding in a line.
fn in_full_and_all(path: &str) -> String {
    let mut told = in_full(path);
    told += "\nEvery finding:\n\n";
    let assessment = assess(&plan(path));
    for judged in [&assessment.plan].into_iter().chain(&assessment.proposals) {
        for one in &judged.findings {
            let victim = one.victim.as_ref();
            let victim = victim.map_or("", |victim| victim.station.as_str());
            let margin = one.margin.map(|margin| margin.to_string());
            let parts = [
                match one.severity {
                    Severity::Conflict => "conflict".to_owned(),
                    Severity::Caution => "caution".to_owned(),
                    Severity::Note => "noted".to_owned(),
                },
                one.check.to_owned(),
                margin.unwrap_or_default(),
                one.arithmetic.clone(),
                victim.to_owned(),
            ];
            let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
            told += &parts.join(" | ");
            told.push('\n');
        }
    }
    told
}

/// Every finding on a spur of the second mixer, in full but for the build-up of its level.
fn on_second_mixers(path: &str) -> String {
    let mut assessment = assess(&plan(path));
    let findings = &mut assessment.plan.findings;
    findings.retain(|one| one.check == "second-mixer-spur");
    let report = CheckReport {
        assessment: &assessment,
        defaults: None,
    };
    let look = Look {
        shows_all: true,
        ..Look::default()
    };
    (text().check)(&report, &look)
}

/// The plan at a glance, with the first proposal in place where there is one.
fn glance(path: &str) -> String {
    let plan = plan(path);
    (text().review)(&overview(&plan, plan.proposals.first()), &Look::default())
}

macro_rules! recorded {
    ($how:ident: $($test:ident $path:literal,)*) => {
        $(
            #[test]
            fn $test() {
                insta::assert_snapshot!($how($path));
            }
        )*
    };
}

recorded! {short:
    short_band_edge "tests/checks/band-edge/fires.yaml",
    short_band_plan "tests/checks/band-plan/fires.yaml",
    short_border "tests/checks/border/fires.yaml",
    short_calling_frequency "tests/checks/calling-frequency/fires.yaml",
    short_control "tests/checks/control/fires.yaml",
    short_emission_width "tests/checks/emission-width/fires.yaml",
    short_endurance "tests/checks/endurance/fires.yaml",
    short_exposure "tests/checks/exposure/fires.yaml",
    short_hidden_user "tests/checks/hidden-user/fires.yaml",
    short_identification "tests/checks/identification/fires.yaml",
    short_idle_permission "tests/checks/idle-permission/fires.yaml",
    short_likely_neighbour "tests/checks/likely-neighbour/fires.yaml",
    short_messages "tests/checks/messages/fires.yaml",
    short_no_law_pack "tests/checks/no-law-pack/fires.yaml",
    short_operating_duty "tests/checks/operating-duty/fires.yaml",
    short_power_limit "tests/checks/power-limit/fires.yaml",
    short_purpose "tests/checks/purpose/fires.yaml",
    short_reference_birdy "tests/checks/reference-birdy/fires.yaml",
    short_relay_pair "tests/checks/relay-pair/fires.yaml",
    short_reserved_segment "tests/checks/reserved-segment/fires.yaml",
    short_second_mixer_spur "tests/checks/second-mixer-spur/fires.yaml",
    short_spurious "tests/checks/spurious/fires.yaml",
    short_time_limited "tests/checks/time-limited/fires.yaml",
    short_unreachable "tests/checks/unreachable/fires.yaml",
    short_zone "tests/checks/zone/fires.yaml",
}

recorded! {in_full:
    in_full_reference_birdy "tests/checks/reference-birdy/fires.yaml",
    in_full_second_mixer_spur "tests/checks/second-mixer-spur/fires.yaml",
    in_full_identification "tests/checks/identification/fires.yaml",
    in_full_endurance "tests/checks/endurance/fires.yaml",
    in_full_rally "scenarios/alpine-rally.yaml",
    in_full_regatta "scenarios/lake-regatta-watch.yaml",
}

recorded! {in_full_and_all:
    all_of_mast "tests/told/mast.yaml",
    all_of_ears "tests/told/ears.yaml",
    all_of_anywhere "tests/told/anywhere.yaml",
    all_of_mixers "tests/told/mixers.yaml",
    all_of_foundation "tests/told/foundation.yaml",
    all_of_harmonics "tests/told/harmonics.yaml",
    all_of_references "tests/told/references.yaml",
    all_of_relays "tests/told/relays.yaml",
}

recorded! {on_second_mixers:
    on_second_mixers_with_sides_stated_or_not "tests/told/mixers.yaml",
}

recorded! {glance:
    glance_relays "tests/told/relays.yaml",
    glance_rally "scenarios/alpine-rally.yaml",
    glance_regatta "scenarios/lake-regatta-watch.yaml",
    glance_endurance "tests/checks/endurance/fires.yaml",
    glance_hidden_user "tests/checks/hidden-user/phases.yaml",
    glance_unreachable "tests/checks/unreachable/phases.yaml",
}

#[test]
fn every_plan_that_trips_a_check_is_told_here() {
    let source = include_str!("told.rs");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks");
    for entry in fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let path = format!("tests/checks/{name}/fires.yaml");
        if Path::new(env!("CARGO_MANIFEST_DIR")).join(&path).exists() {
            assert!(
                source.contains(&format!("\"{path}\"")),
                "{path} is not told"
            );
        }
    }
}

/// Everything that can be asked beside the rows of a search, of the search of this number.
fn asked(number: usize) -> String {
    let plan = plan("tests/told/search.yaml");
    let question = Question {
        top: 4,
        is_every: false,
        wants_front: true,
        wants_freed: true,
        suppose: vec![
            Supposed::Without("Coast".to_owned()),
            Supposed::Power("low".to_owned()),
            Supposed::Filter(Decibels::db(20.0)),
        ],
        trials: Some(Trials {
            count: 200,
            seed: 1,
        }),
        stranger: Some(Length::metres(10_000.0)),
    };
    let report = RankReport {
        event: &plan.event.name,
        answers: &[answer(&plan, &plan.searches[number], &question)],
    };
    (text().rank)(&report, &Look::default())
}

#[test]
fn a_search_with_all_that_is_asked_beside_it() {
    insta::assert_snapshot!(asked(0));
}

#[test]
fn a_search_that_finds_nothing_with_all_that_is_asked_beside_it() {
    insta::assert_snapshot!(asked(1));
}

/// Three channels at once: what they were given, what the next best would cost, and what cannot be together.
#[test]
fn channels_given_at_once_and_a_contradiction() {
    let open = |by: &str| {
        format!(
            "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress]
sites:
  hill: {{at: [54.4150, -0.5320]}}
  field: {{at: [54.4240, -0.5320]}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, power: low, control: attended}}
  - {{name: Base, site: field, radio: mobile-2m, power: low}}
  - {{name: Desk, site: field, radio: dual-band-mobile, power: low, antenna: {{offset: {{east: 0 m, north: 200 m}}}}, via: Relay, leg: 2m}}
in_use:
  - {{name: Town repeater, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43]}}
assign:
  aim: fewest-changes
  channels:
    - {{name: Pair, stations: [Relay], cross_band: [[433.4500, 433.5250], [145.2250, 145.3500]], tone: own, last_year: [433.5250, 145.3500]}}
    - {{name: Field, stations: [Base], talk: [145.2250, 145.3500, 145.5000]}}
    - {{name: Ear, stations: [Desk], watch: [145.6500, 433.4500, 145.2250]}}
  apart: [{{site: field, by: {by}}}]
  together: [{{channels: [Field, Ear], within: 500 kHz}}]
  third_order_free: [[Pair, Field]]
"
        )
    };
    let told: Vec<String> = ["125 kHz", "200 kHz", "300 kHz"]
        .into_iter()
        .map(|by| {
            let plan = read("test.yaml", open(by).as_bytes(), &NoFiles)
                .unwrap_or_else(|error| panic!("{error}"));
            let assignment = assign(&plan, plan.assign.as_ref().unwrap(), &|| false);
            let report = AssignReport {
                event: &plan.event.name,
                assignment: &assignment,
            };
            (text().assign)(&report, &Look::default())
        })
        .collect();
    insta::assert_snapshot!(told.concat());
}
