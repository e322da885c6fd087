//! What actuals teach, for spreadsheets: a line for each measure, and one for each rate that follows.

use super::{LearnReport, kept, plain};
use crate::csv::csv_text;

const COLUMNS: [&str; 16] = [
    "subject",
    "measure",
    "jobs",
    "left_out",
    "estimated",
    "actual",
    "ratio",
    "spread",
    "mean_low",
    "mean_high",
    "next_low",
    "next_high",
    "rate",
    "on_the_card",
    "proposed",
    "interval",
];

/// Ratios first, the rates of each below it.
pub fn learn_csv(report: &LearnReport<'_>) -> String {
    let mut rows = Vec::new();
    for group in &report.learned.groups {
        let number = |value: f64| format!("{value:.4}");
        let mut row = vec![
            report.subject(&group.subject),
            report.measure((&group.subject, group.measure)),
            kept(group).to_string(),
            group.odd.len().to_string(),
            number(group.estimated),
            number(group.actual),
        ];
        let figures = group.ratio.map(|ratio| {
            let ([low, high], [next_low, next_high]) = (ratio.interval, ratio.next_job);
            [ratio.mean, ratio.spread, low, high, next_low, next_high]
        });
        row.extend((0..6).map(|at| figures.map_or_else(String::new, |f| number(f[at]))));
        let about = row[..4].to_vec();
        row.resize(COLUMNS.len(), String::new());
        rows.push(row);
        for proposal in &group.proposals {
            let mut row = about.clone();
            row.resize(12, String::new());
            let [low, high] = proposal.interval;
            row.extend([
                report.rate(&group.subject, proposal.rate),
                plain(proposal.card),
                plain(proposal.proposed),
                format!("{}–{}", plain(low), plain(high)),
            ]);
            rows.push(row);
        }
    }
    csv_text(COLUMNS.map(str::to_owned).to_vec(), rows)
}
