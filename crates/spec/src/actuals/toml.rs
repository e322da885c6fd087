//! Reads a file of actuals.

use std::collections::BTreeSet;

use super::{ActualInk, ActualJob, ActualOperation, ActualOrder, ActualPress, Actuals, TypedRun};
use crate::codes;
use crate::read::{Limits, Optional, TableReader, Value};
use crate::{Given, Place};

/// A year of minutes.
const MINUTES: Limits = Limits::new(0.0, 525_600.0, "minutes", "42");
const SHEETS: Limits = Limits::new(0.0, 100_000_000.0, "sheets", "2600");
const GOOD_SHEETS: Limits = Limits::new(1.0, 100_000_000.0, "sheets", "2500");
const PIECES: Limits = Limits::new(1.0, 1_000_000_000.0, "pieces", "5100");
const COPIES: Limits = Limits::new(1.0, 10_000_000.0, "copies", "5000");
const INKS: Limits = Limits::new(1.0, 20.0, "inks", "4");
const SET_UPS: Limits = Limits::new(1.0, 1_000.0, "settings-up", "1");
const KILOGRAMS: Limits = Limits::new(0.0, 100_000.0, "kg", "1.4");

pub(super) fn actuals(root: &TableReader<'_>) -> Option<Actuals> {
    let rates = root.if_given("rates", Value::text);
    let jobs = root
        .required("job", "[[job]]")
        .and_then(|value| listed(&value.filled_list()?, "a job", job));
    let jobs = jobs?;
    distinct(root, &jobs)?;
    Some(Actuals {
        rates: rates.ok()?,
        jobs,
    })
}

fn listed<T>(
    entries: &[Value<'_>],
    what: &str,
    read: impl Fn(&TableReader<'_>, Place) -> Option<T>,
) -> Option<Vec<T>> {
    let one = |entry: &Value<'_>| {
        let table = TableReader::of(entry, what)?;
        let one = read(&table, entry.place());
        table.finish();
        one
    };
    let all: Vec<Option<T>> = entries.iter().map(one).collect();
    all.into_iter().collect()
}

/// The entries of a list that may be left out.
fn entries<T>(
    table: &TableReader<'_>,
    key: &'static str,
    read: impl Fn(&TableReader<'_>, Place) -> Option<T>,
) -> Option<Vec<T>> {
    let what = format!("an entry of `{key}`");
    let all: Optional<Vec<T>> =
        table.if_given(key, |value| listed(&value.filled_list()?, &what, &read));
    all.ok().map(Option::unwrap_or_default)
}

fn distinct(root: &TableReader<'_>, jobs: &[ActualJob]) -> Option<()> {
    let mut seen = BTreeSet::new();
    let twice = jobs
        .iter()
        .find(|job| !seen.insert(job.name.to_lowercase()));
    let Some(job) = twice else { return Some(()) };
    let message = format!("two jobs are called `{}`", job.name);
    let notice = root.log().error(codes::DUPLICATE_NAME, message);
    let hint = "give each its own number, so that a figure that is far off can be told by it";
    root.log().report(notice.at(job.name.place).hint(hint));
    None
}

fn job(table: &TableReader<'_>, place: Place) -> Option<ActualJob> {
    let name = table.name("name", "name = \"2609-14\"");
    if let Some(name) = &name {
        table.call(format!("job `{}`", name.value));
    }
    let has_file = table.has("file");
    let file = order(table);
    let presses = entries(table, "press", |t, place| press(t, place, has_file));
    let inks = entries(table, "ink", |t, _| ink(t));
    let operations = entries(table, "operation", |t, place| operation(t, place, has_file));
    let (file, presses, inks, operations) = (file?, presses?, inks?, operations?);
    if presses.is_empty() && inks.is_empty() && operations.is_empty() {
        return nothing_measured(
            table,
            place,
            "a `[[job.press]]`, an `[[job.ink]]` or an `[[job.operation]]`",
        );
    }
    if !has_file && !inks.is_empty() {
        let message = format!("{} has inks but no `file`", table.subject());
        let hint = "ink is estimated from the coverage of a job; give its `file` and `quantity`";
        let notice = table.log().error(codes::UNFIT_KEY, message);
        table.log().report(notice.at(Some(place)).hint(hint));
        return None;
    }
    Some(ActualJob {
        name: name?,
        file,
        presses,
        inks,
        operations,
    })
}

/// The outer `None` when it is wrong, the inner when there is no file.
#[expect(clippy::option_option, reason = "wrong and absent differ")]
fn order(table: &TableReader<'_>) -> Option<Option<ActualOrder>> {
    let path = table.if_given("file", Value::text).ok()?;
    let Some(path) = path else {
        for key in ["quantity", "option"] {
            if let Some(value) = table.optional(key) {
                let message = format!("{} is given without a `file`", value.subject());
                let hint = "give the job file, or type the runs with `runs` and leave this out";
                value.refuse::<()>(codes::UNFIT_KEY, message, hint)?;
            }
        }
        return Some(None);
    };
    let quantity = table.count("quantity", COPIES);
    let option = table.if_given("option", Value::text);
    Some(Some(ActualOrder {
        path,
        quantity: quantity?,
        option: option.ok()?,
    }))
}

fn nothing_measured<T>(table: &TableReader<'_>, place: Place, what: &str) -> Option<T> {
    let message = format!("{} has no figure", table.subject());
    let notice = table.log().error(codes::NO_ACTUAL, message);
    table
        .log()
        .report(notice.at(Some(place)).hint(format!("give at least {what}")));
    None
}

fn press(table: &TableReader<'_>, place: Place, has_file: bool) -> Option<ActualPress> {
    let press = table.name("press", "press = \"B2, four units\"");
    let part = table.if_given("part", Value::text);
    let runs = runs(table, has_file);
    let minutes = |key| table.if_given(key, |v| v.number(MINUTES));
    let sheets = |key| table.if_given(key, |v| v.count(SHEETS));
    let make_ready_minutes = minutes("make_ready_minutes");
    let running_minutes = minutes("running_minutes");
    let make_ready_sheets = sheets("make_ready_sheets");
    let all_sheets = sheets("sheets");
    let press = ActualPress {
        press: press?,
        part: part.ok()?,
        runs: runs?,
        make_ready_minutes: make_ready_minutes.ok()?,
        running_minutes: running_minutes.ok()?,
        make_ready_sheets: make_ready_sheets.ok()?,
        sheets: all_sheets.ok()?,
        place,
    };
    if press.is_empty() {
        let what =
            "one of `make_ready_minutes`, `running_minutes`, `make_ready_sheets` and `sheets`";
        return nothing_measured(table, place, what);
    }
    fewer(
        table,
        press.make_ready_sheets,
        press.sheets,
        "make-ready took",
    )?;
    Some(press)
}

/// A share of sheets or pieces may not be more than all of them.
fn fewer(
    table: &TableReader<'_>,
    share: Option<Given<u64>>,
    all: Option<Given<u64>>,
    what: &str,
) -> Option<()> {
    let (Some(share), Some(all)) = (share, all) else {
        return Some(());
    };
    if share.value <= all.value {
        return Some(());
    }
    let message = format!("{what} {} of {} in all", share.value, all.value);
    let notice = table.log().error(codes::OUT_OF_RANGE, message);
    table.log().report(notice.at(share.place));
    None
}

fn runs(table: &TableReader<'_>, has_file: bool) -> Option<Vec<TypedRun>> {
    if has_file {
        let Some(value) = table.optional("runs") else {
            return Some(Vec::new());
        };
        let hint = "the runs of a job with a `file` are those of its estimate; leave `runs` out";
        let message = format!("{} is given beside a `file`", value.subject());
        return value.refuse(codes::UNFIT_KEY, message, hint);
    }
    let example = "runs = [ { inks = 4, good_sheets = 2500 } ]";
    let value = table.required("runs", example)?;
    listed(&value.filled_list()?, "a run", |run, _| {
        let inks = run.count("inks", INKS);
        let good_sheets = run.count("good_sheets", GOOD_SHEETS);
        Some(TypedRun {
            inks: inks?.value as u32,
            good_sheets: good_sheets?.value,
        })
    })
}

fn ink(table: &TableReader<'_>) -> Option<ActualInk> {
    let ink = table.name("ink", "ink = \"process\"");
    let kilograms = table.number("kg", KILOGRAMS);
    Some(ActualInk {
        ink: ink?,
        kilograms: kilograms?,
    })
}

fn operation(table: &TableReader<'_>, place: Place, has_file: bool) -> Option<ActualOperation> {
    let operation = table.name("operation", "operation = \"fold\"");
    let set_ups = table.if_given("set_ups", |v| v.count(SET_UPS));
    let pieces = if has_file && !table.has("spoiled") {
        table.if_given("pieces", |v| v.count(PIECES))
    } else {
        let pieces = table.count("pieces", PIECES);
        pieces.map(Some).ok_or(crate::read::Refused)
    };
    let minutes = |key| table.if_given(key, |v| v.number(MINUTES));
    let set_up_minutes = minutes("set_up_minutes");
    let running_minutes = minutes("running_minutes");
    let spoiled = table.if_given("spoiled", |v| v.count(SHEETS));
    let operation = ActualOperation {
        operation: operation?,
        set_ups: set_ups.ok()?,
        pieces: pieces.ok()?,
        set_up_minutes: set_up_minutes.ok()?,
        running_minutes: running_minutes.ok()?,
        spoiled: spoiled.ok()?,
        place,
    };
    if operation.is_empty() {
        let what = "one of `set_up_minutes`, `running_minutes` and `spoiled`";
        return nothing_measured(table, place, what);
    }
    fewer(table, operation.spoiled, operation.pieces, "spoiled are")?;
    Some(operation)
}

impl ActualPress {
    fn is_empty(&self) -> bool {
        self.make_ready_minutes.is_none()
            && self.running_minutes.is_none()
            && self.make_ready_sheets.is_none()
            && self.sheets.is_none()
    }
}

impl ActualOperation {
    fn is_empty(&self) -> bool {
        self.set_up_minutes.is_none() && self.running_minutes.is_none() && self.spoiled.is_none()
    }
}
