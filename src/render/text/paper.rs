//! A page of a given width: paragraphs that wrap under themselves, and words that may be coloured.

use anstyle::{AnsiColor, Style};
use unicode_width::UnicodeWidthStr;

use super::super::Look;

/// Kept together with the number before them when a line is broken.
const UNITS: [&str; 22] = [
    "Hz", "kHz", "MHz", "GHz", "dB", "dBm", "dBi", "dBd", "dBc", "W", "mW", "kW", "m", "km", "ft",
    "ms", "s", "min", "h", "ppm", "%", "K",
];

/// Narrower than this nothing can be read, so lines run over instead.
const NARROWEST: usize = 24;

/// A space that no line is broken at.
const GLUE: char = '\u{a0}';

/// What a coloured word stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    /// As it comes.
    Plain,
    /// A heading.
    Heading,
    /// A label.
    Label,
    /// All is well.
    Good,
    /// Somebody must look.
    Wary,
    /// It will hurt.
    Bad,
}

impl Tone {
    fn style(self) -> Style {
        match self {
            Self::Plain => Style::new(),
            Self::Heading => Style::new().bold(),
            Self::Label => Style::new().dimmed(),
            Self::Good => AnsiColor::Green.on_default().bold(),
            Self::Wary => AnsiColor::Yellow.on_default().bold(),
            Self::Bad => AnsiColor::Red.on_default().bold(),
        }
    }
}

/// A page being written.
#[derive(Debug)]
pub(super) struct Paper {
    width: usize,
    is_coloured: bool,
    text: String,
}

impl Paper {
    /// An empty page.
    pub(super) fn new(look: &Look) -> Self {
        Self {
            width: look.width.max(NARROWEST),
            is_coloured: look.is_coloured,
            text: String::new(),
        }
    }

    /// Columns left after an indentation.
    pub(super) fn room(&self, indent: usize) -> usize {
        self.width.saturating_sub(indent).max(NARROWEST / 2)
    }

    /// A word in its tone.
    pub(super) fn paint(&self, tone: Tone, word: &str) -> String {
        if self.is_coloured && tone != Tone::Plain && !word.is_empty() {
            let style = tone.style();
            format!("{style}{word}{style:#}")
        } else {
            word.to_owned()
        }
    }

    /// An empty line, never two of them.
    pub(super) fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// Lines as they are, each indented.
    pub(super) fn verbatim(&mut self, indent: usize, text: &str) {
        for line in text.lines() {
            self.line(indent, line);
        }
    }

    /// A paragraph.
    pub(super) fn paragraph(&mut self, indent: usize, tone: Tone, text: &str) {
        for line in wrap(text, self.room(indent)) {
            let painted = self.paint(tone, &line);
            self.line(indent, &painted);
        }
    }

    /// A paragraph with a label before it, which hangs in its own column of `column` places.
    pub(super) fn labelled(
        &mut self,
        indent: usize,
        column: usize,
        tone: Tone,
        label: &str,
        text: &str,
    ) {
        let label = clean(label);
        let mut fill = column.saturating_sub(label.width());
        let mut lines = wrap(text, self.room(indent + column)).into_iter();
        let mut first = lines.next().unwrap_or_default();
        if fill == 0 {
            // The label is wider than its column: the text begins below it.
            lines = wrap(text, self.room(indent + column)).into_iter();
            first = String::new();
            fill = 1;
        }
        let painted = self.paint(tone, &label);
        self.line(indent, &format!("{painted}{:fill$}{first}", ""));
        for line in lines {
            self.line(indent + column, &line);
        }
    }

    /// One line, with nothing blank at its end.
    fn line(&mut self, indent: usize, line: &str) {
        let line = format!("{:indent$}{line}", "");
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// The finished page.
    pub(super) fn finish(self) -> String {
        self.text
    }
}

/// Text without control characters, so that a name in a file cannot steer a terminal.
pub(in crate::render) fn clean(text: &str) -> String {
    text.chars()
        .map(|character| match character {
            '\n' | '\t' | '\r' => ' ',
            // Marks that turn the direction of writing could make a line read as another.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
            character if character.is_control() => '\u{fffd}',
            character => character,
        })
        .collect()
}

/// Ties a unit to its number and a sign to what it joins.
fn glued(text: &str) -> String {
    let mut out = String::new();
    let mut before = "";
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let bare = word.trim_end_matches([',', ';', '.', ':', ')']);
        let after_number = before.ends_with(|last: char| last.is_ascii_digit());
        let tied = (after_number && UNITS.contains(&bare)) || word == "×" || before == "×";
        if !out.is_empty() {
            out.push(if tied { GLUE } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

/// Breaks text into lines of at most `width` columns; a longer word is cut.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let text = glued(&clean(text));
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let mut word = word.to_owned();
        if !line.is_empty() && line.width() + 1 + word.width() > width {
            lines.push(std::mem::take(&mut line));
        }
        while word.width() > width {
            let (head, tail) = cut(&word, width);
            lines.push(head);
            word = tail;
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
        .into_iter()
        .map(|line| line.replace(GLUE, " "))
        .collect()
}

/// The part of a word that fits, at least one character, and the rest.
fn cut(word: &str, width: usize) -> (String, String) {
    let mut head = String::new();
    let mut rest = word.chars();
    for character in rest.by_ref() {
        head.push(character);
        // One column is left free, since the next character may take two.
        if head.width() + 1 >= width {
            break;
        }
    }
    (head, rest.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_page() {
        let text = "an extraordinarily-long-word-without-any-place-to-break-it and 145.2250 MHz 漢字漢字漢字漢字漢字漢字漢字";
        for width in 12..60 {
            for line in wrap(text, width) {
                assert!(line.width() <= width, "{width}: {line}");
            }
        }
    }

    #[test]
    fn a_number_keeps_its_unit_when_the_line_is_broken() {
        assert_eq!(
            wrap("it lies at 145.2250 MHz now", 20),
            ["it lies at", "145.2250 MHz now"]
        );
        assert_eq!(wrap("so 3 × 145.2250", 12), ["so", "3 × 145.2250"]);
    }

    #[test]
    fn a_name_cannot_steer_the_terminal() {
        assert_eq!(clean("a\u{1b}[2Jb\nc\u{202e}"), "a\u{fffd}[2Jb c\u{fffd}");
    }

    #[test]
    fn a_label_wider_than_its_column_stands_above_its_text() {
        let mut paper = Paper::new(&Look::default());
        paper.labelled(2, 6, Tone::Label, "reference", "text");
        assert_eq!(paper.finish(), "  reference\n        text\n");
    }
}
