//! What the options cost: against colour, against quantity, stage by stage, and how far it may be off.

use inkset_costing::{BreakEven, MOST_ORDERED, Pair};
use inkset_report::{break_even_texts, digital_texts};
use inkset_units::Money;
use maud::{Markup, html};
use rust_decimal::Decimal;

use super::PageReport;
use super::options::options;
use crate::chart::{
    BreakEvenMark, ColourPoint, Curve, GROUPS, RangeStrip, StageBar, drawn, group_amounts, mark_of,
    per_thousand, price_colour, range_strip, stage_bars, stage_key, swing_strip,
};
use crate::text::{copies, name};

/// Most options in charts of lines and bars.
const MOST_DRAWN: usize = 6;

/// Pairs of options up to which each is told, also one that never changes places.
const MOST_PAIRS: usize = 3;

/// Most ranges told.
const MOST_RANGES: usize = 8;

pub(super) fn money(report: &PageReport<'_>) -> Markup {
    html! {
        section #money aria-labelledby="money-title" {
            h2 #money-title { "The money" }
            (options(report))
            h3 { "Price against colour" }
            p .fine { "Further left is cheaper, further down is truer. " (mark_key()) }
            div .charts { @for at in report.told_quantities() { (against_colour(report, at)) } }
            h3 { "Price against quantity" }
            div .charts { (against_quantity(report)) (break_evens(report)) }
            h3 { "Where the money goes" }
            div .charts { @for at in report.told_quantities() { (where_it_goes(report, at)) } }
            (stage_table(report))
            (ranges(report))
        }
    }
}

/// Options that charts of lines and bars show: the suggested ones and the process-ink option first.
fn drawn_options(report: &PageReport<'_>) -> Vec<usize> {
    let price = report.price();
    let shown: Vec<usize> = price.shown().map(|(at, _)| at).collect();
    let first = |at: &&usize| price.best.contains(at) || price.four_ink == Some(**at);
    let (first, rest): (Vec<&usize>, Vec<&usize>) = shown.iter().partition(first);
    let mut chosen: Vec<usize> = first.into_iter().chain(rest).copied().collect();
    chosen.truncate(MOST_DRAWN);
    chosen.sort_unstable();
    chosen
}

fn mark_key() -> Markup {
    use inkset_plan::Verdict;
    let verdicts = [
        (Verdict::Holds, "every colour holds"),
        (Verdict::Drifts, "one drifts"),
        (Verdict::Misses, "one misses"),
    ];
    html! {
        span .key {
            @for (verdict, words) in verdicts {
                span {
                    svg class="dot" viewBox="0 0 14 14" aria-hidden="true" { (mark_of((7.0, 7.0), verdict)) }
                    (words)
                }
            }
        }
    }
}

fn against_colour(report: &PageReport<'_>, quantity: usize) -> Markup {
    let points = report
        .price()
        .shown()
        .enumerate()
        .map(|(n, (at, option))| ColourPoint {
            option: n + 1,
            price: drawn(option.estimates[quantity].total),
            delta_e: option.set.worst_delta_e(),
            verdict: option.set.verdict(),
            on_frontier: option.on_frontier[quantity],
            recommended: report.is_best(at, quantity),
        });
    let points: Vec<ColourPoint> = points.collect();
    let order = copies(report.price().quantities[quantity]);
    let label = format!(
        "Price against worst colour difference for {order}; the figures stand in the tables above"
    );
    html! {
        figure {
            (price_colour(&points, (report.code(), &label)))
            figcaption { (order) ". Numbers are those of the options; filled: suggested." }
        }
    }
}

fn against_quantity(report: &PageReport<'_>) -> Markup {
    let price = report.price();
    let chosen = drawn_options(report);
    let curves: Vec<Curve> = report
        .curves
        .iter()
        .filter(|curve| chosen.contains(&curve.option))
        .filter_map(|curve| {
            let estimates = &report.options()[curve.option].estimates;
            let of = |(copies, price): &(u64, Money)| (*copies as f64, drawn(*price));
            Some(Curve {
                option: report.number_of(curve.option)?,
                recommended: price.best.contains(&curve.option),
                points: curve.points.iter().map(of).collect(),
                priced: estimates
                    .iter()
                    .map(|e| (e.quantity as f64, drawn(e.per_thousand)))
                    .collect(),
            })
        })
        .collect();
    let label = "Price of 1 000 copies against the quantity; the figures stand in the tables above";
    let left_out = price.shown().count() - chosen.len();
    html! {
        figure {
            (per_thousand(&curves, &crossings(report, &chosen), (report.code(), label)))
            figcaption {
                "Dots: quantities priced. Diamonds: where two options cost the same. Heavy: suggested."
                @if left_out > 0 { " " (left_out) " dearer options are left out here." }
            }
        }
    }
}

/// Where the curves drawn cross within the drawing.
fn crossings(report: &PageReport<'_>, chosen: &[usize]) -> Vec<BreakEvenMark> {
    let within = |pair: &&Pair| chosen.contains(&pair.one) && chosen.contains(&pair.other);
    let pairs = report.price().break_evens.iter().filter(within);
    pairs
        .flat_map(|pair| match &pair.break_even {
            BreakEven::At(crossings) => crossings
                .iter()
                .filter_map(|crossing| {
                    Some(BreakEvenMark {
                        copies: crossing.settled,
                        price: height(report, pair.one, crossing.settled)?,
                    })
                })
                .collect(),
            BreakEven::Never { .. } | BreakEven::Equal => Vec::new(),
        })
        .collect()
}

/// Height of a curve at a quantity between two of its points.
fn height(report: &PageReport<'_>, option: usize, quantity: u64) -> Option<f64> {
    let curve = report.curves.iter().find(|curve| curve.option == option)?;
    let around = curve
        .points
        .windows(2)
        .find(|pair| (pair[0].0..=pair[1].0).contains(&quantity))?;
    let [(from, low), (to, high)] = [around[0], around[1]];
    let share = (quantity - from) as f64 / (to - from).max(1) as f64;
    Some(drawn(low) + share * (drawn(high) - drawn(low)))
}

/// Every pair of few options; of many, only those that change places.
fn break_evens(report: &PageReport<'_>) -> Markup {
    let texts = break_even_texts(report.price());
    let pairs = report.price().break_evens.iter().zip(&texts);
    let few = texts.len() <= MOST_PAIRS;
    let told: Vec<&String> = pairs
        .filter(|(pair, _)| few || matches!(pair.break_even, BreakEven::At(_)))
        .map(|(_, text)| text)
        .collect();
    let rest = texts.len() - told.len();
    let kinds = digital_texts(report.price());
    html! {
        @if !texts.is_empty() {
            div {
                h4 { "Break-even" }
                @if !told.is_empty() {
                    ul { @for text in &told { li { (text) } } }
                }
                @if rest > 0 {
                    p {
                        @if told.is_empty() { "No two" } @else { "No other two" }
                        " options change places, at any quantity up to " (copies(MOST_ORDERED)) "."
                    }
                }
            }
        }
        @if !kinds.is_empty() {
            div {
                h4 { "Digital or plates" }
                ul { @for text in &kinds { li { (text) } } }
            }
        }
    }
}

fn where_it_goes(report: &PageReport<'_>, quantity: usize) -> Markup {
    let bars: Vec<StageBar> = drawn_options(report)
        .into_iter()
        .filter_map(|at| {
            let estimate = &report.options()[at].estimates[quantity];
            Some(StageBar {
                option: report.number_of(at)?,
                recommended: report.is_best(at, quantity),
                amounts: group_amounts(estimate),
                total: report.money(estimate.total),
            })
        })
        .collect();
    let order = copies(report.price().quantities[quantity]);
    let label = format!("Where the money goes for {order}; the figures stand in the table below");
    html! {
        figure {
            (stage_bars(&format!("b{quantity}"), &bars, &label))
            figcaption { (order) ", " (report.code()) }
        }
    }
}

/// What the letters stand for, with the amounts of the suggested option at every quantity told.
fn stage_table(report: &PageReport<'_>) -> Markup {
    let told = report.told_quantities();
    let columns: Vec<(usize, Vec<Money>)> = told
        .iter()
        .map(|&at| {
            let option = report.price().best[at];
            (at, group_amounts(&report.options()[option].estimates[at]))
        })
        .collect();
    let used = |group: &usize| columns.iter().any(|(_, a)| a[*group] != Money::ZERO);
    html! {
        table {
            caption { "Stages of the suggested options, " (report.code()) }
            thead {
                tr {
                    th scope="col" .words { "Stage" }
                    @for (at, _) in &columns {
                        th scope="col" .figures {
                            (copies(report.price().quantities[*at]))
                            @if let Some(number) = report.number_of(report.price().best[*at]) {
                                ", option " (number)
                            }
                        }
                    }
                }
            }
            tbody {
                @for group in (0..GROUPS.len()).filter(used) {
                    tr {
                        th scope="row" .words {
                            (stage_key(&format!("k{group}"), group)) " " (GROUPS[group].0) ", " (GROUPS[group].1)
                        }
                        @for (_, amounts) in &columns { td .figures { (report.money(amounts[group])) } }
                    }
                }
                tr .total {
                    th scope="row" .words { "Total" }
                    @for (_, amounts) in &columns {
                        td .figures { (report.money(amounts.iter().copied().sum())) }
                    }
                }
            }
        }
    }
}

/// How low and how high the prices may come out, and what moves them.
fn ranges(report: &PageReport<'_>) -> Markup {
    if report.price().ranges.is_none() {
        return html! {};
    }
    html! {
        h3 { "How low and how high" }
        (range_table(report))
        p .fine {
            "Some rates of the card are ranges. Lowest and highest: all at their cheap or all at their dear ends. Likely: the \
             swings of the single ranges added by their squares, right where they are independent of each other."
        }
        @if let Some(&at) = report.told_quantities().last() { (swings(report, at)) }
    }
}

fn range_table(report: &PageReport<'_>) -> Markup {
    let price = report.price();
    let Some(ranges) = &price.ranges else {
        return html! {};
    };
    let of = |at: usize| &ranges.prices[price.best[at]][at];
    html! {
        table {
            caption { "Range of the suggested options, " (report.code()) }
            thead {
                tr {
                    th scope="col" .words { "Order" }
                    th scope="col" .figures { "Lowest" }
                    th scope="col" .figures { "Likely" }
                    th scope="col" .figures { "Highest" }
                    td .drawing {}
                }
            }
            tbody {
                @for (at, quantity) in price.quantities.iter().enumerate() {
                    @let range = of(at);
                    @let all = [range.lowest, range.likely_low, range.typical, range.likely_high, range.highest];
                    tr {
                        th scope="row" .words { (copies(*quantity)) }
                        td .figures { (report.money(range.lowest)) }
                        td .figures { (report.money(range.likely_low)) " to " (report.money(range.likely_high)) }
                        td .figures { (report.money(range.highest)) }
                        td .drawing {
                            (range_strip(RangeStrip {
                                values: all.map(drawn),
                                scale: (drawn(range.lowest), drawn(range.highest)),
                            }))
                        }
                    }
                }
            }
        }
    }
}

/// What single rates do to the price of the suggested option.
fn swings(report: &PageReport<'_>, quantity: usize) -> Markup {
    let price = report.price();
    let Some(ranges) = &price.ranges else {
        return html! {};
    };
    let all = &ranges.prices[price.best[quantity]][quantity].swings;
    let widest = all
        .iter()
        .flat_map(|s| [s.at_low, s.at_high])
        .map(|m| drawn(m).abs());
    let widest = widest.fold(0.0, f64::max);
    let order = copies(price.quantities[quantity]);
    html! {
        @if !all.is_empty() {
            table {
                caption { "What moves the price most, " (order) ", " (report.code()) }
                thead {
                    tr {
                        th scope="col" .words { "Rate" }
                        th scope="col" .figures { "Low end" }
                        th scope="col" .figures { "High end" }
                        td .drawing {}
                    }
                }
                tbody {
                    @for swing in all.iter().take(MOST_RANGES) {
                        @let rate = &ranges.rates[swing.rate];
                        tr {
                            th scope="row" .words {
                                (name(&rate.name)) br;
                                span .fine { (rate.values[0]) " to " (rate.values[2]) ", line " (rate.place.line) }
                            }
                            td .figures { (signed(report, swing.at_low)) }
                            td .figures { (signed(report, swing.at_high)) }
                            td .drawing { (swing_strip((drawn(swing.at_low), drawn(swing.at_high)), widest)) }
                        }
                    }
                }
            }
            @if all.len() > MOST_RANGES {
                p .fine { (all.len() - MOST_RANGES) " more ranges move it less." }
            }
        }
    }
}

fn signed(report: &PageReport<'_>, amount: Money) -> String {
    if amount.amount() == Decimal::ZERO {
        return "no change".to_owned();
    }
    inkset_report::difference_text(amount, report.price().currency())
}
