//! Small bars within tables: ranges of a price and what moves it.

use maud::{Markup, html};

use crate::svg::line;
use crate::text::number;

const WIDTH: f64 = 120.0;
const HEIGHT: f64 = 14.0;

/// A price that may come out low or high.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RangeStrip {
    /// Lowest, likely from, typical, likely to, highest.
    pub(crate) values: [f64; 5],
    /// Ends of the scale.
    pub(crate) scale: (f64, f64),
}

fn place(value: f64, (from, to): (f64, f64)) -> f64 {
    if to > from {
        2.0 + (value - from) / (to - from) * (WIDTH - 4.0)
    } else {
        WIDTH / 2.0
    }
}

/// A thin line from lowest to highest, a bar over the likely range, a stroke at the typical price.
pub(crate) fn range_strip(strip: RangeStrip) -> Markup {
    let [lowest, low, typical, high, highest] = strip.values.map(|v| place(v, strip.scale));
    let middle = HEIGHT / 2.0;
    html! {
        svg class="strip" viewBox={ "0 0 " (number(WIDTH)) " " (number(HEIGHT)) } aria-hidden="true" {
            (line("axis", (lowest, middle), (highest, middle)))
            rect class="likely" x=(number(low)) y="4" width=(number((high - low).max(0.5))) height="6" {}
            (line("typical", (typical, 1.0), (typical, HEIGHT - 1.0)))
        }
    }
}

/// Bars from the typical price to both ends of one rate; the side of the low end is hollow.
pub(crate) fn swing_strip((at_low, at_high): (f64, f64), widest: f64) -> Markup {
    let scale = (-widest, widest);
    let zero = place(0.0, scale);
    let bar = |value: f64| {
        let at = place(value, scale);
        (at.min(zero), (at - zero).abs())
    };
    let (low, high) = (bar(at_low), bar(at_high));
    html! {
        svg class="strip" viewBox={ "0 0 " (number(WIDTH)) " " (number(HEIGHT)) } aria-hidden="true" {
            rect class="low" x=(number(low.0)) y="2.5" width=(number(low.1)) height="9" {}
            rect class="high" x=(number(high.0)) y="2.5" width=(number(high.1)) height="9" {}
            (line("typical", (zero, 0.0), (zero, HEIGHT)))
        }
    }
}
