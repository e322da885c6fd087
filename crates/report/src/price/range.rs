//! How low and how high prices may come out, and which range moves them most.

use inkset_costing::{PriceRange, Swing};
use inkset_spec::RangedRate;
use inkset_units::Money;
use schemars::JsonSchema;
use serde::Serialize;

use super::PriceReport;
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{difference_text, grouped};

/// Ranges shown with the prices; `--sensitivity` shows all.
const RANGES_SHOWN: usize = 6;

/// What the ranges of a rate card do to the prices.
pub struct RangesReport<'a> {
    /// The ranges.
    pub rates: &'a [RangedRate],
    /// One for each option and quantity.
    pub prices: Vec<Vec<PriceRange>>,
}

/// Ranges of the options shown, and the widest swings of the recommended ones.
pub(super) fn ranges(document: &mut Document, report: &PriceReport<'_>) {
    let Some(ranges) = &report.ranges else {
        return;
    };
    document.heading("How low and how high");
    document.table(price_table(report, ranges));
    document.text(method(ranges));
    let best: Vec<(usize, usize)> = report.best.iter().copied().zip(0..).collect();
    let order = widest(ranges, &best);
    if order.is_empty() {
        document.text("None of the ranges changes the price of a recommended option.");
        return;
    }
    document.heading("What moves the price most");
    let shown = &order[..order.len().min(RANGES_SHOWN)];
    document.table(swing_table(report, (ranges, shown), &best));
    let hidden = order.len() - shown.len();
    let more = match hidden {
        0 => String::new(),
        hidden => format!(" {hidden} more with `--sensitivity`."),
    };
    document.text(format!(
        "What the total changes by, in {}, when one rate alone is at its low end (first line) or its high end (second line); in the recommended option of each quantity.{more}",
        report.currency()
    ));
}

fn price_table(report: &PriceReport<'_>, ranges: &RangesReport<'_>) -> Table {
    let currency = report.currency();
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::figures("Copies"),
        Column::figures("Lowest"),
        Column::figures("Likely from"),
        Column::figures("Typical"),
        Column::figures("Likely to"),
        Column::figures("Highest"),
    ]);
    for (number, (option, _)) in report.shown().enumerate() {
        for (at, quantity) in report.quantities.iter().enumerate() {
            let range = &ranges.prices[option][at];
            let first = match at {
                0 => Cell::Count(number as u64 + 1),
                _ => Cell::Empty,
            };
            let mut cells = vec![first, Cell::Count(*quantity)];
            let figures = [
                range.lowest,
                range.likely_low,
                range.typical,
                range.likely_high,
                range.highest,
            ];
            cells.extend(figures.map(|figure| Cell::Money(figure, currency)));
            table.row(cells);
        }
    }
    table
}

fn method(ranges: &RangesReport<'_>) -> String {
    let rates = match ranges.rates.len() {
        1 => "1 rate is a range".to_owned(),
        count => format!("{count} rates are ranges"),
    };
    format!(
        "{rates}. Lowest and highest: all at their cheap or all at their dear ends. Likely: the swings of the single ranges added by their squares, right where they are independent of each other."
    )
}

/// Ranges by the widest swing that they have in any of these options and quantities.
fn widest(ranges: &RangesReport<'_>, of: &[(usize, usize)]) -> Vec<usize> {
    let width = |rate: usize| {
        let swings = of.iter().filter_map(|at| swing(ranges, *at, rate));
        swings.map(Swing::width).max()
    };
    let mut order: Vec<(Money, usize)> = (0..ranges.rates.len())
        .filter_map(|rate| Some((width(rate)?, rate)))
        .collect();
    order.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    order.into_iter().map(|(_, rate)| rate).collect()
}

fn swing<'r>(
    ranges: &'r RangesReport<'_>,
    (option, at): (usize, usize),
    rate: usize,
) -> Option<&'r Swing> {
    let swings = &ranges.prices[option][at].swings;
    swings.iter().find(|swing| swing.rate == rate)
}

fn swing_table(
    report: &PriceReport<'_>,
    (ranges, rates): (&RangesReport<'_>, &[usize]),
    columns: &[(usize, usize)],
) -> Table {
    let mut titles = vec![Column::words("Rate"), Column::figures("Low, high")];
    titles.extend(columns.iter().map(|(_, at)| {
        let copies = grouped(&report.quantities[*at].to_string());
        Column::figures(format!("{copies} copies"))
    }));
    let mut table = Table::new(titles);
    for &rate in rates {
        let ranged = &ranges.rates[rate];
        let [low, _, high] = &ranged.values;
        let mut cells = vec![
            Cell::text(format!("{} (line {})", ranged.name, ranged.place.line)),
            Cell::Stack(vec![Cell::text(low), Cell::text(high)]),
        ];
        cells.extend(
            columns
                .iter()
                .map(|at| swing_cell(report, swing(ranges, *at, rate))),
        );
        table.row(cells);
    }
    table
}

/// At the low end, and below it at the high end.
fn swing_cell(report: &PriceReport<'_>, swing: Option<&Swing>) -> Cell {
    let Some(swing) = swing else {
        return Cell::text("no change");
    };
    let money = |amount| Cell::text(difference_text(amount, report.currency()));
    Cell::Stack(vec![money(swing.at_low), money(swing.at_high)])
}

/// Every swing of every option that is shown.
pub fn sensitivity_document(report: &PriceReport<'_>) -> Document {
    let mut document = Document::default();
    let Some(ranges) = &report.ranges else {
        return document;
    };
    document.heading("How low and how high");
    let shown = report.shown().enumerate();
    document.list(
        shown
            .map(|(n, (_, option))| format!("{}: {}", n + 1, option.name()))
            .collect(),
    );
    document.table(price_table(report, ranges));
    document.text(method(ranges));
    for (option, priced) in report.shown() {
        let columns: Vec<(usize, usize)> = (0..report.quantities.len())
            .map(|at| (option, at))
            .collect();
        document.heading(priced.name());
        let order = widest(ranges, &columns);
        if order.is_empty() {
            document.text("None of the ranges changes the price.");
        }
        for columns in columns.chunks(super::QUANTITIES_A_TABLE) {
            if !order.is_empty() {
                document.table(swing_table(report, (ranges, &order), columns));
            }
        }
    }
    document.text(format!(
        "What the total changes by, in {}, when one rate alone is at its low end (first line) or its high end (second line); lines of {}.",
        report.currency(),
        report.files[1]
    ));
    document
}

/// One line for each option, quantity and range.
pub fn sensitivity_csv(report: &PriceReport<'_>) -> String {
    let header = [
        "option", "quantity", "currency", "rate", "place", "low", "typical", "high", "at_low",
        "at_high",
    ];
    let currency = report.currency();
    let mut rows = Vec::new();
    if let Some(ranges) = &report.ranges {
        for (option, prices) in report.options.iter().zip(&ranges.prices) {
            for (quantity, range) in report.quantities.iter().zip(prices) {
                for swing in &range.swings {
                    let rate = &ranges.rates[swing.rate];
                    let mut row = vec![
                        option.set.name.clone(),
                        quantity.to_string(),
                        currency.code().to_owned(),
                        rate.name.clone(),
                        report.place_text(rate.place),
                    ];
                    row.extend(rate.values.iter().cloned());
                    row.extend([swing.at_low, swing.at_high].map(|m| m.to_text(currency)));
                    rows.push(row);
                }
            }
        }
    }
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}

/// How low and how high a total may come out.
#[derive(Serialize, JsonSchema)]
pub(super) struct RangeJson {
    /// Total with every range at its cheap end.
    lowest: String,
    /// Typical total less the root of the squared swings downwards.
    likely_low: String,
    /// Typical total and the root of the squared swings upwards.
    likely_high: String,
    /// Total with every range at its dear end.
    highest: String,
    /// What each range does alone, the widest first; those that change nothing are left out.
    swings: Vec<SwingJson>,
}

#[derive(Serialize, JsonSchema)]
struct SwingJson {
    /// Index into `ranges`.
    range: usize,
    /// Total at its low end less the typical total.
    at_low: String,
    /// Total at its high end less the typical total.
    at_high: String,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct RangedJson {
    name: String,
    /// File and line.
    place: String,
    /// Digits as written.
    low: String,
    typical: String,
    high: String,
}

pub(super) fn ranged_json(report: &PriceReport<'_>) -> Vec<RangedJson> {
    let rates = report.ranges.iter().flat_map(|ranges| ranges.rates);
    rates
        .map(|rate| {
            let [low, typical, high] = rate.values.clone();
            RangedJson {
                name: rate.name.clone(),
                place: report.place_text(rate.place),
                low,
                typical,
                high,
            }
        })
        .collect()
}

pub(super) fn range_json(report: &PriceReport<'_>, option: usize, at: usize) -> Option<RangeJson> {
    let range = &report.ranges.as_ref()?.prices[option][at];
    let money = |amount: Money| amount.to_text(report.currency());
    let swings = range.swings.iter().map(|swing| SwingJson {
        range: swing.rate,
        at_low: money(swing.at_low),
        at_high: money(swing.at_high),
    });
    Some(RangeJson {
        lowest: money(range.lowest),
        likely_low: money(range.likely_low),
        likely_high: money(range.likely_high),
        highest: money(range.highest),
        swings: swings.collect(),
    })
}
