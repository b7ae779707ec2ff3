//! Every scenario of the docs, from the file to the page: what is found of it, in short.

use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::{fs, io};

use quietpair::assess::{Judged, Verdict, assess};
use quietpair::finding::{Finding, Severity};
use quietpair::quantity::{Decibels, Frequency, Offset, Span};
use quietpair::render::{self, AssignReport, CheckReport, Format, Look, RankReport};
use quietpair::scenario::{Files, Plan, SearchRange, read};
use quietpair::search::assign::assign;
use quietpair::search::{Answer, Ranking, rank};
use unicode_width::UnicodeWidthStr;

#[path = "../src/render/conformance.rs"]
mod conformance;

/// Files beside the scenarios.
struct Beside;

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(folder().join(path))
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

/// The plan of a scenario, its searches narrowed so that they take seconds.
fn plan(name: &str) -> Plan {
    let file = format!("{name}.yaml");
    let bytes = fs::read(folder().join(&file)).unwrap();
    let mut plan = read(&file, &bytes, &Beside).unwrap_or_else(|faults| panic!("{faults}"));
    for search in &mut plan.searches {
        match &mut search.range {
            SearchRange::CrossBand(legs) => {
                *legs = [vec![span("433.0", "434.0")], vec![span("145.0", "146.0")]];
                search.step.value = Offset::hz(50_000);
            }
            SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
                for stretch in stretches {
                    let widest = Offset::hz(200_000).as_hz().min(stretch.width().as_hz());
                    *stretch = Span::between(stretch.low, stretch.low + Offset::hz(widest));
                }
            }
        }
    }
    plan
}

fn at(text: &str) -> Frequency {
    text.parse().unwrap()
}

fn span(low: &str, high: &str) -> Span {
    Span::between(at(low), at(high))
}

fn format(name: &str) -> &'static Format {
    render::ALL.iter().find(|one| one.name == name).unwrap()
}

fn written(margin: Option<Decibels>) -> String {
    margin.map_or_else(|| "none".to_owned(), |margin| margin.to_string())
}

/// Verdict, worst margin, and every conflict and caution in a line.
fn judged(one: &Judged) -> String {
    let name = one.proposal.as_deref().unwrap_or("as it stands");
    let mut out = format!(
        "{name}: {}, worst margin {}\n",
        one.verdict,
        written(one.worst_margin)
    );
    let mut lines: Vec<String> = one
        .findings
        .iter()
        .filter(|finding| finding.severity > Severity::Note)
        .map(line)
        .collect();
    lines.sort_unstable();
    for line in lines {
        writeln!(out, "  {line}").unwrap();
    }
    out
}

fn line(finding: &Finding) -> String {
    let severity = if finding.severity == Severity::Conflict {
        "conflict"
    } else {
        "caution"
    };
    let victim = finding.victim.as_ref().map_or("", |victim| &victim.station);
    let margin = finding
        .margin
        .map_or_else(String::new, |margin| margin.to_string());
    [
        finding.check,
        severity,
        &margin,
        &finding.arithmetic,
        victim,
    ]
    .into_iter()
    .filter(|part| !part.is_empty())
    .collect::<Vec<_>>()
    .join(" | ")
}

fn ranked(one: &Ranking) -> String {
    let mut out = format!(
        "{} for {}: {}, {} of {} refused by a leg\n",
        one.search, one.station, one.what, one.refused_by_a_leg, one.considered
    );
    for row in &one.rows {
        let legs: Vec<String> = row.legs.iter().map(|leg| leg.digits()).collect();
        writeln!(
            out,
            "  {} {}, worst margin {}, {} cautions, preference {}",
            legs.join(" ↔ "),
            row.verdict,
            written(row.worst_margin),
            row.cautions,
            row.preference
        )
        .unwrap();
    }
    out
}

fn document(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

#[track_caller]
fn assert_like_its_schema(command: &str, text: &str) {
    let schemas = render::schemas();
    let (_, schema) = schemas.iter().find(|(name, _)| *name == command).unwrap();
    assert_eq!(
        conformance::faults(schema, &document(text)),
        Vec::<String>::new()
    );
}

#[track_caller]
fn assert_fits(text: &str) {
    for line in text.lines() {
        assert!(line.width() <= 80, "too wide: {line}");
    }
}

/// The records of a table, each as long as its head.
#[track_caller]
fn rows(text: &str) -> usize {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.records().map(Result::unwrap).count()
}

/// Judges a scenario in every way and writes what comes of it in each format; what is found is told in short.
fn whole(name: &str) -> String {
    let plan = plan(name);
    let assessment = assess(&plan);
    let rankings: Vec<Ranking> = plan
        .searches
        .iter()
        .map(|search| rank(&plan, search, search.keep))
        .collect();
    let look = Look::default();
    let check = CheckReport {
        assessment: &assessment,
        defaults: Some(&plan.defaults),
    };
    let answers: Vec<Answer> = rankings.iter().cloned().map(Answer::plain).collect();
    let ranks = RankReport {
        event: &plan.event.name,
        answers: &answers,
    };
    assert_fits(&(format("text").check)(&check, &look));
    assert_fits(&(format("text").rank)(&ranks, &look));
    assert_like_its_schema("check", &(format("json").check)(&check, &look));
    assert_like_its_schema("rank", &(format("json").rank)(&ranks, &look));
    let subjects = std::iter::once(&assessment.plan).chain(&assessment.proposals);
    let findings: usize = subjects.clone().map(|one| one.findings.len()).sum();
    assert_eq!(rows(&(format("csv").check)(&check, &look)), findings);
    let shown: usize = rankings.iter().map(|one| one.rows.len()).sum();
    assert_eq!(rows(&(format("csv").rank)(&ranks, &look)), shown);
    let told: Vec<String> = subjects
        .map(judged)
        .chain(rankings.iter().map(ranked))
        .collect();
    format!("{}\n{}", assessment.event, told.concat())
}

#[test]
fn every_scenario_is_told_here() {
    let mut names: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter_map(|name| name.strip_suffix(".yaml").map(str::to_owned))
        .collect();
    names.sort_unstable();
    assert_eq!(
        names,
        [
            "alpine-rally",
            "county-search-exercise",
            "harbour-half-marathon",
            "lake-regatta-watch",
            "moor-marathon-channels",
            "pre-event-check"
        ]
    );
}

#[test]
fn the_rally() {
    insta::assert_snapshot!(whole("alpine-rally"));
}

#[test]
fn the_search_exercise() {
    insta::assert_snapshot!(whole("county-search-exercise"));
}

#[test]
fn the_half_marathon() {
    insta::assert_snapshot!(whole("harbour-half-marathon"));
}

#[test]
fn the_regatta() {
    insta::assert_snapshot!(whole("lake-regatta-watch"));
}

/// The channels that are given to a whole plan, each format fit to be read.
#[test]
fn the_moor_marathon_s_channels() {
    let plan = plan("moor-marathon-channels");
    let assignment = assign(&plan, plan.assign.as_ref().unwrap(), &|| false);
    assert!(assignment.is_proved);
    let report = AssignReport {
        event: &plan.event.name,
        assignment: &assignment,
    };
    let look = Look::default();
    let text = (format("text").assign)(&report, &look);
    assert_fits(&text);
    assert_like_its_schema("assign", &(format("json").assign)(&report, &look));
    assert_eq!(rows(&(format("csv").assign)(&report, &look)), 5);
    insta::assert_snapshot!(text);
}

#[test]
fn the_morning_check() {
    insta::assert_snapshot!(whole("pre-event-check"));
}

/// The sum is plain arithmetic, 3 × 145.2250 = 435.6750; that it lands on the relay's own other side is the event's story.
#[test]
fn last_years_pair_is_refused_for_the_third_harmonic_on_the_relays_own_input() {
    let plan = plan("harbour-half-marathon");
    let assessment = assess(&plan);
    let last_year = &assessment.proposals[0];
    assert_eq!(last_year.verdict, Verdict::Conflict);
    let harmonic = last_year
        .findings
        .iter()
        .find(|finding| finding.check == "harmonic" && finding.severity == Severity::Conflict)
        .unwrap();
    assert!(
        harmonic.arithmetic.starts_with("3 × 145.2250 = 435.6750"),
        "{}",
        harmonic.arithmetic
    );
    let victim = harmonic.victim.as_ref().unwrap();
    assert_eq!(
        (
            victim.station.as_str(),
            victim.receiver.as_str(),
            victim.frequency
        ),
        ("Hill relay", "70cm side", at("435.6750"))
    );
}

#[test]
fn the_best_pair_for_the_harbour_lies_among_the_channels_for_relays() {
    let plan = plan("harbour-half-marathon");
    let found = rank(&plan, &plan.searches[0], 1);
    let best = &found.rows[0];
    assert_ne!(best.verdict, Verdict::Conflict);
    assert!(
        span("433.4", "433.6").contains(best.legs[0]),
        "{:?}",
        best.legs
    );
    assert!(
        span("145.2", "145.6").contains(best.legs[1]),
        "{:?}",
        best.legs
    );
}
