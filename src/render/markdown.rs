//! Markdown for notes, mails and trackers.

use crate::assess::Judged;
use crate::finding::Finding;
use crate::overview::Overview;
use crate::physics::mixing::arithmetic;
use crate::quantity::Frequency;
use crate::search::Answer;

use super::assign::{headline, proof, tone_digits};
use super::{
    AssignReport, CheckReport, Format, Listing, Look, ProductsReport, RankReport, compare,
    fold::fold, legs_text, review::parts, severity_word, tell, text::clean,
};

pub(super) const FORMAT: Format = Format {
    name: "markdown",
    title: "for notes and mails",
    check,
    compare: |comparison, look: &Look| list(&compare::told(comparison), look),
    rank,
    assign,
    review,
    products,
    list,
};

/// Text that Markdown shows as it stands, also inside a table.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for character in clean(text).chars() {
        if matches!(
            character,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~'
        ) {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

/// A table row.
fn row(cells: &[String]) -> String {
    format!("| {} |\n", cells.join(" | "))
}

/// A table with its head; the columns marked as numbers are set to the right.
fn table<const N: usize>(
    head: [&str; N],
    are_numbers: [bool; N],
    records: impl Iterator<Item = [String; N]>,
) -> String {
    let mut out = row(&head.map(str::to_owned));
    out.push_str(&row(
        &are_numbers.map(|is_number| if is_number { "---:" } else { "---" }.to_owned())
    ));
    records.for_each(|record| out.push_str(&row(&record)));
    out
}

fn margin_text(margin: Option<crate::quantity::Decibels>) -> String {
    margin.map_or_else(|| "–".to_owned(), |margin| margin.to_string())
}

fn check(report: &CheckReport<'_>, look: &Look) -> String {
    let assessment = report.assessment;
    let subjects = || std::iter::once(&assessment.plan).chain(&assessment.proposals);
    let mut out = format!("# {}\n\n", plain(&assessment.event));
    out.push_str(&table(
        ["subject", "verdict", "least margin", "what"],
        [false, false, true, false],
        subjects().map(|judged| {
            [
                plain(judged.proposal.as_deref().unwrap_or("plan")),
                judged.verdict.to_string(),
                margin_text(judged.worst_margin),
                plain(what(judged)),
            ]
        }),
    ));
    for judged in subjects().filter(|judged| !judged.findings.is_empty()) {
        let heading = match &judged.proposal {
            Some(name) => format!("{name}: {}", judged.verdict),
            None => format!("The plan as it stands: {}", judged.verdict),
        };
        out.extend(["\n## ", &plain(&heading), "\n"]);
        for fold in fold(&judged.findings, look.shows_all) {
            out.push_str(&tell(fold.lead));
            if !fold.others.is_empty() {
                let count = fold.others.len().to_string();
                out.extend(["- alike: and ", &count, " more like it\n"]);
            }
        }
    }
    if let Some(defaults) = report.defaults {
        out.push_str("\n## What was not stated\n\n");
        out.push_str(&table(
            ["what", "taken", "from"],
            [false; 3],
            defaults.iter().map(|(what, value, origin)| {
                [plain(what), plain(value), plain(&origin.to_string())]
            }),
        ));
    }
    out
}

fn what(judged: &Judged) -> &str {
    match judged.proposal {
        Some(_) => &judged.what,
        None => "the plan as it stands",
    }
}

/// One finding as a heading and a list.
fn tell(finding: &Finding) -> String {
    let mut out = format!(
        "\n**{}**, {}: {}\n\n",
        severity_word(finding.severity),
        finding.check,
        plain(&finding.says)
    );
    let mut item = |label: &str, text: &str| {
        if !text.is_empty() {
            out.extend(["- ", label, ": ", &plain(text), "\n"]);
        }
    };
    item("when", finding.when.as_deref().unwrap_or_default());
    item("sum", &finding.arithmetic);
    let levels: Vec<String> = [
        finding.level.map(|level| format!("{level} arrives")),
        finding.threshold.map(|level| format!("{level} would hurt")),
        finding.margin.map(|margin| format!("margin {margin}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    item("level", &levels.join(", "));
    item("why", &finding.why);
    finding
        .remedies
        .iter()
        .for_each(|remedy| item("remedy", &remedy.text));
    item("assumed", &finding.assumed.join("; "));
    item("source", &finding.citation);
    out
}

fn review(overview: &Overview, _: &Look) -> String {
    let subject = overview.subject.as_ref().map_or_else(
        || "the plan as it stands".to_owned(),
        |name| format!("with {name} in place"),
    );
    let mut out = format!(
        "# {}\n\n{}: **{}**\n",
        plain(&overview.event),
        plain(&format!("{subject}, {}", overview.what)),
        overview.verdict
    );
    for part in parts(overview) {
        out.extend(["\n## ", part.title, "\n\n"]);
        let head: Vec<String> = part.columns.iter().map(|key| plain(key)).collect();
        out.push_str(&row(&head));
        out.push_str(&row(&vec!["---".to_owned(); head.len()]));
        for cells in &part.rows {
            let cells: Vec<String> = cells.iter().map(|cell| plain(cell)).collect();
            out.push_str(&row(&cells));
        }
    }
    out
}

fn rank(report: &RankReport<'_>, _: &Look) -> String {
    let mut out = format!("# {}\n", plain(report.event));
    report
        .answers
        .iter()
        .for_each(|answer| out.push_str(&tell_answer(answer)));
    out
}

fn tell_answer(answer: &Answer) -> String {
    let ranking = &answer.ranking;
    let mut out = format!(
        "\n## {} for {}\n\n{}. {}\n\n",
        plain(&ranking.search),
        plain(&ranking.station),
        plain(&ranking.what),
        tell::counts(ranking)
    );
    if let Some(unfinished) = tell::unfinished(answer) {
        out.extend(["**", &plain(&unfinished), "**\n\n"]);
    }
    if let Some(blocked) = &ranking.blocked_by {
        out.extend([
            "Nothing is safe. What blocks most: ",
            &plain(blocked),
            "\n\n",
        ]);
    }
    if let Some(freed) = &answer.freed {
        out.extend([&plain(&tell::freed(freed)), "\n\n"]);
    }
    for bought in &answer.bought {
        out.extend([
            "- ",
            &plain(&bought.what),
            ": ",
            &plain(&tell::bought(bought)),
            "\n",
        ]);
    }
    if !answer.bought.is_empty() {
        out.push('\n');
    }
    out.push_str(&table(
        [
            "place",
            "frequencies",
            "verdict",
            "margin",
            "stays safe",
            "limited by",
            "alike",
        ],
        [true, false, false, true, false, false, false],
        ranking.rows.iter().enumerate().map(|(index, row)| {
            [
                (index + 1).to_string(),
                legs_text(&row.legs),
                row.verdict.to_string(),
                margin_text(row.worst_margin),
                answer
                    .shares
                    .get(index)
                    .copied()
                    .map_or(String::new(), tell::share),
                plain(&match tell::besides(ranking, row) {
                    Some(besides) => format!("{}; {besides}", row.limited_by),
                    None => row.limited_by.clone(),
                }),
                answer
                    .groups
                    .get(index)
                    .and_then(tell::group)
                    .unwrap_or_default(),
            ]
        }),
    ));
    if let Some(everywhere) = tell::everywhere(ranking) {
        out.extend(["\n", &plain(&everywhere), "\n"]);
    }
    if let Some(&share) = answer.shares.first() {
        out.extend(["\n", &plain(&tell::trials(share)), "\n"]);
    }
    if let Some(strangers) = &answer.strangers {
        out.extend(["\n", &plain(&tell::strangers(strangers)), "\n"]);
    }
    if let Some(front) = &answer.front {
        out.extend(["\n", &plain(&tell::front(front)), "\n\n"]);
        for point in &front.points {
            out.extend(["- ", &plain(&tell::point(point)), "\n"]);
        }
    }
    out
}

fn assign(report: &AssignReport<'_>, look: &Look) -> String {
    let assignment = report.assignment;
    let mut out = format!(
        "# {}\n\n{} {}\n",
        plain(report.event),
        plain(&headline(assignment)),
        plain(&proof(assignment))
    );
    if let Some(contradiction) = &assignment.contradiction {
        out.push('\n');
        for asked in &contradiction.asked {
            out.extend(["- ", &plain(asked), "\n"]);
        }
    }
    let Some(found) = &assignment.found else {
        return out;
    };
    out.push('\n');
    out.push_str(&table(
        [
            "channel",
            "frequencies",
            "tone",
            "verdict",
            "margin",
            "limited by",
        ],
        [false, false, true, false, true, false],
        found.given.iter().map(|one| {
            [
                plain(&one.name),
                legs_text(&one.legs),
                one.tone.map_or_else(|| "–".to_owned(), tone_digits),
                one.verdict.to_string(),
                margin_text(one.worst_margin),
                plain(&one.limited_by),
            ]
        }),
    ));
    let verdict = found.judged.verdict.to_string();
    out.extend(["\n## The plan with these channels: ", &verdict, "\n"]);
    for fold in fold(&found.judged.findings, look.shows_all) {
        out.push_str(&tell(fold.lead));
        if !fold.others.is_empty() {
            let count = fold.others.len().to_string();
            out.extend(["- alike: and ", &count, " more like it\n"]);
        }
    }
    out
}

fn products(report: &ProductsReport<'_>, _: &Look) -> String {
    table(
        ["order", "sum", "product", "target", "offset"],
        [true, false, true, true, true],
        report.landings.iter().map(|landing| {
            let terms: Vec<(i64, Frequency)> = landing
                .coefficients
                .iter()
                .copied()
                .zip(report.frequencies.iter().copied())
                .collect();
            [
                landing.order.to_string(),
                arithmetic(&terms),
                landing.product.to_string(),
                landing.target.to_string(),
                landing.offset.to_string(),
            ]
        }),
    )
}

fn list(listing: &Listing, _: &Look) -> String {
    let mut out = format!("# {}\n\n", plain(&listing.title));
    for note in &listing.notes {
        out.extend([&plain(note), "\n\n"]);
    }
    let head: Vec<String> = listing.columns.iter().map(|key| plain(key)).collect();
    out.push_str(&row(&head));
    out.push_str(&row(&vec!["---".to_owned(); head.len()]));
    for cells in &listing.rows {
        out.push_str(&row(&cells
            .iter()
            .map(|cell| plain(cell))
            .collect::<Vec<_>>()));
    }
    out
}
