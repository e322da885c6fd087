//! Holds what finished jobs took against what their estimates say, and proposes rates.
//!
//! The estimate is that of [`inkset_costing`]; nothing is estimated here. Each figure of a job becomes a ratio, actual by
//! estimated; the ratios of a press, an ink or an operation are averaged after a test for outliers, and their mean, with
//! its interval, is what the rates of the card are multiplied by. Method and assumptions: `docs/learning.md`. Knows no
//! text formatting and no files, and never changes a card.

mod learn;
mod least_squares;
mod observe;
mod outlier;
mod rates;
mod student;

pub use learn::{
    FEWEST_APART, FEWEST_JOBS, Group, Learned, OddJob, Proposal, Ratio, Standing, learn,
};
pub use least_squares::{LeastSquares, fitted};
pub use observe::{
    Basis, Estimated, InkEntry, Measure, Observation, Observed, Subject, Unrated, observe,
};
pub use outlier::{Farthest, outliers, successive};
pub use rates::RateKey;
pub use student::quantile;
