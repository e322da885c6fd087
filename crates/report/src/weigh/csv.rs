//! Price against colour for spreadsheets: one table, what a line is stands in its first column.

use inkset_plan::Verdict;
use inkset_units::Money;

use super::{LooserWhy, WeighReport};

const HEADER: [&str; 18] = [
    "kind",
    "name",
    "quantity",
    "currency",
    "total",
    "per_thousand",
    "on_frontier",
    "worst_delta_e",
    "weighted_delta_e",
    "holds",
    "drifts",
    "misses",
    "alone",
    "last",
    "share",
    "tolerance",
    "looser_tolerance",
    "saves",
];

/// A line for each option, each price tag and each looser tolerance, at each quantity.
pub fn weigh_csv(report: &WeighReport<'_>) -> String {
    let mut rows = Vec::new();
    for (at, quantity) in report.price.quantities.iter().enumerate() {
        let line = |kind: &str, name: &str| {
            let mut line = vec![String::new(); HEADER.len()];
            kind.clone_into(&mut line[0]);
            name.clone_into(&mut line[1]);
            line[2] = quantity.to_string();
            report.currency().code().clone_into(&mut line[3]);
            line
        };
        rows.extend(options(report, at, line));
        rows.extend(tags(report, at, line));
        rows.extend(looser(report, at, line));
    }
    crate::csv::csv_text(HEADER.map(str::to_owned).to_vec(), rows)
}

fn options(
    report: &WeighReport<'_>,
    at: usize,
    line: impl Fn(&str, &str) -> Vec<String>,
) -> Vec<Vec<String>> {
    let money = |amount: Money| amount.to_text(report.currency());
    let options = report.price.options.iter().map(|option| {
        let estimate = &option.estimates[at];
        let mut line = line("option", &option.set.name);
        line[4] = money(estimate.total);
        line[5] = money(estimate.per_thousand);
        line[6] = option.on_frontier[at].to_string();
        line[7] = format!("{:.2}", option.set.worst_delta_e());
        line[8] = format!("{:.2}", super::weighted(report, option));
        line[9] = option.set.count(Verdict::Holds).to_string();
        line[10] = option.set.count(Verdict::Drifts).to_string();
        line[11] = option.set.count(Verdict::Misses).to_string();
        line
    });
    options.collect()
}

fn tags(
    report: &WeighReport<'_>,
    at: usize,
    line: impl Fn(&str, &str) -> Vec<String>,
) -> Vec<Vec<String>> {
    let money = |amount: Money| amount.to_text(report.currency());
    let solids = report.tags.iter().flatten().map(|solid| {
        let tag = solid.tags[at];
        let mut line = line("price tag", report.colour_name(solid.colour));
        line[12] = money(tag.alone);
        line[13] = money(tag.beside_others);
        line[14] = money(tag.share);
        line
    });
    solids.collect()
}

fn looser(
    report: &WeighReport<'_>,
    at: usize,
    line: impl Fn(&str, &str) -> Vec<String>,
) -> Vec<Vec<String>> {
    let looser = report.looser.iter().map(|looser| {
        let kind = match looser.why {
            LooserWhy::OneMore => "one more delta E",
            LooserWhy::FourInksHold => "four inks hold",
        };
        let mut line = line(kind, report.colour_name(looser.colour));
        line[15] = format!("{:.2}", looser.from);
        line[16] = format!("{:.2}", looser.to);
        line[17] = looser.prices[at].saved().to_text(report.currency());
        line
    });
    looser.collect()
}
