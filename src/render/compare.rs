//! A comparison with an earlier check as a list: one for people, one for spreadsheets.

use crate::compare::{Comparison, Course, Shift, State};

use super::{Listing, severity_word};

/// For people: what happened, then what is said of it.
pub(super) fn told(comparison: &Comparison) -> Listing {
    let count = |course: Course| {
        let shifts = comparison.shifts.iter();
        shifts.filter(|shift| shift.course == course).count()
    };
    let mut notes = vec![format!(
        "{} new, {} worse, {} better, {} gone; {} as they were.",
        count(Course::New),
        count(Course::Worse),
        count(Course::Better),
        count(Course::Gone),
        comparison.unchanged
    )];
    if comparison.event != comparison.event_before {
        notes.push(format!(
            "The earlier check was of `{}`.",
            comparison.event_before
        ));
    }
    Listing {
        command: "compare",
        title: format!("{}, since the earlier check", comparison.event),
        notes,
        columns: vec!["change", "says", "of", "check", "before", "after"],
        rows: comparison.shifts.iter().map(row).collect(),
    }
}

fn row(shift: &Shift) -> Vec<String> {
    let subject = shift.subject.as_deref().unwrap_or("the plan as it stands");
    vec![
        shift.course.to_string(),
        says(shift).to_owned(),
        subject.to_owned(),
        shift.check.clone(),
        shift.before.as_ref().map_or_else(String::new, brief),
        shift.after.as_ref().map_or_else(String::new, brief),
    ]
}

/// What is said of it now, or was said of it last.
fn says(shift: &Shift) -> &str {
    let state = shift.after.as_ref().or(shift.before.as_ref());
    state.map_or("", |state| &state.says)
}

fn brief(state: &State) -> String {
    let margin = state
        .margin
        .map_or_else(String::new, |margin| format!(", margin {margin}"));
    format!("{}{margin}", severity_word(state.severity))
}

/// For spreadsheets: a column a figure.
pub(super) fn table(comparison: &Comparison) -> Listing {
    let margin = |state: Option<&State>| {
        let margin = state.and_then(|state| state.margin);
        // Adding zero takes the sign off a rounded zero.
        margin.map_or_else(String::new, |margin| {
            format!("{:.1}", (margin.as_db() * 10.0).round() / 10.0 + 0.0)
        })
    };
    let severity = |state: Option<&State>| {
        state.map_or_else(String::new, |state| {
            severity_word(state.severity).to_owned()
        })
    };
    let rows = comparison.shifts.iter().map(|shift| {
        vec![
            shift.course.to_string(),
            shift.subject.clone().unwrap_or_default(),
            shift.check.clone(),
            severity(shift.before.as_ref()),
            severity(shift.after.as_ref()),
            margin(shift.before.as_ref()),
            margin(shift.after.as_ref()),
            says(shift).to_owned(),
        ]
    });
    Listing {
        command: "compare",
        title: String::new(),
        notes: Vec::new(),
        columns: vec![
            "change",
            "subject",
            "check",
            "severity_before",
            "severity_after",
            "margin_before_db",
            "margin_after_db",
            "says",
        ],
        rows: rows.collect(),
    }
}
