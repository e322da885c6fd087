//! Reads a press of a rate card that prints from plates, and what all presses share.

use inkset_units::{Gsm, Millimetres, Size};

use super::card::{price, steps};
use super::{Limits, TableReader, Value};
use crate::{Given, Press, Speed, codes};

const UNITS: Limits = Limits::new(1.0, 20.0, "units", "4");
pub(super) const MINUTES: Limits = Limits::new(0.0, 1_000.0, "minutes", "12");
pub(super) const MAKE_READY_SHEETS: Limits = Limits::new(0.0, 10_000.0, "sheets", "80");
const SPEED: Limits = Limits::new(100.0, 50_000.0, "sheets an hour", "9000");
const GSM: Limits = Limits::new(10.0, 2_000.0, "g/m²", "150");
/// Widest unprintable edge, mm.
const WIDEST_EDGE: f64 = 100.0;
/// What is used unless given: unprintable edges in mm, papers in g/m². Common practice, no source.
const USUAL_GRIPPER: f64 = 12.0;
pub(super) const USUAL_EDGE: f64 = 5.0;
const USUAL_LIGHTEST: f64 = 60.0;
const USUAL_HEAVIEST: f64 = 350.0;

pub(crate) fn press(table: &TableReader<'_>) -> Option<Press> {
    let name = table.name("name", "name = \"Four-unit B2\"");
    if let Some(name) = &name {
        table.call(format!("press `{}`", name.value));
    }
    let units = table.count("units", UNITS).map(|u| u.map(|n| n as u32));
    let perfecting = fitting(table, "perfecting");
    let coater = fitting(table, "coater");
    let sheeter = table.if_given("sheeter", Value::flag);
    let sheets = sheets(table);
    let papers = papers(table);
    let gripper = edge(table, "gripper", USUAL_GRIPPER);
    let tail = edge(table, "tail", USUAL_EDGE);
    let side = edge(table, "side", USUAL_EDGE);
    let hourly_rate = price(table, "hourly_rate");
    let make_ready_minutes = table.number("make_ready_minutes", MINUTES);
    let make_ready_minutes_per_ink = table.number("make_ready_minutes_per_ink", MINUTES);
    let make_ready_sheets = table.count("make_ready_sheets", MAKE_READY_SHEETS);
    let make_ready_sheets_per_ink = table.count("make_ready_sheets_per_ink", MAKE_READY_SHEETS);
    let wash_up_minutes = table.number("wash_up_minutes", MINUTES);
    let wash_up_minutes_effect = wash_up_effect(table, wash_up_minutes);
    let change = plate_change(
        table,
        (make_ready_minutes_per_ink, make_ready_sheets_per_ink),
    );
    let paper_change_minutes = table.if_given("paper_change_minutes", |v| v.number(MINUTES));
    let paper_change_sheets = table.if_given("paper_change_sheets", |v| v.count(MAKE_READY_SHEETS));
    let plate_price = price(table, "plate_price");
    let speeds = speeds(table);
    let (largest_sheet, smallest_sheet) = sheets?;
    let (lightest, heaviest) = papers?;
    let (plate_change_minutes, plate_change_sheets) = change?;
    Some(Press {
        name: name?,
        units: units?,
        perfecting: perfecting?,
        coater: coater?,
        sheeter: sheeter.ok()?.unwrap_or(Given::assumed(false)),
        largest_sheet,
        smallest_sheet,
        lightest,
        heaviest,
        gripper: gripper?,
        tail: tail?,
        side: side?,
        hourly_rate: hourly_rate?,
        make_ready_minutes: make_ready_minutes?,
        make_ready_minutes_per_ink: make_ready_minutes_per_ink?,
        make_ready_sheets: make_ready_sheets?,
        make_ready_sheets_per_ink: make_ready_sheets_per_ink?,
        wash_up_minutes: wash_up_minutes?,
        wash_up_minutes_effect: wash_up_minutes_effect?,
        plate_change_minutes,
        plate_change_sheets,
        paper_change_minutes: paper_change_minutes.ok()?,
        paper_change_sheets: paper_change_sheets.ok()?,
        plate_price: plate_price?,
        speeds: speeds?,
        digital: None,
    })
}

fn fitting(table: &TableReader<'_>, key: &'static str) -> Option<Given<bool>> {
    let sentence = format!("`{key}` not given; taking `false`");
    let assumption = (codes::ASSUMED_PRESS_FITTING, sentence);
    table.or_assume(key, Value::flag, false, assumption)
}

/// Largest and smallest sheet.
pub(super) fn sheets(table: &TableReader<'_>) -> Option<(Given<Size>, Given<Size>)> {
    let size = |key: &'static str, example: &str| -> Option<(Given<Size>, Value<'_>)> {
        let value = table.required(key, example)?;
        Some((value.size()?, value))
    };
    let largest = size("largest_sheet", "largest_sheet = \"520x740 mm\"");
    let smallest = size("smallest_sheet", "smallest_sheet = \"210x280 mm\"");
    let ((largest, value), (smallest, _)) = (largest?, smallest?);
    if smallest.fits_on(largest.value) {
        return Some((largest, smallest));
    }
    let message = format!(
        "{} is {largest}, less than the smallest, {smallest}",
        value.subject()
    );
    value.refuse(
        codes::LARGEST_BELOW_SMALLEST,
        message,
        "exchange the two sizes",
    )
}

/// Lightest and heaviest paper.
pub(super) fn papers(table: &TableReader<'_>) -> Option<(Given<Gsm>, Given<Gsm>)> {
    let lightest = paper(table, "lightest_gsm", USUAL_LIGHTEST);
    let heaviest = paper(table, "heaviest_gsm", USUAL_HEAVIEST);
    let (lightest, heaviest) = (lightest?, heaviest?);
    if lightest.value <= heaviest.value {
        return Some((lightest, heaviest));
    }
    let message = format!(
        "heaviest paper of {} is {} g/m², less than the lightest, {} g/m²",
        table.subject(),
        heaviest.value.value(),
        lightest.value.value()
    );
    let notice = table.log().error(codes::LARGEST_BELOW_SMALLEST, message);
    let place = heaviest.place.or(lightest.place);
    table
        .log()
        .report(notice.at(place).hint("exchange the two weights"));
    None
}

fn paper(table: &TableReader<'_>, key: &'static str, usual: f64) -> Option<Given<Gsm>> {
    let sentence = format!("`{key}` not given; using {usual} g/m² (common practice, no source)");
    let read = |value: &Value<'_>| Gsm::new(*value.number(GSM)?).map(|gsm| value.given(gsm));
    let assumption = (codes::ASSUMED_PRESS_RANGE, sentence);
    table.or_assume(key, read, Gsm::new(usual)?, assumption)
}

pub(super) fn edge(
    table: &TableReader<'_>,
    key: &'static str,
    usual: f64,
) -> Option<Given<Millimetres>> {
    let sentence = format!("`{key}` not given; using {usual} mm (common practice, no source)");
    table.or_assume(
        key,
        |v| v.length(WIDEST_EDGE),
        Millimetres::new(usual)?,
        (codes::ASSUMED_EDGE, sentence),
    )
}

/// After a metallic, fluorescent or white ink a wash-up takes twice as long, unless given. Common practice, no source.
fn wash_up_effect(table: &TableReader<'_>, usual: Option<Given<f64>>) -> Option<Given<f64>> {
    let double = 2.0 * usual.map_or(0.0, |u| u.value);
    let sentence = format!(
        "wash-up after an effect ink not given; using {double} minutes, twice the usual (common practice, no source)"
    );
    table.or_assume(
        "wash_up_minutes_effect",
        |v| v.number(MINUTES),
        double,
        (codes::ASSUMED_WASH_UP, sentence),
    )
}

/// Minutes for each plate and sheets for each stop; unless given as for a further ink in make-ready, which is told where a
/// job changes plates.
fn plate_change(
    table: &TableReader<'_>,
    (minutes, sheets): (Option<Given<f64>>, Option<Given<u64>>),
) -> Option<(Given<f64>, Given<u64>)> {
    let own_minutes = table.if_given("plate_change_minutes", |v| v.number(MINUTES));
    let own_sheets = table.if_given("plate_change_sheets", |v| v.count(MAKE_READY_SHEETS));
    let usual = (
        minutes.map_or(0.0, |m| m.value),
        sheets.map_or(0, |s| s.value),
    );
    Some((
        own_minutes.ok()?.unwrap_or(Given::assumed(usual.0)),
        own_sheets.ok()?.unwrap_or(Given::assumed(usual.1)),
    ))
}

pub(super) fn speeds(table: &TableReader<'_>) -> Option<Vec<Speed>> {
    let example =
        "speeds = [ { up_to = 5000, sheets_per_hour = 8000 }, { sheets_per_hour = 10000 } ]";
    let steps = steps(table, ("speeds", example), |step| {
        step.number("sheets_per_hour", SPEED)
    })?;
    let speed = |(up_to, sheets_per_hour)| Speed {
        up_to,
        sheets_per_hour,
    };
    Some(steps.into_iter().map(speed).collect())
}
