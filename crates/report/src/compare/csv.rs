//! The comparison for spreadsheets: a line for each offer, ink set and quantity.

use inkset_offers::AdjustmentKind;
use inkset_units::Money;

use super::{CompareReport, origin_word, percent};

/// What a column holds.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Text,
    Count,
    Money,
    Percent,
}

/// Titles and kinds of the columns.
pub(super) const COLUMNS: [(&str, Kind); 22] = [
    ("supplier", Kind::Text),
    ("number", Kind::Text),
    ("option", Kind::Text),
    ("quantity", Kind::Count),
    ("orders", Kind::Count),
    ("offered_currency", Kind::Text),
    ("offered", Kind::Money),
    ("origin", Kind::Text),
    ("currency", Kind::Text),
    ("converted", Kind::Money),
    ("tax", Kind::Money),
    ("discount", Kind::Money),
    ("proofs", Kind::Money),
    ("carriage", Kind::Money),
    ("packing", Kind::Money),
    ("rounding", Kind::Money),
    ("comparable", Kind::Money),
    ("rank", Kind::Count),
    ("tied", Kind::Text),
    ("should_cost", Kind::Money),
    ("difference", Kind::Money),
    ("difference_percent", Kind::Percent),
];

/// The cells of every line, as plain text with a point before decimals; empty where there is nothing to say.
pub(super) fn rows(report: &CompareReport<'_>) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for option in 0..report.comparison.options.len() {
        for (offer, own) in report.by_rank(option) {
            for at in 0..report.quantities.len() {
                rows.push(row(report, (option, offer), own, at));
            }
        }
    }
    rows
}

fn row(
    report: &CompareReport<'_>,
    (option, offer): (usize, usize),
    own: &inkset_offers::OfferedPrices,
    at: usize,
) -> Vec<String> {
    let price = &own.prices[at];
    let theirs = report.offers[offer].currency.value;
    let ours = report.currency();
    let amount = |money: Option<Money>| money.map_or(String::new(), |m| m.to_text(ours));
    let step = |kind: AdjustmentKind| {
        let mut steps = price.adjustments.iter();
        amount(steps.find(|step| step.kind == kind).map(|step| step.amount))
    };
    let should = report.should(option, at);
    let both = price.total.zip(should);
    vec![
        report.supplier(offer).to_owned(),
        report.offers[offer].number.clone().unwrap_or_default(),
        report.option(option).to_owned(),
        report.quantities[at].to_string(),
        report.comparison.orders[at].normalize().to_string(),
        theirs.code().to_owned(),
        price
            .offered
            .map_or(String::new(), |(m, _)| m.to_text(theirs)),
        origin_word(price).to_owned(),
        ours.code().to_owned(),
        amount(price.converted),
        step(AdjustmentKind::Tax),
        step(AdjustmentKind::Discount),
        step(AdjustmentKind::Proofs),
        step(AdjustmentKind::Carriage),
        step(AdjustmentKind::Packing),
        step(AdjustmentKind::Rounding),
        amount(price.total),
        own.ranks[at].map_or(String::new(), |r| r.rank.to_string()),
        own.ranks[at].map_or(String::new(), |r| r.tied.to_string()),
        amount(should),
        amount(both.map(|(total, should)| total - should)),
        both.and_then(|(total, should)| percent(total, should))
            .map_or(String::new(), |p| p.to_string()),
    ]
}

/// The comparison as CSV.
pub fn compare_csv(report: &CompareReport<'_>) -> String {
    let header = COLUMNS.iter().map(|(title, _)| (*title).to_owned());
    crate::csv::csv_text(header.collect(), rows(report))
}
