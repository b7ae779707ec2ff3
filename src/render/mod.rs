//! What was found, in every format it can be handed on in. Rendering adds nothing: a number that is shown is in the
//! finding, and the same finding gives the same bytes.
//!
//! To add a format: its file and its lines here.

use crate::assess::Assessment;
use crate::compare::Comparison;
use crate::finding::{Matter, Severity};
use crate::overview::Overview;
use crate::physics::mixing::Landing;
use crate::provenance::Origin;
use crate::quantity::{Frequency, Offset, Span};
use crate::search::Answer;
use crate::search::assign::Assignment;

use text::clean;

mod assign;
mod cards;
mod compare;
mod csv;
mod draw;
mod fold;
mod html;
mod json;
mod lines;
mod markdown;
mod pages;
mod pictures;
mod review;
mod tell;
mod text;

pub use json::schemas;
pub use pages::{PAGES, Page, picture, picture_names};
pub use review::{PARTS, part};
pub use text::chapter;

/// Every format.
pub const ALL: &[Format] = &[
    text::FORMAT,
    json::FORMAT,
    lines::FORMAT,
    csv::FORMAT,
    markdown::FORMAT,
];

/// A way to write results down.
#[derive(Debug, Clone, Copy)]
pub struct Format {
    /// What `--format` calls it.
    pub name: &'static str,
    /// What it is for, in a few words.
    pub title: &'static str,
    /// Writes what `check` found.
    pub check: fn(&CheckReport<'_>, &Look) -> String,
    /// Writes what is not as it was at an earlier check.
    pub compare: fn(&Comparison, &Look) -> String,
    /// Writes what `rank` found.
    pub rank: fn(&RankReport<'_>, &Look) -> String,
    /// Writes what `assign` found.
    pub assign: fn(&AssignReport<'_>, &Look) -> String,
    /// Writes what `review` sees.
    pub review: fn(&Overview, &Look) -> String,
    /// Writes what `products` found.
    pub products: fn(&ProductsReport<'_>, &Look) -> String,
    /// Writes a list of what the program knows.
    pub list: fn(&Listing, &Look) -> String,
}

/// How a page for people should look; the formats for programs take no notice of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns that a line may fill.
    pub width: usize,
    /// Whether to colour words; a word always says the same.
    pub is_coloured: bool,
    /// Whether every finding is shown in full, also where many are alike.
    pub shows_all: bool,
    /// Whether the build-up of every level is shown, step by step.
    pub shows_budget: bool,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            width: 80,
            is_coloured: false,
            shows_all: false,
            shows_budget: false,
        }
    }
}

/// A default that was taken: what for, its value, where it came from.
pub type DefaultTaken = (String, String, Origin);

/// What there is to tell of a check.
#[derive(Debug, Clone, Copy)]
pub struct CheckReport<'a> {
    /// Everything that was judged.
    pub assessment: &'a Assessment,
    /// The defaults that were taken, when they are asked for.
    pub defaults: Option<&'a [DefaultTaken]>,
}

/// What there is to tell of the searches.
#[derive(Debug, Clone, Copy)]
pub struct RankReport<'a> {
    /// Name of the event.
    pub event: &'a str,
    /// One answer a search, in the scenario's order.
    pub answers: &'a [Answer],
}

/// What there is to tell of a whole plan.
#[derive(Debug, Clone, Copy)]
pub struct AssignReport<'a> {
    /// Name of the event.
    pub event: &'a str,
    /// What came of it.
    pub assignment: &'a Assignment,
}

/// What there is to tell of bare products.
#[derive(Debug, Clone, Copy)]
pub struct ProductsReport<'a> {
    /// The frequencies combined, as given.
    pub frequencies: &'a [Frequency],
    /// The frequencies watched, as given.
    pub targets: &'a [Frequency],
    /// Highest order.
    pub order: u32,
    /// Farthest offset from a target that counts.
    pub within: Offset,
    /// How many combinations there are.
    pub combinations: u64,
    /// Those that land, in order.
    pub landings: &'a [Landing],
}

/// A list of what the program knows: rule packs, radios, checks, or what is in one of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listing {
    /// The command it belongs to, which names the format of its JSON.
    pub command: &'static str,
    /// What is listed, in a line.
    pub title: String,
    /// What a reader must know before relying on it, a sentence or two each.
    pub notes: Vec<String>,
    /// What each row tells: the first names the row, the second says what it is.
    pub columns: Vec<&'static str>,
    /// The rows, each with a text a column; empty where there is nothing to tell.
    pub rows: Vec<Vec<String>>,
}

/// The word for a severity, the same in every format.
const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Caution => "caution",
        Severity::Conflict => "conflict",
    }
}

/// The word for a matter in formats that programs read.
const fn matter_word(matter: Matter) -> &'static str {
    match matter {
        Matter::Interference => "interference",
        Matter::Law => "law",
        Matter::BandPlan => "band-plan",
        Matter::Net => "net",
        Matter::Exposure => "exposure",
    }
}

/// The stretches that alike pairs lie in: `433.4000–433.5000 ↔ 145.2250 MHz`.
fn extent_text(extent: &[Span]) -> String {
    let stretches: Vec<String> = extent.iter().map(|span| stretch_text(*span)).collect();
    format!("{} MHz", stretches.join(" ↔ "))
}

/// A stretch without its unit; one frequency where it is no wider.
fn stretch_text(span: Span) -> String {
    if span.low == span.high {
        span.low.digits()
    } else {
        format!("{}–{}", span.low.digits(), span.high.digits())
    }
}

/// Frequencies of a pair as a planner writes them: `433.4500 ↔ 145.2250 MHz`.
fn legs_text(legs: &[Frequency]) -> String {
    let digits: Vec<String> = legs.iter().map(|leg| leg.digits()).collect();
    format!("{} MHz", digits.join(" ↔ "))
}

/// A moment as a planner writes it: `2027-05-16 07:30 (Europe/London)`; as it stands where it is written otherwise.
fn moment(text: &str) -> String {
    let (stamp, zone) = match text.split_once('[') {
        Some((stamp, zone)) => (stamp, zone.strip_suffix(']')),
        None => (text, None),
    };
    let Some((date, time)) = stamp.split_once('T') else {
        return clean(text);
    };
    let told = match zone {
        // The zone says more than the offset from UTC in front of it.
        Some(zone) => {
            let clock = time.split(['+', '-', 'Z']).next().unwrap_or(time);
            format!("{date} {clock} ({zone})")
        }
        None => format!("{date} {time}"),
    };
    clean(&told)
}

#[cfg(test)]
mod tests {
    use super::moment;

    #[test]
    fn a_moment_reads_like_a_planner_writes_it() {
        for (written, expected) in [
            (
                "2027-05-16T07:30+01:00[Europe/London]",
                "2027-05-16 07:30 (Europe/London)",
            ),
            ("2027-05-16T07:30-06:00", "2027-05-16 07:30-06:00"),
            ("Sunday morning", "Sunday morning"),
        ] {
            assert_eq!(moment(written), expected);
        }
    }
}

#[cfg(test)]
mod conformance;
#[cfg(test)]
mod samples;
