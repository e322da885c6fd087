//! Papers that go out: one page of HTML, or PDF.

mod letters;
mod pdf;
mod sheet;

pub use pdf::{Format, paper_pdf};

use inkset_plan::{Conditions, Plan, PlannedSet, Row};
use inkset_report::{Block, Paper, PaperBlock, PaperColour, PaperInk, hex};
use inkset_spec::Job;
use maud::{Markup, html};

use crate::loupe::{FIELD, Loupe, loupe, loupe_drawing};
use crate::report::{dots_text, loupe_label};
use crate::shell::Shell;
use crate::swatch::effect_swatch;
use crate::table::table;
use crate::text::{name, told};

/// What loupe views are drawn from.
pub struct LoupeViews<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its colours.
    pub plan: &'a Plan,
    /// What they were judged on.
    pub conditions: &'a Conditions<'a>,
    /// The ink set that prints them.
    pub set: &'a PlannedSet,
}

/// The whole file.
pub fn paper_page(paper: &Paper) -> String {
    page(paper, &html! {})
}

/// The whole file of a delivery sheet, with a loupe view of every colour that has one.
pub fn arrival_page(paper: &Paper, of: &LoupeViews<'_>) -> String {
    page(paper, &views(of))
}

fn views(of: &LoupeViews<'_>) -> Markup {
    let pairs = of.plan.rows.iter().zip(&of.set.renderings).enumerate();
    let views =
        pairs.filter_map(|(at, pair)| Some((at, pair.0, loupe(of.job, of.conditions, pair)?)));
    let views: Vec<(usize, &Row, Loupe)> = views.collect();
    html! {
        @if !views.is_empty() {
            div .loupes {
                @for (at, row, view) in &views {
                    figure {
                        (loupe_drawing(&format!("v{at}"), view, &loupe_label(row, view)))
                        figcaption { strong { (name(&row.name)) } br; (name(&dots_text(view))) }
                    }
                }
            }
            p .fine { "Views are " (format!("{FIELD:.1}")) " mm across; angles and round dots are common practice: ask the printer for theirs." }
        }
    }
}

fn page(paper: &Paper, loupes: &Markup) -> String {
    let title = format!("{}: {}", paper.kind, paper.title);
    let body = html! {
        header { (head(paper)) }
        main {
            @for section in sections(&paper.blocks) {
                section { @for block in section { (piece(block, loupes)) } }
            }
        }
        footer { p { (name(&paper.foot)) } p { "Made with inkset " (env!("CARGO_PKG_VERSION")) "." } }
    };
    Shell {
        title: &title,
        body,
    }
    .into_text()
}

/// Blocks from heading to heading.
fn sections(blocks: &[PaperBlock]) -> impl Iterator<Item = &[PaperBlock]> {
    let is_heading = |block: &PaperBlock| matches!(block, PaperBlock::Plain(Block::Heading(_)));
    blocks.chunk_by(move |_, next| !is_heading(next))
}

fn head(paper: &Paper) -> Markup {
    html! {
        div .letterhead {
            @if !paper.from.is_empty() {
                p .sender { @for line in &paper.from { (name(line)) br; } }
            }
            dl .facts { @for (what, value) in &paper.facts { div { dt { (what) } dd { (name(value)) } } } }
        }
        p .kind { (paper.kind) }
        h1 { (name(&paper.title)) }
        @if !paper.to.is_empty() {
            p .client { "for " @for line in &paper.to { (name(line)) br; } }
        }
        @if let Some(draft) = &paper.draft { p .caution role="note" { (draft) } }
    }
}

fn piece(block: &PaperBlock, loupes: &Markup) -> Markup {
    match block {
        PaperBlock::Plain(Block::Heading(text)) => html! { h2 { (name(text)) } },
        PaperBlock::Plain(Block::Text(text)) => html! { p { (told(text)) } },
        PaperBlock::Plain(Block::List(items)) => html! {
            ul { @for item in items { li { (told(item)) } } }
        },
        PaperBlock::Plain(Block::Table(rows)) => table(&caption(rows), rows),
        PaperBlock::Plain(Block::Sketch(text)) => html! { pre { (text) } },
        PaperBlock::Colours(colours) => html! {
            ul .printed { @for colour in colours { li { (patch(colour)) } } }
        },
        PaperBlock::Loupes => loupes.clone(),
        PaperBlock::Blanks(fields) => html! {
            dl .blanks { @for field in fields { div { dt { (name(field)) } dd { "\u{a0}" } } } }
        },
    }
}

/// What a table is, from its columns.
fn caption(table: &inkset_report::Table) -> Markup {
    let titles = table.columns.iter().map(|column| column.title.as_str());
    let titles: Vec<&str> = titles.filter(|title| !title.is_empty()).collect();
    html! { span .hidden { (titles.join(", ")) } }
}

/// A colour on the white of its paper.
fn patch(colour: &PaperColour) -> Markup {
    let [ground, shown] = [colour.paper, colour.srgb].map(hex);
    html! {
        div .paper data-srgb=(ground) style={ "background-color:" (ground) } {
            @match &colour.ink {
                PaperInk::Effect(_) => (effect_swatch("whole")),
                _ => span class="swatch whole" data-srgb=(shown) style={ "background-color:" (shown) } {},
            }
        }
        (name(&colour.name))
    }
}
