//! Price of 1,000 copies against the quantity.

use maud::{Markup, html};

use super::{HEIGHT, WIDTH, levels, plot, tick_text};
use crate::svg::{
    Placer, Rect, Scale, badge, badge_size, decades, even_ticks, line, polyline, text_width, words,
};
use crate::text::number;

/// One option over all quantities.
#[derive(Debug, Clone)]
pub(crate) struct Curve {
    /// Its number in the tables.
    pub(crate) option: usize,
    /// Recommended at some quantity.
    pub(crate) recommended: bool,
    /// Copies and price per 1,000, ascending by copies.
    pub(crate) points: Vec<(f64, f64)>,
    /// The same at the quantities priced.
    pub(crate) priced: Vec<(f64, f64)>,
}

/// Where two curves cross.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BreakEvenMark {
    /// Copies.
    pub(crate) copies: u64,
    /// Price per 1,000 there.
    pub(crate) price: f64,
}

/// Free space left, right, above and below of what is drawn.
const EDGES: (f64, f64, f64, f64) = (52.0, 34.0, 30.0, 42.0);

/// Draws the curves, each with its number at its end.
pub(crate) fn per_thousand(
    curves: &[Curve],
    crossings: &[BreakEvenMark],
    (currency, label): (&str, &str),
) -> Markup {
    let plot = plot(EDGES);
    let all = || curves.iter().flat_map(|curve| &curve.points);
    let low = all().map(|p| p.0).fold(f64::INFINITY, f64::min);
    let high = all().map(|p| p.0).fold(1.0, f64::max);
    let most = all().map(|p| p.1).fold(0.0, f64::max);
    let up = even_ticks(0.0, most.max(1e-6), 4);
    let scales = (
        Scale::ratios((low.min(high), high), (plot.left, plot.right)),
        Scale::even((0.0, up[up.len() - 1]), (plot.bottom, plot.top)),
    );
    html! {
        svg class="chart" viewBox={ "0 0 " (number(WIDTH)) " " (number(HEIGHT)) } role="img" aria-label=(label) {
            (axes(plot, scales, (&decades(low, high), &up)))
            (words("title", (0.0, 13.0), &format!("Price of 1\u{a0}000 copies, {currency}")))
            (words("end title", (WIDTH, HEIGHT - 4.0), "Copies ordered"))
            (lines(curves, crossings, plot, scales))
        }
    }
}

fn axes(plot: Rect, (x, y): (Scale, Scale), (across, up): (&[f64], &[f64])) -> Markup {
    let mut free = f64::NEG_INFINITY;
    let mut shown = Vec::new();
    for value in across {
        let half = text_width(&tick_text(*value)) / 2.0;
        let at = x.at(*value);
        if at - half > free && at + half <= WIDTH {
            shown.push(*value);
            free = at + half + 8.0;
        }
    }
    html! {
        (levels(plot, y, up))
        @for value in across {
            (line("axis", (x.at(*value), plot.bottom), (x.at(*value), plot.bottom + 4.0)))
        }
        @for value in &shown {
            (words("middle", (x.at(*value), plot.bottom + 18.0), &tick_text(*value)))
        }
    }
}

fn lines(
    curves: &[Curve],
    crossings: &[BreakEvenMark],
    plot: Rect,
    (x, y): (Scale, Scale),
) -> Markup {
    let placed = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
        points.iter().map(|p| (x.at(p.0), y.at(p.1))).collect()
    };
    let mut placer = Placer::within(Rect {
        right: WIDTH,
        top: plot.top - 10.0,
        ..plot
    });
    for curve in curves {
        placer.take_line(&placed(&curve.points));
    }
    let ends: Vec<(&Curve, Rect)> = curves
        .iter()
        .filter_map(|curve| {
            let end = *placed(&curve.points).last()?;
            Some((curve, placer.beside(end, badge_size(curve.option))))
        })
        .collect();
    let crossings: Vec<_> = crossings
        .iter()
        .map(|mark| {
            let at = (x.at(mark.copies as f64), y.at(mark.price));
            let text = tick_text(mark.copies as f64);
            let rect = placer.near(at, (text_width(&text), 14.0));
            (at, text, rect)
        })
        .collect();
    html! {
        @for curve in curves {
            (polyline(&class(curve), &placed(&curve.points)))
            @for (cx, cy) in placed(&curve.priced) {
                circle class="mark" cx=(number(cx)) cy=(number(cy)) r="3" {}
            }
        }
        @for (at, text, rect) in &crossings {
            (line("leader", *at, rect.centre()))
            path class="crossing" d={
                "M" (number(at.0)) " " (number(at.1 - 5.0)) "l5 5l-5 5l-5-5z"
            } {}
            rect class="behind" x=(number(rect.left - 1.0)) y=(number(rect.top)) width=(number(rect.right - rect.left + 2.0))
                height=(number(rect.bottom - rect.top)) {}
            (words("middle", (rect.centre().0, rect.bottom - 3.0), text))
        }
        @for (curve, rect) in &ends { (badge(rect.centre(), curve.option, curve.recommended)) }
    }
}

fn class(curve: &Curve) -> String {
    let weight = if curve.recommended { " best" } else { "" };
    format!("curve d{}{weight}", curve.option % 5)
}
