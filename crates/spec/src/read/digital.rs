//! Reads a digital press of a rate card.

use inkset_units::Money;

use super::card::{MOST_SPOILAGE, price};
use super::colour::effects;
use super::press::{MAKE_READY_SHEETS, MINUTES, USUAL_EDGE, edge, papers, sheets, speeds};
use super::range::Pick;
use super::{Limits, TableReader, Value, known_names};
use crate::{Click, Digital, Given, InkRates, OfferedInk, Press, codes};

const INKS: Limits = Limits::new(1.0, 20.0, "inks", "4");
/// The word for any solid without an effect.
const ANY_SOLID: &str = "solid";

pub(crate) fn digital_press(table: &TableReader<'_>) -> Option<Press> {
    let name = table.name("name", "name = \"Digital, SRA3\"");
    if let Some(name) = &name {
        table.call(format!("digital press `{}`", name.value));
    }
    let sheets = sheets(table);
    let papers = papers(table);
    let [gripper, tail, side] = ["gripper", "tail", "side"].map(|key| edge(table, key, USUAL_EDGE));
    let hourly_rate = price(table, "hourly_rate");
    let make_ready_minutes = table.number("make_ready_minutes", MINUTES);
    let make_ready_sheets = table.count("make_ready_sheets", MAKE_READY_SHEETS);
    let speeds = speeds(table);
    let digital = digital(table);
    let ((largest_sheet, smallest_sheet), (lightest, heaviest)) = (sheets?, papers?);
    let digital = digital?;
    Some(Press {
        name: name?,
        units: Given::assumed(digital.clicks.last()?.inks.value),
        perfecting: Given::assumed(false),
        coater: Given::assumed(false),
        sheeter: Given::assumed(false),
        largest_sheet,
        smallest_sheet,
        lightest,
        heaviest,
        gripper: gripper?,
        tail: tail?,
        side: side?,
        hourly_rate: hourly_rate?,
        make_ready_minutes: make_ready_minutes?,
        make_ready_minutes_per_ink: Given::assumed(0.0),
        make_ready_sheets: make_ready_sheets?,
        make_ready_sheets_per_ink: Given::assumed(0),
        wash_up_minutes: Given::assumed(0.0),
        wash_up_minutes_effect: Given::assumed(0.0),
        plate_change_minutes: Given::assumed(0.0),
        plate_change_sheets: Given::assumed(0),
        paper_change_minutes: None,
        paper_change_sheets: None,
        plate_price: Given::assumed(Money::ZERO),
        speeds: speeds?,
        digital: Some(digital),
    })
}

fn digital(table: &TableReader<'_>) -> Option<Digital> {
    let spoilage = table.required("run_spoilage_percent", "run_spoilage_percent = 1");
    let run_spoilage = spoilage.and_then(|value| value.percent(MOST_SPOILAGE));
    let clicks = clicks(table);
    let click_sheet = table.if_given("click_sheet", Value::size);
    let solids = table.if_given("solids", |value| {
        let read: Vec<_> = value.list()?.iter().map(offered).collect();
        read.into_iter().collect::<Option<Vec<_>>>()
    });
    Some(Digital {
        clicks: clicks?,
        click_sheet: click_sheet.ok()?,
        solids: solids.ok()?.unwrap_or_default(),
        run_spoilage: run_spoilage?,
    })
}

fn clicks(table: &TableReader<'_>) -> Option<Vec<Click>> {
    let example = "clicks = [ { inks = 1, price = 0.012 }, { inks = 4, price = 0.045 } ]";
    let value = table.required("clicks", example)?;
    let listed = value.filled_list()?;
    let owner = format!("a step of {}", value.subject());
    let read: Vec<Option<Click>> = listed.iter().map(|entry| click(entry, &owner)).collect();
    let clicks: Vec<Click> = read.into_iter().collect::<Option<_>>()?;
    for (at, pair) in clicks.windows(2).enumerate() {
        let [one, other] = [pair[0], pair[1]];
        // One end of a range may pass the typical price of the next step; the price of that step then counts.
        let falls = one.price.value > other.price.value && table.log().pick() == Pick::Typical;
        if one.inks.value >= other.inks.value || falls {
            let message = format!(
                "steps of {} must ascend: {} inks at {} come after {} at {}",
                value.subject(),
                other.inks.value,
                other.price.value.amount().normalize(),
                one.inks.value,
                one.price.value.amount().normalize()
            );
            let hint = "order the steps by `inks`; more inks cost no less";
            return listed[at + 1].refuse(codes::STEPS_NOT_ASCENDING, message, hint);
        }
    }
    Some(clicks)
}

fn click(entry: &Value<'_>, owner: &str) -> Option<Click> {
    let table = TableReader::of(entry, owner)?;
    let inks = table.count("inks", INKS);
    let price = price(&table, "price");
    table.finish();
    Some(Click {
        inks: inks?.map(|inks| inks as u32),
        price: price?,
    })
}

fn offered(value: &Value<'_>) -> Option<Given<OfferedInk>> {
    let name = value.text()?;
    Some(name.map(|name| {
        let effect = effects().into_iter().find(|(word, _)| *word == name);
        match effect {
            Some((_, effect)) => OfferedInk::Effect(effect),
            None if name == ANY_SOLID => OfferedInk::AnySolid,
            None => OfferedInk::Named(name),
        }
    }))
}

/// A named ink that a digital press offers has to be on the card.
pub(crate) fn report_unknown_inks(root: &TableReader<'_>, presses: &[Press], inks: &InkRates) {
    for press in presses {
        let offered = press.digital.iter().flat_map(|digital| &digital.solids);
        for ink in offered {
            let OfferedInk::Named(name) = &ink.value else {
                continue;
            };
            let is_known = |(known, _): &(Given<String>, _)| known.value == *name;
            if inks.named.iter().any(is_known) {
                continue;
            }
            let message = format!(
                "digital press `{}` offers ink `{name}`, which is not under `[[ink.named]]`",
                press.name.value
            );
            let named = inks.named.iter().map(|(name, _)| name.value.as_str());
            let words = effects().into_iter().map(|(word, _)| word);
            let words = words.chain([ANY_SOLID]).chain(named);
            let hint = known_names(name, words);
            let notice = root.log().error(codes::UNKNOWN_INK, message);
            root.log().report(notice.at(ink.place).hint(hint));
        }
    }
}
