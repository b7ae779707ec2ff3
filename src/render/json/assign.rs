//! The keys of what `assign` hands on.

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::Frequency;
use crate::scenario::Aim;
use crate::search::assign::{Assignment, Given};

use super::super::AssignReport;
use super::super::assign::tone_digits;
use super::shapes::{Found, Summary, db};

/// What `assign` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "assign")]
pub(in crate::render) struct Assign<'a> {
    /// `quietpair.assign/1`.
    format: &'static str,
    /// Name of the event.
    event: &'a str,
    /// What the best plan is: `quietest` or `fewest-changes`.
    aim: &'static str,
    /// `proved`, `stopped` or `impossible`.
    outcome: &'static str,
    /// How many frequencies are open.
    frequencies: usize,
    /// How many ways there are to choose them, as digits.
    ways: String,
    /// How many partial plans were looked into.
    looked_into: u64,
    /// What the plan costs, in words; null when there is none.
    cost: Option<&'a str>,
    /// When stopped: what no plan can be better than, in words.
    no_better_than: Option<&'a str>,
    /// How many frequencies are not where they were last year; null when there is no plan.
    changes: Option<usize>,
    /// When impossible: what is asked and cannot all hold; empty otherwise.
    contradiction: Vec<&'a str>,
    /// Whether fewer of all that is asked do not contradict each other; null where nothing does.
    contradiction_is_smallest: Option<bool>,
    /// Every open channel in the scenario's order; empty when there is no plan.
    pub(in crate::render) channels: Vec<Placed<'a>>,
    /// The whole plan with these channels, judged; null when there is none.
    plan: Option<Summary<'a>>,
    /// Everything that was found in it, worst first.
    findings: Vec<Found<'a>>,
}

/// An open channel in its place.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "channel")]
pub(in crate::render) struct Placed<'a> {
    /// What it is called.
    channel: &'a str,
    /// What its stations do there: `repeat`, `talk` or `watch`.
    what: &'static str,
    /// The stations on it.
    stations: Vec<&'a str>,
    /// Its frequencies.
    legs_hz: Vec<i64>,
    /// Its tone in hertz, as digits (`77.0`); null without one.
    tone_hz: Option<String>,
    /// Where it was last year.
    last_year_hz: Vec<i64>,
    /// Verdict of what rests on it: `clear`, `caution` or `conflict`.
    verdict: String,
    /// Number of conflicts that rest on it.
    conflicts: usize,
    /// Number of cautions.
    cautions: usize,
    /// The least margin; null when nothing came near.
    worst_margin_db: Option<f64>,
    /// How well the band plan likes it; higher is better.
    preference: i32,
    /// What limits it.
    limited_by: &'a str,
}

impl<'a> Assign<'a> {
    pub(super) fn of(report: &AssignReport<'a>) -> Self {
        let assignment = report.assignment;
        let found = assignment.found.as_ref();
        let contradiction = assignment.contradiction.as_ref();
        Self {
            format: "quietpair.assign/1",
            event: report.event,
            aim: match assignment.aim {
                Aim::Quietest => "quietest",
                Aim::FewestChanges => "fewest-changes",
            },
            outcome: outcome(assignment),
            frequencies: assignment.frequencies,
            ways: assignment.ways.to_string(),
            looked_into: assignment.looked_into,
            cost: found.map(|found| found.cost.as_str()),
            no_better_than: assignment.no_better_than.as_deref(),
            changes: found.map(|found| found.changes),
            contradiction: contradiction
                .iter()
                .flat_map(|one| one.asked.iter().map(String::as_str))
                .collect(),
            contradiction_is_smallest: contradiction.map(|one| one.is_smallest),
            channels: found
                .iter()
                .flat_map(|found| found.given.iter().map(Placed::of))
                .collect(),
            plan: found.map(|found| Summary::of(&found.judged)),
            findings: found
                .iter()
                .flat_map(|found| &found.judged.findings)
                .map(|finding| Found::of(None, finding))
                .collect(),
        }
    }
}

const fn outcome(assignment: &Assignment) -> &'static str {
    match (&assignment.found, assignment.is_proved) {
        (_, false) => "stopped",
        (Some(_), true) => "proved",
        (None, true) => "impossible",
    }
}

impl<'a> Placed<'a> {
    fn of(given: &'a Given) -> Self {
        let hertz = |of: &[Frequency]| of.iter().map(|one| one.as_hz()).collect();
        Self {
            channel: &given.name,
            what: given.what,
            stations: given.stations.iter().map(String::as_str).collect(),
            legs_hz: hertz(&given.legs),
            tone_hz: given.tone.map(tone_digits),
            last_year_hz: hertz(&given.last_year),
            verdict: given.verdict.to_string(),
            conflicts: given.conflicts,
            cautions: given.cautions,
            worst_margin_db: given.worst_margin.map(db),
            preference: given.preference,
            limited_by: &given.limited_by,
        }
    }
}
