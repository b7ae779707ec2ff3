//! What `assign` found, for people.

use tabled::builder::Builder;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Modify, Padding, Style};

use crate::finding::Severity;
use crate::search::assign::Given;

use super::super::assign::{headline, proof, tone_digits};
use super::super::{AssignReport, Look};
use super::check::tell_under;
use super::rank::last_column;
use super::{Paper, Tone, clean, wrap};

/// Writes the page.
pub(super) fn write(report: &AssignReport<'_>, look: &Look) -> String {
    let assignment = report.assignment;
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, report.event);
    paper.paragraph(0, Tone::Plain, &headline(assignment));
    paper.paragraph(0, Tone::Plain, &proof(assignment));
    for asked in assignment.contradiction.iter().flat_map(|one| &one.asked) {
        paper.labelled(2, 2, Tone::Plain, "-", asked);
    }
    if let Some(found) = &assignment.found {
        paper.blank();
        let table = table(&paper, &found.given);
        paper.verbatim(0, &table);
        if !found.judged.findings.is_empty() {
            paper.blank();
            tell_under(
                &mut paper,
                "The plan with these channels",
                &found.judged,
                look,
            );
        }
        let has_more = found
            .judged
            .findings
            .iter()
            .any(|finding| finding.severity < Severity::Conflict);
        if has_more && !look.shows_all {
            paper.blank();
            paper.paragraph(
                0,
                Tone::Plain,
                "Cautions and notes are told in brief; --all tells them in full.",
            );
        }
    }
    paper.finish()
}

fn table(paper: &Paper, given: &[Given]) -> String {
    let head = ["channel", "MHz", "verdict", "margin", "limited by"];
    let mut records = vec![head.map(str::to_owned).to_vec()];
    for one in given {
        let legs: Vec<String> = one.legs.iter().map(|leg| leg.digits()).collect();
        records.push(vec![
            clean(&one.name),
            match one.tone {
                Some(tone) => format!("{}\ntone {}", legs.join(" ↔\n"), tone_digits(tone)),
                None => legs.join(" ↔\n"),
            },
            one.verdict.to_string(),
            one.worst_margin
                .map_or("–".to_owned(), |margin| margin.to_string()),
            clean(&one.limited_by),
        ]);
    }
    let room = last_column(paper, &records);
    let mut builder = Builder::default();
    for mut record in records {
        if let Some(cell) = record.last_mut() {
            *cell = wrap(cell, room).join("\n");
        }
        builder.push_record(record);
    }
    let mut table = builder.build();
    table
        .with(Style::empty().horizontals([(1, HorizontalLine::new('─'))]))
        .with(Padding::new(0, 2, 0, 0))
        .with(Modify::new(Columns::one(3)).with(Alignment::right()))
        .with(Modify::new(Columns::one(4)).with(Padding::zero()))
        .with(Modify::new(Rows::first()).with(Alignment::left()));
    table.to_string()
}
