//! Reads the supplier block of a rate card.

use super::{Limits, Optional, TableReader, Value};
use crate::{Given, Supplier};

/// Longest validity and lead time that is believed, days.
pub(crate) const LONGEST_DAYS: u64 = 3_650;

const fn days(example: &'static str) -> Limits {
    Limits::new(1.0, LONGEST_DAYS as f64, "days", example)
}

pub(crate) fn supplier(root: &TableReader<'_>) -> Option<Supplier> {
    let Some(value) = root.optional("supplier") else {
        return Some(Supplier::default());
    };
    let table = TableReader::of(&value, "`supplier`")?;
    let text = |key| table.if_given(key, Value::text);
    let (name, contact, payment) = (text("name"), text("contact"), text("payment"));
    let address = texts(&table, "address");
    let terms = texts(&table, "terms");
    let excluded = texts(&table, "excluded");
    let valid_days = table.if_given("valid_days", |v| v.count(days("30")));
    let lead_days = table.if_given("lead_days", |v| v.count(days("8")));
    table.finish();
    let plain = |given: Option<Given<String>>| given.map(|g| g.value);
    Some(Supplier {
        name: name.ok()?,
        address: address.ok()?.unwrap_or_default(),
        contact: plain(contact.ok()?),
        valid_days: valid_days.ok()?,
        lead_days: lead_days.ok()?,
        payment: plain(payment.ok()?),
        terms: terms.ok()?.unwrap_or_default(),
        excluded: excluded.ok()?.unwrap_or_default(),
    })
}

fn texts(table: &TableReader<'_>, key: &'static str) -> Optional<Vec<String>> {
    table.if_given(key, |value| {
        let read: Vec<_> = value.list()?.iter().map(Value::text).collect();
        read.into_iter().map(|text| Some(text?.value)).collect()
    })
}
