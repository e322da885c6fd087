//! Reads the figures and the ways to print that a job sets by hand.

use super::job::most_copies;
use super::pages::named_part;
use super::part::Parts;
use super::{Limits, TableReader, Value};
use crate::{Given, HandFigure, Override, Printing, codes};

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

const UP: Limits = Limits::new(1.0, 1_000.0, "up", "4");
const MAKE_READY: Limits = Limits::new(0.0, 100_000.0, "sheets", "250");
/// Work styles by their names in `layout`.
const STYLES: [(&str, &str); 4] = [
    ("sheetwise", "sheetwise"),
    ("work-and-turn", "work-and-turn"),
    ("work-and-tumble", "work-and-tumble"),
    ("perfecting", "perfecting"),
];

/// The `[[printing]]` tables of a job, at most one for each part.
pub(crate) fn printing(root: &TableReader<'_>, parts: &Parts) -> Option<Vec<Printing>> {
    let Some(value) = root.optional("printing") else {
        return Some(Vec::new());
    };
    let mut known: Vec<usize> = Vec::new();
    let mut one = |entry: &Value<'_>| {
        let printing = printing_of(entry, parts)?;
        if known.contains(&printing.part) {
            let message = "a part has two `[[printing]]` tables";
            return entry.refuse(codes::TWO_PRINTINGS, message, "put both into one");
        }
        known.push(printing.part);
        Some(printing)
    };
    let read: Vec<Option<Printing>> = value.list()?.iter().map(&mut one).collect();
    read.into_iter().collect()
}

fn printing_of(entry: &Value<'_>, parts: &Parts) -> Option<Printing> {
    let table = TableReader::of(entry, "a way to print set by hand")?;
    let part = match table.optional("part") {
        Some(value) => named_part(&value, parts),
        None if parts.len() == 1 => Some(0),
        None => table.required("part", "part = \"cover\"").and(None),
    };
    let press = table.if_given("press", Value::text);
    let further = table.if_given("further_press", Value::text);
    let sheet = table.if_given("sheet", Value::size);
    let style = table.if_given("style", |value| value.choice(&STYLES));
    let up = table.if_given("up", |value| value.count(UP));
    let make_ready = table.if_given("make_ready_sheets", |value| value.count(MAKE_READY));
    let why = table.if_given("why", Value::text);
    table.finish();
    let narrow = |up: Given<u64>| Given {
        value: up.value as u32,
        place: up.place,
    };
    let printing = Printing {
        place: entry.place(),
        part: part?,
        press: press.ok()?,
        further_press: further.ok()?,
        sheet: sheet.ok()?,
        style: style.ok()?,
        up: up.ok()?.map(narrow),
        make_ready_sheets: make_ready.ok()?,
        why: why.ok()?.map(|why| why.value),
    };
    let presses = (&printing.press, &printing.further_press);
    let way = (&printing.sheet, &printing.style);
    let sheets = (&printing.up, &printing.make_ready_sheets);
    if (presses, way, sheets) == ((&None, &None), (&None, &None), (&None, &None)) {
        let message = "a `[[printing]]` table sets nothing";
        let hint = "set one or more of `press`, `further_press`, `sheet`, `style`, `up`, `make_ready_sheets`";
        return entry.refuse(codes::NOTHING_SET, message, hint);
    }
    Some(printing)
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
