//! How the job lies on its sheets.

use inkset_layout::{Imposition, Parting, PlacedPiece};
use inkset_report::listed;
use maud::{Markup, html};

use super::{PageReport, PlacedSections, SheetChoice};
use crate::chart::WIDTH;
use crate::svg::{line, text_width, words};
use crate::text::{copies, name, number};

pub(super) fn sheets(report: &PageReport<'_>) -> Markup {
    html! {
        @if !report.sheets.is_empty() {
            section #sheets aria-labelledby="sheets-title" {
                h2 #sheets-title { "On the sheet" }
                p .fine {
                    "How the suggested options are printed. Dashed: what the press can print on; the gripper holds the edge below."
                }
                div .charts { @for choice in &report.sheets { (part(report, choice)) } }
            }
        }
    }
}

/// A figure for each drawing; one of words where there is none.
fn part(report: &PageReport<'_>, choice: &SheetChoice) -> Markup {
    let job = report.price().plan.job;
    let orders: Vec<String> = choice.quantities.iter().map(|q| copies(*q)).collect();
    let opening = html! {
        strong { (name(&job.parts[choice.part].name.value)) } ", " (listed(&orders)) ": " (name(&choice.text)) "."
    };
    html! {
        @if choice.placed.is_empty() {
            p .fine { (opening) " This layout is not drawn." }
        }
        @for (n, PlacedSections { pages, imposition }) in choice.placed.iter().enumerate() {
            figure .sheet {
                (drawing(*pages, imposition))
                figcaption {
                    @if n == 0 { (opening) " Drawn: " } @else { "The same: " }
                    (laid(*pages, imposition)) "."
                }
            }
        }
    }
}

const LEFT: f64 = 34.0;
const ABOVE: f64 = 22.0;

/// The press sheet with its sections, cuts and measures.
fn drawing(pages: u32, placed: &Imposition) -> Markup {
    let (wide, high) = (placed.sheet.width.mm(), placed.sheet.height.mm());
    let scale = (WIDTH - LEFT - 4.0) / wide.max(high);
    let at = |x: f64, y: f64| (LEFT + x * scale, ABOVE + y * scale);
    let (right, below) = at(wide, high);
    let label = format!("{} on a sheet of {}", laid(pages, placed), placed.sheet);
    let box_of = |class: &str, piece: PlacedPiece| {
        let (x, y) = at(piece.x, piece.y);
        html! {
            rect class=(class) x=(number(x)) y=(number(y)) width=(number(piece.width * scale))
                height=(number(piece.height * scale)) {}
        }
    };
    let whole = PlacedPiece {
        x: 0.0,
        y: 0.0,
        width: wide,
        height: high,
    };
    html! {
        svg class="chart" viewBox={ "0 0 " (number(WIDTH)) " " (number(below + 20.0)) } role="img" aria-label=(label) {
            (box_of("paper-sheet", whole))
            (box_of("printable", placed.printed))
            @for (n, piece) in placed.pieces.iter().enumerate() {
                (box_of("section", *piece))
                (section_words(n, piece, (at(piece.x, piece.y), scale)))
            }
            @for cut in &placed.cuts { (line("cut", at(cut.x1, cut.y1), at(cut.x2, cut.y2))) }
            (words("middle", (f64::midpoint(LEFT, right), 14.0), &format!("{wide:.0} mm")))
            text class="middle" transform={
                "translate(" (number(LEFT - 10.0)) " " (number(f64::midpoint(ABOVE, below))) ") rotate(-90)"
            } { (format!("{high:.0} mm")) }
            (line("gripper", (LEFT, below), (right, below)))
            (words("middle", (f64::midpoint(LEFT, right), below + 14.0), "gripper edge"))
        }
    }
}

/// `8 sections of 4 pages, work-and-turn`, and that a die strikes them out.
fn laid(pages: u32, placed: &Imposition) -> String {
    let plural = |n: usize| if n == 1 { "" } else { "s" };
    let up = placed.pieces.len();
    format!(
        "{up} section{} of {pages} page{}, {}{}",
        plural(up),
        plural(pages as usize),
        placed.style.name(),
        match placed.parting {
            Parting::Cut => "",
            Parting::Die => ", struck out by a die",
        }
    )
}

/// The number of the section, where it has room.
fn section_words(n: usize, piece: &PlacedPiece, ((x, y), scale): ((f64, f64), f64)) -> Markup {
    let text = (n + 1).to_string();
    let room = piece.width * scale > text_width(&text) + 6.0 && piece.height * scale > 18.0;
    let centre = (
        x + piece.width * scale / 2.0,
        y + piece.height * scale / 2.0 + 4.0,
    );
    html! { @if room { (words("middle", centre, &text)) } }
}
