//! What a buyer adds to a comparison: figures for what offers leave out, dates, rates of exchange, weights.

use std::collections::BTreeSet;

use inkset_units::{Currency, Money};
use jiff::civil::Date;
use rust_decimal::Decimal;

use super::toml::{copies, day, decimal, inner, money, percent};
use crate::codes;
use crate::read::{Optional, Refused, TableReader, Value, currency};

/// Percent by which a price may differ from the should-cost without a remark. Common practice, no source.
const USUAL_FAR: u32 = 25;

/// Largest rate of exchange that is believed.
const LARGEST_RATE: u32 = 1_000_000;
/// Most orders of one lot.
const MOST_ORDERS: u32 = 1_000_000;

/// What a buyer adds to a comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Buyer {
    /// Day of the award; offers must hold on it. `None`: validity is not judged.
    pub award_date: Option<Date>,
    /// Whether invoices are paid early enough for a discount.
    pub takes_discount: bool,
    /// What proofs cost the buyer where an offer excludes them.
    pub proofs: Option<Charge>,
    /// What carriage costs the buyer where an offer excludes it.
    pub carriage: Option<Charge>,
    /// What packing costs the buyer where an offer excludes it.
    pub packing: Option<Charge>,
    /// Percent from the should-cost beyond which a price is remarked upon.
    pub far_percent: Decimal,
    /// Rates into the job's currency.
    pub exchange: Vec<Exchange>,
    /// Orders expected, for the weighted basket; empty: each quantity of the job once.
    pub basket: Vec<OrderedLot>,
    /// Weight of the price in the choice, percent.
    pub price_weight: Decimal,
    /// Weight of the colour in the choice, percent; the two make 100.
    pub colour_weight: Decimal,
    /// Whether every ink set is ordered, as with variants of one campaign, rather than one of them.
    pub orders_every_option: bool,
}

/// A cost of the buyer's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Charge {
    /// For an order.
    pub fixed: Money,
    /// For 1,000 copies.
    pub per_thousand: Money,
}

/// A rate of exchange.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exchange {
    /// Currency of an offer.
    pub currency: Currency,
    /// Units of the job's currency for one of it.
    pub rate: Decimal,
    /// Day of the rate.
    pub date: Date,
}

/// Orders of one quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OrderedLot {
    /// Copies of one order.
    pub copies: u64,
    /// Number of such orders.
    pub orders: Decimal,
}

impl Default for Buyer {
    fn default() -> Self {
        Self {
            award_date: None,
            takes_discount: false,
            proofs: None,
            carriage: None,
            packing: None,
            far_percent: USUAL_FAR.into(),
            exchange: Vec::new(),
            basket: Vec::new(),
            price_weight: Decimal::ONE_HUNDRED,
            colour_weight: Decimal::ZERO,
            orders_every_option: false,
        }
    }
}

pub(super) fn buyer(root: &TableReader<'_>) -> Option<Buyer> {
    let usual = Buyer::default();
    let award_date = root.if_given("award_date", day);
    let takes_discount = root.if_given("takes_discount", Value::flag);
    let proofs = inner(root, "proofs", charge);
    let carriage = inner(root, "carriage", charge);
    let packing = inner(root, "packing", charge);
    let far_percent = root.if_given("far_percent", percent);
    let exchange = listed(root, "exchange", "a rate of exchange", exchange);
    let basket = listed(root, "basket", "a lot of the basket", lot);
    let weights = weights(root);
    let every = root.if_given("orders_every_option", Value::flag);
    let basket = basket.ok()?.unwrap_or_default();
    distinct(root, &basket)?;
    let (price_weight, colour_weight) = weights.ok()?;
    Some(Buyer {
        award_date: award_date.ok()?.map(|d| d.value),
        takes_discount: takes_discount.ok()?.is_some_and(|t| t.value),
        proofs: proofs.ok()?,
        carriage: carriage.ok()?,
        packing: packing.ok()?,
        far_percent: far_percent.ok()?.unwrap_or(usual.far_percent),
        exchange: exchange.ok()?.unwrap_or_default(),
        basket,
        price_weight,
        colour_weight,
        orders_every_option: every.ok()?.is_some_and(|e| e.value),
    })
}

fn charge(table: &TableReader<'_>) -> Option<Charge> {
    let fixed = table.if_given("fixed", money);
    let per_thousand = table.if_given("per_thousand", money);
    Some(Charge {
        fixed: fixed.ok()?.unwrap_or_default(),
        per_thousand: per_thousand.ok()?.unwrap_or_default(),
    })
}

fn listed<T>(
    root: &TableReader<'_>,
    key: &'static str,
    what: &str,
    read: impl Fn(&TableReader<'_>) -> Option<T>,
) -> Optional<Vec<T>> {
    root.if_given(key, |value| {
        let one = |entry: &Value<'_>| {
            let table = TableReader::of(entry, what)?;
            let one = read(&table);
            table.finish();
            one
        };
        let all: Vec<Option<T>> = value.list()?.iter().map(one).collect();
        all.into_iter().collect()
    })
}

fn exchange(table: &TableReader<'_>) -> Option<Exchange> {
    let currency = currency(table);
    let rate = table.required("rate", "rate = 1.17").and_then(|value| {
        let rate = decimal(&value)?;
        if rate.is_zero() || rate > LARGEST_RATE.into() {
            let message =
                format!("a rate of exchange is {rate}, must be above 0 and at most {LARGEST_RATE}");
            let hint = "write how many units of the job's currency one unit buys";
            return value.refuse(codes::OUT_OF_RANGE, message, hint);
        }
        Some(rate)
    });
    let date = table
        .required("date", "date = 2026-11-20")
        .and_then(|v| day(&v));
    Some(Exchange {
        currency: currency?.value,
        rate: rate?,
        date: date?.value,
    })
}

fn lot(table: &TableReader<'_>) -> Option<OrderedLot> {
    let quantity = table
        .required("copies", "copies = 5000")
        .and_then(|v| copies(&v));
    let orders = table.if_given("orders", |value| {
        let orders = decimal(value)?;
        if orders.is_zero() || orders > MOST_ORDERS.into() {
            let message =
                format!("`orders` is {orders}, must be above 0 and at most {MOST_ORDERS}");
            return value.refuse(
                codes::OUT_OF_RANGE,
                message,
                "write how often this is ordered",
            );
        }
        Some(orders)
    });
    Some(OrderedLot {
        copies: quantity?,
        orders: orders.ok()?.unwrap_or(Decimal::ONE),
    })
}

fn distinct(root: &TableReader<'_>, basket: &[OrderedLot]) -> Option<()> {
    let mut seen = BTreeSet::new();
    for lot in basket {
        if !seen.insert(lot.copies) {
            let message = format!("the basket lists {} copies twice", lot.copies);
            let notice = root.log().error(codes::DUPLICATE_QUANTITY, message);
            root.log().report(notice.hint("add their `orders`"));
            return None;
        }
    }
    Some(())
}

/// Weights of price and colour; the one that is not given makes up 100.
fn weights(root: &TableReader<'_>) -> Result<(Decimal, Decimal), Refused> {
    let price = root.if_given("price_weight", percent)?;
    let colour = root.if_given("colour_weight", percent)?;
    let hundred = Decimal::ONE_HUNDRED;
    match (price, colour) {
        (None, None) => Ok((hundred, Decimal::ZERO)),
        (Some(price), None) => Ok((price, hundred - price)),
        (None, Some(colour)) => Ok((hundred - colour, colour)),
        (Some(price), Some(colour)) if price + colour == hundred => Ok((price, colour)),
        (Some(price), Some(colour)) => {
            let message = format!(
                "`price_weight` and `colour_weight` make {}, must make 100",
                price + colour
            );
            let notice = root.log().error(codes::OUT_OF_RANGE, message);
            root.log()
                .report(notice.hint("give one of them; the other makes up 100"));
            Err(Refused)
        }
    }
}
