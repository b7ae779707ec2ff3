//! Ways to write a report down, and its pictures one by one.
//!
//! To add a way: its line here.

use crate::report::Report;

use super::{cards, csv, html, pictures};

/// A way to write a report down.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// What `--format` calls it.
    pub name: &'static str,
    /// What it is for, in a few words.
    pub title: &'static str,
    /// Writes it.
    pub write: fn(&Report) -> String,
}

/// Every way to write a report down.
pub const PAGES: &[Page] = &[
    Page {
        name: "html",
        title: "one page that holds everything, for a screen or a printer",
        write: html::page,
    },
    Page {
        name: "cards",
        title: "operators' cards as text, for a messenger",
        write: cards::page,
    },
    Page {
        name: "csv",
        title: "the channel plan for a spreadsheet, a channel a line",
        write: csv::channels,
    },
];

/// The names of a report's pictures, in the order of its page.
pub fn picture_names(report: &Report) -> Vec<String> {
    pictures::all(report)
        .into_iter()
        .map(|one| one.id)
        .collect()
}

/// One picture as an SVG file of its own; none where there is none of that name.
pub fn picture(report: &Report, name: &str) -> Option<String> {
    let drawings = pictures::all(report);
    let drawing = drawings.into_iter().find(|one| one.id == name)?;
    Some(drawing.alone(html::PICTURE_STYLE))
}
