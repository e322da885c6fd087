//! Reads the figures that a job sets by hand.

use super::job::most_copies;
use super::pages::named_part;
use super::part::Parts;
use super::{Limits, TableReader, Value};
use crate::{HandFigure, Override, codes};

/// Decimals of the quantity of a line.
const QUANTITY_DECIMALS: u32 = 3;

/// The `[[override]]` tables of a job.
pub(crate) fn overrides(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<Override>> {
    let Some(value) = root.optional("override") else {
        return Some(Vec::new());
    };
    let entries = value.list()?;
    let read: Vec<Option<Override>> = entries.iter().map(|entry| by_hand(entry, parts)).collect();
    read.into_iter().collect()
}

fn by_hand(entry: &Value<'_>, parts: &Parts) -> Option<Override> {
    let table = TableReader::of(entry, "an override")?;
    let line = table.name("line", "line = \"plates\"");
    let part = table.if_given("part", |value| named_part(value, parts));
    let item = table.if_given("item", Value::text);
    let option = table.if_given("option", Value::text);
    let copies = Limits::new(1.0, most_copies(), "copies", "5000");
    let copies = table.if_given("copies", |value| value.count(copies));
    let figure = figure(&table, entry);
    let why = table.if_given("why", Value::text);
    table.finish();
    let by_hand = Override {
        place: entry.place(),
        line: line?,
        part: part.ok()?,
        item: item.ok()?,
        option: option.ok()?,
        copies: copies.ok()?,
        figure: figure?,
        why: why.ok()?.map(|why| why.value),
    };
    if by_hand.line.value == "total" && !matches!(by_hand.figure, HandFigure::Amount(_)) {
        let hint = "write `amount = 1200.00`";
        return entry.refuse(codes::ONE_FIGURE, "a total has an amount only", hint);
    }
    Some(by_hand)
}

/// Exactly one of quantity, rate and amount.
fn figure(table: &TableReader<'_>, entry: &Value<'_>) -> Option<HandFigure> {
    let quantity = table.optional("quantity");
    let rate = table.optional("rate");
    let amount = table.optional("amount");
    match (quantity, rate, amount) {
        (Some(quantity), None, None) => quantity_of(&quantity),
        (None, Some(rate), None) => Some(HandFigure::Rate(rate.money()?.value)),
        (None, None, Some(amount)) => Some(HandFigure::Amount(amount.money()?.value)),
        _ => entry.refuse(
            codes::ONE_FIGURE,
            "an override sets exactly one of `quantity`, `rate` and `amount`",
            "write for instance `amount = 80.00`",
        ),
    }
}

fn quantity_of(value: &Value<'_>) -> Option<HandFigure> {
    let quantity = value.money()?.value.amount().normalize();
    if quantity.scale() <= QUANTITY_DECIMALS {
        return Some(HandFigure::Quantity(quantity));
    }
    let message = format!("{} has more than three decimals", value.subject());
    value.refuse(
        codes::NOT_AN_AMOUNT,
        message,
        "lines are charged to three decimals",
    )
}
