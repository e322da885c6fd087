//! Charts: prices against colour and quantity, and what a price is made of.
//!
//! Options go by their numbers, as in the tables; names would collide. A value is told by place, shape or pattern, never by
//! colour alone.

mod per_thousand;
mod price_colour;
mod stages;
mod strips;

pub(crate) use per_thousand::{BreakEvenMark, Curve, per_thousand};
pub(crate) use price_colour::{ColourPoint, mark_of, price_colour};
pub(crate) use stages::{GROUPS, StageBar, group_amounts, stage_bars, stage_key};
pub(crate) use strips::{RangeStrip, range_strip, swing_strip};

use inkset_units::Money;
use rust_decimal::prelude::ToPrimitive;

/// Width of a chart, in units; letters of 12 units stay readable where a telephone narrows it.
pub(crate) const WIDTH: f64 = 420.0;

/// Height of the charts with two axes.
pub(crate) const HEIGHT: f64 = 290.0;

/// An amount as a length; what is read stands in figures beside it.
pub(crate) fn drawn(amount: Money) -> f64 {
    amount.amount().to_f64().unwrap_or(0.0)
}

/// A round value of an axis, without needless decimals.
pub(crate) fn tick_text(value: f64) -> String {
    let text = if (value - value.round()).abs() < 1e-9 {
        format!("{value:.0}")
    } else {
        let decimals = if value.abs() < 1.0 { 2 } else { 1 };
        format!("{value:.decimals$}")
    };
    inkset_report::grouped(&text)
}
