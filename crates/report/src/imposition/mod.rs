//! Sheets with the pages of their sections in place.

mod data;
mod svg;

use inkset_layout::{ImposedSide, Imposition, Parting, WorkStyle};

use crate::document::Document;
use crate::sketch::{Mark, sketch_marked};

pub use data::{imposition_csv, imposition_json};
pub use svg::imposition_svg;

/// Width of a sketch, characters.
const SKETCH_COLUMNS: usize = 72;

/// One section on its press sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct ImposedSection {
    /// Name of the part.
    pub part: String,
    /// Name of the press.
    pub press: String,
    /// Number of the section in the part, from 1.
    pub number: u32,
    /// Sections of the part.
    pub of: u32,
    /// Pages of the part that the section has, in order.
    pub pages: Vec<u32>,
    /// Width of the gripper edge, mm.
    pub gripper_mm: f64,
    /// Where everything lies.
    pub imposition: Imposition,
    /// Plates of another part that stay on for it, in words; empty where it has its own.
    pub plates: String,
    /// Inks of the section in printing order, each with its share of every page of `pages`, 0 to 1.
    pub inks: Vec<(String, Vec<f64>)>,
}

/// What is printed for one option at one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpositionReport {
    /// Title of the job.
    pub title: String,
    /// Name of the ink set.
    pub option: String,
    /// Copies ordered.
    pub quantity: u64,
    /// Sections of all parts.
    pub sections: Vec<ImposedSection>,
}

impl ImposedSection {
    /// `text, section 1 of 2: pages 1-8, 25-32`.
    pub(crate) fn name(&self) -> String {
        let pages = ranges(&self.pages);
        let word = if self.pages.len() == 1 {
            "page"
        } else {
            "pages"
        };
        if self.of == 1 {
            return format!("{}: {word} {pages}", self.part);
        }
        format!(
            "{}, section {} of {}: {word} {pages}",
            self.part, self.number, self.of
        )
    }

    /// `B2 press, sheet 640 × 450 mm, work-and-turn, 8 up; grain along the long edge`.
    pub(crate) fn way(&self) -> String {
        let imposition = &self.imposition;
        format!(
            "{}, sheet {}, {}, {} up{}; grain along the {} edge",
            self.press,
            imposition.sheet,
            imposition.style.name(),
            imposition.pieces.len(),
            match imposition.parting {
                Parting::Cut => "",
                Parting::Die => ", struck out by a die",
            },
            imposition.grain.word()
        )
    }

    /// The sides to be shown, each with its name.
    pub(crate) fn sides(&self) -> Vec<(&'static str, ImposedSide)> {
        let front = self.imposition.front();
        match self.imposition.style {
            WorkStyle::OneSided => vec![("Front", front)],
            WorkStyle::WorkAndTurn => vec![("Front, and back when turned sideways", front)],
            WorkStyle::WorkAndTumble => vec![("Front, and back when tumbled", front)],
            WorkStyle::Sheetwise | WorkStyle::Perfecting => vec![
                ("Front", front),
                ("Back, turned over sideways", self.imposition.back()),
            ],
        }
    }

    /// Mean share of the pages of a side that each of its inks covers, 0 to 1; inks that the side has.
    pub(crate) fn coverage(&self, side: &ImposedSide) -> Vec<(&str, f64)> {
        let mut pages: Vec<usize> = Vec::new();
        for (_, page, _) in &side.pages {
            let at = page.and_then(|page| self.pages.iter().position(|known| *known == page));
            pages.extend(at);
        }
        let mean = |shares: &Vec<f64>| {
            let sum: f64 = pages.iter().map(|&at| shares[at]).sum();
            sum / pages.len().max(1) as f64
        };
        let inks = self
            .inks
            .iter()
            .map(|(name, shares)| (name.as_str(), mean(shares)));
        inks.filter(|(_, share)| *share > 0.0).collect()
    }

    /// What the gripper takes hold of.
    pub(crate) fn grippers(&self) -> String {
        let mm = self.gripper_mm;
        if self.imposition.grips_both_edges() {
            format!("gripper edge below, {mm} mm; above for the other side")
        } else {
            format!("gripper edge below, {mm} mm")
        }
    }
}

/// `1-8, 25-32`.
fn ranges(pages: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for page in pages {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *page => *last = *page,
            _ => runs.push((*page, *page)),
        }
    }
    let run = |(first, last): &(u32, u32)| {
        if first == last {
            first.to_string()
        } else {
            format!("{first}-{last}")
        }
    };
    runs.iter().map(run).collect::<Vec<_>>().join(", ")
}

/// For people: every sheet drawn in characters.
pub fn imposition_document(report: &ImpositionReport) -> Document {
    let mut document = Document::default();
    document.heading(report.title.clone());
    let copies = crate::figures::grouped(&report.quantity.to_string());
    document.text(format!(
        "{} at {copies} copies, as `price` prints it. Arrows point to the heads of the pages; dotted lines are folded in the order \
         of their numbers, {}.",
        report.option,
        full_lines(report)
    ));
    for section in &report.sections {
        document.heading(section.name());
        let way = format!("{}; {}", section.way(), section.grippers());
        document.text(match section.plates.as_str() {
            "" => format!("{way}."),
            plates => format!("{way}; {plates}."),
        });
        for (name, side) in section.sides() {
            document.text(format!("{name}:"));
            document.sketch(drawn(section, &side));
            document.text(covered(&section.coverage(&side)));
        }
    }
    document
}

/// What is done along the outlines of the pieces.
fn full_lines(report: &ImpositionReport) -> &'static str {
    let has = |parting| {
        report
            .sections
            .iter()
            .any(|s| s.imposition.parting == parting)
    };
    match (has(Parting::Cut), has(Parting::Die)) {
        (_, false) => "full lines around the pieces are cut",
        (false, true) => "a die strikes out what full lines surround",
        (true, true) => {
            "full lines around the pieces are cut or, where a sheet says so, struck by a die"
        }
    }
}

/// `Ink on this form, mean of its pages: cyan 12.40 %, black 5.00 %; in all 17.40 %.`
fn covered(inks: &[(&str, f64)]) -> String {
    if inks.is_empty() {
        return "No ink on this form.".to_owned();
    }
    let shown = |(name, share): &(&str, f64)| format!("{name} {:.2} %", share * 100.0);
    let all: Vec<String> = inks.iter().map(shown).collect();
    let sum: f64 = inks.iter().map(|(_, share)| share).sum();
    format!(
        "Ink on this form, mean of its pages: {}; in all {:.2} %.",
        all.join(", "),
        sum * 100.0
    )
}

fn drawn(section: &ImposedSection, side: &ImposedSide) -> String {
    let mut marks = Vec::new();
    for fold in &side.folds {
        let (line, number) = (fold.line, fold.number);
        marks.push(Mark::Dotted((line.x1, line.y1), (line.x2, line.y2)));
        let at = (
            f64::midpoint(line.x1, line.x2),
            f64::midpoint(line.y1, line.y2),
        );
        // Beside the middle, where another fold may cross.
        let at = if (line.x1 - line.x2).abs() < 1e-6 {
            (at.0, line.y1 + (line.y2 - line.y1) * 0.12)
        } else {
            (line.x1 + (line.x2 - line.x1) * 0.06, at.1)
        };
        let room = f64::INFINITY;
        marks.push(Mark::Text(at, (room, room), vec![number.to_string()]));
    }
    for (place, page, head) in &side.pages {
        let at = (place.x + place.width / 2.0, place.y + place.height / 2.0);
        let page = page.map_or("–".to_owned(), |page| page.to_string());
        let texts = vec![format!("{}{page}", head.arrow()), page];
        marks.push(Mark::Text(at, (place.width, place.height), texts));
    }
    let sheet = section.imposition.sheet;
    let sheet = (sheet.width.mm(), sheet.height.mm());
    let drawing = sketch_marked(sheet, &side.pieces, &marks, SKETCH_COLUMNS);
    let grain = match section.imposition.grain {
        inkset_spec::SheetGrain::Long => "◄─ grain ─►",
        inkset_spec::SheetGrain::Short => "▲ grain ▼",
    };
    let below = format!("▔▔▔ gripper ▔▔▔   {grain}");
    let indent = SKETCH_COLUMNS.saturating_sub(below.chars().count()) / 2;
    format!("{drawing}\n{}{below}", " ".repeat(indent))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_told_in_runs() {
        assert_eq!(ranges(&[1, 2, 3, 4, 29, 30, 31, 32]), "1-4, 29-32");
        assert_eq!(ranges(&[1, 2, 7]), "1-2, 7");
        assert_eq!(ranges(&[]), "");
    }
}
