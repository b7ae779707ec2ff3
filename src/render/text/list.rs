//! A list of what the program knows, for people.

use unicode_width::UnicodeWidthStr;

use super::super::{Listing, Look};
use super::{Paper, Tone};

/// The widest column for names; a longer name stands above its text.
const WIDEST: usize = 26;

/// Writes the page.
pub(super) fn write(listing: &Listing, look: &Look) -> String {
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, &listing.title);
    for note in &listing.notes {
        paper.paragraph(0, Tone::Plain, note);
    }
    paper.blank();
    let names = listing.rows.iter().filter_map(|row| row.first());
    let longest = names.map(|name| name.width()).max().unwrap_or(0);
    let column = (longest + 2).min(WIDEST);
    for row in &listing.rows {
        let cell = |index: usize| row.get(index).map_or("", String::as_str);
        paper.labelled(0, column, Tone::Heading, cell(0), cell(1));
        for (key, text) in listing.columns.iter().zip(row).skip(2) {
            if !text.is_empty() {
                paper.paragraph(column, Tone::Label, &format!("{key}: {text}"));
            }
        }
    }
    paper.finish()
}
