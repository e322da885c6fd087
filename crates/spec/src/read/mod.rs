//! From TOML text to checked values: everything wrong with a file is reported at once.

mod artwork;
mod by_hand;
pub(crate) mod card;
mod colour;
mod delivery;
mod digital;
mod finish;
mod ink;
pub(crate) mod job;
mod log;
mod operation;
mod pages;
mod part;
mod plates;
mod press;
mod product;
mod queue;
mod range;
mod stock;
mod supplier;
mod syntax;
mod table;
mod target;
mod value;
mod variation;
mod version;

pub(crate) use job::{currency, known_names};
pub(crate) use log::{Log, nearest, shown};
pub(crate) use operation::BUILT_IN;
pub(crate) use range::may_range;
pub use range::{CardRanges, RangedRate, read_card_ranges};
pub(crate) use table::{Optional, Refused, TableReader, words};
pub(crate) use value::{LONGEST_TEXT, Limits, Value};

use range::{Pick, Written};

use crate::{FileRole, Job, Notice, RateCard, Reading, codes};

/// Longest file that is read, bytes.
pub const LONGEST_FILE: usize = 4_000_000;

/// What to write instead of an unknown name: the nearest of the known ones, and some of them.
pub fn name_hint<'n>(typed: &str, known: impl IntoIterator<Item = &'n str>) -> String {
    known_names(typed, known)
}

/// Reads and checks a job file.
pub fn read_job(text: &str) -> Reading<Job> {
    read_file(FileRole::Job, text, job::job)
}

/// Reads and checks a rate card.
pub fn read_rate_card(text: &str) -> Reading<RateCard> {
    let (reading, ranges) = read_card(text, Pick::Typical);
    if ranges.is_empty() || reading.value.is_none() {
        return reading;
    }
    range::check_ends(reading, text)
}

/// Reads a rate card with chosen ends of its ranges; gives back what the ranges are.
fn read_card(text: &str, pick: Pick) -> (Reading<RateCard>, Vec<Written>) {
    if text.len() > LONGEST_FILE {
        return (refused(too_long(FileRole::Rates, text.len())), Vec::new());
    }
    let log = Log::new(FileRole::Rates, text).picking(pick);
    let value = checked(&log, text, card::rate_card);
    let ranges = log.ranges.take();
    (Reading::new(value, log.into_notices()), ranges)
}

/// Reads and checks a job file that may not even be text.
pub fn read_job_bytes(bytes: &[u8]) -> Reading<Job> {
    match text_of(bytes) {
        Ok(text) => read_job(text),
        Err(at) => refused(not_text(FileRole::Job, bytes, at)),
    }
}

/// Reads and checks a rate card that may not even be text.
pub fn read_rate_card_bytes(bytes: &[u8]) -> Reading<RateCard> {
    match text_of(bytes) {
        Ok(text) => read_rate_card(text),
        Err(at) => refused(not_text(FileRole::Rates, bytes, at)),
    }
}

pub(crate) fn read_file<T>(
    file: FileRole,
    text: &str,
    checked: impl FnOnce(&TableReader<'_>) -> Option<T>,
) -> Reading<T> {
    if text.len() > LONGEST_FILE {
        return refused(too_long(file, text.len()));
    }
    let log = Log::new(file, text);
    let value = self::checked(&log, text, checked);
    Reading::new(value, log.into_notices())
}

fn checked<T>(
    log: &Log<'_>,
    text: &str,
    checked: impl FnOnce(&TableReader<'_>) -> Option<T>,
) -> Option<T> {
    let table = syntax::parse(log, text);
    let root = TableReader::root(log, table.get_ref());
    let value = checked(&root);
    root.finish();
    value
}

fn refused<T>(notice: Notice) -> Reading<T> {
    Reading::new(None, vec![notice])
}

/// The text, or the first byte that is none.
fn text_of(bytes: &[u8]) -> Result<&str, usize> {
    std::str::from_utf8(bytes).map_err(|error| error.valid_up_to())
}

fn too_long(file: FileRole, length: usize) -> Notice {
    let message = format!("the file has {length} bytes, more than {LONGEST_FILE}");
    Notice::error(file, codes::FILE_TOO_LONG, message)
}

pub(crate) fn not_text(file: FileRole, bytes: &[u8], at: usize) -> Notice {
    if bytes.len() > LONGEST_FILE {
        return too_long(file, bytes.len());
    }
    let readable = String::from_utf8_lossy(&bytes[..at]);
    let place = crate::notice::Positions::new(file, &readable).place(at..at);
    let message = format!(
        "byte {at} of the file is 0x{:02X}, which is no UTF-8 text",
        bytes[at]
    );
    Notice::error(file, codes::NOT_UTF_8, message)
        .at(Some(place))
        .hint("save the file as plain text in UTF-8")
}
