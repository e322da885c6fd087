//! Prices ink sets from a rate card, line by line.
//!
//! Works backwards from good copies through finishing, runs and spoilage to parent sheets, on every press, parent sheet and
//! work style; the cheapest wins. Money is decimal from rate to total: each line is rounded once, half to even, and totals
//! are sums of rounded lines. Formulas: `docs/costing.md`. Knows no text formatting, no files and no colour.

mod break_even;
mod by_hand;
mod choice;
mod choose;
mod clicks;
mod closing;
mod curve;
mod delivery;
mod error;
mod estimate;
mod explain;
mod finish;
mod floor;
mod frontier;
mod further;
mod further_press;
mod hand_way;
mod hanging;
mod inks;
mod kept;
mod ledger;
mod line;
mod operation;
mod outlook;
mod paper;
mod part_cost;
mod plates;
mod press;
mod pricer;
mod range;
mod rate;
mod reel;
mod route;
mod second_pass;
mod shares;
mod suggest;
mod tag;
mod typed;
mod used;
mod versions;
mod washing;
mod waste;
mod ways;
mod winner;
mod words;

pub use break_even::{BreakEven, Crossing, MOST_ORDERED};
pub use by_hand::{nameable, unused_overrides};
pub use choice::{Weighed, best_within, cheapest_as_good, cheapest_that_holds, recommended};
pub use curve::{Fall, Split, falls, fitted};
pub use error::CannotPrint;
pub use estimate::{
    Estimate, FurtherPress, KeptPlates, Leeway, OwnPlates, PartChoice, RunChoice, RunnerUp,
    SectionChoice,
};
pub use explain::Explanation;
pub use frontier::frontier;
pub use inkset_layout::{InkId, InkKind, InkShare, InkSpec, PageInks, PartInks, PrintPlan};
pub use line::{ByHand, CostLine, Input, Stage, Unit};
pub use outlook::{Growth, Pair};
pub use pricer::{PricedPlan, Pricer, estimate};
pub use range::{PriceRange, Swing, price_ranges};
pub use reel::ReelUse;
pub use second_pass::SecondPass;
pub use suggest::{Move, Suggestion, suggestions};
pub use tag::{MOST_SHARED, PriceTag, price_tags};
pub use typed::{RunTimes, run_times};
pub use used::InkUse;
pub use versions::{VersionLayout, VersionUp};
pub use washing::PressWashing;
