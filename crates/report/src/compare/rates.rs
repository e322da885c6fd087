//! A rate card that would reproduce an offer: what it rests on, as comments above the card.

use inkset_spec::Offer;
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use super::{percent, percent_text};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{difference_text, grouped, listed, money_text};
use crate::text::to_text;

/// Width of a comment; with its mark a line has 80 columns.
const WIDTH: usize = 78;

/// A rate card that would reproduce an offer.
pub struct OfferedRates<'a> {
    /// The offer.
    pub offer: &'a Offer,
    /// Title of the rate card whose rates were changed.
    pub card: &'a str,
    /// Currency of every amount.
    pub currency: Currency,
    /// What was changed: a group of rates and its factor.
    pub changed: Vec<(String, Decimal)>,
    /// What the offer excludes, and the prices here leave out.
    pub left_out: Vec<&'static str>,
    /// Prices that the offer gives.
    pub asked: Vec<RatedPrice>,
    /// Prices that it does not give.
    pub not_asked: Vec<RatedPrice>,
    /// Plus and minus of such a price, as a share of it, 90 % of the time; `None` when nothing can be said.
    pub plus_minus: Option<Decimal>,
    /// Ink sets that are offered and not among the job's.
    pub unknown: Vec<String>,
}

/// A price by the changed rates.
pub struct RatedPrice {
    /// Name of the ink set.
    pub option: String,
    /// Copies.
    pub copies: u64,
    /// Net of tax, before discount; `None` when it is not quoted.
    pub asked: Option<Money>,
    /// By the changed rates.
    pub rated: Money,
    /// Whether the copies lie beyond those quoted.
    pub outside: bool,
}

/// The card with what it rests on above it, as comments.
pub fn offered_rates_card(rates: &OfferedRates<'_>, card: &str) -> String {
    let mut document = Document::default();
    opening(&mut document, rates);
    changed(&mut document, rates);
    asked(&mut document, rates);
    not_asked(&mut document, rates);
    let comments = to_text(&document, WIDTH);
    let mut text = String::new();
    for line in comments.lines() {
        text.push_str(format!("# {line}").trim_end());
        text.push('\n');
    }
    text.push('\n');
    text.push_str(card);
    text
}

fn opening(document: &mut Document, rates: &OfferedRates<'_>) {
    let offer = rates.offer;
    let number = offer.number.iter().map(|number| format!(" {number}"));
    let number: String = number.collect();
    document.text(format!(
        "The rates nearest to those of `{}` that would reproduce the offer{number} of {} of {} for `{}`. An offer does not tell hours, plates, paper and finishing apart, so that other rates would do as well: take them for this job, and not for the supplier's own. `inkset price JOB --rates FILE` prices by them.",
        rates.card, offer.supplier.value, offer.date.value, offer.job.value
    ));
    for option in &rates.unknown {
        document.text(format!(
            "{option} is offered and not among the job's ink sets: left aside."
        ));
    }
}

fn changed(document: &mut Document, rates: &OfferedRates<'_>) {
    if rates.changed.is_empty() {
        document.text("No rate is changed: the card reproduces the offer as it is.");
        return;
    }
    let mut table = Table::new(vec![Column::words("Changed"), Column::figures("times")]);
    for (name, factor) in &rates.changed {
        table.row(vec![Cell::text(name), Cell::text(format!("{factor:.3}"))]);
    }
    document.table(table);
}

/// `CMYK, 2 000 copies`.
fn place(price: &RatedPrice) -> [Cell; 2] {
    [
        Cell::text(&price.option),
        Cell::text(grouped(&price.copies.to_string())),
    ]
}

fn asked(document: &mut Document, rates: &OfferedRates<'_>) {
    let without = match rates.left_out.as_slice() {
        [] => String::new(),
        out => format!(", without {}, which the offer excludes", listed(out)),
    };
    document.text(format!(
        "Prices in {}, net of tax, before discount{without}:",
        rates.currency
    ));
    let mut table = Table::new(vec![
        Column::words("Ink set"),
        Column::figures("copies"),
        Column::figures("asked"),
        Column::figures("by these rates"),
        Column::figures("difference"),
        Column::figures("%"),
    ]);
    for price in &rates.asked {
        let Some(asked) = price.asked else { continue };
        let [option, copies] = place(price);
        let difference = price.rated - asked.rounded(rates.currency);
        let share = percent(price.rated, asked).map(percent_text);
        table.row(vec![
            option,
            copies,
            Cell::text(money_text(asked, rates.currency)),
            Cell::text(money_text(price.rated, rates.currency)),
            Cell::text(difference_text(difference, rates.currency)),
            Cell::text(share.unwrap_or_default()),
        ]);
    }
    document.table(table);
}

fn not_asked(document: &mut Document, rates: &OfferedRates<'_>) {
    if rates.not_asked.is_empty() {
        return;
    }
    let sure = match rates.plus_minus {
        Some(share) => format!(
            "± {:.1} %, 90 % of the time, from leaving each quantity out in turn; ask before relying on them",
            share * Decimal::ONE_HUNDRED
        ),
        None => "how far they may be off cannot be said from a single quantity".to_owned(),
    };
    document.text(format!("Not quoted, estimated by these rates ({sure}):"));
    let mut table = Table::new(vec![
        Column::words("Ink set"),
        Column::figures("copies"),
        Column::figures("by these rates"),
        Column::figures("±"),
        Column::words(""),
    ]);
    for price in &rates.not_asked {
        let [option, copies] = place(price);
        let by = rates.plus_minus.and_then(|share| price.rated.times(share));
        let beyond = if price.outside {
            "beyond the quantities quoted"
        } else {
            ""
        };
        table.row(vec![
            option,
            copies,
            Cell::text(money_text(price.rated, rates.currency)),
            Cell::text(by.map_or("?".to_owned(), |by| money_text(by, rates.currency))),
            Cell::text(beyond),
        ]);
    }
    document.table(table);
}
