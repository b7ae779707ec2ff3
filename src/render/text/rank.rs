//! What `rank` found, for people.

use tabled::builder::Builder;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Modify, Padding, Style};
use unicode_width::UnicodeWidthStr;

use crate::assess::Verdict;
use crate::search::{Answer, Ranking};

use super::super::{Look, RankReport, legs_text, tell};
use super::{Paper, Tone, clean, grouped, wrap};

/// Least room for what limits a candidate; a narrower page lets the table run over.
const NARROWEST: usize = 16;

/// Room for the name of a change.
const LABEL: usize = 26;

/// Writes the page.
pub(super) fn write(report: &RankReport<'_>, look: &Look) -> String {
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, report.event);
    if report.answers.is_empty() {
        paper.paragraph(0, Tone::Plain, "The scenario asks for no search.");
    }
    for answer in report.answers {
        paper.blank();
        tell_answer(&mut paper, answer);
    }
    paper.finish()
}

fn tell_answer(paper: &mut Paper, answer: &Answer) {
    let ranking = &answer.ranking;
    let heading = format!(
        "{} for {}: {}",
        ranking.search, ranking.station, ranking.what
    );
    paper.paragraph(0, Tone::Heading, &heading);
    if let Some(unfinished) = tell::unfinished(answer) {
        paper.paragraph(0, Tone::Wary, &unfinished);
    }
    paper.paragraph(0, Tone::Plain, &headline(ranking));
    if !ranking.refused.is_empty() {
        let refused: Vec<String> = ranking
            .refused
            .iter()
            .map(|(check, count)| format!("{check} {}", grouped(*count)))
            .collect();
        paper.paragraph(
            0,
            Tone::Plain,
            &format!(
                "{} refused by {}.",
                what_is_refused(ranking),
                refused.join(", ")
            ),
        );
    }
    if let Some(blocked) = &ranking.blocked_by {
        paper.paragraph(0, Tone::Plain, &format!("What blocks most: {blocked}"));
    }
    if let Some(freed) = &answer.freed {
        paper.paragraph(0, Tone::Plain, &tell::freed(freed));
    }
    if !answer.bought.is_empty() {
        paper.blank();
        for bought in &answer.bought {
            paper.labelled(0, LABEL, Tone::Label, &bought.what, &tell::bought(bought));
        }
    }
    if !ranking.rows.is_empty() {
        paper.blank();
        let table = table(paper, answer);
        paper.verbatim(0, &table);
        if let Some(everywhere) = tell::everywhere(ranking) {
            paper.blank();
            paper.paragraph(0, Tone::Plain, &everywhere);
        }
    }
    if let Some(&share) = answer.shares.first() {
        paper.blank();
        paper.paragraph(0, Tone::Plain, &tell::trials(share));
    }
    if let Some(strangers) = &answer.strangers {
        paper.paragraph(0, Tone::Plain, &tell::strangers(strangers));
    }
    if let Some(front) = &answer.front {
        paper.blank();
        paper.paragraph(0, Tone::Plain, &tell::front(front));
        for point in &front.points {
            paper.paragraph(2, Tone::Plain, &tell::point(point));
        }
    }
}

/// What the counts of refusals count.
fn what_is_refused(ranking: &Ranking) -> &'static str {
    if ranking.rows.iter().any(|row| row.legs.len() == 1) {
        "Frequencies"
    } else {
        "Legs and pairs"
    }
}

/// How the search came out, in a sentence or two.
fn headline(ranking: &Ranking) -> String {
    let counts = tell::counts(ranking);
    match ranking.rows.first() {
        None => format!("Nothing to show. {counts}"),
        Some(row) if row.verdict == Verdict::Conflict && !ranking.is_finished => {
            format!("Nothing safe was found so far; below is the least bad. {counts}")
        }
        Some(row) if row.verdict == Verdict::Conflict => {
            format!("Nothing is safe; below is the least bad. {counts}")
        }
        Some(row) => {
            let margin = row
                .worst_margin
                .map(|margin| format!(", with {margin} in hand"))
                .unwrap_or_default();
            let best = if ranking.is_finished {
                "Best"
            } else {
                "Best so far"
            };
            format!("{best}: {}{margin}. {counts}", legs_text(&row.legs))
        }
    }
}

fn table(paper: &Paper, answer: &Answer) -> String {
    let rows = &answer.ranking.rows;
    let legs = rows.iter().map(|row| row.legs.len()).max().unwrap_or(0);
    let mut builder = Builder::default();
    let mut head = vec!["#".to_owned()];
    head.extend((0..legs).map(|leg| {
        if leg == 0 {
            "MHz".to_owned()
        } else {
            "and".to_owned()
        }
    }));
    head.extend(["verdict", "margin"].map(str::to_owned));
    head.push("limited by".to_owned());
    let mut records = vec![head];
    for (place, row) in rows.iter().enumerate() {
        let mut record = vec![(place + 1).to_string()];
        record.extend(
            (0..legs).map(|leg| row.legs.get(leg).map_or(String::new(), |leg| leg.digits())),
        );
        record.push(row.verdict.to_string());
        record.push(
            row.worst_margin
                .map_or("–".to_owned(), |margin| margin.to_string()),
        );
        let group = answer.groups.get(place).and_then(tell::group);
        let mut limited = clean(&row.limited_by);
        let besides = tell::besides(&answer.ranking, row);
        limited.extend(besides.map(|besides| format!("; {besides}")));
        limited.extend(group.map(|group| format!("\n{group}")));
        let share = answer.shares.get(place).copied().map(tell::share);
        limited.extend(share.map(|share| format!("\nstays safe: {share}")));
        record.push(limited);
        records.push(record);
    }
    let room = last_column(paper, &records);
    for mut record in records {
        if let Some(cell) = record.last_mut() {
            let lines = cell.lines().flat_map(|line| wrap(line, room));
            *cell = lines.collect::<Vec<_>>().join("\n");
        }
        builder.push_record(record);
    }
    let last = legs + 3;
    let mut table = builder.build();
    table
        .with(Style::empty().horizontals([(1, HorizontalLine::new('─'))]))
        .with(Padding::new(0, 2, 0, 0))
        .with(Modify::new(Columns::one(0)).with(Alignment::right()))
        .with(Modify::new(Columns::one(legs + 2)).with(Alignment::right()))
        .with(Modify::new(Columns::one(last)).with(Padding::zero()))
        .with(Modify::new(Rows::first()).with(Alignment::left()));
    table.to_string()
}

/// Room that the other columns leave to the last one.
pub(super) fn last_column(paper: &Paper, records: &[Vec<String>]) -> usize {
    let columns = records.first().map_or(0, Vec::len).saturating_sub(1);
    let taken: usize = (0..columns)
        .map(|column| {
            let widest = records
                .iter()
                .filter_map(|record| record.get(column))
                .flat_map(|cell| cell.lines().map(UnicodeWidthStr::width))
                .max();
            widest.unwrap_or(0) + 2
        })
        .sum();
    paper.room(taken).max(NARROWEST)
}
