//! What actuals teach, for programs; the form is fixed by `docs/learn.schema.json`.

use inkset_actuals::{Group, Standing};
use schemars::JsonSchema;
use serde::Serialize;

use super::{LearnReport, kept};
use crate::json::pretty;

/// The answer of `inkset learn --format json`.
#[derive(Serialize, JsonSchema)]
struct LearnJson {
    /// Version of the program.
    inkset: &'static str,
    /// Title of the rate card.
    card: String,
    /// Its file.
    card_file: String,
    /// Jobs of all files.
    jobs: usize,
    /// By press, all presses, ink, operation.
    groups: Vec<GroupJson>,
    /// Jobs set aside and what does not suffice, a sentence each.
    remarks: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct GroupJson {
    /// The press, the inks or the operation.
    subject: String,
    /// What was measured, with its unit.
    measure: String,
    /// Jobs measured.
    jobs: usize,
    /// Jobs that the ratio rests on.
    kept: usize,
    /// Sum of the estimates, jobs left out not counted.
    estimated: f64,
    /// Sum of what was measured, jobs left out not counted.
    actual: f64,
    /// Absent with fewer than two jobs.
    ratio: Option<RatioJson>,
    /// Jobs that do not belong with the others.
    left_out: Vec<OddJson>,
    /// Whether rates follow: `apart`, `together`, `too-few`, `too-uncertain`, `several-steps`, `no-rate`.
    standing: &'static str,
    /// Whether the card's values all lie within the intervals of the rates, so that nothing speaks for a change.
    stays: bool,
    rates: Vec<RateJson>,
}

/// Actual by estimated.
#[derive(Serialize, JsonSchema)]
struct RatioJson {
    mean: f64,
    /// Standard deviation from job to job.
    spread: f64,
    /// Holds the mean of ever more such jobs, nine times in ten.
    interval: [f64; 2],
    /// Holds the next such job, nine times in ten.
    next_job: [f64; 2],
}

#[derive(Serialize, JsonSchema)]
struct OddJson {
    job: String,
    ratio: f64,
}

#[derive(Serialize, JsonSchema)]
struct RateJson {
    /// Key on the rate card.
    key: &'static str,
    /// The key with the step of its table and its unit.
    rate: String,
    card: f64,
    proposed: f64,
    /// Holds the true rate nine times in ten.
    interval: [f64; 2],
}

/// JSON Schema of the answer; equals `docs/learn.schema.json`.
pub fn learn_schema() -> String {
    pretty(&schemars::schema_for!(LearnJson))
}

/// Everything, with full precision.
pub fn learn_json(report: &LearnReport<'_>) -> String {
    pretty(&LearnJson {
        inkset: env!("CARGO_PKG_VERSION"),
        card: report.card.title.clone(),
        card_file: report.card_file.clone(),
        jobs: report.jobs,
        groups: report
            .learned
            .groups
            .iter()
            .map(|group| group_json(report, group))
            .collect(),
        remarks: report.remarks(),
    })
}

fn group_json(report: &LearnReport<'_>, group: &Group) -> GroupJson {
    GroupJson {
        subject: report.subject(&group.subject),
        measure: report.measure((&group.subject, group.measure)),
        jobs: group.jobs,
        kept: kept(group),
        estimated: group.estimated,
        actual: group.actual,
        ratio: group.ratio.map(|ratio| RatioJson {
            mean: ratio.mean,
            spread: ratio.spread,
            interval: ratio.interval,
            next_job: ratio.next_job,
        }),
        left_out: group
            .odd
            .iter()
            .map(|odd| OddJson {
                job: odd.job.clone(),
                ratio: odd.ratio,
            })
            .collect(),
        standing: match group.standing {
            Standing::Apart => "apart",
            Standing::Together => "together",
            Standing::TooFew => "too-few",
            Standing::TooUncertain => "too-uncertain",
            Standing::SeveralSteps => "several-steps",
            Standing::NoRate => "no-rate",
        },
        stays: group.stays(),
        rates: group
            .proposals
            .iter()
            .map(|proposal| RateJson {
                key: proposal.rate.key(),
                rate: report.rate(&group.subject, proposal.rate),
                card: proposal.card,
                proposed: proposal.proposed,
                interval: proposal.interval,
            })
            .collect(),
    }
}
