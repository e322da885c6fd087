//! The job in words.

use inkset_report::{CAUTION_SCREEN, job_in_words, listed};
use maud::{Markup, html};

use super::PageReport;
use crate::swatch::swatch;
use crate::text::{copies, name};

pub(super) fn opening(report: &PageReport<'_>) -> Markup {
    let price = report.price();
    let job = price.plan.job;
    let quantities: Vec<String> = price.quantities.iter().map(|q| copies(*q)).collect();
    html! {
        p .kind { "Ink and price report" }
        h1 { (name(&job.title)) }
        @if let Some(client) = &job.client {
            p .client { "for " (name(client)) }
        }
        p { (name(&job_in_words(price))) ". " (listed(&quantities)) "." }
        p .fine {
            "Rates: " (name(&price.card.title)) " of " (name(&price.card.date.value))
            @if price.card.example { ", example rates and not today’s prices" }
            ". All amounts in " (report.code()) ", tax excluded."
        }
        (strip(report))
        p .caution role="note" { (CAUTION_SCREEN) }
    }
}

/// The colours of the job, each with its name.
fn strip(report: &PageReport<'_>) -> Markup {
    let rows = report.rows();
    html! {
        @if !rows.is_empty() {
            ul .strip {
                @for row in rows {
                    li { (swatch("chip", row.target)) (name(&row.name)) }
                }
            }
        }
    }
}
