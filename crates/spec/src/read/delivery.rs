//! Reads proofs and deliveries, of jobs and of rate cards.

use inkset_units::Money;

use super::card::price;
use super::job::report_duplicate_names;
use super::{Limits, TableReader, Value};
use crate::{CarriageZone, Delivery, Given, Portion, ProofRates, Proofs, codes};

const SETS: Limits = Limits::new(0.0, 100.0, "proofs", "1");
const COPIES: Limits = Limits::new(1.0, 10_000_000.0, "copies", "500");
/// How far shares may miss the whole before it is told: 33.3 % thrice is meant to be all.
const SHARE_SLACK: f64 = 0.002;

pub(crate) fn proofs(root: &TableReader<'_>) -> Option<Proofs> {
    let none = || Given::assumed(0);
    let Some(value) = root.optional("proofs") else {
        return Some(Proofs {
            forms: none(),
            drawdowns: none(),
        });
    };
    let table = TableReader::of(&value, "`proofs`")?;
    let sets = |key| {
        let value = table.optional(key);
        value.map_or(Some(none()), |v| v.count(SETS))
    };
    let (forms, drawdowns) = (sets("forms"), sets("drawdowns"));
    table.finish();
    Some(Proofs {
        forms: forms?,
        drawdowns: drawdowns?,
    })
}

pub(crate) fn proof_rates(root: &TableReader<'_>) -> Option<ProofRates> {
    let Some(value) = root.optional("proof") else {
        return Some(ProofRates {
            form: None,
            drawdown: None,
        });
    };
    let table = TableReader::of(&value, "`proof`")?;
    let form = table.if_given("form", Value::money);
    let drawdown = table.if_given("drawdown", Value::money);
    table.finish();
    Some(ProofRates {
        form: form.ok()?,
        drawdown: drawdown.ok()?,
    })
}

pub(crate) fn carriage(root: &TableReader<'_>) -> Option<Vec<CarriageZone>> {
    let Some(listed) = root.optional("carriage") else {
        return Some(Vec::new());
    };
    let read: Vec<_> = listed.list()?.iter().map(zone).collect();
    let zones: Vec<CarriageZone> = read.into_iter().collect::<Option<_>>()?;
    report_duplicate_names(root, "zones", zones.iter().map(|z| z.zone.clone()));
    Some(zones)
}

fn zone(entry: &Value<'_>) -> Option<CarriageZone> {
    let table = TableReader::of(entry, "a zone of carriage")?;
    let zone = table.name("zone", "zone = \"home\"");
    if let Some(zone) = &zone {
        table.call(format!("carriage to `{}`", zone.value));
    }
    let base = table.optional("base");
    let base = base.map_or(Some(Given::assumed(Money::ZERO)), |v| v.money());
    let per_kg = price(&table, "per_kg");
    table.finish();
    Some(CarriageZone {
        zone: zone?,
        base: base?,
        per_kg: per_kg?,
    })
}

pub(crate) fn deliveries(
    root: &TableReader<'_>,
    quantities: Option<&Vec<Given<u64>>>,
) -> Option<Vec<Delivery>> {
    let Some(listed) = root.optional("delivery") else {
        return Some(Vec::new());
    };
    let entries = listed.list()?;
    let read: Vec<_> = entries.iter().map(delivery).collect();
    let deliveries: Vec<Delivery> = read.into_iter().collect::<Option<_>>()?;
    let least = quantities.and_then(|q| q.first()).map(|q| q.value);
    match fault(&deliveries, least) {
        Some((message, hint)) => listed.refuse(codes::DELIVERY_PORTIONS, message, hint),
        None => Some(deliveries),
    }
}

fn delivery(entry: &Value<'_>) -> Option<Delivery> {
    let table = TableReader::of(entry, "a delivery")?;
    let zone = table.name("zone", "zone = \"home\"");
    if let Some(zone) = &zone {
        table.call(format!("delivery to `{}`", zone.value));
    }
    let copies = table.if_given("copies", |v| v.count(COPIES));
    let share = table.optional("share");
    table.finish();
    let portion = match (copies.ok()?, share) {
        (None, None) => Portion::Rest,
        (Some(copies), None) => Portion::Copies(copies),
        (None, Some(value)) => Portion::Share(value.coverage()?),
        (Some(_), Some(value)) => {
            let message = format!("{} is given together with `copies`", value.subject());
            return value.refuse(codes::UNFIT_KEY, message, "keep one of the two");
        }
    };
    Some(Delivery {
        zone: zone?,
        portion,
    })
}

/// What is wrong with the portions together, and what to do.
fn fault(deliveries: &[Delivery], least: Option<u64>) -> Option<(String, &'static str)> {
    let (mut copies, mut shares, mut rests) = (0_u64, 0.0, 0);
    let mut shared = false;
    for delivery in deliveries {
        match delivery.portion {
            Portion::Copies(own) => copies += own.value,
            Portion::Share(share) => {
                (shares, shared) = (shares + share.value.fraction(), true);
            }
            Portion::Rest => rests += 1,
        }
    }
    if deliveries.is_empty() {
        return None;
    }
    if rests > 1 {
        let message = format!("{rests} deliveries have neither `copies` nor `share`");
        return Some((message, "one delivery may take the rest"));
    }
    if let Some(least) = least.filter(|least| copies > *least) {
        let message = format!(
            "the deliveries take {copies} copies, more than the smallest order, {least} copies"
        );
        return Some((message, "write shares, or fewer copies"));
    }
    let whole = (shares - 1.0_f64).abs() <= SHARE_SLACK;
    if shares > 1.0 + SHARE_SLACK || (rests == 0 && !(shared && whole)) {
        let message = format!(
            "the deliveries take {:.1} % of the copies that are not given in number",
            100.0 * shares
        );
        let hint =
            "shares add up to 1, or one delivery without `copies` and `share` takes the rest";
        return Some((message, hint));
    }
    None
}
