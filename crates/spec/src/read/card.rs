//! Reads a rate card.

use inkset_units::{Money, Percent};
use toml::de::DeValue;

use super::job::{currency, report_duplicate_names};
use super::{
    Limits, TableReader, Value, delivery, digital, ink, operation, press, shown, stock, supplier,
    variation,
};
use crate::{Given, Press, Profit, RateCard, RunSpoilage, SpoilageStep, codes};

/// Most spoilage that is believed, percent.
pub(crate) const MOST_SPOILAGE: f64 = 90.0;
const SHEETS: Limits = Limits::new(1.0, 100_000_000.0, "sheets", "5000");

pub(crate) fn rate_card(root: &TableReader<'_>) -> Option<RateCard> {
    let title = root.name("title", "title = \"Our presses, autumn\"");
    let example = root
        .optional("example")
        .map_or(Some(false), |v| v.flag().map(|f| f.value));
    let currency = currency(root);
    let date = date(root);
    let presses = presses(root);
    let stocks = entries(root, ("stock", "stocks"), stock::stock);
    let inks = ink::inks(root);
    let run_spoilage = run_spoilage(root);
    let variation = variation::variation(root);
    let finishing = operation::finishing(root);
    let sheeter = operation::sheeter(root);
    let proof = delivery::proof_rates(root);
    let carriage = delivery::carriage(root);
    let supplier = supplier::supplier(root);
    let profit = profit(root);
    let round_total_to = round_total_to(root);
    let (presses, stocks) = (presses?, stocks?);
    report_duplicate_names(root, "presses", presses.iter().map(|p| p.name.clone()));
    report_duplicate_names(root, "stocks", stocks.iter().map(|s| s.name.clone()));
    stock::report_unprintable(root, &stocks, &presses);
    if let Some(inks) = &inks {
        digital::report_unknown_inks(root, &presses, inks);
    }
    Some(RateCard {
        title: title?.value,
        example: example?,
        currency: currency?,
        date: date?,
        presses,
        stocks,
        inks: inks?,
        run_spoilage: run_spoilage?,
        variation: variation.ok()?,
        finishing: finishing?,
        sheeter: sheeter.ok()?,
        proof: proof?,
        carriage: carriage?,
        supplier: supplier?,
        profit: profit?,
        round_total_to: round_total_to?,
    })
}

/// Presses with plates, then digital ones; at least one of both.
fn presses(root: &TableReader<'_>) -> Option<Vec<Press>> {
    let plates = if root.has("digital_press") && !root.has("press") {
        root.optional("press");
        Some(Vec::new())
    } else {
        entries(root, ("press", "presses"), press::press)
    };
    let digital = if root.has("digital_press") {
        let digital = ("digital_press", "digital presses");
        entries(root, digital, digital::digital_press)
    } else {
        root.optional("digital_press");
        Some(Vec::new())
    };
    let (mut presses, digital) = (plates?, digital?);
    presses.extend(digital);
    Some(presses)
}

/// Reads each table of a list that must have one.
fn entries<T>(
    root: &TableReader<'_>,
    (key, _plural): (&'static str, &str),
    read: impl Fn(&TableReader<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    let listed = root.required(key, &format!("[[{key}]]"))?.filled_list()?;
    let read: Vec<Option<T>> = listed
        .iter()
        .map(|entry| named_table(entry, key, &read))
        .collect();
    read.into_iter().collect()
}

fn named_table<T>(
    entry: &Value<'_>,
    kind: &str,
    read: impl Fn(&TableReader<'_>) -> Option<T>,
) -> Option<T> {
    let table = TableReader::of(entry, format!("a {}", kind.replace('_', " ")))?;
    let value = read(&table);
    table.finish();
    value
}

fn date(root: &TableReader<'_>) -> Option<Given<String>> {
    let value = root.required("date", "date = 2026-11-01")?;
    let written = match value.raw() {
        DeValue::Datetime(date) => date.to_string(),
        DeValue::String(text) => text.to_string(),
        _ => return value.wrong_type("a date such as `2026-11-01`"),
    };
    let is_date = |d: &toml::value::Datetime| d.date.is_some() && d.time.is_none();
    if written.parse().is_ok_and(|d| is_date(&d)) {
        return Some(value.given(written));
    }
    let message = format!(
        "{}: `{}` is not a calendar date",
        value.subject(),
        shown(&written)
    );
    value.refuse(
        codes::NOT_A_DATE,
        message,
        "write year, month, day, for instance `2026-11-01`",
    )
}

/// Steps by run length: each but the last with `up_to`, ascending.
pub(crate) fn steps<T>(
    table: &TableReader<'_>,
    (key, example): (&'static str, &str),
    read: impl Fn(&TableReader<'_>) -> Option<Given<T>>,
) -> Option<Vec<(Option<u64>, Given<T>)>> {
    let value = table.required(key, example)?;
    let listed = value.filled_list()?;
    let owner = format!("a step of {}", value.subject());
    let read: Vec<_> = listed
        .iter()
        .map(|entry| step(entry, &owner, &read))
        .collect();
    let steps: Vec<_> = read.into_iter().collect::<Option<_>>()?;
    let ends: Vec<Option<Given<u64>>> = steps.iter().map(|(end, _)| *end).collect();
    steps_in_order(&value.subject(), &listed, &ends)?;
    Some(
        steps
            .into_iter()
            .map(|(end, value)| (end.map(|e| e.value), value))
            .collect(),
    )
}

type Step<T> = (Option<Given<u64>>, Given<T>);

fn step<T>(
    entry: &Value<'_>,
    owner: &str,
    read: impl Fn(&TableReader<'_>) -> Option<Given<T>>,
) -> Option<Step<T>> {
    let table = TableReader::of(entry, owner)?;
    let up_to = table.if_given("up_to", |v| v.count(SHEETS));
    let value = read(&table);
    table.finish();
    Some((up_to.ok()?, value?))
}

fn steps_in_order(subject: &str, listed: &[Value<'_>], ends: &[Option<Given<u64>>]) -> Option<()> {
    let (last, others) = ends.split_last()?;
    if let Some(end) = last {
        let message = format!(
            "{} ends at {} sheets; longer runs have no value",
            subject, end.value
        );
        return listed[ends.len() - 1].refuse(
            codes::OPEN_STEP,
            message,
            "leave `up_to` out of the last step",
        );
    }
    if let Some(open) = others.iter().position(Option::is_none) {
        let message = format!("a step of {subject} has no `up_to` but is not the last");
        return listed[open].refuse(
            codes::OPEN_STEP,
            message,
            "only the last step goes without `up_to`",
        );
    }
    let ends: Vec<u64> = others.iter().flatten().map(|e| e.value).collect();
    if let Some(at) = ends.windows(2).position(|w| w[0] >= w[1]) {
        let message = format!(
            "steps of {} must ascend: {} sheets come after {}",
            subject,
            ends[at + 1],
            ends[at]
        );
        return listed[at + 1].refuse(
            codes::STEPS_NOT_ASCENDING,
            message,
            "order the steps by `up_to`",
        );
    }
    Some(())
}

fn run_spoilage(root: &TableReader<'_>) -> Option<RunSpoilage> {
    let example = "run_spoilage = [ { up_to = 5000, percent = 3.0 }, { percent = 2.0 } ]";
    let steps = steps(root, ("run_spoilage", example), |table| {
        table
            .required("percent", "percent = 3.0")?
            .percent(MOST_SPOILAGE)
    })?;
    let step = |(up_to, percent)| SpoilageStep { up_to, percent };
    Some(RunSpoilage {
        steps: steps.into_iter().map(step).collect(),
    })
}

/// An amount that must be written.
pub(crate) fn price(table: &TableReader<'_>, key: &'static str) -> Option<Given<Money>> {
    table.required(key, &format!("{key} = 12.50"))?.money()
}

fn profit(root: &TableReader<'_>) -> Option<Given<Profit>> {
    let none = Profit::MarkUp(Percent::ZERO);
    let Some(value) = root.optional("profit") else {
        let sentence = "no profit given; prices are costs, with a mark-up of 0 %".to_owned();
        return Some(root.assume(none, (codes::ASSUMED_PROFIT, sentence)));
    };
    let table = TableReader::of(&value, "`profit`")?;
    let margin = table.optional("margin_percent");
    let mark_up = table.optional("mark_up_percent");
    table.finish();
    match (margin, mark_up) {
        (Some(_), Some(second)) => {
            let message = "margin and mark-up are both given";
            second.refuse(
                codes::SEVERAL_PROFITS,
                message,
                "a margin is a share of the price, a mark-up of the cost; keep one",
            )
        }
        (Some(margin), None) => margin_of(&margin),
        (None, Some(mark_up)) => {
            let percent = mark_up.percent(1_000.0)?;
            Some(mark_up.given(Profit::MarkUp(percent.value)))
        }
        (None, None) => value.refuse(
            codes::MISSING_KEY,
            "`profit` is empty",
            "write `margin_percent = 15` or `mark_up_percent = 18`",
        ),
    }
}

fn margin_of(value: &Value<'_>) -> Option<Given<Profit>> {
    let percent = value.plain_number()?;
    if percent >= 100.0 {
        let message = format!(
            "{} is {percent} %, must be less than 100 %",
            value.subject()
        );
        return value.refuse(
            codes::MARGIN_OVER_HUNDRED,
            message,
            "a margin is a share of the price; `mark_up_percent` is a share of the cost",
        );
    }
    let percent = value.percent(99.9)?;
    Some(value.given(Profit::Margin(percent.value)))
}

fn round_total_to(root: &TableReader<'_>) -> Option<Given<Money>> {
    let sentence = "no rounding of the total given; it is not rounded".to_owned();
    root.or_assume(
        "round_total_to",
        Value::money,
        Money::ZERO,
        (codes::ASSUMED_ROUNDING, sentence),
    )
}
