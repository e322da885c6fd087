//! The decision in plain words, for those who do not speak the trade's language.

use std::cmp::Ordering;
use std::ops::RangeInclusive;

use inkset_plan::{PlannedSet, Verdict};
use inkset_spec::PROCESS_INKS;
use inkset_units::Money;
use rust_decimal::Decimal;

use super::WeighReport;
use crate::figures::{grouped, listed, money_text};
use crate::price::PricedOption;

/// How a colour that is so far off looks, worst first; ends as in `reach`.
const LOOKS: [(&str, RangeInclusive<f64>); 4] = [
    ("like another colour", 6.01..=f64::INFINITY),
    ("plainly different", 3.51..=6.0),
    ("different when held beside a sample", 2.01..=3.5),
    ("barely but measurably different", 0.0..=2.0),
];

/// Two or three short paragraphs without trade words.
pub fn plain_words(report: &WeighReport<'_>) -> Vec<String> {
    let mut said = vec![standard_inks(report)];
    said.extend(choices(report));
    said.push(
        "A screen cannot show how ink looks on paper: before you decide, ask for a sample on the paper of the job.".to_owned(),
    );
    said
}

/// What the four standard inks make of the colours.
fn standard_inks(report: &WeighReport<'_>) -> String {
    let plan = report.price.plan.plan;
    let set = &plan.sets[plan.four_ink];
    let all = plan.rows.len();
    if all == 0 {
        return "The job has no colours of its own to keep; the four standard inks print it."
            .to_owned();
    }
    let inks = inks_in_words(report, set);
    if set.count(Verdict::Holds) == all {
        return format!("Printed with {inks}, {}.", right(report, set));
    }
    let named = |verdict| -> Vec<&str> {
        let pairs = plan.rows.iter().zip(&set.renderings);
        let wanted = pairs.filter(|(_, rendering)| rendering.verdict == verdict);
        wanted.map(|(row, _)| row.name.as_str()).collect()
    };
    let mut faults = Vec::new();
    for (look, within) in LOOKS {
        let alike: Vec<&str> = plan
            .rows
            .iter()
            .zip(&set.renderings)
            .filter(|(_, r)| r.verdict == Verdict::Misses && within.contains(&r.delta_e))
            .map(|(row, _)| row.name.as_str())
            .collect();
        if !alike.is_empty() {
            faults.push(format!("{} would look {look}", listed(&alike)));
        }
    }
    let drifts = named(Verdict::Drifts);
    if !drifts.is_empty() {
        faults.push(format!(
            "{} would be right on most copies but not on all",
            listed(&drifts)
        ));
    }
    format!(
        "Printed with {inks}, {}; {}.",
        right(report, set),
        faults.join("; ")
    )
}

/// `all 4 colours come out as agreed`.
fn right(report: &WeighReport<'_>, set: &PlannedSet) -> String {
    let all = report.price.plan.plan.rows.len();
    match (set.count(Verdict::Holds), all) {
        (1, 1) => "the one colour of the job comes out as agreed".to_owned(),
        (0, 1) => "the one colour of the job does not come out as agreed".to_owned(),
        (0, _) => format!("none of the {all} colours comes out as agreed"),
        (2, 2) => "both colours come out as agreed".to_owned(),
        (holds, all) if holds == all => format!("all {all} colours come out as agreed"),
        (1, all) => format!("1 of {all} colours comes out as agreed"),
        (holds, all) => format!("{holds} of {all} colours come out as agreed"),
    }
}

/// `the four standard inks and an ink mixed for Pumpkin orange`.
fn inks_in_words(report: &WeighReport<'_>, set: &PlannedSet) -> String {
    let process: Vec<usize> = (0..4)
        .filter(|&at| set.process.iter().any(|ink| ink as usize == at))
        .collect();
    let mut inks: Vec<String> = match process.len() {
        4 => vec!["the four standard inks".to_owned()],
        _ => process
            .iter()
            .map(|&at| PROCESS_INKS[at].to_owned())
            .collect(),
    };
    let names = &report.price.plan.plan.extended;
    let further = set.extended.iter().map(|&ink| names[ink].as_str());
    let further: Vec<&str> = further.collect();
    match further[..] {
        [] => {}
        [one] => inks.push(format!("the further standard ink {one}")),
        _ => inks.push(format!("the further standard inks {}", listed(&further))),
    }
    let mixed = set.solids.iter().map(|&colour| {
        let name = report.colour_name(colour);
        format!("an ink mixed for {name}")
    });
    inks.extend(mixed);
    if inks.is_empty() {
        return "no ink".to_owned();
    }
    listed(&inks)
}

/// What is recommended, quantities with the same advice together.
fn choices(report: &WeighReport<'_>) -> Vec<String> {
    let mut said = Vec::new();
    let mut at = 0;
    let best = &report.price.best;
    while at < best.len() {
        let same = best[at..]
            .iter()
            .take_while(|one| **one == best[at])
            .count();
        said.push(choice(report, at..at + same));
        at += same;
    }
    said
}

fn choice(report: &WeighReport<'_>, quantities: std::ops::Range<usize>) -> String {
    let price = report.price;
    let at = price.best[quantities.start];
    let option = &price.options[at];
    let each: Vec<String> = quantities
        .map(|quantity| sum(report, option, quantity))
        .collect();
    let is_four = price.four_ink == Some(at);
    let why = if !is_four {
        right(report, option.set)
    } else if option.set.count(Verdict::Holds) < price.plan.plan.rows.len() {
        "no further ink would bring more colours right".to_owned()
    } else {
        "nothing further is needed".to_owned()
    };
    let against = match price.four_ink {
        Some(four) if !is_four && price.options[four].set.solids.is_empty() => {
            "Against the standard inks alone, "
        }
        Some(_) if !is_four => "Against the fewest mixed inks, ",
        _ => "",
    };
    let inks = inks_in_words(report, option.set);
    format!("We suggest {inks}: {why}. {against}{}.", each.join("; "))
}

/// `1 000 copies cost EUR 923.00, 145.00 (19 %) more, about 0.14 a copy`.
fn sum(report: &WeighReport<'_>, option: &PricedOption<'_>, quantity: usize) -> String {
    let currency = report.currency();
    let estimate = &option.estimates[quantity];
    let total = money_text(estimate.total, currency);
    let opening = format!(
        "{} copies cost {currency} {total}",
        grouped(&estimate.quantity.to_string())
    );
    let Some(difference) = report.price.difference(option, quantity) else {
        return opening;
    };
    let (size, word) = match difference.cmp(&Money::ZERO) {
        Ordering::Equal => return opening,
        Ordering::Greater => (difference, "more"),
        Ordering::Less => (-difference, "less"),
    };
    let base = estimate.total - difference;
    let share = percent(size, base).map_or(String::new(), |p| format!(" ({p}\u{a0}%)"));
    let each = size.amount() / Decimal::from(estimate.quantity);
    format!(
        "{opening}, {}{share} {word}, about {} a copy",
        money_text(size, currency),
        grouped(&each.round_sf(2).unwrap_or(each).normalize().to_string())
    )
}

/// Whole percent; `None` of nothing.
fn percent(part: Money, whole: Money) -> Option<Decimal> {
    let share = part.amount().checked_mul(Decimal::ONE_HUNDRED)?;
    share.checked_div(whole.amount()).map(|share| share.round())
}
