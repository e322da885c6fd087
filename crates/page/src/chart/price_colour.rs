//! Price against colour at one quantity.

use inkset_plan::Verdict;
use maud::{Markup, html};

use super::{HEIGHT, WIDTH, levels, plot, tick_text};
use crate::svg::{
    Placer, Rect, Scale, badge, badge_size, even_ticks, line, polyline, text_width, words,
};
use crate::text::number;

/// An option in the chart.
#[derive(Debug, Clone)]
pub(crate) struct ColourPoint {
    /// Its number in the tables.
    pub(crate) option: usize,
    /// Total.
    pub(crate) price: f64,
    /// Largest ΔE00 at the aim.
    pub(crate) delta_e: f64,
    /// Worst verdict.
    pub(crate) verdict: Verdict,
    /// No other is both cheaper and better.
    pub(crate) on_frontier: bool,
    /// Recommended at this quantity.
    pub(crate) recommended: bool,
}

/// Free space left, right, above and below of what is drawn.
const EDGES: (f64, f64, f64, f64) = (36.0, 14.0, 30.0, 42.0);

/// Draws the options: cheap to the left, true colour below.
pub(crate) fn price_colour(points: &[ColourPoint], (currency, label): (&str, &str)) -> Markup {
    let plot = plot(EDGES);
    let prices = points.iter().map(|p| p.price);
    let (least, most) = prices.fold((f64::INFINITY, 0.0_f64), |(l, m), p| (l.min(p), m.max(p)));
    let across = even_ticks(least.min(most), most.max(least + 1.0), 4);
    let worst = points.iter().map(|p| p.delta_e).fold(1.0, f64::max);
    let up = even_ticks(0.0, worst, 4);
    let scales = (
        Scale::even((first(&across), last(&across)), (plot.left, plot.right)),
        Scale::even((0.0, last(&up)), (plot.bottom, plot.top)),
    );
    html! {
        svg class="chart" viewBox={ "0 0 " (number(WIDTH)) " " (number(HEIGHT)) } role="img" aria-label=(label) {
            (axes(plot, scales, (&across, &up)))
            (words("title", (0.0, 13.0), "Worst colour difference, ΔE00"))
            (words("end title", (WIDTH, HEIGHT - 4.0), &format!("Total price, {currency}")))
            (marks(points, plot, scales))
        }
    }
}

fn first(ticks: &[f64]) -> f64 {
    ticks.first().copied().unwrap_or(0.0)
}

fn last(ticks: &[f64]) -> f64 {
    ticks.last().copied().unwrap_or(1.0)
}

fn axes(plot: Rect, (x, y): (Scale, Scale), (across, up): (&[f64], &[f64])) -> Markup {
    let widest = across.iter().map(|v| text_width(&tick_text(*v)));
    let widest = widest.fold(0.0, f64::max);
    let room = (plot.right - plot.left) / (across.len().max(2) - 1) as f64;
    let every = if widest + 8.0 > room { 2 } else { 1 };
    html! {
        (levels(plot, y, up))
        @for (at, value) in across.iter().enumerate() {
            (line("axis", (x.at(*value), plot.bottom), (x.at(*value), plot.bottom + 4.0)))
            @if at % every == 0 {
                (words(anchor(at, across.len()), (x.at(*value), plot.bottom + 18.0), &tick_text(*value)))
            }
        }
    }
}

/// The last value would stand out of the drawing.
fn anchor(at: usize, all: usize) -> &'static str {
    if at + 1 == all { "end" } else { "middle" }
}

fn marks(points: &[ColourPoint], plot: Rect, (x, y): (Scale, Scale)) -> Markup {
    let place = |p: &ColourPoint| (x.at(p.price), y.at(p.delta_e));
    let mut frontier: Vec<&ColourPoint> = points.iter().filter(|p| p.on_frontier).collect();
    frontier.sort_by(|a, b| a.price.total_cmp(&b.price));
    let steps: Vec<(f64, f64)> = frontier.iter().map(|p| place(p)).collect();
    let mut placer = Placer::within(Rect {
        top: plot.top - 12.0,
        ..plot
    });
    for point in points {
        placer.take(Rect::around(place(point), (13.0, 13.0)));
    }
    placer.take_line(&steps);
    let placed: Vec<(&ColourPoint, Rect)> = points
        .iter()
        .map(|p| (p, placer.near(place(p), badge_size(p.option))))
        .collect();
    html! {
        (polyline("frontier", &steps))
        @for (point, rect) in &placed { (line("leader", place(point), rect.centre())) }
        @for point in points { (mark_of(place(point), point.verdict)) }
        @for (point, rect) in &placed { (badge(rect.centre(), point.option, point.recommended)) }
    }
}

/// Full where every colour holds, half where one drifts, empty where one misses.
pub(crate) fn mark_of((x, y): (f64, f64), verdict: Verdict) -> Markup {
    let (left, right) = (x - 5.0, x + 5.0);
    html! {
        @match verdict {
            Verdict::Holds => circle class="mark" cx=(number(x)) cy=(number(y)) r="5" {},
            Verdict::Drifts => {
                circle class="mark open" cx=(number(x)) cy=(number(y)) r="5" {}
                path class="mark" d={
                    "M" (number(left)) " " (number(y)) "A5 5 0 0 0 " (number(right)) " " (number(y)) "Z"
                } {}
            }
            Verdict::Misses => circle class="mark open" cx=(number(x)) cy=(number(y)) r="5" {},
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_prices_are_drawn_too() {
        let point = |option| ColourPoint {
            option,
            price: 0.0,
            delta_e: 0.0,
            verdict: Verdict::Drifts,
            on_frontier: true,
            recommended: option == 1,
        };
        let text = price_colour(&[point(1), point(2)], ("EUR", "chart")).into_string();
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        assert!(text.contains("badge best"));
    }
}
