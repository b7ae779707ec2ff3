//! One self-contained page: verdict, plan, what to mend, cards, form, pictures, findings. Nothing is asked of a network, and
//! without its script the page is whole: that only filters findings and shows what a mark says.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::report::Report;

use super::draw::{Drawing, patterns};
use super::text::clean;
use super::{moment, pictures};

mod cards;
mod findings;
mod form;
mod notes;
mod plan;
mod verdict;

/// How the page and its pictures look; what is printed comes last, since it overrides colours.
const STYLE: &str = concat!(
    include_str!("palette.css"),
    include_str!("picture.css"),
    include_str!("page.css")
);

/// How a picture looks that stands alone.
pub(super) const PICTURE_STYLE: &str =
    concat!(include_str!("palette.css"), include_str!("picture.css"));

/// What filters the findings.
const SCRIPT: &str = include_str!("script.js");

/// What the browser may run: our script alone, known by its SHA-256. A name that found its way into the page as markup
/// would still not be run.
const SCRIPT_HASH: &str = "sha256-fhioeSyBOT5WC/60o/KlvzODYJGawQsaUd5sitYSqKk=";

/// A part of the page: its id, its heading, what is in it.
type Section = (&'static str, &'static str, Markup);

/// Writes the page.
pub(super) fn page(report: &Report) -> String {
    let drawings = pictures::all(report);
    let sections: Vec<Section> = [
        Some(("verdict", "Verdict", verdict::section(report))),
        Some(("mend", "What to mend first", verdict::mend(report))),
        Some(("plan", "The plan", plan::section(report))),
        Some(("cards", "Operators' cards", cards::section(report))),
        Some((
            "form",
            "Radio communications plan",
            form::section(&report.form),
        )),
        Some(("pictures", "Pictures", figures(report, &drawings))),
        Some(("findings", "Findings", findings::section(report))),
        Some(("notes", "What this rests on", notes::section(report))),
        Some(("safety", "Safety", notes::safety())),
    ]
    .into_iter()
    .flatten()
    .collect();
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src '{SCRIPT_HASH}'; base-uri 'none'; form-action 'none'"
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                title { "Frequency plan: " (clean(&report.overview.event)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a class="skip" href="#main" { "Skip to the report" }
                // The hatchings that all pictures share.
                svg class="shared" width="0" height="0" aria-hidden="true" { (patterns()) }
                (top(report))
                nav aria-label="Contents" {
                    ul { @for (id, title, _) in &sections { li { a href=(format!("#{id}")) { (title) } } } }
                }
                main #main {
                    @for (id, title, content) in &sections {
                        section #(id) aria-labelledby=(format!("{id}-title")) {
                            h2 #(format!("{id}-title")) { (title) }
                            (content)
                        }
                    }
                }
                footer { p {
                    "An aid to planning. The licence text itself, the coordinator and the operator decide. Do not let lives depend \
                     on it alone."
                } }
                div #tip hidden {}
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
}

fn top(report: &Report) -> Markup {
    html! {
        header {
            p class="kicker" { "Frequency plan" }
            h1 { (name(&report.overview.event)) }
            @if let Some((from, to)) = &report.when {
                p class="when" { (moment(from)) " to " (moment(to)) }
            }
        }
    }
}

/// A name from the scenario, set apart so that its direction of writing does not turn what stands around it.
fn name(text: &str) -> Markup {
    html! { bdi { (clean(text)) } }
}

/// Names in a row; a dash where there are none.
fn names(all: &[String]) -> Markup {
    html! {
        @if all.is_empty() { "–" }
        @for (place, one) in all.iter().enumerate() {
            @if place > 0 { ", " }
            (name(one))
        }
    }
}

/// A table that scrolls in its own box where it is wider than the page.
fn wide(label: &str, table: &Markup) -> Markup {
    html! {
        div class="wide" role="region" aria-label=(label) tabindex="0" { (table) }
    }
}

fn figures(report: &Report, drawings: &[Drawing]) -> Markup {
    html! {
        p class="hint" {
            "Point at a mark, or tap it, and it says what it is; a mark of a finding leads to the finding. "
            span class="sideways" { "Pictures wider than the page slide sideways." }
        }
        (key())
        @for drawing in drawings {
            (figure(drawing))
            @if drawing.id.starts_with("pairs") { (quietest(report, &drawing.id)) }
            @if drawing.id == "map" { (plan::distances(report)) }
        }
    }
}

/// A picture with its words.
fn figure(drawing: &Drawing) -> Markup {
    html! {
        figure {
            figcaption {
                h3 { (clean(&drawing.title)) }
                p { (clean(&drawing.says)) }
            }
            div class="wide" role="region" aria-label=(clean(&drawing.title)) tabindex="0" { (drawing) }
        }
    }
}

/// What the marks stand for.
fn key() -> Markup {
    use super::draw::{Mark, Shape};
    let marks = [
        (Mark::Conflict, "conflict"),
        (Mark::Caution, "caution"),
        (Mark::Note, "note"),
        (Mark::Relay, "relay of ours"),
        (Mark::Ours, "ours"),
        (Mark::Theirs, "somebody else's"),
    ];
    html! {
        ul class="key" {
            @for (mark, text) in marks {
                li {
                    svg class="picture" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true" {
                        (Shape::mark(mark, [8.0, 8.0], 13.0))
                    }
                    " " (text)
                }
            }
        }
    }
}

/// The quietest pairs of the search that a picture shows.
fn quietest(report: &Report, id: &str) -> Markup {
    let shown = report
        .pairs
        .iter()
        .zip(1..)
        .find(|(_, number)| format!("pairs-{number}") == id);
    html! {
        @if let Some((pairs, _)) = shown {
            @if pairs.best.is_empty() {
                p { "Every pair that was looked at conflicts." }
            } @else {
                p { "The quietest of the pairs shown:" }
                ol {
                    @for ([first, second], margin) in &pairs.best {
                        li {
                            (first.digits()) " ↔ " (second.to_string()) ": "
                            @match margin {
                                Some(margin) => { (margin.to_string()) " in hand" },
                                None => { "nothing comes near" },
                            }
                        }
                    }
                }
                p class="hint" { "The picture leaves channels out. The command " code { "rank" } " looks at every one." }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sha2::{Digest, Sha256};

    /// Base 64 of some bytes, three at a time.
    fn base_64(bytes: &[u8]) -> String {
        const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
        let mut out = String::new();
        for three in bytes.chunks(3) {
            let sum = (0..3).fold(0_u32, |sum, at| {
                sum << 8 | u32::from(*three.get(at).unwrap_or(&0))
            });
            for place in 0..4 {
                let letter = LETTERS[(sum >> (18 - 6 * place) & 63) as usize];
                out.push(if place <= three.len() {
                    char::from(letter)
                } else {
                    '='
                });
            }
        }
        out
    }

    /// Source: RFC 4648, section 10.
    #[test]
    fn base_64_is_as_published() {
        assert_eq!(
            ["f", "fo", "foo"].map(|text| base_64(text.as_bytes())),
            ["Zg==", "Zm8=", "Zm9v"]
        );
    }

    #[test]
    fn the_browser_runs_our_script_and_no_other() {
        assert_eq!(
            SCRIPT_HASH,
            format!("sha256-{}", base_64(&Sha256::digest(SCRIPT)))
        );
        assert!(!SCRIPT.contains("</"), "a closing tag would end the script");
        assert!(!STYLE.contains("</") && !STYLE.contains("url(http"));
    }
}
