//! The choice: what it is in plain words, and the options side by side.

use inkset_plan::RenderingKind;
use inkset_report::{PricedOption, listed, plain_words, tally};
use maud::{Markup, html};

use super::{PageReport, option_badge, tags, verdict_mark};
use crate::swatch::{effect_swatch, swatch};
use crate::text::{copies, name};

/// Most colours in a card; the others stand below under their names.
const MOST_COLOURS: usize = 8;

/// Most options side by side.
const MOST_CARDS: usize = 4;

pub(super) fn choice(report: &PageReport<'_>) -> Markup {
    html! {
        section #choice aria-labelledby="choice-title" {
            h2 #choice-title { "The choice" }
            div .plain {
                @for paragraph in plain_words(report.weigh) { p { (name(&paragraph)) } }
            }
            div .cards { @for option in side_by_side(report) { (card(report, option)) } }
            (tags::tags(report))
            (tags::looser(report))
            (tags::budget(report))
        }
    }
}

/// The process-ink option, what is recommended, what holds every colour.
fn side_by_side(report: &PageReport<'_>) -> Vec<usize> {
    let price = report.price();
    let holds = report.weigh.holds.iter().flatten();
    let mut chosen: Vec<usize> = Vec::new();
    for option in price.four_ink.iter().chain(&price.best).chain(holds) {
        if !chosen.contains(option) {
            chosen.push(*option);
        }
    }
    chosen.truncate(MOST_CARDS);
    chosen
}

fn card(report: &PageReport<'_>, at: usize) -> Markup {
    let option = &report.options()[at];
    let best = report.price().best.contains(&at);
    html! {
        article .card .suggested[best] {
            h3 {
                @if let Some(number) = report.number_of(at) { (option_badge(number, best)) " " }
                (name(&option.set.name))
            }
            p .role { (role(report, at)) }
            (card_prices(report, (at, option)))
            p {
                (tally(option.set)) "."
                @if report.price().four_ink.is_some_and(|four| four != at) {
                    span .fine { " Signed amounts: against process inks." }
                }
            }
            (card_colours(report, option))
        }
    }
}

/// Why an option stands here.
fn role(report: &PageReport<'_>, at: usize) -> String {
    let price = report.price();
    let of = |chosen: &dyn Fn(usize) -> bool| -> Vec<String> {
        let all = price.quantities.iter().enumerate();
        all.filter(|(quantity, _)| chosen(*quantity))
            .map(|(_, copies)| inkset_report::grouped(&copies.to_string()))
            .collect()
    };
    let told = |what: &str, quantities: &[String]| {
        if quantities.len() == price.quantities.len() {
            format!("{what} at every quantity")
        } else {
            format!("{what} for {} copies", listed(quantities))
        }
    };
    let suggested = of(&|quantity| price.best[quantity] == at);
    let holds = of(&|quantity| report.weigh.holds[quantity] == Some(at));
    let mut said = Vec::new();
    if !suggested.is_empty() {
        said.push(told("Suggested", &suggested));
    }
    if !holds.is_empty() {
        said.push(told("Cheapest that holds every colour", &holds));
    }
    if price.four_ink == Some(at) {
        said.push("Process inks wherever they serve".to_owned());
    }
    format!("{}.", said.join(". "))
}

fn card_prices(report: &PageReport<'_>, (at, option): (usize, &PricedOption<'_>)) -> Markup {
    let price = report.price();
    html! {
        dl .prices {
            @for (quantity, estimate) in option.estimates.iter().enumerate() {
                div {
                    dt { (copies(estimate.quantity)) }
                    dd {
                        strong { (report.code()) "\u{a0}" (report.money(estimate.total)) }
                        span .fine {
                            (report.money(estimate.per_thousand)) " per 1\u{a0}000"
                            @if let Some(difference) = price.difference(option, quantity)
                                && price.four_ink != Some(at) {
                                ", " (inkset_report::difference_text(difference, price.currency()))
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Target and print of every colour, touching.
fn card_colours(report: &PageReport<'_>, option: &PricedOption<'_>) -> Markup {
    let pairs = report.rows().iter().zip(&option.set.renderings);
    html! {
        @if !report.rows().is_empty() {
            p .fine { "Left of each patch: as wanted; right: as printed." }
            ul .pairs {
                @for (row, rendering) in pairs.take(MOST_COLOURS) {
                    li {
                        span .pair {
                            (swatch("half", row.target))
                            @match (rendering.kind, rendering.lab) {
                                (RenderingKind::Effect, _) | (_, None) => (effect_swatch("half")),
                                (_, Some(lab)) => (swatch("half", lab)),
                            }
                        }
                        span { (name(&row.name)) br; (verdict_mark(rendering.verdict)) }
                    }
                }
            }
            @if report.rows().len() > MOST_COLOURS {
                p .fine { (report.rows().len() - MOST_COLOURS) " more colours stand below under their names." }
            }
        }
    }
}
