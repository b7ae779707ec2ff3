//! What became better or worse since an earlier check, by what that check handed on as JSON.
//!
//! Two findings are the same when the same check says it of the same subject about the same victim with the same
//! sources; where several are alike in that, they are paired in order, worst first.

use std::collections::BTreeMap;
use std::fmt;

use serde::Deserialize;
use thiserror::Error;

use crate::assess::Assessment;
use crate::finding::{Finding, Severity};
use crate::quantity::Decibels;

/// What the JSON of an earlier check says it is.
const FORMAT: &str = "quietpair.check/1";

/// Margins that differ by less are the same; the JSON has tenths.
const STEP: f64 = 0.05;

/// Why an earlier check could not be compared with.
#[derive(Debug, Error)]
pub enum EarlierError {
    /// No JSON, or not the JSON of a check.
    #[error("it is not the JSON of a check: {0}")]
    Unreadable(#[from] serde_json::Error),
    /// JSON of something else, or of a version that is not known.
    #[error("it is `{found}`, and `{FORMAT}` is wanted")]
    Other {
        /// What it says it is.
        found: String,
    },
    /// A word that no check hands on.
    #[error("`{0}` is no severity")]
    Severity(String),
}

/// What is read of the JSON of a check.
#[derive(Debug, Deserialize)]
struct Document {
    format: String,
    event: String,
    findings: Vec<Told>,
}

/// What is read of a finding.
#[derive(Debug, Deserialize)]
struct Told {
    check: String,
    severity: String,
    subject: Option<String>,
    says: String,
    victim: Option<Suffers>,
    sources: Vec<Source>,
    margin_db: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct Suffers {
    station: String,
    receiver: String,
}

#[derive(Debug, Deserialize)]
struct Source {
    name: String,
    coefficient: i32,
}

/// What makes two findings the same: subject, check, who suffers, and what makes it.
type Identity = (String, String, String, Vec<(String, i32)>);

/// A finding as far as it is compared.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// How bad it is.
    pub severity: Severity,
    /// Its margin, to a tenth.
    pub margin: Option<Decibels>,
    /// What it says.
    pub says: String,
}

/// Which way something went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Course {
    /// It was not there before.
    New,
    /// It is more severe, or as severe with less margin.
    Worse,
    /// It is less severe, or as severe with more margin.
    Better,
    /// It is not there any more.
    Gone,
}

impl fmt::Display for Course {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::New => "new",
            Self::Worse => "worse",
            Self::Better => "better",
            Self::Gone => "gone",
        })
    }
}

/// One thing that is not as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Which way it went.
    pub course: Course,
    /// Name of the proposal; none for the plan as it stands.
    pub subject: Option<String>,
    /// The check that found it.
    pub check: String,
    /// How it was.
    pub before: Option<State>,
    /// How it is.
    pub after: Option<State>,
}

/// Everything that is not as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Name of the event now.
    pub event: String,
    /// Name of the event then.
    pub event_before: String,
    /// What is new, worse, better or gone, in this order, and worst first.
    pub shifts: Vec<Shift>,
    /// How many findings are as they were.
    pub unchanged: usize,
}

impl Shift {
    /// How bad it is now; none where it is gone.
    pub fn severity_now(&self) -> Option<Severity> {
        self.after.as_ref().map(|state| state.severity)
    }

    /// Whether it is a change for the worse to at least a severity that `holds`.
    pub fn is_worse_where(&self, holds: impl Fn(Severity) -> bool) -> bool {
        matches!(self.course, Course::New | Course::Worse) && self.severity_now().is_some_and(holds)
    }
}

/// Compares what was found with the JSON of an earlier check.
///
/// # Errors
/// The text is not what `check` hands on as JSON.
pub fn compare(assessment: &Assessment, earlier: &str) -> Result<Comparison, EarlierError> {
    let document: Document = serde_json::from_str(earlier)?;
    if document.format != FORMAT {
        let found = document.format.chars().take(60).collect();
        return Err(EarlierError::Other { found });
    }
    let mut before: BTreeMap<Identity, Vec<State>> = BTreeMap::new();
    for told in document.findings {
        let (identity, state) = told.into_state()?;
        before.entry(identity).or_default().push(state);
    }
    let mut after: BTreeMap<Identity, Vec<State>> = BTreeMap::new();
    for judged in std::iter::once(&assessment.plan).chain(&assessment.proposals) {
        for finding in &judged.findings {
            let subject = judged.proposal.clone().unwrap_or_default();
            let (identity, state) = state(subject, finding);
            after.entry(identity).or_default().push(state);
        }
    }
    let mut identities: Vec<&Identity> = before.keys().chain(after.keys()).collect();
    identities.sort();
    identities.dedup();
    let mut shifts = Vec::new();
    let mut unchanged = 0;
    for identity in identities {
        let then = sorted(before.get(identity));
        let now = sorted(after.get(identity));
        for at in 0..then.len().max(now.len()) {
            let pair = (then.get(at).cloned(), now.get(at).cloned());
            match course(&pair) {
                None => unchanged += 1,
                Some(course) => shifts.push(Shift {
                    course,
                    subject: (!identity.0.is_empty()).then(|| identity.0.clone()),
                    check: identity.1.clone(),
                    before: pair.0,
                    after: pair.1,
                }),
            }
        }
    }
    shifts.sort_by(|one, other| {
        let key = |shift: &Shift| {
            let state = shift.after.as_ref().or(shift.before.as_ref());
            let severity = state.map(|state| std::cmp::Reverse(state.severity));
            (shift.course, severity, state.and_then(|state| state.margin))
        };
        key(one).cmp(&key(other))
    });
    Ok(Comparison {
        event: assessment.event.clone(),
        event_before: document.event,
        shifts,
        unchanged,
    })
}

impl Told {
    fn into_state(self) -> Result<(Identity, State), EarlierError> {
        let severity = match self.severity.as_str() {
            "note" => Severity::Note,
            "caution" => Severity::Caution,
            "conflict" => Severity::Conflict,
            _ => return Err(EarlierError::Severity(self.severity)),
        };
        let victim = self.victim.map(|victim| (victim.station, victim.receiver));
        let sources = self.sources.into_iter();
        let sources = sources.map(|source| (source.name, source.coefficient));
        let identity = identity(
            self.subject.unwrap_or_default(),
            self.check,
            victim,
            sources,
        );
        let state = State {
            severity,
            margin: self.margin_db.map(Decibels::db),
            says: self.says,
        };
        Ok((identity, state))
    }
}

fn state(subject: String, finding: &Finding) -> (Identity, State) {
    let victim = finding.victim.as_ref();
    let victim = victim.map(|victim| (victim.station.clone(), victim.receiver.clone()));
    let sources = finding.sources.iter();
    let sources = sources.map(|term| (term.name.clone(), term.coefficient));
    let state = State {
        severity: finding.severity,
        margin: finding.margin,
        says: finding.says.clone(),
    };
    (
        identity(subject, finding.check.to_owned(), victim, sources),
        state,
    )
}

fn identity(
    subject: String,
    check: String,
    victim: Option<(String, String)>,
    sources: impl Iterator<Item = (String, i32)>,
) -> Identity {
    let victim = victim.map_or_else(String::new, |(station, receiver)| {
        format!("{station}\n{receiver}")
    });
    let mut sources: Vec<_> = sources.collect();
    sources.sort();
    (subject, check, victim, sources)
}

/// Worst first, so that what is alike is paired by how bad it is.
fn sorted(states: Option<&Vec<State>>) -> Vec<State> {
    let mut states = states.cloned().unwrap_or_default();
    states.sort_by(|one, other| {
        let key = |state: &State| (std::cmp::Reverse(state.severity), state.margin);
        key(one)
            .cmp(&key(other))
            .then_with(|| one.says.cmp(&other.says))
    });
    states
}

/// Which way a finding went; none where it is as it was.
fn course((before, after): &(Option<State>, Option<State>)) -> Option<Course> {
    let (before, after) = match (before, after) {
        (None, Some(_)) => return Some(Course::New),
        (Some(_), None) => return Some(Course::Gone),
        (Some(before), Some(after)) => (before, after),
        (None, None) => return None,
    };
    let gain = match (before.margin, after.margin) {
        (Some(before), Some(after)) => tenths(after) - tenths(before),
        _ => 0.0,
    };
    match after.severity.cmp(&before.severity) {
        std::cmp::Ordering::Greater => Some(Course::Worse),
        std::cmp::Ordering::Less => Some(Course::Better),
        std::cmp::Ordering::Equal if gain < -STEP => Some(Course::Worse),
        std::cmp::Ordering::Equal if gain > STEP => Some(Course::Better),
        std::cmp::Ordering::Equal => None,
    }
}

fn tenths(margin: Decibels) -> f64 {
    (margin.as_db() * 10.0).round() / 10.0
}
