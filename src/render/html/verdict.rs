//! The verdict in one sentence, what was judged, and what to mend first.

use maud::{Markup, html};

use crate::assess::Verdict;
use crate::finding::Severity;
use crate::report::{Report, Subject};

use super::{name, wide};
use crate::render::severity_word;
use crate::render::text::clean;

/// A severity as a word with its sign: colour only goes along.
pub(super) fn badge(severity: Severity) -> Markup {
    let (class, sign) = match severity {
        Severity::Conflict => ("badge conflict", "✕"),
        Severity::Caution => ("badge caution", "▲"),
        Severity::Note => ("badge note", "○"),
    };
    html! { span class=(class) { span aria-hidden="true" { (sign) " " } (severity_word(severity)) } }
}

fn verdict_badge(verdict: Verdict) -> Markup {
    match verdict {
        Verdict::Conflict => badge(Severity::Conflict),
        Verdict::Caution => badge(Severity::Caution),
        Verdict::Clear => {
            html! { span class="badge clear" { span aria-hidden="true" { "✓ " } "clear" } }
        }
    }
}

/// The verdict.
pub(super) fn section(report: &Report) -> Markup {
    let overview = &report.overview;
    html! {
        p class="sentence" { (verdict_badge(overview.verdict)) " " (report.sentence) }
        p {
            @match &overview.subject {
                Some(subject) => { "This report is about the plan with " strong { (name(subject)) } " in place: " },
                None => { "This report is about the plan as it stands: " },
            }
            (clean(&overview.what)) "."
        }
        @if report.subjects.len() > 1 { (wide("What was judged", &subjects(&report.subjects))) }
    }
}

fn subjects(all: &[Subject]) -> Markup {
    html! {
        table class="stacked" {
            caption { "What was judged" }
            thead { tr {
                th scope="col" { "subject" } th scope="col" { "verdict" } th scope="col" class="number" { "least margin" }
                th scope="col" { "what" }
            } }
            tbody { @for one in all {
                tr class=[one.is_chosen.then_some("chosen-row")] {
                    th scope="row" {
                        @match &one.name { Some(subject) => (name(subject)), None => "the plan as it stands" }
                        @if one.is_chosen && one.name.is_some() { " (in place here)" }
                    }
                    td data-head="verdict" { (verdict_badge(one.verdict)) }
                    td class="number" data-head="least margin" { (one.worst_margin.map_or_else(|| "–".to_owned(), |margin| margin.to_string())) }
                    td data-head="what" { (clean(&one.what)) }
                }
            } }
        }
    }
}

/// What to mend first.
pub(super) fn mend(report: &Report) -> Markup {
    let place = |says: &str| {
        report
            .findings
            .iter()
            .position(|one| one.finding.says == says)
    };
    html! {
        @if report.overview.mend.is_empty() {
            p { "Nothing needs mending." }
        } @else {
            ol class="mend" {
                @for mend in &report.overview.mend {
                    li {
                        p { (badge(mend.severity)) " " (clean(&mend.says))
                            @if let Some(when) = &mend.when { " (in " (clean(when)) ")" }
                            "."
                        }
                        @if let Some(spared) = &mend.spared {
                            p class="small" { "No more than a " (severity_word(mend.severity)) ": " (clean(spared)) "." }
                        }
                        @if let Some(remedy) = &mend.remedy {
                            p class="remedy" { span class="lead" { "What would mend it: " } (clean(remedy)) "." }
                        }
                        p class="small" {
                            @if let Some(place) = place(&mend.says) {
                                a href=(format!("#finding-{}", place + 1)) { "Finding " (place + 1) } ", "
                            }
                            "check " code { (mend.check) }
                            @if mend.alike > 0 { "; " (mend.alike) " more of this check" }
                        }
                    }
                }
            }
        }
    }
}
