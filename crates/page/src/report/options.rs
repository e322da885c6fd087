//! The options in tables.

use inkset_report::{difference_text, presses_by_quantity, tally};
use maud::{Markup, html};

use super::{PageReport, option_badge};
use crate::text::{copies, name};

/// Every option worth showing: its number, inks, press and colours, then its prices.
pub(super) fn options(report: &PageReport<'_>) -> Markup {
    html! {
        (what(report))
        @for quantities in report.quantity_tables() { (prices(report, &quantities)) }
        p .fine {
            "Total, price per 1\u{a0}000 and difference from the process-ink option, in " (report.code()) ". Bold: suggested. * No \
             other option is both cheaper and better in colour."
        }
    }
}

fn what(report: &PageReport<'_>) -> Markup {
    html! {
        table {
            caption { "Options" }
            thead {
                tr {
                    th scope="col" .words { "Ink set" }
                    th scope="col" .figures { "Units" }
                    th scope="col" .words { "Press" }
                    th scope="col" .figures { "Worst ΔE00" }
                    th scope="col" .words { "Colours" }
                }
            }
            tbody {
                @for (number, (at, option)) in report.price().shown().enumerate() {
                    @let first = &option.estimates[0];
                    tr {
                        th scope="row" .words { (option_name(report, number + 1, at)) }
                        td .figures { (first.units_needed()) }
                        td .words {
                            @for way in presses_by_quantity(&option.estimates, &report.price().quantities) {
                                div { (way.from_text()) (name(&way.presses)) ", " (way.passes_text()) }
                            }
                        }
                        td .figures { (format!("{:.2}", option.set.worst_delta_e())) }
                        td .words { (tally(option.set)) }
                    }
                }
            }
        }
    }
}

fn option_name(report: &PageReport<'_>, number: usize, at: usize) -> Markup {
    html! {
        (option_badge(number, report.price().best.contains(&at))) " " (name(&report.options()[at].set.name))
    }
}

fn prices(report: &PageReport<'_>, quantities: &[usize]) -> Markup {
    html! {
        table .options {
            caption { "Prices, " (report.code()) }
            thead {
                tr {
                    th scope="col" .words { "Ink set" }
                    @for at in quantities {
                        th scope="col" .figures { (copies(report.price().quantities[*at])) }
                    }
                }
            }
            tbody {
                @for (number, (at, _)) in report.price().shown().enumerate() {
                    tr {
                        th scope="row" .words { (option_name(report, number + 1, at)) }
                        @for quantity in quantities { (price_cell(report, at, *quantity)) }
                    }
                }
            }
        }
    }
}

fn price_cell(report: &PageReport<'_>, at: usize, quantity: usize) -> Markup {
    let option = &report.options()[at];
    let estimate = &option.estimates[quantity];
    let price = report.price();
    let difference = price
        .difference(option, quantity)
        .filter(|_| price.four_ink != Some(at));
    html! {
        td .figures .suggested[report.is_best(at, quantity)] {
            @if option.on_frontier[quantity] { "*\u{a0}" }
            span .total { (report.money(estimate.total)) }
            br;
            span .fine { (report.money(estimate.per_thousand)) }
            @if let Some(difference) = difference {
                br;
                span .fine { (difference_text(difference, price.currency())) }
            }
        }
    }
}
