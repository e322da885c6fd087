//! Moves that would save, in words.

use inkset_costing::{InkId, Move, Suggestion};
use inkset_plan::PlannedSet;
use inkset_units::Money;
use schemars::JsonSchema;
use serde::Serialize;

use super::PriceReport;
use crate::document::{Cell, Column, Document, Table};
use crate::figures::grouped;
use crate::plan::tally;

/// Moves shown for each quantity; JSON has all.
const MOVES_SHOWN: usize = 4;
/// Pages listed one by one.
const PAGES_LISTED: usize = 8;

/// The largest savings at each quantity.
pub(super) fn suggestions(document: &mut Document, report: &PriceReport<'_>) {
    if report.suggestions.iter().all(Vec::is_empty) {
        return;
    }
    document.heading("Worth a thought");
    let currency = report.currency();
    let mut table = Table::new(vec![
        Column::figures("Copies"),
        Column::words("Change"),
        Column::words("In return"),
        Column::figures("Then"),
        Column::figures("Saves"),
    ]);
    for (at, moves) in report.suggestions.iter().enumerate() {
        for (n, suggestion) in moves.iter().take(MOVES_SHOWN).enumerate() {
            let copies = match n {
                0 => Cell::Count(report.quantities[at]),
                _ => Cell::Empty,
            };
            table.row(vec![
                copies,
                Cell::text(what(report, at, suggestion)),
                Cell::text(in_return(report, at, suggestion)),
                Cell::Money(suggestion.then, currency),
                Cell::Money(suggestion.saving(), currency),
            ]);
        }
    }
    document.table(table);
    let by_hand = if report.plan.job.overrides.is_empty() {
        ""
    } else {
        " What is set by hand is left out."
    };
    document.text(format!(
        "Changes to the recommended option, each priced as the job that it makes, in {currency}; they do not add up. Presses, sheets and work styles are the cheapest already.{by_hand}"
    ));
}

fn what(report: &PriceReport<'_>, at: usize, suggestion: &Suggestion) -> String {
    let part = |n: usize| &report.plan.job.parts[n].name.value;
    let several = report.plan.job.parts.len() > 1;
    match &suggestion.change {
        Move::OneForm {
            part: n,
            pages,
            inks,
            ..
        } => {
            format!(
                "{} {}",
                inks.join(" and "),
                pages_text(report, at, (*n, pages, inks))
            )
        }
        Move::WithoutBlack { .. } => "drop process black".to_owned(),
        Move::Gang {
            parts: [cover, text],
        } => {
            format!(
                "print {} together with {}, same paper",
                part(*cover),
                part(*text)
            )
        }
        Move::Paper { part: n, stock } if several => format!("{} on {stock}", part(*n)),
        Move::Paper { stock, .. } => format!("print on {stock}"),
        Move::Trim {
            off: [width, height],
        } => {
            let trim = report.plan.job.product.trim.value;
            let edge = |edge: f64, off: u32| edge - f64::from(off);
            format!(
                "trim to {} × {} mm",
                edge(trim.width.mm(), *width),
                edge(trim.height.mm(), *height)
            )
        }
        Move::Quantity => {
            let copies = grouped(&suggestion.copies.to_string());
            format!("order {copies} copies")
        }
    }
}

/// Where an ink stays: `in the cover` where nothing else of the part carries it, else its pages.
fn pages_text(
    report: &PriceReport<'_>,
    at: usize,
    (part, pages, inks): (usize, &[u32], &[String]),
) -> String {
    let plan = &report.options[report.best[at]].set.print;
    let name = &report.plan.job.parts[part].name.value;
    let several = report.plan.job.parts.len() > 1;
    let is_one = |id: &InkId| inks.contains(&plan.ink(*id).name);
    let of_part = plan.parts[part].pages.iter();
    let carrying = of_part.filter(|page| page.inks.iter().any(|(id, _)| is_one(id)));
    if several && carrying.count() == pages.len() {
        return format!("in {name} only");
    }
    let of = if several {
        format!(" of {name}")
    } else {
        String::new()
    };
    let listed: Vec<String> = pages.iter().map(u32::to_string).collect();
    match listed.len() {
        1 => format!("on page {}{of} only", listed[0]),
        2..=PAGES_LISTED => format!("on pages {}{of} only", listed.join(", ")),
        count => format!(
            "on {count} pages of one form{of} only, from page {}",
            listed[0]
        ),
    }
}

fn in_return(report: &PriceReport<'_>, at: usize, suggestion: &Suggestion) -> String {
    let set = |instead: usize| report.options[instead].set;
    let colours = |set: &PlannedSet| format!("{}, worst ΔE {:.2}", tally(set), set.worst_delta_e());
    match &suggestion.change {
        Move::OneForm { instead, .. } => {
            format!(
                "elsewhere as {}: {}",
                set(*instead).name,
                colours(set(*instead))
            )
        }
        Move::WithoutBlack { instead } => format!(
            "greys and shadows from three inks; {}",
            colours(set(*instead))
        ),
        Move::Gang { .. } => "cover and text share plates, inks and press".to_owned(),
        Move::Paper { .. } => "ask for a sample of it".to_owned(),
        Move::Trim {
            off: [width, height],
        } => match (width, height) {
            (0, height) => format!("{height} mm off the height"),
            (width, 0) => format!("{width} mm off the width"),
            (width, _) => format!("{width} mm off both edges"),
        },
        Move::Quantity if suggestion.copies > report.quantities[at] => {
            let copies = suggestion.copies - report.quantities[at];
            format!(
                "nothing: {} more copies at the same price",
                grouped(&copies.to_string())
            )
        }
        Move::Quantity => {
            let copies = report.quantities[at] - suggestion.copies;
            format!("{} copies less", grouped(&copies.to_string()))
        }
    }
}

#[derive(Serialize, JsonSchema)]
pub(super) struct SuggestionJson {
    /// Copies of the order that it changes.
    quantity: u64,
    /// What is changed in the recommended option.
    change: String,
    /// What is given up in return, in colour or otherwise.
    in_return: String,
    /// Copies after the change.
    copies: u64,
    /// Computed total as it is.
    now: String,
    /// Computed total of the changed job.
    then: String,
    saving: String,
}

pub(super) fn json(report: &PriceReport<'_>) -> Vec<SuggestionJson> {
    let money = |amount: Money| amount.to_text(report.currency());
    let all = report.suggestions.iter().enumerate();
    all.flat_map(|(at, moves)| moves.iter().map(move |one| (at, one)))
        .map(|(at, one)| SuggestionJson {
            quantity: report.quantities[at],
            change: what(report, at, one),
            in_return: in_return(report, at, one),
            copies: one.copies,
            now: money(one.now),
            then: money(one.then),
            saving: money(one.saving()),
        })
        .collect()
}
