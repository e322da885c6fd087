//! What other quantities would cost: run-on, reprint, leeway, fixed and variable part, break-evens, falls.

use inkset_costing::{BreakEven, Crossing, Estimate, Growth, Pair};
use inkset_units::Money;

use super::{PriceReport, PricedOption};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{grouped, money_text};

/// Changes of places that are told one by one.
const MOST_CHANGES_TOLD: usize = 2;

/// Run-on, leeway and reprint of the options shown, their straight lines and where they cross.
pub(super) fn quantities(document: &mut Document, report: &PriceReport<'_>) {
    document.heading("Other quantities");
    document.table(table(report));
    document.text(format!(
        "Run-on: what 1\u{a0}000 more copies add. Copies more or less: a delivery within {} % of the order, charged or credited at the run-on. Reprint: the same again from kept plates{}.",
        report.plan.job.delivery_tolerance.value.percent(),
        if has_tools(report) { " and tools" } else { "" }
    ));
    let shown: Vec<_> = report.shown().collect();
    let lines = shown.iter().enumerate();
    document.list(
        lines
            .filter_map(|(number, (_, option))| line_text(report, option, number + 1))
            .collect(),
    );
    let pairs = break_even_texts(report);
    if !pairs.is_empty() {
        document.heading("Break-even");
        document.list(pairs);
    }
    let kinds = digital_texts(report);
    if !kinds.is_empty() {
        document.heading("Digital or plates");
        document.list(kinds);
    }
    document.list(fall_warnings(report));
}

/// Whether a die, a block or another tool is paid for.
fn has_tools(report: &PriceReport<'_>) -> bool {
    let estimates = report.shown().flat_map(|(_, option)| &option.estimates);
    estimates
        .flat_map(|estimate| &estimate.lines)
        .any(|line| matches!(line.formula, "tool" | "tool-per-up"))
}

/// A sentence for every two options shown, by their numbers in the tables: which is cheaper at which quantities.
pub fn break_even_texts(report: &PriceReport<'_>) -> Vec<String> {
    let shown: Vec<usize> = report.shown().map(|(option, _)| option).collect();
    let numbered = |at: usize| shown.iter().position(|option| *option == at);
    let pairs = report.break_evens.iter().filter_map(|pair| {
        let numbers = [numbered(pair.one)? + 1, numbered(pair.other)? + 1];
        Some(pair_text(report, pair, numbers))
    });
    pairs.collect()
}

/// A sentence for every option shown that both kinds of press can print: which is cheaper at which quantities.
pub fn digital_texts(report: &PriceReport<'_>) -> Vec<String> {
    let shown: Vec<usize> = report.shown().map(|(option, _)| option).collect();
    let text = |(option, break_even): &(usize, BreakEven)| {
        let number = shown.iter().position(|at| at == option)? + 1;
        let said = compared_text(report, break_even, kind_of_press);
        Some(format!("{number}: {said}"))
    };
    report.digital.iter().filter_map(text).collect()
}

pub(super) fn kind_of_press(digital: bool) -> String {
    if digital { "digital" } else { "plates" }.to_owned()
}

fn table(report: &PriceReport<'_>) -> Table {
    let currency = report.currency();
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::words("Ink set"),
        Column::figures("Copies"),
        Column::figures("Run-on"),
        Column::figures("More or less"),
        Column::figures("in money"),
        Column::figures("Reprint"),
    ]);
    for (number, (_, option)) in report.shown().enumerate() {
        for (at, estimate) in option.estimates.iter().enumerate() {
            let (first, name) = if at == 0 {
                (Cell::Count(number as u64 + 1), Cell::text(option.name()))
            } else {
                (Cell::Empty, Cell::Empty)
            };
            table.row(vec![
                first,
                name,
                Cell::Count(estimate.quantity),
                Cell::Money(estimate.run_on, currency),
                Cell::text(format!("±\u{a0}{}", copies(estimate.leeway.copies))),
                Cell::text(leeway_text(report, estimate)),
                Cell::Money(estimate.reprint, currency),
            ]);
        }
    }
    table
}

fn leeway_text(report: &PriceReport<'_>, estimate: &Estimate) -> String {
    format!(
        "±\u{a0}{}",
        money_text(estimate.leeway.amount, report.currency())
    )
}

fn copies(count: u64) -> String {
    grouped(&count.to_string())
}

fn line_text(report: &PriceReport<'_>, option: &PricedOption<'_>, number: usize) -> Option<String> {
    let split = option.growth.split?;
    let money = |amount: Money| money_text(amount, report.currency());
    Some(format!(
        "{number}: about {} and {} for each 1\u{a0}000 copies; at most {} off within the quantities priced",
        money(split.fixed),
        money(split.per_thousand),
        money(split.worst)
    ))
}

fn pair_text(report: &PriceReport<'_>, pair: &Pair, numbers: [usize; 2]) -> String {
    let [one, other] = numbers;
    let number = |second: bool| if second { other } else { one }.to_string();
    let said = compared_text(report, &pair.break_even, number);
    format!("{one} and {other}: {said}")
}

/// How two prices compare, each called by what `name` gives for the first and the second.
fn compared_text(
    report: &PriceReport<'_>,
    break_even: &BreakEven,
    name: impl Fn(bool) -> String,
) -> String {
    match break_even {
        BreakEven::Equal => "the same price at every quantity".to_owned(),
        BreakEven::Never {
            second_is_lower,
            at_one,
            at_most,
        } => never_text(report, &name(!second_is_lower), (*at_one, *at_most)),
        BreakEven::At(crossings) => crossings_text(crossings, name),
    }
}

fn never_text(
    report: &PriceReport<'_>,
    dearer: &str,
    (at_one, (most, at_most)): (Money, (u64, Money)),
) -> String {
    let more = |amount: Money| {
        if amount == Money::ZERO {
            return "the same".to_owned();
        }
        format!("{} more", money_text(amount, report.currency()))
    };
    format!(
        "never, because {dearer} costs {} at 1 copy, {} at {} copies, and no less at any quantity compared between",
        more(at_one),
        more(at_most),
        copies(most)
    )
}

fn crossings_text(crossings: &[Crossing], number: impl Fn(bool) -> String) -> String {
    let before = crossings.first().map_or(0, |first| first.first - 1);
    let dearer_after = crossings.first().is_some_and(|c| !c.second_is_lower);
    let mut said = vec![format!(
        "{} is cheaper up to {} copies",
        number(dearer_after),
        copies(before)
    )];
    if let [_, .., last] = crossings
        && crossings.len() > MOST_CHANGES_TOLD
    {
        let then = if last.second_is_lower == dearer_after {
            " and again from".to_owned()
        } else {
            format!(", {} from", number(last.second_is_lower))
        };
        return format!(
            "{}{then} {}; in between the two lie close together and change places as packs and single sheets fall",
            said[0],
            copies(last.settled)
        );
    }
    said.extend(crossings.iter().map(|crossing| {
        let cheaper = number(crossing.second_is_lower);
        let from = format!("{cheaper} from {}", copies(crossing.first));
        if crossing.settled == crossing.first {
            return from;
        }
        let last = copies(crossing.settled - 1);
        format!("{from} (up to {last} they change places with single sheets and packs)")
    }));
    said.join(", ")
}

/// A sentence for each quantity beyond which an option shown costs less in all.
pub fn fall_warnings(report: &PriceReport<'_>) -> Vec<String> {
    let shown = report.shown();
    shown
        .flat_map(|(_, option)| fall_texts(report, option))
        .collect()
}

fn fall_texts(report: &PriceReport<'_>, option: &PricedOption<'_>) -> Vec<String> {
    let Growth { falls, .. } = &option.growth;
    let text = |fall: &inkset_costing::Fall| {
        let total = |amount: Money| money_text(amount, report.currency());
        format!(
            "{}: {} copies cost {}, less than {} copies at {}: ask for the larger order or check the rates",
            option.name(),
            copies(fall.to.0),
            total(fall.to.1),
            copies(fall.from.0),
            total(fall.from.1)
        )
    };
    falls.iter().map(text).collect()
}

/// First quantity from which the option stays cheaper or dearer than the process-ink option; empty without one.
pub(super) fn against_four_ink(report: &PriceReport<'_>, option: usize) -> String {
    let is_pair = |pair: &&Pair| {
        Some(pair.one) == report.four_ink && pair.other == option
            || Some(pair.other) == report.four_ink && pair.one == option
    };
    let Some(pair) = report.break_evens.iter().find(is_pair) else {
        return String::new();
    };
    match &pair.break_even {
        BreakEven::At(crossings) => crossings
            .iter()
            .map(|crossing| crossing.settled.to_string())
            .collect::<Vec<_>>()
            .join(" "),
        BreakEven::Never { .. } => "never".to_owned(),
        BreakEven::Equal => "equal".to_owned(),
    }
}
