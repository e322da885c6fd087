//! Reads one table of a file, key by key; keys that nobody asked for are errors.

use std::cell::RefCell;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{Limits, Log, Value, nearest, shown};
use crate::{Given, Place, codes};

/// A value was written but cannot be used; the log says why.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Refused;

/// A value that may be left out.
pub(crate) type Optional<T> = Result<Option<T>, Refused>;

/// One table of a file.
pub(crate) struct TableReader<'a> {
    log: &'a Log<'a>,
    entries: &'a DeTable<'a>,
    span: Range<usize>,
    subject: RefCell<String>,
    known: RefCell<Vec<&'static str>>,
    missing: RefCell<Vec<(&'static str, String)>>,
}

impl<'a> TableReader<'a> {
    /// The whole file.
    pub(crate) fn root(log: &'a Log<'a>, entries: &'a DeTable<'a>) -> Self {
        Self::new(log, entries, 0..0, String::new())
    }

    fn new(
        log: &'a Log<'a>,
        entries: &'a DeTable<'a>,
        span: Range<usize>,
        subject: String,
    ) -> Self {
        Self {
            log,
            entries,
            span,
            subject: RefCell::new(subject),
            known: RefCell::default(),
            missing: RefCell::default(),
        }
    }

    /// The table that a value is; anything else is reported.
    pub(crate) fn of(value: &Value<'a>, subject: impl Into<String>) -> Option<Self> {
        match value.raw() {
            DeValue::Table(entries) => Some(Self::new(
                value.log(),
                entries,
                value.span(),
                subject.into(),
            )),
            _ => value.wrong_type("a table"),
        }
    }

    pub(crate) fn log(&self) -> &'a Log<'a> {
        self.log
    }

    /// What messages call this table, for instance ``colour `Orange` ``; empty for the file itself.
    pub(crate) fn subject(&self) -> String {
        self.subject.borrow().clone()
    }

    /// Renames the table for messages, once its name has been read.
    pub(crate) fn call(&self, subject: impl Into<String>) {
        *self.subject.borrow_mut() = subject.into();
    }

    /// Where the table begins; `None` for the file itself.
    pub(crate) fn place(&self) -> Option<Place> {
        (self.span.end > 0).then(|| self.log.place(self.span.clone()))
    }

    /// Whether the key is written; does not count as asking for it.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// The value of a key, if written.
    pub(crate) fn optional(&self, key: &'static str) -> Option<Value<'a>> {
        self.known.borrow_mut().push(key);
        let value: &'a Spanned<DeValue<'a>> = self.entries.get(key)?;
        Some(Value::new(self.log, key, self.subject(), value))
    }

    /// The value of a key that must be written; `example` shows how.
    pub(crate) fn required(&self, key: &'static str, example: &str) -> Option<Value<'a>> {
        let value = self.optional(key);
        if value.is_none() {
            self.missing.borrow_mut().push((key, example.to_owned()));
        }
        value
    }

    fn report_missing(&self, key: &str, example: &str) {
        let message = match self.subject().as_str() {
            "" => format!("`{key}` is missing"),
            subject => format!("{subject} has no `{key}`"),
        };
        let notice = self.log.error(codes::MISSING_KEY, message).at(self.place());
        self.log
            .report(notice.hint(format!("write for instance `{example}`")));
    }

    /// The value of a key, or `default` with an assumption: a code and what is used and why.
    pub(crate) fn or_assume<T>(
        &self,
        key: &'static str,
        read: impl FnOnce(&Value<'a>) -> Option<Given<T>>,
        default: T,
        assumption: (&'static str, String),
    ) -> Option<Given<T>> {
        match self.optional(key) {
            Some(value) => read(&value),
            None => Some(self.assume(default, assumption)),
        }
    }

    /// `default`, with an assumption: a code and what is used and why.
    pub(crate) fn assume<T>(
        &self,
        default: T,
        (code, sentence): (&'static str, String),
    ) -> Given<T> {
        let message = match self.subject().as_str() {
            "" => sentence,
            subject => format!("{subject}: {sentence}"),
        };
        self.log.assume(code, self.place(), message);
        Given::assumed(default)
    }

    /// The value of a key that may be left out; `Err` when it is written and wrong.
    pub(crate) fn if_given<T>(
        &self,
        key: &'static str,
        read: impl FnOnce(&Value<'a>) -> Option<T>,
    ) -> Optional<T> {
        match self.optional(key) {
            None => Ok(None),
            Some(value) => read(&value).map(Some).ok_or(Refused),
        }
    }

    /// A title or name that must be written.
    pub(crate) fn name(&self, key: &'static str, example: &str) -> Option<Given<String>> {
        self.required(key, example)?.text()
    }

    /// A whole number that must be written.
    pub(crate) fn count(&self, key: &'static str, limits: Limits) -> Option<Given<u64>> {
        let example = format!("{key} = {}", limits.example);
        self.required(key, &example)?.count(limits)
    }

    /// A number that must be written.
    pub(crate) fn number(&self, key: &'static str, limits: Limits) -> Option<Given<f64>> {
        let example = format!("{key} = {}", limits.example);
        self.required(key, &example)?.number(limits)
    }

    /// Reports the keys that nobody asked for, and those that are missing and not merely misspelt.
    pub(crate) fn finish(&self) {
        let known = self.known.borrow();
        let mut misspelt = Vec::new();
        for key in self.entries.keys() {
            let word = key.get_ref().as_ref();
            if !known.contains(&word) {
                let meant = nearest(word, known.iter().copied());
                self.report_unknown((word, key.span()), meant, &known);
                misspelt.extend(meant);
            }
        }
        for (key, example) in self.missing.borrow().iter() {
            if !misspelt.contains(key) {
                self.report_missing(key, example);
            }
        }
    }

    fn report_unknown(
        &self,
        (key, span): (&str, Range<usize>),
        meant: Option<&str>,
        known: &[&str],
    ) {
        let message = match self.subject().as_str() {
            "" => format!("`{}` is not a key of this file", shown(key)),
            subject => format!("`{}` is not a key of {subject}", shown(key)),
        };
        let mut listed = known.to_vec();
        listed.sort_unstable();
        let hint = match meant {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("known: {}", words(listed)),
        };
        let place = Some(self.log.place(span));
        let notice = self.log.error(codes::UNKNOWN_KEY, message);
        self.log.report(notice.at(place).hint(hint));
    }
}

/// Words in backticks with commas between.
pub(crate) fn words<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    let quoted: Vec<String> = words.into_iter().map(|w| format!("`{w}`")).collect();
    quoted.join(", ")
}
