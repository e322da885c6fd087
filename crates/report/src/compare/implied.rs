//! What the prices of each supplier imply.

use inkset_offers::Measured;

use super::CompareReport;
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{grouped, money_text};

fn measured(report: &CompareReport<'_>, figure: Measured) -> Cell {
    let value = money_text(figure.value, report.currency());
    Cell::text(match figure.plus_minus {
        None => format!("{value} ±\u{a0}?"),
        Some(by) => format!("{value} ±\u{a0}{}", money_text(by, report.currency())),
    })
}

/// What an offer states by itself needs no uncertainty.
fn told(report: &CompareReport<'_>, figure: Measured, stated: bool) -> Cell {
    if stated {
        return Cell::Money(figure.value, report.currency());
    }
    measured(report, figure)
}

/// Fixed and run part of each option, the price of each ink, and estimates of quantities without a price.
pub(super) fn implied(document: &mut Document, report: &CompareReport<'_>) {
    let mut table = Table::new(vec![
        Column::words("Supplier"),
        Column::words("Ink set"),
        Column::figures("fixed part"),
        Column::figures("for 1\u{a0}000"),
        Column::words("rests on"),
    ]);
    let mut estimates = Vec::new();
    for (at, offer) in report.comparison.offers.iter().enumerate() {
        for rates in &offer.implied.options {
            table.row(vec![
                Cell::text(&offer.supplier),
                Cell::text(report.option(rates.option)),
                told(report, rates.fixed, rates.range.is_none()),
                told(report, rates.per_thousand, rates.range.is_none()),
                Cell::text(
                    rates
                        .range
                        .map_or("its own rates".to_owned(), |(low, high)| {
                            format!(
                                "{} to {}",
                                grouped(&low.to_string()),
                                grouped(&high.to_string())
                            )
                        }),
                ),
            ]);
        }
        for (with, without, solid) in super::implied_pairs(report, at) {
            if let Some((fixed, run)) = offer.implied.difference(with, without) {
                table.row(vec![
                    Cell::text(&offer.supplier),
                    Cell::text(format!("{solid} on {}", report.option(without))),
                    measured(report, fixed),
                    measured(report, run),
                    Cell::text("the two above"),
                ]);
            }
        }
        estimates.extend(estimated(report, at));
    }
    if table.rows.is_empty() {
        return;
    }
    document.heading("What the prices imply");
    document.table(table);
    document.text("Net of tax, before discount, without the buyer's own figures. ± holds 90 % of the time if prices scatter around a straight line in proportion to themselves; ? means as many unknowns as prices.");
    document.list(estimates);
}

fn estimated(report: &CompareReport<'_>, at: usize) -> Vec<String> {
    let offer = &report.comparison.offers[at];
    let mut said = Vec::new();
    for (option, prices) in offer.prices.iter().enumerate() {
        let Some(prices) = prices else { continue };
        for (n, copies) in report.quantities.iter().enumerate() {
            if prices.prices[n].offered.is_some() {
                continue;
            }
            if let Some(estimate) = offer.implied.estimate(option, *copies) {
                let value = money_text(estimate.price.value, report.currency());
                let by = estimate.price.plus_minus;
                let by = by.map_or(" ±\u{a0}?".to_owned(), |by| {
                    format!(" ±\u{a0}{}", money_text(by, report.currency()))
                });
                let outside = if estimate.outside {
                    ", beyond the quantities quoted"
                } else {
                    ""
                };
                said.push(format!(
                    "{}, {}, {} copies: not quoted; its line gives {value}{by}{outside}; ask before relying on it",
                    offer.supplier,
                    report.option(option),
                    grouped(&copies.to_string())
                ));
            }
        }
    }
    said
}
