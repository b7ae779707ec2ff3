//! The keys of what `check --against` hands on.

use schemars::JsonSchema;
use serde::Serialize;

use crate::compare::{Comparison, Shift, State};

use super::super::severity_word;
use super::shapes::db;

/// What `check --against` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "compare")]
pub(in crate::render) struct Compared<'a> {
    /// `quietpair.compare/1`.
    format: &'static str,
    /// Name of the event now.
    event: &'a str,
    /// Name of the event of the earlier check.
    event_before: &'a str,
    /// How many findings are as they were.
    unchanged: usize,
    /// What is not as it was: what is new, then what is worse, better and gone, worst first.
    pub(in crate::render) changes: Vec<Changed<'a>>,
}

/// One thing that is not as it was.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "change")]
pub(in crate::render) struct Changed<'a> {
    /// `new`, `worse`, `better` or `gone`.
    change: String,
    /// Name of the proposal; null for the plan as it stands.
    subject: Option<&'a str>,
    /// Id of the check, as `explain` knows it.
    check: &'a str,
    /// How it was; null where it is new.
    before: Option<Was<'a>>,
    /// How it is; null where it is gone.
    after: Option<Was<'a>>,
}

/// How bad a finding is or was.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "state")]
struct Was<'a> {
    /// `note`, `caution` or `conflict`.
    severity: &'static str,
    /// Threshold less level; negative hurts.
    margin_db: Option<f64>,
    /// One sentence with its numbers.
    says: &'a str,
}

impl<'a> Compared<'a> {
    pub(super) fn of(comparison: &'a Comparison) -> Self {
        Self {
            format: "quietpair.compare/1",
            event: &comparison.event,
            event_before: &comparison.event_before,
            unchanged: comparison.unchanged,
            changes: comparison.shifts.iter().map(Changed::of).collect(),
        }
    }
}

impl<'a> Changed<'a> {
    fn of(shift: &'a Shift) -> Self {
        Self {
            change: shift.course.to_string(),
            subject: shift.subject.as_deref(),
            check: &shift.check,
            before: shift.before.as_ref().map(Was::of),
            after: shift.after.as_ref().map(Was::of),
        }
    }
}

impl<'a> Was<'a> {
    fn of(state: &'a State) -> Self {
        Self {
            severity: severity_word(state.severity),
            margin_db: state.margin.map(db),
            says: &state.says,
        }
    }
}
