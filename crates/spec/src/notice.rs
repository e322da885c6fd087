//! What a reader tells about a file: errors, warnings and assumptions, each with its place.

use std::ops::Range;

use crate::{FileRole, Place};

/// How much a notice matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used; something looks wrong.
    Warning,
    /// A value was not given and a default is used.
    Assumption,
}

/// One thing to tell about a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// How much it matters.
    pub severity: Severity,
    /// Kebab-case, one of [`crate::codes::ALL`]; explained in `docs/errors.md`.
    pub code: &'static str,
    /// One sentence: what, value, limit. No full stop.
    pub message: String,
    /// The file it is about.
    pub file: FileRole,
    /// Where; `None` when it is about the file as a whole.
    pub place: Option<Place>,
    /// A few words beside the carets.
    pub label: Option<String>,
    /// How to mend it.
    pub hint: Option<String>,
}

impl Notice {
    /// An error about the whole of `file`.
    pub fn error(file: FileRole, code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, file, code, message.into())
    }

    /// A warning about the whole of `file`.
    pub fn warning(file: FileRole, code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, file, code, message.into())
    }

    /// An assumption made for `file`.
    pub fn assumption(file: FileRole, code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Assumption, file, code, message.into())
    }

    fn new(severity: Severity, file: FileRole, code: &'static str, message: String) -> Self {
        Self {
            severity,
            code,
            message,
            file,
            place: None,
            label: None,
            hint: None,
        }
    }

    /// Says where; the place also decides the file.
    #[must_use]
    pub fn at(mut self, place: Option<Place>) -> Self {
        self.file = place.map_or(self.file, |p| p.file);
        self.place = place;
        self
    }

    /// Says a few words beside the carets.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

/// What came out of reading one file.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading<T> {
    /// `None` exactly when there is an error among the notices.
    pub value: Option<T>,
    /// In the order of the file.
    pub notices: Vec<Notice>,
}

impl<T> Reading<T> {
    pub(crate) fn new(value: Option<T>, mut notices: Vec<Notice>) -> Self {
        notices.sort_by_key(|n| (n.place.map_or(0, |p| p.start), n.severity));
        let failed = notices.iter().any(|n| n.severity == Severity::Error);
        Self {
            value: value.filter(|_| !failed),
            notices,
        }
    }

    /// The errors among the notices.
    pub fn errors(&self) -> impl Iterator<Item = &Notice> {
        self.notices
            .iter()
            .filter(|n| n.severity == Severity::Error)
    }
}

impl Place {
    /// The place of a line and column that another reader found, both from 1; it reaches to the end of the word there.
    pub fn in_text(file: FileRole, text: &str, line: usize, column: usize) -> Self {
        let start_of_line: usize = text
            .split_inclusive('\n')
            .take(line.saturating_sub(1))
            .map(str::len)
            .sum();
        let rest = text.get(start_of_line..).unwrap_or_default();
        let in_line = rest
            .char_indices()
            .nth(column.saturating_sub(1))
            .map_or(rest.len(), |(at, _)| at);
        let word = rest[in_line..]
            .find(char::is_whitespace)
            .unwrap_or(rest.len() - in_line);
        let start = start_of_line + in_line;
        Self {
            file,
            start,
            end: start + word,
            line: line as u32,
            column: column as u32,
        }
    }
}

/// Finds line and column of any byte of a text in constant time, however long its lines are.
pub(crate) struct Positions<'t> {
    text: &'t str,
    file: FileRole,
    line_starts: Vec<usize>,
    /// Characters before every `STRIDE`-th byte.
    characters: Vec<usize>,
}

const STRIDE: usize = 256;
const BYTE_ORDER_MARK: char = '\u{feff}';

impl<'t> Positions<'t> {
    pub(crate) fn new(file: FileRole, text: &'t str) -> Self {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Self {
            text,
            file,
            line_starts,
            characters: characters_by_stride(text.as_bytes()),
        }
    }

    /// The place of a span of bytes.
    pub(crate) fn place(&self, span: Range<usize>) -> Place {
        let start = self.on_character(span.start);
        let end = self.on_character(span.end).max(start);
        let line = self.line_of(start);
        let line_start = self.line_starts[line];
        let marks = usize::from(line == 0 && start > 0 && self.text.starts_with(BYTE_ORDER_MARK));
        Place {
            file: self.file,
            start,
            end,
            line: line as u32 + 1,
            column: (self.characters_before(start) - self.characters_before(line_start) - marks)
                as u32
                + 1,
        }
    }

    /// Number of the line, from 0, that holds a byte.
    pub(crate) fn line_of(&self, byte: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= byte) - 1
    }

    /// The text of a line, from 0, with its end.
    pub(crate) fn line(&self, number: usize) -> &'t str {
        let end = self.line_starts.get(number + 1).copied();
        &self.text[self.line_starts[number]..end.unwrap_or(self.text.len())]
    }

    fn on_character(&self, byte: usize) -> usize {
        let mut byte = byte.min(self.text.len());
        while !self.text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    }

    fn characters_before(&self, byte: usize) -> usize {
        let stride = byte / STRIDE;
        let rest = &self.text.as_bytes()[stride * STRIDE..byte];
        self.characters[stride] + starts_of_characters(rest)
    }
}

fn characters_by_stride(bytes: &[u8]) -> Vec<usize> {
    let mut before = 0;
    let mut table = vec![0];
    for stride in bytes.chunks(STRIDE) {
        before += starts_of_characters(stride);
        table.push(before);
    }
    table
}

fn starts_of_characters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|b| (**b & 0xC0) != 0x80).count()
}
