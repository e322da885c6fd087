//! Figures set by hand, with the computed ones beside them.

use std::cmp::Ordering;

use inkset_costing::{ByHand, Estimate, Unit};
use inkset_spec::{Override, Printing};
use inkset_units::Money;
use schemars::JsonSchema;
use serde::Serialize;

use super::PriceReport;
use crate::document::Document;
use crate::figures::{grouped, money_text};

/// `by hand, computed 8 plate × 9 = 72.00 (plates kept from May)`.
pub(super) fn text(hand: &ByHand, report: &PriceReport<'_>) -> String {
    let amount = money_text(hand.amount, report.currency());
    let why = hand
        .why
        .as_ref()
        .map_or(String::new(), |why| format!(" ({why})"));
    let computed = match hand.unit {
        Unit::Sum => amount,
        unit => format!(
            "{}\u{a0}{} × {} = {amount}",
            grouped(&hand.quantity.normalize().to_string()),
            unit.name(),
            grouped(&hand.rate.amount().normalize().to_string())
        ),
    };
    format!("by hand, computed {computed}{why}")
}

/// Every override of the job and every way to print that it sets, and what would be without any.
pub(super) fn list(document: &mut Document, report: &PriceReport<'_>) {
    let job = report.plan.job;
    if job.overrides.is_empty() && job.printing.is_empty() {
        return;
    }
    document.heading("Set by hand");
    let printing = job
        .printing
        .iter()
        .map(|printing| printing_text(report, printing));
    let overrides = job.overrides.iter().map(|set| override_text(report, set));
    document.list(printing.chain(overrides).collect());
    let by_price = report.by_price_alone.iter().enumerate();
    let by_price = by_price.map(|(at, estimate)| by_price_text(report, at, estimate));
    let by_price: Vec<String> = by_price.collect();
    if !by_price.is_empty() {
        document.text("Without ways to print set by hand:");
        document.list(by_price);
    }
    if !job.overrides.is_empty() {
        document.text("The ways to print, run-on, straight lines and break-evens follow the computed figures; the lines show both.");
    }
}

fn why_text(why: Option<&String>) -> String {
    why.map_or(String::new(), |why| format!(": {why}"))
}

fn printing_text(report: &PriceReport<'_>, printing: &Printing) -> String {
    let job = report.plan.job;
    let part = &job.parts[printing.part].name.value;
    let place = report.place_text(printing.place);
    let why = why_text(printing.why.as_ref());
    format!("printing of {part}: {printing} ({place}){why}")
}

fn override_text(report: &PriceReport<'_>, set: &Override) -> String {
    let part = set.part.map_or(String::new(), |part| {
        format!(", {}", report.plan.job.parts[part].name.value)
    });
    let option = set.option.as_ref();
    let option = option.map_or(String::new(), |option| format!(", {}", option.value));
    let copies = set.copies.map_or(String::new(), |copies| {
        format!(", {} copies", grouped(&copies.value.to_string()))
    });
    let why = why_text(set.why.as_ref());
    let place = report.place_text(set.place);
    format!("{}{part}{option}{copies} ({place}){why}", set.line.value)
}

/// `at 2 000 copies, text: B1, sheet 700 × 1000 mm, …; total 1 234.00, 46.00 less`.
fn by_price_text(report: &PriceReport<'_>, at: usize, estimate: &Estimate) -> String {
    let job = report.plan.job;
    let parts = job.printing.iter().map(|printing| {
        let part = &job.parts[printing.part].name.value;
        format!("{part} on {}", estimate.parts[printing.part])
    });
    let parts: Vec<String> = parts.collect();
    let saved = report.options[report.best[at]].estimates[at].total - estimate.total;
    let total = money_text(estimate.total, report.currency());
    let copies = grouped(&estimate.quantity.to_string());
    format!(
        "at {copies} copies, {}; total {total}, {}",
        parts.join("; "),
        less_text(saved, report)
    )
}

/// How much less a total is; with figures set by hand too, it may be more.
fn less_text(saved: Money, report: &PriceReport<'_>) -> String {
    let money = |amount: Money| money_text(amount, report.currency());
    match saved.cmp(&Money::ZERO) {
        Ordering::Greater => format!("{} less", money(saved)),
        Ordering::Equal => "the same".to_owned(),
        Ordering::Less => format!("{} more", money(Money::ZERO - saved)),
    }
}

#[derive(Serialize, JsonSchema)]
pub(super) struct ByHandJson {
    /// Computed quantity.
    quantity: String,
    unit: &'static str,
    /// Computed rate.
    rate: String,
    /// Computed amount.
    amount: String,
    why: Option<String>,
    /// File and line.
    place: String,
}

pub(super) fn json(hand: &ByHand, report: &PriceReport<'_>) -> ByHandJson {
    ByHandJson {
        quantity: hand.quantity.to_string(),
        unit: hand.unit.name(),
        rate: hand.rate.amount().to_string(),
        amount: hand.amount.to_text(report.currency()),
        why: hand.why.clone(),
        place: report.place_text(hand.place),
    }
}

/// A way to print that the job sets by hand.
#[derive(Serialize, JsonSchema)]
pub(super) struct PrintingJson {
    part: String,
    /// What is set: press, sheet, work style, number up, sheets of make-ready.
    set: String,
    why: Option<String>,
    /// File and line.
    place: String,
    /// How the price alone would print the part in the recommended option, for each quantity.
    by_price_alone: Vec<ByPriceJson>,
}

#[derive(Serialize, JsonSchema)]
struct ByPriceJson {
    quantity: u64,
    /// Press, sheet, work style, number up.
    choice: String,
    /// Total of the job with no way to print set by hand.
    total: String,
}

pub(super) fn printing_json(report: &PriceReport<'_>) -> Vec<PrintingJson> {
    let job = report.plan.job;
    let one = |printing: &Printing| PrintingJson {
        part: job.parts[printing.part].name.value.clone(),
        set: printing.to_string(),
        why: printing.why.clone(),
        place: report.place_text(printing.place),
        by_price_alone: report
            .by_price_alone
            .iter()
            .map(|estimate| ByPriceJson {
                quantity: estimate.quantity,
                choice: estimate.parts[printing.part].to_string(),
                total: estimate.total.to_text(report.currency()),
            })
            .collect(),
    };
    job.printing.iter().map(one).collect()
}
