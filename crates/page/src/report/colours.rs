//! Every colour: wanted, out of process inks, from its own ink; under the loupe; what is reached near it.

use inkset_colour::{Direction, Neighbour};
use inkset_plan::{RenderingKind, Row};
use inkset_report::{build_text, conditions_text, listed, prediction_notes, printed_as, seen_as};
use inkset_spec::{Importance, SolidChoice};
use maud::{Markup, html};

use super::{PageReport, Way, verdict_words};
use crate::loupe::{FIELD, Loupe, loupe, loupe_drawing, ruling};
use crate::swatch::{effect_swatch, paper_ground, swatch};
use crate::text::{name, told};

pub(super) fn colours(report: &PageReport<'_>) -> Markup {
    let plan = report.price().plan;
    html! {
        section #colours aria-labelledby="colours-title" {
            h2 #colours-title { "The colours" }
            @if report.rows().is_empty() {
                p { "The job has no flat colours of its own; pictures are printed from process inks." }
            } @else {
                p { (name(&conditions_text(plan))) }
                @for (at, row) in report.rows().iter().enumerate() { (colour(report, at, row)) }
                (loupe_notes(report))
                @for note in notes(report) { p .fine { (told(&note)) } }
            }
        }
    }
}

/// What the recommended options' figures rest on.
fn notes(report: &PageReport<'_>) -> Vec<String> {
    let mut options = report.price().best.clone();
    options.sort_unstable();
    options.dedup();
    let plan = report.price().plan;
    options
        .into_iter()
        .flat_map(|at| {
            let set = report.options()[at].set;
            let notes = set.notes(plan.job, &plan.plan.rows).into_iter();
            notes
                .map(|note| format!("{}.", note.text))
                .chain(
                    prediction_notes(plan, set)
                        .into_iter()
                        .map(|n| format!("{n}.")),
                )
                .collect::<Vec<_>>()
        })
        .collect()
}

fn colour(report: &PageReport<'_>, at: usize, row: &Row) -> Markup {
    let ways = report.ways(at);
    html! {
        article .colour {
            h3 { (name(&row.name)) }
            p .fine { (asked(report, row)) }
            div .specimen {
                (paper_ground(report.paper(row), &patches(row, &ways)))
                div {
                    (ways_table(report, row, &ways))
                    (loupes(report, (at, row), &ways))
                }
            }
            (near(report, at, row))
        }
    }
}

/// `Brand colour, accepted up to ΔE00 2.0; on cover and text.`
fn asked(report: &PageReport<'_>, row: &Row) -> Markup {
    let importance = match row.importance {
        Importance::Brand => "Brand colour",
        Importance::Matching => "Matching colour",
        Importance::Decorative => "Decorative colour",
    };
    let job = report.price().plan.job;
    let parts: Vec<String> = row
        .parts
        .iter()
        .map(|part| job.parts[*part].name.value.clone())
        .collect();
    html! {
        (importance) ", accepted up to ΔE00 " (format!("{:.1}", row.tolerance)) "; on " (name(&listed(&parts))) "."
    }
}

/// The colour wanted across the top, what is printed below it, all touching.
fn patches(row: &Row, ways: &[Way<'_>]) -> Markup {
    html! {
        div .patches {
            div .wanted { (swatch("whole", row.target)) }
            @for way in ways {
                div {
                    @match way.rendering.lab {
                        Some(lab) if way.rendering.kind != RenderingKind::Effect => (swatch("whole", lab)),
                        _ => (effect_swatch("whole")),
                    }
                }
            }
        }
    }
}

fn ways_table(report: &PageReport<'_>, row: &Row, ways: &[Way<'_>]) -> Markup {
    html! {
        table .ways {
            caption { "Wanted above; below, left to right, as listed" }
            thead {
                tr {
                    th scope="col" .words { "Printed from" }
                    th scope="col" .figures { "ΔE00 aim" }
                    th scope="col" .figures { "ΔE00 press" }
                    th scope="col" .words { "Verdict" }
                }
            }
            tbody {
                @for way in ways { (way_row(report, row, way)) }
                @if report.price().plan.job.colours[row.colour].solid.value == SolidChoice::Refused {
                    tr {
                        th scope="row" .words { "Own ink" }
                        td .words colspan="3" { "refused by the job" }
                    }
                }
            }
        }
    }
}

fn way_row(report: &PageReport<'_>, row: &Row, way: &Way<'_>) -> Markup {
    let rendering = way.rendering;
    html! {
        tr {
            th scope="row" .words {
                (way.kind.title()) br;
                span .fine { (name(&printed_as(report.price().plan, rendering))) }
            }
            @if rendering.kind == RenderingKind::Effect {
                td .figures { "–" }
                td .figures { "–" }
                td .words { "an effect: no screen and no build shows it" }
            } @else {
                td .figures { (format!("{:.2}", rendering.delta_e)) }
                td .figures { (format!("{:.2}", rendering.delta_e_on_press)) }
                td .words { (verdict_words(rendering, row.tolerance)) }
            }
        }
    }
}

/// What the magnifier shows of every way, side by side.
fn loupes(report: &PageReport<'_>, (at, row): (usize, &Row), ways: &[Way<'_>]) -> Markup {
    let job = report.price().plan.job;
    let views: Vec<(usize, &Way<'_>, Loupe)> = ways
        .iter()
        .enumerate()
        .filter_map(|(n, way)| {
            let view = loupe(job, report.conditions, (row, way.rendering))?;
            Some((n, way, view))
        })
        .collect();
    html! {
        @if !views.is_empty() {
            div .loupes {
                @for (n, way, view) in &views {
                    figure {
                        (loupe_drawing(&format!("l{at}w{n}"), view, &loupe_label(row, view)))
                        figcaption { strong { (way.kind.title()) } br; (dots_words(view)) }
                    }
                }
            }
        }
    }
}

pub(crate) fn loupe_label(row: &Row, view: &Loupe) -> String {
    format!(
        "Under the loupe, {}: {}",
        inkset_report::printable(&row.name),
        inkset_report::printable(&dots_text(view))
    )
}

/// `cyan 75 % at 15°, yellow 89 % at 0°`, or `an even film of Pumpkin orange`.
pub(crate) fn dots_text(view: &Loupe) -> String {
    let inks = view.inks.iter().map(|ink| {
        if ink.dots.is_even() {
            format!("{}, an even film", ink.name)
        } else {
            format!(
                "{} {:.0}\u{a0}% at {:.0}°",
                ink.name, ink.tone, ink.dots.angle
            )
        }
    });
    let inks: Vec<String> = inks.collect();
    if inks.is_empty() {
        "bare paper".to_owned()
    } else {
        inks.join("; ")
    }
}

fn dots_words(view: &Loupe) -> Markup {
    html! { span .fine { (name(&dots_text(view))) } }
}

fn loupe_notes(report: &PageReport<'_>) -> Markup {
    let mut kinds: Vec<f64> = report
        .conditions
        .of_parts
        .iter()
        .map(|condition| ruling(condition.paper_kind()))
        .collect();
    kinds.sort_by(f64::total_cmp);
    kinds.dedup();
    let rulings: Vec<String> = kinds
        .iter()
        .map(|ruling| format!("{ruling:.0} lines/cm ({:.0} lines/in)", ruling * 2.54))
        .collect();
    html! {
        p .fine {
            "Loupe views are " (format!("{FIELD:.1}")) " mm across, at " (listed(&rulings)) ", angles cyan 15°, magenta 75°, \
             yellow 0°, black 45°, round dots: common practice; ask the printer for theirs. Dots have the size that they have on \
             paper, tone value increase included. Through a loupe a build shows a rosette of dots, an own ink an even film: so \
             what was paid for can be checked on delivery."
        }
    }
}

/// Colours that process inks do reach, where the build misses.
fn near(report: &PageReport<'_>, at: usize, row: &Row) -> Markup {
    let near = &report.near[at];
    html! {
        @if !near.is_empty() {
            div .near {
                h4 { "Within reach of process inks near " (name(&row.name)) }
                ul {
                    li {
                        (paper_ground(report.paper(row), &swatch("whole", row.target)))
                        strong { "wanted" }
                    }
                    @for neighbour in near { (reached(report, row, neighbour)) }
                }
            }
        }
    }
}

fn reached(report: &PageReport<'_>, row: &Row, neighbour: &Neighbour) -> Markup {
    let kept = match neighbour.direction {
        Direction::Nearest => "nearest",
        Direction::SameHue => "same hue",
        Direction::SameLightness => "same lightness",
    };
    html! {
        li {
            (paper_ground(report.paper(row), &swatch("whole", neighbour.build.lab)))
            strong { (kept) } br;
            (build_text(neighbour.build.tones)) br;
            span .fine { "ΔE00 " (format!("{:.2}", neighbour.build.delta_e)) ": " (seen_as(neighbour.build.delta_e)) }
        }
    }
}
