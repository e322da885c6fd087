//! What can be said of a printing condition itself: how its solids sit, how far its figures can be trusted.

mod aims;
mod chart;
mod errors;

pub use aims::{AIM_SOURCE, AIM_TOLERANCE, Aims, SolidStanding, claimed_aims, solids_against};
pub use chart::ChartSummary;
pub use errors::{ErrorSummary, grid_errors, left_out_errors};
