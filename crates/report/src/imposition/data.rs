//! Imposed sheets for programs and spreadsheets.

use serde::Serialize;

use super::ImpositionReport;

#[derive(Serialize)]
struct ReportJson<'a> {
    title: &'a str,
    option: &'a str,
    quantity: u64,
    sections: Vec<SectionJson<'a>>,
}

#[derive(Serialize)]
struct SectionJson<'a> {
    part: &'a str,
    press: &'a str,
    section: u32,
    sections: u32,
    pages: &'a [u32],
    sheet_mm: [f64; 2],
    grain: &'static str,
    work_style: &'static str,
    up: usize,
    parting: &'static str,
    gripper_mm: f64,
    /// Plates of another part that stay on for it, in words; null where it has its own.
    plates: Option<&'a str>,
    sides: Vec<SideJson>,
}

#[derive(Serialize)]
struct SideJson {
    side: &'static str,
    pages: Vec<PageJson>,
    inks: Vec<InkJson>,
    folds: Vec<FoldJson>,
    cuts: Vec<[f64; 4]>,
}

#[derive(Serialize)]
struct InkJson {
    ink: String,
    mean_percent: f64,
}

#[derive(Serialize)]
struct PageJson {
    page: Option<u32>,
    head: &'static str,
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

#[derive(Serialize)]
struct FoldJson {
    fold: u32,
    line: [f64; 4],
}

const fn word(head: inkset_layout::Head) -> &'static str {
    use inkset_layout::Head::{Down, Left, Right, Up};
    match head {
        Up => "up",
        Right => "right",
        Down => "down",
        Left => "left",
    }
}

/// Front and back of every sheet, each as it is seen.
fn sides(section: &super::ImposedSection) -> Vec<SideJson> {
    let imposition = &section.imposition;
    let both = [("front", imposition.front()), ("back", imposition.back())];
    let one_sided = imposition.style == inkset_layout::WorkStyle::OneSided;
    let shown = both.into_iter().take(if one_sided { 1 } else { 2 });
    shown
        .map(|(name, side)| SideJson {
            side: name,
            pages: side
                .pages
                .iter()
                .map(|(place, page, head)| PageJson {
                    page: *page,
                    head: word(*head),
                    x: place.x,
                    y: place.y,
                    width: place.width,
                    height: place.height,
                })
                .collect(),
            inks: section
                .coverage(&side)
                .into_iter()
                .map(|(ink, share)| InkJson {
                    ink: ink.to_owned(),
                    mean_percent: (share * 100_000.0).round() / 1_000.0,
                })
                .collect(),
            folds: side
                .folds
                .iter()
                .map(|fold| FoldJson {
                    fold: fold.number,
                    line: [fold.line.x1, fold.line.y1, fold.line.x2, fold.line.y2],
                })
                .collect(),
            cuts: side.cuts.iter().map(|c| [c.x1, c.y1, c.x2, c.y2]).collect(),
        })
        .collect()
}

/// For programs. Lengths in mm from the upper left corner of the sheet as the side is seen, the gripper edge below.
pub fn imposition_json(report: &ImpositionReport) -> String {
    let sections = report.sections.iter().map(|s| {
        let imposition = &s.imposition;
        SectionJson {
            part: &s.part,
            press: &s.press,
            section: s.number,
            sections: s.of,
            pages: &s.pages,
            sheet_mm: [imposition.sheet.width.mm(), imposition.sheet.height.mm()],
            grain: imposition.grain.word(),
            work_style: imposition.style.name(),
            up: imposition.pieces.len(),
            parting: match imposition.parting {
                inkset_layout::Parting::Cut => "cut",
                inkset_layout::Parting::Die => "die",
            },
            gripper_mm: s.gripper_mm,
            plates: Some(s.plates.as_str()).filter(|plates| !plates.is_empty()),
            sides: sides(s),
        }
    });
    crate::json::pretty(&ReportJson {
        title: &report.title,
        option: &report.option,
        quantity: report.quantity,
        sections: sections.collect(),
    })
}

/// For spreadsheets: one line for each page on each side.
pub fn imposition_csv(report: &ImpositionReport) -> String {
    let header = [
        "part",
        "section",
        "side",
        "page",
        "head",
        "x_mm",
        "y_mm",
        "width_mm",
        "height_mm",
    ];
    let mut rows = Vec::new();
    for section in &report.sections {
        for side in sides(section) {
            for page in &side.pages {
                rows.push(vec![
                    section.part.clone(),
                    section.number.to_string(),
                    side.side.to_owned(),
                    page.page.map_or(String::new(), |page| page.to_string()),
                    page.head.to_owned(),
                    page.x.to_string(),
                    page.y.to_string(),
                    page.width.to_string(),
                    page.height.to_string(),
                ]);
            }
        }
    }
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
