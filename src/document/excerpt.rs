//! Faults as a reader sees them: message, place, the line itself, and how to mend it.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::fault::{Fault, is_direction_mark};
use super::source::{Place, Source};

/// Faults shown in full; a file with more is better mended from the top.
const SHOWN: usize = 50;

/// Columns an excerpt may fill; the renderer leaves out what is farther from the fault.
const WIDTH: usize = 100;

/// A line of more bytes than this is cut before it is rendered.
const RENDERED: usize = 4_000;

/// Characters of such a line kept before and after the beginning of the fault.
const BEFORE: usize = 40;
const AFTER: usize = 70;

/// The faults without colour.
pub(super) fn plain(source: &Source, faults: &[Fault]) -> String {
    render(source, faults, &Renderer::plain())
}

/// The faults in the colours of a terminal.
pub(super) fn coloured(source: &Source, faults: &[Fault]) -> String {
    render(source, faults, &Renderer::styled())
}

fn render(source: &Source, faults: &[Fault], renderer: &Renderer) -> String {
    let renderer = renderer
        .clone()
        .decor_style(DecorStyle::Ascii)
        .term_width(WIDTH);
    let mut texts: Vec<String> = faults
        .iter()
        .take(SHOWN)
        .map(|fault| renderer.render(&[group(source, fault)]))
        .collect();
    if faults.len() > SHOWN {
        texts.push(format!("… and {} more", faults.len() - SHOWN));
    }
    texts.join("\n\n")
}

fn group<'a>(source: &'a Source, fault: &'a Fault) -> Group<'a> {
    let title = Level::ERROR.primary_title(fault.message.as_str());
    let primary = Excerpt::of(source, fault.place);
    let mut group = primary.show(
        Group::with_title(title),
        source,
        AnnotationKind::Primary,
        None,
    );
    for (place, label) in &fault.also {
        let excerpt = Excerpt::of(source, *place);
        group = excerpt.show(group, source, AnnotationKind::Context, Some(label));
    }
    match &fault.help {
        Some(help) => group.element(Level::HELP.message(help.as_str())),
        None => group,
    }
}

/// The part of a line around a place, fit to print.
struct Excerpt {
    text: String,
    marked: std::ops::Range<usize>,
    line: usize,
    column: usize,
    /// Whether the beginning of the line is in the text.
    whole: bool,
}

impl Excerpt {
    /// The line where the place begins; what goes on in later lines is left out.
    fn of(source: &Source, place: Place) -> Self {
        let line = source.line_text(place.start);
        let at = place.start - source.line_start(place.start).min(place.start);
        let (before, rest) = line.split_at_checked(at).unwrap_or((line, ""));
        let length = place.end.saturating_sub(place.start);
        let (inside, after) = rest.split_at_checked(length).unwrap_or((rest, ""));
        if line.len() <= RENDERED {
            let text = |part: &str| part.chars().map(printable).collect::<String>();
            let start = text(before).len();
            let end = start + text(inside).len();
            return Self {
                text: text(line),
                marked: start..end,
                line: source.line(place.start),
                column: source.column(place.start),
                whole: true,
            };
        }
        let hidden = before.chars().count().saturating_sub(BEFORE);
        let mut text = String::from(if hidden > 0 { "…" } else { "" });
        text.extend(before.chars().skip(hidden).map(printable));
        let start = text.len();
        text.extend(inside.chars().take(AFTER).map(printable));
        let end = text.len();
        let room = AFTER.saturating_sub(inside.chars().count());
        text.extend(after.chars().take(room).map(printable));
        if rest.chars().nth(AFTER).is_some() {
            text.push('…');
        }
        Self {
            text,
            marked: start..end,
            line: source.line(place.start),
            column: source.column(place.start),
            whole: hidden == 0,
        }
    }

    fn show<'a>(
        self,
        group: Group<'a>,
        source: &'a Source,
        kind: AnnotationKind,
        label: Option<&'a str>,
    ) -> Group<'a> {
        let snippet = Snippet::source(self.text)
            .line_start(self.line)
            .fold(false)
            .annotation(kind.span(self.marked).label(label));
        if self.whole {
            return group.element(snippet.path(source.name()));
        }
        // The renderer counts the column in what it is shown, which is not where the line begins.
        let origin = Origin::path(source.name()).line(self.line);
        group
            .element(origin.char_column(self.column))
            .element(snippet)
    }
}

/// A character as it may be printed.
fn printable(character: char) -> char {
    match character {
        '\t' => ' ',
        other if other.is_control() || is_direction_mark(other) => '\u{FFFD}',
        other => other,
    }
}
