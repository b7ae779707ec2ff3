//! Every finding, to be opened: its numbers, why, what would mend it, and how its level comes about.

use std::collections::BTreeSet;

use maud::{Markup, html};

use crate::budget::Step;
use crate::finding::{Finding, Severity};
use crate::report::{Found, Report};

use super::verdict::badge;
use super::{name, wide};
use crate::render::pictures::budget;
use crate::render::text::clean;

/// So many findings have a picture of their build-up; the others have its table.
const DRAWN: usize = 12;

/// The findings.
pub(super) fn section(report: &Report) -> Markup {
    let count = |severity: Severity| {
        report
            .findings
            .iter()
            .filter(|one| one.finding.severity == severity)
            .count()
    };
    html! {
        p {
            (count(Severity::Conflict)) " conflicts, " (count(Severity::Caution)) " cautions, " (count(Severity::Note))
            " notes. Each opens."
        }
        (filters(report))
        div #list {
            @for (index, found) in report.findings.iter().enumerate() { (one(found, index)) }
        }
    }
}

/// The filters; there only where the script runs.
fn filters(report: &Report) -> Markup {
    let touched: BTreeSet<usize> = report
        .findings
        .iter()
        .flat_map(|one| one.stations.iter().copied())
        .collect();
    let severities = [
        (Severity::Conflict, "conflicts"),
        (Severity::Caution, "cautions"),
        (Severity::Note, "notes"),
    ];
    html! {
        div #filters hidden {
            fieldset {
                legend { "Show" }
                @for (severity, word) in severities {
                    label {
                        input type="checkbox" name="severity" value=(class_of(severity)) checked[severity > Severity::Note];
                        " " (word)
                    }
                }
                label {
                    "of "
                    select name="station" {
                        option value="" { "every station" }
                        @for index in touched {
                            @if let Some(station) = report.stations.get(index) {
                                option value=(index) { (clean(station)) }
                            }
                        }
                    }
                }
            }
            p #shown aria-live="polite" {}
        }
    }
}

const fn class_of(severity: Severity) -> &'static str {
    match severity {
        Severity::Conflict => "conflict",
        Severity::Caution => "caution",
        Severity::Note => "note",
    }
}

fn one(found: &Found, index: usize) -> Markup {
    let finding = &found.finding;
    let stations: Vec<String> = found.stations.iter().map(ToString::to_string).collect();
    html! {
        details #(format!("finding-{}", index + 1)) class="finding" data-severity=(class_of(finding.severity))
            data-stations=(stations.join(" ")) {
            summary {
                (badge(finding.severity)) " "
                span class="nr" { (index + 1) } " "
                (clean(&finding.says))
                @if let Some(when) = &finding.when { " (in " (clean(when)) ")" }
            }
            (numbers(finding))
            @if !finding.budget.is_empty() && finding.severity == Severity::Note {
                p class="hint" { "How the level comes about: " code { "check --trace" } "." }
            } @else if !finding.budget.is_empty() {
                @if index < DRAWN && finding.severity > Severity::Note {
                    @if let Some(drawing) = budget(finding, index + 1) {
                        div class="wide screen" role="region" aria-label=(format!("Picture of finding {}", index + 1)) tabindex="0" {
                            (drawing)
                        }
                    }
                }
                (steps("How the level comes about", &finding.budget, index + 1))
                @if !finding.limit.is_empty() { (steps("How what would hurt comes about", &finding.limit, index + 1)) }
            }
        }
    }
}

fn numbers(finding: &Finding) -> Markup {
    let sources: Vec<String> = finding
        .sources
        .iter()
        .map(|source| {
            format!(
                "{} × {} ({})",
                source.coefficient, source.name, source.frequency
            )
            .replace('-', "−")
        })
        .collect();
    let margin = finding.margin.map(|margin| match finding.spread {
        Some(spread) => format!("{margin} ± {spread}"),
        None => margin.to_string(),
    });
    let levels = match (finding.level, finding.threshold, margin) {
        (Some(level), Some(threshold), Some(margin)) => Some(format!(
            "{level} arrives, {threshold} would hurt, margin {margin}"
        )),
        (_, _, Some(margin)) => Some(format!("margin {margin}")),
        _ => None,
    };
    html! {
        dl {
            @if !finding.arithmetic.is_empty() { dt { "sum" } dd { (clean(&finding.arithmetic)) } }
            @if !sources.is_empty() { dt { "from" } dd { (clean(&sources.join("; "))) } }
            @if let Some(victim) = &finding.victim {
                dt { "suffers" }
                dd { (name(&victim.station)) ", " (clean(&victim.receiver)) " (" (victim.frequency.to_string()) ")" }
            }
            @if let Some(levels) = levels { dt { "level" } dd { (levels) } }
            @if let Some(chance) = finding.chance { dt { "chance" } dd { (chance.to_string()) " that it really hurts" } }
            @if !finding.why.is_empty() { dt { "why" } dd { (clean(&finding.why)) } }
            @if let Some(spared) = &finding.spared { dt { "spared" } dd { (clean(spared)) } }
            @if !finding.remedies.is_empty() {
                dt { "what would mend it" }
                dd { ul { @for remedy in &finding.remedies { li { (clean(&remedy.text)) } } } }
            }
            @if !finding.assumed.is_empty() {
                dt { "assumed" }
                dd { ul { @for one in &finding.assumed { li { (clean(one)) } } } }
            }
            @if !finding.citation.is_empty() { dt { "source" } dd { (clean(&finding.citation)) } }
            dt { "check" } dd { code { (finding.check) } }
        }
    }
}

fn steps(title: &str, steps: &[Step], number: usize) -> Markup {
    wide(
        &format!("{title}, finding {number}"),
        &html! {
            table class="steps" {
                caption { (title) }
                thead { tr { th scope="col" { "step" } th scope="col" class="number" { "change" } th scope="col" { "source" } } }
                tbody { @for (place, step) in steps.iter().enumerate() {
                    tr {
                        td { (clean(&step.what)) }
                        td class="number" {
                            @if place == 0 { (step.change.to_string().replace(" dB", " dBm")) } @else { (step.change.to_string()) }
                        }
                        td { (clean(&step.note)) }
                    }
                } }
            }
        },
    )
}
