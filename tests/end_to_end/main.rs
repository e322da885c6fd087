//! The `inkset` binary from outside: exit code, standard output, standard error.
#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test fails as the test does: loudly"
)]

mod artwork;
mod compare;
mod compare_rates;
mod condition;
mod coverage;
mod coverage_pdf;
mod demos;
mod enquire;
mod layout;
mod learn;
mod overrides;
mod palettes;
mod plan;
mod quote;
mod ranges;
mod reach;
mod reach_near;
mod refusals;
mod report;
mod report_offers;
mod run;
mod starter;
mod weigh;
mod worked;
