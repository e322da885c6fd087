//! Reads the finishing that a job asks for.

use inkset_units::Coverage;

use super::operation::BUILT_IN;
use super::pages::named_part;
use super::part::Parts;
use super::{Limits, Optional, Refused, TableReader, Value};
use crate::{Bundle, Finish, Given, codes};

const DIFFICULTY: Limits = Limits::new(0.1, 10.0, "", "1.2");
const COPIES: Limits = Limits::new(1.0, 10_000_000.0, "copies", "500");
const KILOGRAMS: Limits = Limits::new(0.01, 10_000.0, "kg", "12");

/// The factor for the whole job; 1 unless given.
pub(crate) fn difficulty(root: &TableReader<'_>) -> Option<Given<f64>> {
    let value = root.optional("difficulty");
    value.map_or(Some(Given::assumed(1.0)), |v| v.number(DIFFICULTY))
}

pub(crate) fn finishes(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<Finish>> {
    let Some(listed) = root.optional("finish") else {
        return Some(Vec::new());
    };
    let entries = listed.list()?;
    let read: Vec<_> = entries.iter().map(|entry| finish(entry, parts)).collect();
    read.into_iter().collect()
}

fn finish(entry: &Value<'_>, parts: &Parts) -> Option<Finish> {
    let table = TableReader::of(entry, "a finish")?;
    let operation = table.name("operation", "operation = \"gloss laminate\"");
    if let Some(name) = &operation {
        table.call(format!("finish `{}`", name.value));
    }
    let part = table.if_given("part", |v| Some(v.given(named_part(v, parts)?)));
    let sides = sides(&table);
    let coverage = coverage(&table);
    let difficulty = table.if_given("difficulty", |v| v.number(DIFFICULTY));
    let bundle = bundle(&table);
    table.finish();
    let operation = operation?;
    if BUILT_IN.contains(&operation.as_str()) {
        only_difficulty(&table)?;
    }
    Some(Finish {
        operation,
        part: part.ok()?,
        sides: sides?,
        coverage: coverage?,
        difficulty: difficulty.ok()?,
        bundle: bundle.ok()?,
    })
}

fn sides(table: &TableReader<'_>) -> Option<Given<[bool; 2]>> {
    let choices = [
        ("front", [true, false]),
        ("back", [false, true]),
        ("both", [true, true]),
    ];
    let value = table.optional("side");
    value.map_or(Some(Given::assumed([true, false])), |v| v.choice(&choices))
}

fn coverage(table: &TableReader<'_>) -> Option<Given<Coverage>> {
    let value = table.optional("coverage");
    value.map_or(Some(Given::assumed(Coverage::FULL)), |v| v.coverage())
}

fn bundle(table: &TableReader<'_>) -> Optional<Bundle> {
    let copies = table.if_given("copies", |v| v.count(COPIES));
    let kilograms = table.optional("kilograms");
    match (copies?, kilograms) {
        (None, None) => Ok(None),
        (Some(copies), None) => Ok(Some(Bundle::Copies(copies))),
        (None, Some(value)) => {
            let kilograms = value.number(KILOGRAMS).ok_or(Refused)?;
            Ok(Some(Bundle::Kilograms(kilograms)))
        }
        (Some(_), Some(value)) => {
            let message = format!("{} is given together with `copies`", value.subject());
            value.refuse::<()>(codes::UNFIT_KEY, message, "keep one of the two");
            Err(Refused)
        }
    }
}

/// What the product needs anyway takes nothing but a difficulty.
fn only_difficulty(table: &TableReader<'_>) -> Option<()> {
    let keys = ["part", "side", "coverage", "copies", "kilograms"];
    let Some(value) = keys.into_iter().find_map(|key| table.optional(key)) else {
        return Some(());
    };
    let message = format!(
        "{} is given, but the product decides where that is done",
        value.subject()
    );
    value.refuse(
        codes::UNFIT_KEY,
        message,
        "keep `operation` and `difficulty`",
    )
}
