//! What all drawings share: scales, ticks, label placing, fills that differ in grey.

mod axis;
mod fill;
mod labels;

pub(crate) use axis::{Scale, decades, even_ticks};
pub(crate) use fill::{Fill, fills};
pub(crate) use labels::{Placer, Rect, text_width};

use maud::{Markup, html};

use crate::text::number;

/// Height of the letters of a drawing, in its units.
pub(crate) const LETTERS_HIGH: f64 = 12.0;

/// A line from one point to another.
pub(crate) fn line(class: &str, from: (f64, f64), to: (f64, f64)) -> Markup {
    html! {
        line class=(class) x1=(number(from.0)) y1=(number(from.1)) x2=(number(to.0)) y2=(number(to.1)) {}
    }
}

/// Words at a point of their baseline; `class` may be `end` or `middle`.
pub(crate) fn words(class: &str, at: (f64, f64), text: &str) -> Markup {
    html! { text class=(class) x=(number(at.0)) y=(number(at.1)) { (text) } }
}

/// A line through points.
pub(crate) fn polyline(class: &str, points: &[(f64, f64)]) -> Markup {
    let points: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{},{}", number(*x), number(*y)))
        .collect();
    html! { polyline class=(class) points=(points.join(" ")) {} }
}

/// The number of an option in a box; that of a recommended one is filled.
pub(crate) fn badge(centre: (f64, f64), option: usize, recommended: bool) -> Markup {
    let size = badge_size(option);
    let class = if recommended { "badge best" } else { "badge" };
    html! {
        g class=(class) {
            rect x=(number(centre.0 - size.0 / 2.0)) y=(number(centre.1 - size.1 / 2.0)) width=(number(size.0))
                height=(number(size.1)) rx="3" {}
            (words("middle", (centre.0, centre.1 + 4.2), &option.to_string()))
        }
    }
}

/// Extent of a badge.
pub(crate) fn badge_size(option: usize) -> (f64, f64) {
    (text_width(&option.to_string()) + 8.0, 16.0)
}
