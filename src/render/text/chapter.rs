//! A chapter of the handbook, set for a page.

use crate::topic::Topic;

use super::super::Look;
use super::{Paper, Tone};

/// Writes a topic: its title, and its chapter with paragraphs, lists, tables and sums.
pub fn chapter(topic: &Topic, look: &Look) -> String {
    let mut setting = Setting {
        paper: Paper::new(look),
        pending: String::new(),
        is_item: false,
        is_sum: false,
    };
    let title = format!("{}: {}", topic.id, topic.title);
    setting.paper.paragraph(0, Tone::Heading, &title);
    setting.paper.blank();
    let mut lines = topic.text.lines().peekable();
    // The chapter's own title stands above it already.
    lines.next_if(|line| line.strip_prefix("# ") == Some(topic.title));
    lines.for_each(|line| setting.take(line));
    setting.flush();
    setting.paper.finish()
}

/// A chapter being set, line by line.
struct Setting {
    paper: Paper,
    /// Lines of the paragraph or list item so far.
    pending: String,
    is_item: bool,
    /// Whether a block of sums is open, which is kept as it is.
    is_sum: bool,
}

impl Setting {
    fn take(&mut self, line: &str) {
        if line.starts_with("```") {
            self.flush();
            self.is_sum = !self.is_sum;
        } else if self.is_sum {
            self.paper.verbatim(4, line);
        } else if line.trim().is_empty() {
            self.flush();
            self.paper.blank();
        } else if line.starts_with('#') {
            self.flush();
            self.paper.blank();
            let heading = line.trim_start_matches('#').trim();
            self.paper.paragraph(0, Tone::Heading, heading);
        } else if line.starts_with('|') {
            self.flush();
            self.paper.verbatim(2, line);
        } else if let Some(item) = line.strip_prefix("- ") {
            self.flush();
            self.is_item = true;
            self.pending.push_str(item);
        } else {
            self.pending.push(' ');
            self.pending.push_str(line.trim());
        }
    }

    /// Sets what is pending.
    fn flush(&mut self) {
        let text = std::mem::take(&mut self.pending);
        let is_item = std::mem::take(&mut self.is_item);
        if text.is_empty() {
            return;
        }
        if is_item {
            self.paper.labelled(2, 2, Tone::Plain, "·", &text);
        } else {
            self.paper.paragraph(0, Tone::Plain, &text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chapter_is_wrapped_and_its_sums_are_kept() {
        let topic = Topic {
            id: "image",
            title: "Heard on the image",
            text: "# Heard on the image\n\n## What it looks for\n\nA line that lies\ntwice the IF away.\n\n- one\n- two, which goes\n  on\n\n```text\nf + 2 × IF\n  = g\n```\n\n## Arithmetic\n\n| a | b |\n| - | - |\n",
        };
        let look = Look {
            width: 40,
            ..Look::default()
        };
        insta::assert_snapshot!(chapter(&topic, &look), @r"
        image: Heard on the image

        What it looks for

        A line that lies twice the IF away.

          · one
          · two, which goes on

            f + 2 × IF
              = g

        Arithmetic

          | a | b |
          | - | - |
        ");
    }
}
