//! Equal pieces on a sheet.

use inkset_layout::{PlacedPiece, SheetCut};
use inkset_units::{Millimetres, Size};
use serde::Serialize;

use crate::document::{Cell, Column, Document, Table};
use crate::sketch::sketch;

/// Width of the sketch, characters.
const SKETCH_COLUMNS: usize = 64;

/// What was asked for and what came out.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetReport {
    /// The whole sheet.
    pub sheet: Size,
    /// Its edges left free: left, right, bottom, top.
    pub margins: [Millimetres; 4],
    /// One piece, with bleed.
    pub piece: Size,
    /// Distance between pieces.
    pub gap: Millimetres,
    /// Pieces and cuts on the sheet within its margins.
    pub cut: SheetCut,
}

impl SheetReport {
    /// Share of the whole sheet that becomes no piece, in percent.
    pub fn waste_percent(&self) -> f64 {
        100.0 * (1.0 - f64::from(self.cut.count) * self.piece.area_m2() / self.sheet.area_m2())
    }

    fn turned(&self) -> usize {
        let as_written = |p: &&PlacedPiece| (p.width - self.piece.width.mm()).abs() < 1e-6;
        self.cut.pieces.len() - self.cut.pieces.iter().filter(as_written).count()
    }

    /// Corner of the area within the margins, from the corner of the whole sheet.
    fn offset(&self) -> (f64, f64) {
        (self.margins[0].mm(), self.margins[3].mm())
    }

    /// The pieces, counted from the corner of the whole sheet.
    fn pieces(&self) -> impl Iterator<Item = PlacedPiece> {
        let (dx, dy) = self.offset();
        self.cut.pieces.iter().map(move |piece| PlacedPiece {
            x: piece.x + dx,
            y: piece.y + dy,
            ..*piece
        })
    }
}

/// For people.
pub fn sheet_document(report: &SheetReport) -> Document {
    let mut document = Document::default();
    document.heading(format!(
        "{} pieces of {} on {}",
        report.cut.count, report.piece, report.sheet
    ));
    let mut facts = Table::new(vec![Column::words(""), Column::figures("")]);
    for (name, value) in facts_of(report) {
        facts.row(vec![Cell::text(name), Cell::text(value)]);
    }
    document.table(facts);
    if report.cut.count > 0 {
        let pieces: Vec<PlacedPiece> = report.pieces().collect();
        document.sketch(sketch(
            (report.sheet.width.mm(), report.sheet.height.mm()),
            &pieces,
            SKETCH_COLUMNS,
        ));
    }
    document
}

fn facts_of(report: &SheetReport) -> Vec<(&'static str, String)> {
    let slack = |mm: Option<f64>| mm.map_or("no size would".to_owned(), |mm| format!("{mm:.2} mm"));
    vec![
        ("of these turned", report.turned().to_string()),
        ("cuts between them", report.cut.cuts.len().to_string()),
        (
            "waste of the whole sheet",
            format!("{:.1} %", report.waste_percent()),
        ),
        (
            "one more piece if the width grew by",
            slack(report.cut.slack_width_mm),
        ),
        (
            "one more piece if the height grew by",
            slack(report.cut.slack_height_mm),
        ),
    ]
}

#[derive(Serialize)]
struct SheetJson {
    sheet_mm: [f64; 2],
    piece_mm: [f64; 2],
    margins_mm: [f64; 4],
    gap_mm: f64,
    count: u32,
    turned: usize,
    slack_mm: Option<f64>,
    slack_width_mm: Option<f64>,
    slack_height_mm: Option<f64>,
    waste_percent: f64,
    pieces: Vec<PieceJson>,
    cuts: Vec<CutJson>,
}

#[derive(Serialize)]
struct PieceJson {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

#[derive(Serialize)]
struct CutJson {
    x1: f64,
    y1: f64,
    x2: f64,
    y2: f64,
}

/// For programs. Lengths in mm from the upper left corner of the whole sheet.
pub fn sheet_json(report: &SheetReport) -> String {
    let (dx, dy) = report.offset();
    let json = SheetJson {
        sheet_mm: [report.sheet.width.mm(), report.sheet.height.mm()],
        piece_mm: [report.piece.width.mm(), report.piece.height.mm()],
        margins_mm: report.margins.map(Millimetres::mm),
        gap_mm: report.gap.mm(),
        count: report.cut.count,
        turned: report.turned(),
        slack_mm: report.cut.slack_mm(),
        slack_width_mm: report.cut.slack_width_mm,
        slack_height_mm: report.cut.slack_height_mm,
        waste_percent: (report.waste_percent() * 100.0).round() / 100.0,
        pieces: report
            .pieces()
            .map(|p| PieceJson {
                x: p.x,
                y: p.y,
                width: p.width,
                height: p.height,
            })
            .collect(),
        cuts: report
            .cut
            .cuts
            .iter()
            .map(|c| CutJson {
                x1: c.x1 + dx,
                y1: c.y1 + dy,
                x2: c.x2 + dx,
                y2: c.y2 + dy,
            })
            .collect(),
    };
    crate::json::pretty(&json)
}

/// For spreadsheets: one line a piece.
pub fn sheet_csv(report: &SheetReport) -> String {
    let header = ["piece", "x_mm", "y_mm", "width_mm", "height_mm"]
        .map(str::to_owned)
        .to_vec();
    let rows = report.pieces().enumerate().map(|(at, p)| {
        vec![
            (at + 1).to_string(),
            p.x.to_string(),
            p.y.to_string(),
            p.width.to_string(),
            p.height.to_string(),
        ]
    });
    crate::csv::csv_text(header, rows)
}
