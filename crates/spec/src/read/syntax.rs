//! Parses the text as far as it can be parsed and reports what is broken.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use super::{Log, shown};
use crate::codes;

/// Parses `text`; errors go to `log`, the rest is returned.
pub(crate) fn parse<'t>(log: &Log<'t>, text: &'t str) -> Spanned<DeTable<'t>> {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut last = None;
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        // Deep nesting leaves one error for each open bracket, all at the end of the file.
        if last.as_ref() != Some(&span) {
            report(log, (text, span.clone()), error.message());
        }
        last = Some(span);
    }
    table
}

fn report(log: &Log<'_>, (text, span): (&str, Range<usize>), message: &str) {
    let key = shown(text.get(span.clone()).unwrap_or_default());
    let place = Some(log.place(span));
    if message == "duplicate key" {
        let notice = log.error(codes::DUPLICATE_KEY, format!("`{key}` is given twice"));
        return log.report_syntax(notice.at(place).hint("keep one of the two"));
    }
    let notice = log.error(codes::SYNTAX, format!("this is no TOML: {message}"));
    log.report_syntax(notice.at(place));
}
