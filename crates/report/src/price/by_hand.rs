//! Figures set by hand, with the computed ones beside them.

use inkset_costing::{ByHand, Unit};
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

/// Every override of the job, and what the options would cost without any.
pub(super) fn list(document: &mut Document, report: &PriceReport<'_>) {
    let overrides = &report.plan.job.overrides;
    if overrides.is_empty() {
        return;
    }
    document.heading("Set by hand");
    let said = overrides.iter().map(|set| {
        let part = set.part.map_or(String::new(), |part| {
            format!(", {}", report.plan.job.parts[part].name.value)
        });
        let option = set
            .option
            .as_ref()
            .map_or(String::new(), |option| format!(", {}", option.value));
        let copies = set.copies.map_or(String::new(), |copies| {
            format!(", {} copies", grouped(&copies.value.to_string()))
        });
        let why = set
            .why
            .as_ref()
            .map_or(String::new(), |why| format!(": {why}"));
        let place = report.place_text(set.place);
        format!("{}{part}{option}{copies} ({place}){why}", set.line.value)
    });
    document.list(said.collect());
    document.text("The ways to print, run-on, straight lines and break-evens follow the computed figures; the lines show both.");
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
