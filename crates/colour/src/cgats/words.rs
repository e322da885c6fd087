//! Lines and words of a CGATS text file.

/// One word of a line and the column where it starts, from 1; quotes are taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Word<'a> {
    pub(super) text: &'a str,
    pub(super) column: usize,
}

/// Splits the text at line feeds, carriage returns or both, and numbers the lines from 1.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let unix_or_dos = text.contains('\n');
    let ends = move |c: char| if unix_or_dos { c == '\n' } else { c == '\r' };
    text.split(ends)
        .enumerate()
        .map(|(i, line)| (i + 1, line.trim_end_matches('\r')))
}

/// Splits a line at blanks and tabs; a quoted word may hold both, and a `#` outside quotes starts a comment.
pub(super) fn words(line: &str) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut rest = line;
    let mut column = 1;
    loop {
        let trimmed = rest.trim_start();
        column += rest[..rest.len() - trimmed.len()].chars().count();
        if trimmed.is_empty() || trimmed.starts_with('#') {
            return words;
        }
        let (text, length) = first_word(trimmed);
        words.push(Word { text, column });
        column += trimmed[..length].chars().count();
        rest = &trimmed[length..];
    }
}

/// Returns the word at the start of `text` and how many bytes it takes, quotes included.
fn first_word(text: &str) -> (&str, usize) {
    if let Some(quoted) = text.strip_prefix('"') {
        return match quoted.find('"') {
            Some(end) => (&quoted[..end], end + 2),
            None => (quoted, text.len()),
        };
    }
    let end = text.find(char::is_whitespace).unwrap_or(text.len());
    (&text[..end], end)
}

/// Reads a number; a single comma may stand for the decimal point.
pub(super) fn number(text: &str) -> Option<f64> {
    let is_comma_decimal = text.bytes().filter(|b| *b == b',').count() == 1 && !text.contains('.');
    let value: f64 = if is_comma_decimal {
        text.replace(',', ".").parse()
    } else {
        text.parse()
    }
    .ok()?;
    value.is_finite().then_some(value)
}
