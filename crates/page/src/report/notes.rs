//! What was assumed, what to mind, where the figures come from.

use maud::{Markup, html};

use super::PageReport;
use crate::text::{name, told};

pub(super) fn notes(report: &PageReport<'_>) -> Markup {
    let price = report.price();
    html! {
        section #notes aria-labelledby="notes-title" {
            h2 #notes-title { "Behind the figures" }
            h3 { "Assumed" }
            @if price.assumptions.is_empty() {
                p { "Nothing: everything was given." }
            } @else {
                ul { @for assumption in &price.assumptions { li { (told(assumption)) } } }
            }
            h3 { "Mind" }
            ul { @for caution in &price.cautions { li { (told(caution)) } } }
            h3 { "Sources" }
            ul {
                @for source in sources(report) { li { (name(&source)) } }
                li { "Press variation: " (name(&price.plan.plan.variation.source)) }
                li {
                    "Prices: " (name(&price.card.title)) " of " (name(&price.card.date.value)) ", line by line with "
                    code { "inkset price --lines" }
                }
            }
            h3 { "Words" }
            dl .words-list { @for (word, meaning) in WORDS { div { dt { (word) } dd { (meaning) } } } }
        }
    }
}

/// Printing conditions, each once.
fn sources(report: &PageReport<'_>) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for condition in &report.conditions.of_parts {
        let text = format!(
            "{} ({}): {}",
            condition.title(),
            condition.name(),
            condition.source()
        );
        if !told.contains(&text) {
            told.push(text);
        }
    }
    told
}

const WORDS: [(&str, &str); 7] = [
    (
        "process inks",
        "cyan, magenta, yellow and black, which photographs need anyway",
    ),
    (
        "build",
        "a colour made of screened tints of the process inks",
    ),
    (
        "own ink",
        "an ink mixed for one colour; it takes a printing unit of its own, a plate and a wash-up",
    ),
    (
        "ΔE00",
        "how different two colours look (CIEDE2000): up to 1 looks the same, above 6 like another colour",
    ),
    (
        "holds",
        "right at the aim and on 95 % of sheets under normal press variation",
    ),
    ("drifts", "right at the aim, but not on 95 % of sheets"),
    ("misses", "not right even at the aim"),
];

pub(super) fn footer() -> Markup {
    html! {
        p {
            "An estimate, not an offer, until a person has checked and issued it. Made with inkset " (env!("CARGO_PKG_VERSION")) "."
        }
    }
}
