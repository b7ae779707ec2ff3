//! What `check` found, for people.

use crate::assess::{Judged, Verdict};
use crate::budget::Step;
use crate::finding::{Finding, Matter, Severity, Victim};
use crate::quantity::{Decibels, Level};

use super::super::fold::{Fold, fold};
use super::super::{CheckReport, DefaultTaken, Look, severity_word};
use super::{Paper, Tone, counted, listed};

/// Column that the words after a label begin in.
const LABELS: usize = 12;

/// How many of those alike are listed below the worst.
const LISTED: usize = 5;

/// Writes the page.
pub(super) fn write(report: &CheckReport<'_>, look: &Look) -> String {
    let assessment = report.assessment;
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, &assessment.event);
    paper.paragraph(
        0,
        Tone::Plain,
        &headline(&assessment.plan, &assessment.proposals),
    );
    paper.blank();
    let subjects = || std::iter::once(&assessment.plan).chain(&assessment.proposals);
    if !assessment.proposals.is_empty() {
        subjects().for_each(|subject| overview(&mut paper, subject));
    }
    for subject in subjects().filter(|subject| !subject.findings.is_empty()) {
        tell(&mut paper, subject, look);
    }
    let has_more = subjects()
        .flat_map(|subject| &subject.findings)
        .any(|finding| finding.severity < Severity::Conflict);
    if has_more && !look.shows_all {
        paper.blank();
        paper.paragraph(
            0,
            Tone::Plain,
            "Cautions and notes are told in brief; --all tells them in full, --trace the whole build-up of each level.",
        );
    }
    if let Some(defaults) = report.defaults {
        tell_defaults(&mut paper, defaults);
    }
    paper.finish()
}

/// The verdict in one or two sentences.
fn headline(plan: &Judged, proposals: &[Judged]) -> String {
    let stands = match plan.verdict {
        Verdict::Clear => "The plan as it stands is clear.",
        Verdict::Caution => "The plan as it stands needs a look.",
        Verdict::Conflict => "The plan as it stands has a conflict.",
    };
    let names = |verdict: Verdict| -> Vec<String> {
        proposals
            .iter()
            .filter(|judged| judged.verdict == verdict)
            .filter_map(|judged| judged.proposal.clone())
            .collect()
    };
    let told: Vec<String> = [
        (Verdict::Clear, "is clear", "are clear"),
        (Verdict::Caution, "needs a look", "need a look"),
        (Verdict::Conflict, "conflicts", "conflict"),
    ]
    .into_iter()
    .map(|(verdict, one, several)| (names(verdict), one, several))
    .filter(|(names, ..)| !names.is_empty())
    .map(|(names, one, several)| {
        let verb = if names.len() == 1 { one } else { several };
        format!("{} {verb}", listed(&names))
    })
    .collect();
    match told.as_slice() {
        [] => stands.to_owned(),
        told => format!("{stands} Of the proposals, {}.", told.join("; ")),
    }
}

pub(super) const fn verdict_tone(verdict: Verdict) -> Tone {
    match verdict {
        Verdict::Clear => Tone::Good,
        Verdict::Caution => Tone::Wary,
        Verdict::Conflict => Tone::Bad,
    }
}

const fn severity_tone(severity: Severity) -> Tone {
    match severity {
        Severity::Note => Tone::Heading,
        Severity::Caution => Tone::Wary,
        Severity::Conflict => Tone::Bad,
    }
}

/// One subject in a line.
fn overview(paper: &mut Paper, judged: &Judged) {
    let margin = judged
        .worst_margin
        .map(|margin| format!(", margin {margin}"))
        .unwrap_or_default();
    let text = match &judged.proposal {
        Some(name) => format!("{name}: {}{margin}", judged.what),
        None if judged.what.is_empty() => format!("the plan as it stands{margin}"),
        None => format!("the plan as it stands, {}{margin}", judged.what),
    };
    paper.labelled(
        2,
        LABELS,
        verdict_tone(judged.verdict),
        &judged.verdict.to_string(),
        &text,
    );
}

/// One subject with everything that was found about it.
fn tell(paper: &mut Paper, judged: &Judged, look: &Look) {
    paper.blank();
    let heading = match &judged.proposal {
        Some(name) => format!("{name}: {}", judged.what),
        None => "The plan as it stands".to_owned(),
    };
    tell_under(paper, &heading, judged, look);
}

/// The same under a heading of its own.
pub(super) fn tell_under(paper: &mut Paper, heading: &str, judged: &Judged, look: &Look) {
    paper.paragraph(0, Tone::Heading, heading);
    paper.labelled(
        0,
        LABELS,
        verdict_tone(judged.verdict),
        &judged.verdict.to_string(),
        &summary(judged),
    );
    for fold in fold(&judged.findings, look.shows_all) {
        if fold.lead.severity > Severity::Note || look.shows_all {
            paper.blank();
            tell_finding(paper, fold.lead, look);
            tell_alike(paper, &fold);
        }
    }
    if !look.shows_all {
        tell_notes(paper, &judged.findings);
    }
}

/// The notes in brief: what is not physics by what it says, the rest by how many there are.
fn tell_notes(paper: &mut Paper, findings: &[Finding]) {
    let notes = || {
        findings
            .iter()
            .filter(|finding| finding.severity == Severity::Note)
    };
    if notes().next().is_none() {
        return;
    }
    paper.blank();
    let mut label = "noted";
    for finding in notes().filter(|finding| finding.matter != Matter::Interference) {
        paper.labelled(2, LABELS, Tone::Heading, label, &finding.says);
        label = "";
    }
    let physics = notes().filter(|finding| finding.matter == Matter::Interference);
    let (near, firm): (Vec<&Finding>, Vec<&Finding>) =
        physics.partition(|finding| finding.spared.is_some());
    if let Some(least) = firm.iter().filter_map(|finding| finding.margin).min() {
        let text = format!(
            "{} with {least} or more in hand",
            counted(firm.len(), "encounter")
        );
        paper.labelled(2, LABELS, Tone::Heading, label, &text);
        label = "";
    }
    if !near.is_empty() {
        let text = format!(
            "{} of interest only to somebody close by, whatever the channel",
            counted(near.len(), "encounter")
        );
        paper.labelled(2, LABELS, Tone::Heading, label, &text);
    }
}

/// How much was found, and how near it comes.
fn summary(judged: &Judged) -> String {
    let count = |severity| {
        judged
            .findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let counts: Vec<String> = [Severity::Conflict, Severity::Caution, Severity::Note]
        .into_iter()
        .map(|severity| (count(severity), severity_word(severity)))
        .filter(|&(count, _)| count > 0)
        .map(|(count, word)| counted(count, word))
        .collect();
    let found = if counts.is_empty() {
        "nothing was found that could hurt".to_owned()
    } else {
        listed(&counts)
    };
    match judged.worst_margin {
        Some(margin) => format!("{found}; the least margin is {margin}"),
        None => found,
    }
}

/// One finding in full.
fn tell_finding(paper: &mut Paper, finding: &Finding, look: &Look) {
    paper.labelled(
        2,
        LABELS,
        severity_tone(finding.severity),
        severity_word(finding.severity),
        &finding.says,
    );
    // A conflict is told in full; a caution without what its figures rest on, unless that is asked for.
    let is_full = finding.severity == Severity::Conflict || look.shows_all;
    let mut line = |label: &str, text: &str| {
        if !text.is_empty() {
            paper.labelled(4, LABELS - 2, Tone::Label, label, text);
        }
    };
    line("when", finding.when.as_deref().unwrap_or_default());
    line("sum", &arithmetic(finding));
    line("from", &sources(finding));
    if is_full {
        let victim = finding.victim.as_ref();
        line("suffers", &victim.map(suffers).unwrap_or_default());
    }
    line("level", &level(finding));
    if look.shows_budget {
        for (label, steps) in [("arrives", &finding.budget), ("hurts at", &finding.limit)] {
            for (place, text) in budget(steps).iter().enumerate() {
                line(if place == 0 { label } else { "" }, text);
            }
        }
    }
    if is_full || finding.level.is_none() {
        line("why", &finding.why);
    }
    if let Some(spared) = &finding.spared {
        line(
            "spared",
            &format!(
                "no more than a {}: {spared}",
                severity_word(finding.severity)
            ),
        );
    }
    for remedy in finding
        .remedies
        .iter()
        .take(if is_full { usize::MAX } else { 1 })
    {
        line("remedy", &remedy.text);
    }
    if is_full {
        line("assumed", &finding.assumed.join("; "));
    }
    if is_full || finding.matter != Matter::Interference {
        line("source", &finding.citation);
    }
    let check = format!("{} ({})", finding.check, matter(finding.matter));
    line("check", &check);
}

/// The words for a matter in a sentence.
const fn matter(matter: Matter) -> &'static str {
    match matter {
        Matter::Interference => "interference",
        Matter::Law => "law and licence",
        Matter::BandPlan => "band plan: custom, not law",
        Matter::Net => "the plan as a network",
        Matter::Exposure => "people and safety",
    }
}

/// The sum, and how wide the product is.
fn arithmetic(finding: &Finding) -> String {
    match finding.width {
        Some(width) if !finding.arithmetic.is_empty() => {
            format!("{}, {width} wide", finding.arithmetic)
        }
        _ => finding.arithmetic.clone(),
    }
}

/// The sources: a sum where they make a product, a list where they do not.
fn sources(finding: &Finding) -> String {
    let mut text = String::new();
    for term in &finding.sources {
        text.push_str(
            match (text.is_empty(), finding.product, term.coefficient < 0) {
                (true, Some(_), true) => "−",
                (true, ..) => "",
                (false, None, _) => "; ",
                (false, Some(_), false) => " + ",
                (false, Some(_), true) => " − ",
            },
        );
        let times = term.coefficient.unsigned_abs();
        if times > 1 {
            text.extend([&times.to_string(), " × "]);
        }
        text.extend([&term.name, " (", &term.frequency.to_string(), ")"]);
    }
    text
}

/// Who suffers, and where.
fn suffers(victim: &Victim) -> String {
    format!("{} ({})", receiver(victim), victim.frequency)
}

/// Which receiver suffers; its name may hold the station's already, or say nothing.
fn receiver(victim: &Victim) -> String {
    if victim.receiver.starts_with(&victim.station) {
        victim.receiver.clone()
    } else if victim.receiver == "receiver" {
        victim.station.clone()
    } else {
        format!("{}, {}", victim.station, victim.receiver)
    }
}

/// A level's build-up, a step a line: the level it begins with, and every change to it.
fn budget(steps: &[Step]) -> Vec<String> {
    let mut lines = Vec::new();
    for step in steps {
        let figure = if lines.is_empty() {
            Level::dbm(step.change.as_db()).to_string()
        } else {
            let sign = if step.change < Decibels::ZERO {
                ""
            } else {
                "+"
            };
            format!("{sign}{}", step.change)
        };
        let note = if step.note.is_empty() {
            String::new()
        } else {
            format!(" ({})", step.note)
        };
        lines.push(format!("{figure} {}{note}", step.what));
    }
    lines
}

/// What arrives against what would hurt, or what is sent against what is allowed.
fn level(finding: &Finding) -> String {
    let (has, limit) = match finding.matter {
        Matter::Interference | Matter::Net => ("arrives", "would hurt"),
        Matter::Law | Matter::BandPlan | Matter::Exposure => ("is sent", "is the limit"),
    };
    let parts = [
        finding.level.map(|level| format!("{level} {has}")),
        finding.threshold.map(|level| format!("{level} {limit}")),
        finding.margin.map(|margin| match finding.spread {
            Some(spread) => format!("margin {margin} ± {spread}"),
            None => format!("margin {margin}"),
        }),
        finding
            .chance
            .map(|chance| format!("{chance} likely to hurt")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The others of a fold, a line each.
fn tell_alike(paper: &mut Paper, fold: &Fold<'_>) {
    if fold.others.is_empty() {
        return;
    }
    paper.labelled(
        4,
        LABELS - 2,
        Tone::Label,
        "alike",
        &format!("and {} more like it", super::grouped(fold.others.len())),
    );
    for finding in fold.others.iter().take(LISTED) {
        paper.labelled(
            4 + LABELS - 2,
            LABELS,
            severity_tone(finding.severity),
            severity_word(finding.severity),
            &in_short(finding),
        );
    }
    let rest = fold.others.len().saturating_sub(LISTED);
    if rest > 0 {
        let text = format!("… {} more; --all shows each in full", super::grouped(rest));
        paper.paragraph(4 + LABELS - 2, Tone::Plain, &text);
    }
}

/// A finding in a line: its margin, its sum, and who suffers.
fn in_short(finding: &Finding) -> String {
    let sum = if finding.arithmetic.is_empty() {
        &finding.says
    } else {
        &finding.arithmetic
    };
    let margin = finding.margin.map(|margin| format!("margin {margin}"));
    let victim = finding.victim.as_ref().map(receiver);
    let parts = [margin, Some(sum.clone()), victim];
    parts.into_iter().flatten().collect::<Vec<_>>().join(": ")
}

/// Every default that was taken.
fn tell_defaults(paper: &mut Paper, defaults: &[DefaultTaken]) {
    paper.blank();
    paper.paragraph(
        0,
        Tone::Heading,
        "What was not stated, and what was taken for it",
    );
    if defaults.is_empty() {
        paper.paragraph(2, Tone::Plain, "Nothing: every value was stated.");
    }
    for (what, value, origin) in defaults {
        paper.paragraph(2, Tone::Plain, &format!("{what}: {value}"));
        paper.paragraph(6, Tone::Label, &origin.to_string());
    }
}
