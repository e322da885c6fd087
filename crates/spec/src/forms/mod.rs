//! What each table of a file may hold: the one list from which schema and reference are made.
//!
//! The readers do not use it; tests prove that they ask for exactly these keys.

mod actuals;
mod artwork;
mod card;
mod delivery;
mod job;
mod offer;
mod operation;
mod plates;
#[cfg(test)]
mod reference;
mod schema;
mod supplier;
mod version;

pub use schema::{actuals_schema, buyer_schema, job_schema, offer_schema, rate_card_schema};

/// A table of a file.
pub(crate) struct Table {
    /// Its header, for instance `[[colour]]`; empty for the top of the file.
    header: &'static str,
    about: &'static str,
    keys: &'static [Key],
}

/// A key of a table.
pub(crate) struct Key {
    name: &'static str,
    form: Form,
    /// Unit, or what the value counts.
    unit: &'static str,
    default: Default,
    /// A value as it is written; empty for tables.
    example: &'static str,
    about: &'static str,
}

/// What happens when a key is left out.
#[derive(Clone, Copy)]
pub(crate) enum Default {
    /// It is an error.
    Required,
    /// It means nothing is said, or one of several keys is needed, as the text tells.
    None,
    /// This value is used; an assumption tells so, except where the text says otherwise.
    Value(&'static str),
}

/// The kinds of value.
#[derive(Clone, Copy)]
pub(crate) enum Form {
    Text,
    Words(&'static [&'static str]),
    WordList(&'static [&'static str]),
    TextList,
    Flag,
    Count(u64, u64),
    Number(f64, f64),
    Amount,
    /// 0 to 100, or such a number with its sign as a text.
    Percent,
    Size,
    Length,
    Share,
    Date,
    /// Exactly so many numbers, each within limits.
    Numbers(usize, f64, f64),
    Hex,
    /// CIELAB, or a colour of a palette.
    LabOrPalette(&'static Table),
    Pages,
    /// Percent of four inks, or the word `typical`.
    PictureInks,
    Counts(u64, u64),
    Sizes,
    One(&'static Table),
    Many(&'static Table),
}

const fn key(name: &'static str, form: Form, default: Default, example: &'static str) -> Key {
    Key {
        name,
        form,
        unit: "",
        default,
        example,
        about: "",
    }
}

impl Key {
    const fn unit(mut self, unit: &'static str) -> Self {
        self.unit = unit;
        self
    }

    const fn about(mut self, about: &'static str) -> Self {
        self.about = about;
        self
    }
}
