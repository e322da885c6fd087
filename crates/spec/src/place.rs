//! Where a value stands, so that every figure can be traced to the line it came from.

use std::fmt;
use std::ops::Deref;

/// One of the files that a command reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileRole {
    /// The job file.
    Job,
    /// The rate card.
    Rates,
    /// A palette.
    Palette,
    /// A characterisation table.
    Table,
    /// A supplier's offer, or a table of offers.
    Offer,
    /// What a buyer adds to a comparison.
    Buyer,
    /// What finished jobs really took.
    Actuals,
}

/// Position of a value in its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Which file.
    pub file: FileRole,
    /// Byte offset of the first byte.
    pub start: usize,
    /// Byte offset behind the last byte.
    pub end: usize,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// A value with the place where it was written, or without one when it was assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given<T> {
    /// The value.
    pub value: T,
    /// `None` when the value is a default; then a notice says so.
    pub place: Option<Place>,
}

impl<T> Given<T> {
    /// A value that was written.
    pub const fn at(value: T, place: Place) -> Self {
        Self {
            value,
            place: Some(place),
        }
    }

    /// A value that was assumed.
    pub const fn assumed(value: T) -> Self {
        Self { value, place: None }
    }

    /// The same place with another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Given<U> {
        Given {
            value: f(self.value),
            place: self.place,
        }
    }
}

impl<T> Deref for Given<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

impl<T: fmt::Display> fmt::Display for Given<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(f)
    }
}
