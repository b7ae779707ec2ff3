//! The text of one file, and where in it a byte stands.

use std::sync::Arc;

use thiserror::Error;

use super::bounds::LARGEST_FILE;
use crate::provenance::Origin;

/// A stretch of a source, in bytes from its beginning; the end is not included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// The first byte.
    pub start: usize,
    /// The byte after the last one.
    pub end: usize,
}

/// Why a file is no text that could be read at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SourceError {
    /// Nothing but blanks.
    #[error("{name}:1:1: the file is empty; is it the right one, and was it saved?")]
    Empty {
        /// The name of the file.
        name: String,
    },
    /// Bytes that are not UTF-8.
    #[error("{name}:{line}:{column}: the byte 0x{byte:02X} is not UTF-8; save the file as UTF-8")]
    NotUtf8 {
        /// The name of the file.
        name: String,
        /// The line of the first such byte, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
        /// The byte.
        byte: u8,
    },
    /// A control character that no text file holds.
    #[error(
        "{name}:{line}:{column}: the control character U+{character:04X} has no place in a text file; \
         take it out, and save the file as UTF-8"
    )]
    Binary {
        /// The name of the file.
        name: String,
        /// The line of the first such character, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
        /// The code point.
        character: u32,
    },
    /// More bytes than are read.
    #[error(
        "{name}:{line}:{column}: the file goes on beyond {} MiB, and no more is read; keep what is near the event",
        LARGEST_FILE / (1024 * 1024)
    )]
    TooLarge {
        /// The name of the file.
        name: String,
        /// The line that the last byte which could be read stands in, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
    },
}

/// The text of a file under the name the user knows it by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    name: Arc<str>,
    text: Arc<str>,
    line_starts: Arc<[usize]>,
}

impl Source {
    /// The bytes of a file as text; a byte-order mark is taken off.
    ///
    /// # Errors
    /// Empty, larger than [`LARGEST_FILE`], not UTF-8, or with control characters: in each case nothing in it could be
    /// read.
    pub fn new(name: &str, bytes: &[u8]) -> Result<Self, SourceError> {
        if let Some((kept, _)) = bytes
            .split_at_checked(LARGEST_FILE)
            .filter(|(_, rest)| !rest.is_empty())
        {
            let (line, column) = end_of(&String::from_utf8_lossy(kept));
            return Err(SourceError::TooLarge {
                name: name.to_owned(),
                line,
                column,
            });
        }
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = std::str::from_utf8(bytes).map_err(|error| {
            let (good, bad) = bytes
                .split_at_checked(error.valid_up_to())
                .unwrap_or((bytes, &[]));
            let (line, column) = end_of(&String::from_utf8_lossy(good));
            SourceError::NotUtf8 {
                name: name.to_owned(),
                line,
                column,
                byte: bad.first().copied().unwrap_or_default(),
            }
        })?;
        if let Some((at, control)) = text.char_indices().find(|&(_, c)| is_forbidden(c)) {
            let (line, column) = end_of(text.get(..at).unwrap_or(""));
            return Err(SourceError::Binary {
                name: name.to_owned(),
                line,
                column,
                character: u32::from(control),
            });
        }
        if text.trim().is_empty() {
            return Err(SourceError::Empty {
                name: name.to_owned(),
            });
        }
        Ok(Self {
            name: name.into(),
            text: text.into(),
            line_starts: std::iter::once(0)
                .chain(text.match_indices('\n').map(|(at, _)| at + 1))
                .collect(),
        })
    }

    /// The name of the file.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text, without byte-order mark.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The line a byte stands in, from 1.
    pub fn line(&self, byte: usize) -> usize {
        self.line_starts.partition_point(|&start| start <= byte)
    }

    /// The column of a byte in its line, in characters, from 1.
    pub fn column(&self, byte: usize) -> usize {
        let start = self.line_start(byte);
        let before = self.text.as_bytes().get(start..byte).unwrap_or_default();
        // Every byte but a continuation byte begins a character.
        before.iter().filter(|&&byte| byte & 0xC0 != 0x80).count() + 1
    }

    /// Where a value at a place came from: the user's line of this file.
    pub fn origin(&self, place: Place) -> Origin {
        Origin::Said(format!("{}, line {}", self.name, self.line(place.start)).into())
    }

    /// The line a byte stands in, without its line break.
    pub fn line_text(&self, byte: usize) -> &str {
        let rest = self.text.get(self.line_start(byte)..).unwrap_or("");
        let line = rest.split('\n').next().unwrap_or("");
        line.strip_suffix('\r').unwrap_or(line)
    }

    /// The byte that the line of `byte` begins with.
    pub(super) fn line_start(&self, byte: usize) -> usize {
        let before = self.line(byte).saturating_sub(1);
        self.line_starts.get(before).copied().unwrap_or(0)
    }
}

/// Whether YAML keeps a character out of its texts (YAML 1.2.2, 5.1: the printable set).
fn is_forbidden(character: char) -> bool {
    character.is_control() && !matches!(character, '\t' | '\n' | '\r' | '\u{85}')
        || matches!(character, '\u{FFFE}' | '\u{FFFF}')
}

/// Line and column of what would follow a text.
fn end_of(text: &str) -> (usize, usize) {
    let line = text.matches('\n').count() + 1;
    let last = text.rsplit('\n').next().unwrap_or("");
    (line, last.chars().count() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_byte_order_mark_and_windows_line_breaks_do_not_move_a_column() {
        let source = Source::new("a.yaml", "\u{FEFF}a: 1\r\nÅngström: ß x\r\n".as_bytes()).unwrap();
        let byte = source.text().find('x').unwrap();
        assert_eq!((source.line(byte), source.column(byte)), (2, 13));
        assert_eq!(source.line_text(byte), "Ångström: ß x");
        assert_eq!((source.line(0), source.column(0)), (1, 1));
        let start = byte;
        let origin = source.origin(Place { start, end: start });
        assert_eq!(origin, Origin::Said("a.yaml, line 2".into()));
    }

    #[test]
    fn a_file_is_read_up_to_its_bound_and_not_a_byte_beyond() {
        let mut bytes = vec![b'a'; LARGEST_FILE];
        bytes[LARGEST_FILE - 10] = b'\n';
        assert!(Source::new("a.yaml", &bytes).is_ok());
        bytes.push(b'a');
        let refused = Source::new("a.yaml", &bytes).unwrap_err().to_string();
        assert!(
            refused.starts_with("a.yaml:2:10: the file goes on beyond 10 MiB"),
            "{refused}"
        );
    }

    #[test]
    fn what_is_no_text_is_refused_with_its_position() {
        let refused = |bytes: &[u8]| Source::new("a.yaml", bytes).unwrap_err().to_string();
        assert!(refused(b"a: 1\nb: \xC3\xA9\xE9\n").starts_with("a.yaml:2:5: the byte 0xE9"));
        assert!(refused(b"a: 1\nb\0").starts_with("a.yaml:2:2: the control character U+0000"));
        assert!(refused("a: \u{1b}[31m".as_bytes()).starts_with("a.yaml:1:4:"));
        assert!(refused(b" \n\r\n").starts_with("a.yaml:1:1: the file is empty"));
        assert!(refused(b"").starts_with("a.yaml:1:1: the file is empty"));
        assert!(refused(b"\xFF\xFEa\0").starts_with("a.yaml:1:1: the byte 0xFF"));
    }
}
