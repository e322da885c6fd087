//! One offer as TOML.

use inkset_units::Money;
use jiff::ToSpan;
use jiff::civil::Date;
use rust_decimal::Decimal;
use toml::de::DeValue;

use super::draft::{Priced, together};
use super::figures::{self, Fault, Mark};
use super::{
    Discount, Includes, Item, Offer, OfferedLeeway, OfferedOption, OfferedPrice, Per, Tax,
};
use crate::read::{Limits, Optional, Refused, TableReader, Value, currency};
use crate::{Given, codes};

/// Longest validity and lead time that is believed, days.
const LONGEST_DAYS: f64 = 3_650.0;
/// Words for process inks in `inks`, with C M Y K.
pub(super) const INK_WORDS: [(&str, [bool; 4]); 5] = [
    ("process", [true; 4]),
    ("cyan", [true, false, false, false]),
    ("magenta", [false, true, false, false]),
    ("yellow", [false, false, true, false]),
    ("black", [false, false, false, true]),
];

pub(super) fn offer(root: &TableReader<'_>) -> Option<Offer> {
    let supplier = root.name("supplier", "supplier = \"Alder Lane Print\"");
    let number = root.if_given("number", Value::text);
    let job = root.name("job", "job = \"Flyer for the pumpkin weeks\"");
    let date = root
        .required("date", "date = 2026-11-20")
        .and_then(|value| day(&value));
    let valid_until = valid_until(root, date.as_ref());
    let currency = currency(root);
    let tax = tax(root);
    let includes = includes(root);
    let leeway = inner(root, "overs", leeway);
    let discount = inner(root, "discount", discount);
    let lead_days = root.if_given("lead_days", |v| v.count(days("6")));
    let options = options(root);
    Some(Offer {
        supplier: supplier?,
        number: number.ok()?.map(|n| n.value),
        job: job?,
        date: date?,
        valid_until: valid_until.ok()?,
        currency: currency?,
        tax: tax.ok()?,
        includes: includes.ok()?,
        leeway: leeway.ok()?,
        discount: discount.ok()?,
        lead_days: lead_days.ok()?.map(|d| d.value as u32),
        options: options?,
    })
}

const fn days(example: &'static str) -> Limits {
    Limits::new(0.0, LONGEST_DAYS, "days", example)
}

/// Digits as they are written, from a number or a text.
fn written<'v>(value: &'v Value<'_>, wanted: &str) -> Option<&'v str> {
    match value.raw() {
        DeValue::Integer(whole) if whole.radix() == 10 => Some(whole.as_str()),
        DeValue::Float(number) => Some(number.as_str()),
        DeValue::String(text) => Some(text.as_ref()),
        _ => value.wrong_type(wanted),
    }
}

fn told<T>(value: &Value<'_>, read: Result<T, Fault>) -> Option<T> {
    match read {
        Ok(read) => Some(read),
        Err(fault) => {
            let message = format!("{}: {}", value.subject(), fault.says);
            value.refuse(fault.code, message, fault.hint)
        }
    }
}

/// An amount.
pub(super) fn money(value: &Value<'_>) -> Option<Money> {
    let digits = written(value, "an amount such as `12.50`")?;
    told(value, figures::amount(digits, Mark::Point))
}

/// A percentage.
pub(super) fn percent(value: &Value<'_>) -> Option<Decimal> {
    let digits = written(value, "a percentage such as `5`")?;
    told(value, figures::percent(digits, Mark::Point))
}

/// A decimal number that is not negative.
pub(super) fn decimal(value: &Value<'_>) -> Option<Decimal> {
    let digits = written(value, "a number such as `1.5`")?;
    told(
        value,
        figures::amount(digits, Mark::Point).map(Money::amount),
    )
}

/// A calendar day.
pub(super) fn day(value: &Value<'_>) -> Option<Given<Date>> {
    let text = match value.raw() {
        DeValue::Datetime(date) => date.to_string(),
        DeValue::String(text) => text.to_string(),
        _ => return value.wrong_type("a date such as `2026-11-20`"),
    };
    told(value, figures::day(&text)).map(|day| value.given(day))
}

/// A number of copies.
pub(super) fn copies(value: &Value<'_>) -> Option<u64> {
    let digits = written(value, "a number of copies such as `5000`")?;
    told(value, figures::copies(digits))
}

/// Reads a table under a key that may be left out.
pub(super) fn inner<T>(
    table: &TableReader<'_>,
    key: &'static str,
    read: impl FnOnce(&TableReader<'_>) -> Option<T>,
) -> Optional<T> {
    table.if_given(key, |value| {
        let inner = TableReader::of(value, format!("`{key}`"))?;
        let read = read(&inner);
        inner.finish();
        read
    })
}

fn valid_until(root: &TableReader<'_>, date: Option<&Given<Date>>) -> Optional<Given<Date>> {
    let until = root.if_given("valid_until", day)?;
    let valid_days = root.optional("valid_days");
    let Some(value) = valid_days else {
        return match (until, date) {
            (Some(until), Some(date)) if until.value < date.value => {
                let message = format!(
                    "`valid_until` is before the day of the offer, {}",
                    date.value
                );
                let notice = root.log().error(codes::NOT_A_DATE, message).at(until.place);
                root.log().report(notice.hint("mend one of the two"));
                Err(Refused)
            }
            _ => Ok(until),
        };
    };
    if until.is_some() {
        let message = "both `valid_until` and `valid_days` are given";
        value.refuse::<()>(codes::UNCLEAR_PRICE, message, "keep one of the two");
        return Err(Refused);
    }
    let days = value.count(days("30")).ok_or(Refused)?;
    let last = date.and_then(|date| date.value.checked_add(days.value.cast_signed().days()).ok());
    Ok(last.map(|last| value.given(last)))
}

fn tax(root: &TableReader<'_>) -> Result<Tax, Refused> {
    let choices = [("excluded", false), ("included", true)];
    let word = root.if_given("tax", |v| v.choice(&choices))?;
    let rate = root.if_given("tax_percent", percent)?;
    match (word, rate) {
        (None, None) => Ok(Tax::Unsaid),
        (Some(Given { value: true, .. }), Some(percent)) => Ok(Tax::Included(percent)),
        (Some(Given { value: false, .. }), _) => Ok(Tax::Excluded),
        (Some(word), None) => {
            let message = "`tax` is included, and `tax_percent` does not say how much";
            let notice = root.log().error(codes::MISSING_KEY, message).at(word.place);
            root.log()
                .report(notice.hint("write for instance `tax_percent = 20`"));
            Err(Refused)
        }
        (None, Some(_)) => {
            let message =
                "`tax_percent` is given, and `tax` does not say whether the prices hold it";
            let notice = root.log().error(codes::MISSING_KEY, message);
            root.log()
                .report(notice.hint("write `tax = \"included\"` or `tax = \"excluded\"`"));
            Err(Refused)
        }
    }
}

fn includes(root: &TableReader<'_>) -> Result<Includes, Refused> {
    let read = inner(root, "includes", |table| {
        let flag = |key| table.if_given(key, Value::flag);
        let [proofs, carriage, packing] = ["proofs", "carriage", "packing"].map(flag);
        let said = |flag: Option<Given<bool>>| flag.map(|f| f.value);
        Some(Includes {
            proofs: said(proofs.ok()?),
            carriage: said(carriage.ok()?),
            packing: said(packing.ok()?),
        })
    });
    read.map(Option::unwrap_or_default)
}

fn leeway(table: &TableReader<'_>) -> Option<OfferedLeeway> {
    let share = |key: &'static str| {
        let value = table.required(key, &format!("{key} = 5"))?;
        percent(&value)
    };
    let (over, under) = (share("over_percent"), share("under_percent"));
    let rate = table.if_given("per_thousand", money);
    Some(OfferedLeeway {
        over_percent: over?,
        under_percent: under?,
        per_thousand: rate.ok()?,
    })
}

fn discount(table: &TableReader<'_>) -> Option<Discount> {
    let share = table
        .required("percent", "percent = 2")
        .and_then(|value| percent(&value));
    let within = table.if_given("days", |v| v.count(days("14")));
    Some(Discount {
        percent: share?,
        days: within.ok()?.map(|d| d.value as u32),
    })
}

fn options(root: &TableReader<'_>) -> Option<Vec<OfferedOption>> {
    let value = root.required("option", "[[option]]")?;
    let entries = value.filled_list()?;
    let read: Vec<Option<OfferedOption>> = entries.iter().map(option).collect();
    let options: Vec<OfferedOption> = read.into_iter().collect::<Option<_>>()?;
    for (at, one) in options.iter().enumerate() {
        if options[..at].iter().any(|other| other.inks() == one.inks()) {
            let message = format!("two options are for the ink set `{}`", one.name());
            let notice = root
                .log()
                .error(codes::DUPLICATE_NAME, message)
                .at(one.place);
            let hint = "keep one of them, or name the inks in which they differ";
            root.log().report(notice.hint(hint));
            return None;
        }
    }
    Some(options)
}

fn option(entry: &Value<'_>) -> Option<OfferedOption> {
    let table = TableReader::of(entry, "an option")?;
    let process = process(&table);
    let solids = table.if_given("solids", |value| {
        let names: Vec<_> = value.list()?.iter().map(Value::text).collect();
        names.into_iter().collect::<Option<Vec<_>>>()
    });
    if let (Ok(process), Ok(solids)) = (&process, &solids) {
        let solids = solids.iter().flatten().map(|s| s.value.as_str());
        let name = super::ink_set_name(process.unwrap_or_default(), solids);
        table.call(format!("option `{name}`"));
    }
    let price = price(&table);
    let run_on = table.if_given("run_on_per_thousand", money);
    let stock = table.if_given("stock", Value::text);
    let size = table.if_given("size", Value::size);
    let deviations = table.if_given("deviations", |value| {
        let said: Vec<_> = value.list()?.iter().map(Value::text).collect();
        said.into_iter().collect::<Option<Vec<_>>>()
    });
    let option = named(&table, process, solids).and_then(|(process, solids)| {
        Some(OfferedOption {
            process,
            solids,
            price: price?,
            run_on: run_on.ok()?,
            stock: stock.ok()?,
            size: size.ok()?,
            deviations: deviations
                .ok()?
                .unwrap_or_default()
                .into_iter()
                .map(|d| d.value)
                .collect(),
            place: Some(entry.place()),
        })
    });
    table.finish();
    option
}

type Named = ([bool; 4], Vec<Given<String>>);

/// The inks of an option: at least one.
fn named(
    table: &TableReader<'_>,
    process: Optional<[bool; 4]>,
    solids: Optional<Vec<Given<String>>>,
) -> Option<Named> {
    let named = (
        process.ok()?.unwrap_or_default(),
        solids.ok()?.unwrap_or_default(),
    );
    if named.0 == [false; 4] && named.1.is_empty() {
        let notice = table
            .log()
            .error(codes::MISSING_KEY, "an option names no ink");
        let hint = "write for instance `inks = [\"process\"]`, and `solids = [\"Pumpkin orange\"]` for colours of the job that are printed as solids, or extended inks";
        table.log().report(notice.at(table.place()).hint(hint));
        return None;
    }
    Some(named)
}

fn process(table: &TableReader<'_>) -> Optional<[bool; 4]> {
    table.if_given("inks", |value| {
        let words: Vec<_> = value.list()?.iter().map(|w| w.choice(&INK_WORDS)).collect();
        let words = words.into_iter().collect::<Option<Vec<_>>>()?;
        let mut process = [false; 4];
        for word in words {
            for (ink, on) in process.iter_mut().zip(word.value) {
                *ink |= on;
            }
        }
        Some(process)
    })
}

fn price(table: &TableReader<'_>) -> Option<OfferedPrice> {
    let prices = table.optional("prices");
    let schedule = table.optional("schedule");
    match (prices, schedule) {
        (Some(prices), None) => breaks(&prices),
        (None, Some(schedule)) => items(&schedule),
        (Some(_), Some(schedule)) => schedule.refuse(
            codes::UNCLEAR_PRICE,
            format!("{} has both `prices` and `schedule`", table.subject()),
            "keep one of the two",
        ),
        (None, None) => {
            let message = format!("{} has no price", table.subject());
            let notice = table.log().error(codes::UNCLEAR_PRICE, message);
            let hint = "write for instance `prices = [ { copies = 5000, total = 246.00 } ]`";
            table.log().report(notice.at(table.place()).hint(hint));
            None
        }
    }
}

fn breaks(list: &Value<'_>) -> Option<OfferedPrice> {
    let entries = list.filled_list()?;
    let read: Vec<Option<Priced>> = entries.iter().map(priced).collect();
    let mut told_all = Vec::new();
    for (entry, priced) in entries
        .iter()
        .zip(read.into_iter().collect::<Option<Vec<_>>>()?)
    {
        told_all.push(refused(entry, priced.told()));
    }
    match together(told_all.into_iter().collect::<Option<_>>()?) {
        Ok(price) => Some(price),
        Err((at, fault)) => refused(&entries[at], Err(fault)),
    }
}

/// Tells what is wrong with a whole entry.
fn refused<T>(entry: &Value<'_>, read: Result<T, Fault>) -> Option<T> {
    match read {
        Ok(read) => Some(read),
        Err(fault) => {
            let message = format!("{} {}", entry.subject(), fault.says);
            entry.refuse(fault.code, message, fault.hint)
        }
    }
}

fn priced(entry: &Value<'_>) -> Option<Priced> {
    let table = TableReader::of(entry, "a price")?;
    let quantity = table.if_given("copies", copies);
    let amount = |key| table.if_given(key, money);
    let total = amount("total");
    let per_thousand = amount("per_thousand");
    let each = amount("each");
    let set_up = amount("set_up");
    table.finish();
    Some(Priced {
        copies: quantity.ok()?,
        total: total.ok()?,
        per_thousand: per_thousand.ok()?,
        each: each.ok()?,
        set_up: set_up.ok()?,
        place: Some(entry.place()),
    })
}

fn items(list: &Value<'_>) -> Option<OfferedPrice> {
    let entries = list.filled_list()?;
    let items: Vec<Option<Item>> = entries.iter().map(item).collect();
    items
        .into_iter()
        .collect::<Option<_>>()
        .map(OfferedPrice::Schedule)
}

fn item(entry: &Value<'_>) -> Option<Item> {
    let table = TableReader::of(entry, "an item")?;
    let name = table.name("item", "item = \"plates\"");
    let count = table.if_given("count", decimal);
    let each = table.if_given("each", money);
    let per_thousand = table.if_given("per_thousand", money);
    table.finish();
    let count = count.ok()?.unwrap_or(Decimal::ONE);
    let (price, per) = match (each.ok()?, per_thousand.ok()?) {
        (Some(each), None) => (each, Per::Unit),
        (None, Some(rate)) => (rate, Per::Thousand),
        _ => {
            let message = "an item needs either `each` or `per_thousand`";
            let hint = "`each` is paid for every unit of `count`, `per_thousand` for every 1,000 copies too";
            return entry.refuse(codes::UNCLEAR_PRICE, message, hint);
        }
    };
    Some(Item {
        name: name?.value,
        count,
        price,
        per,
    })
}
