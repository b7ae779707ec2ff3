//! A plan at a glance, for people.

use unicode_width::UnicodeWidthStr;

use crate::overview::Overview;

use super::super::Look;
use super::super::review::{Part, parts};
use super::check::verdict_tone;
use super::{Paper, Tone};

/// The widest column for names; a longer name stands above its text.
const WIDEST: usize = 22;

/// Writes the page.
pub(super) fn write(overview: &Overview, look: &Look) -> String {
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, &overview.event);
    let what = match &overview.subject {
        Some(name) => format!("with {name} in place: {}", overview.what),
        None => format!("the plan as it stands: {}", overview.what),
    };
    let verdict = overview.verdict;
    paper.labelled(0, 12, verdict_tone(verdict), &verdict.to_string(), &what);
    for part in parts(overview) {
        tell(&mut paper, &part);
    }
    paper.finish()
}

fn tell(paper: &mut Paper, part: &Part) {
    paper.blank();
    paper.paragraph(0, Tone::Heading, part.title);
    let labels = part.rows.iter().filter_map(|row| row.first());
    let longest = labels.map(|label| label.width()).max().unwrap_or(0);
    let column = (longest + 2).min(WIDEST);
    for row in &part.rows {
        let mut cells = part.columns.iter().zip(row);
        let label = cells.next().map_or("", |(_, label)| label.as_str());
        // A sentence speaks for itself, a list of names needs its key.
        let texts: Vec<String> = cells
            .filter(|(_, text)| !text.is_empty() && *text != "–")
            .enumerate()
            .map(|(place, (key, text))| {
                if place == 0 && part.is_sentence {
                    text.clone()
                } else {
                    format!("{key}: {text}")
                }
            })
            .collect();
        let mut texts = texts.iter();
        let first = texts.next().map_or("nothing", String::as_str);
        paper.labelled(2, column, Tone::Label, label, first);
        for text in texts {
            paper.paragraph(2 + column, Tone::Plain, text);
        }
    }
}
