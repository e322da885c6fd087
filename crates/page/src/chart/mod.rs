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
use maud::{Markup, html};
use rust_decimal::prelude::ToPrimitive;

use crate::svg::{Rect, Scale, line, words};

/// Width of a chart, in units; letters of 12 units stay readable where a telephone narrows it.
pub(crate) const WIDTH: f64 = 420.0;

/// Height of the charts with two axes.
pub(crate) const HEIGHT: f64 = 290.0;

/// What a chart with two axes leaves within so much free space left, right, above and below.
fn plot((left, right, top, bottom): (f64, f64, f64, f64)) -> Rect {
    Rect {
        left,
        top,
        right: WIDTH - right,
        bottom: HEIGHT - bottom,
    }
}

/// The values of the upright axis, each with its line across.
fn levels(plot: Rect, y: Scale, values: &[f64]) -> Markup {
    html! {
        @for value in values {
            (line(if *value == 0.0 { "axis" } else { "grid" }, (plot.left, y.at(*value)), (plot.right, y.at(*value))))
            (words("end", (plot.left - 6.0, y.at(*value) + 4.0), &tick_text(*value)))
        }
    }
}

/// An amount as a length; what is read stands in figures beside it.
pub(crate) fn drawn(amount: Money) -> f64 {
    amount.amount().to_f64().unwrap_or(0.0)
}

/// A round value of an axis, without needless decimals.
pub(crate) fn tick_text(value: f64) -> String {
    let whole = |value: f64| (value - value.round()).abs() < 1e-9;
    let decimals = match value {
        _ if whole(value) => 0,
        _ if whole(value * 10.0) || value.abs() >= 1.0 => 1,
        _ => 2,
    };
    let text = format!("{value:.decimals$}");
    inkset_report::grouped(&text)
}
