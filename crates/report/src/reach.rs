//! What process inks reach of a palette.

use inkset_colour::{Build, LabD50, srgb_from_lab};
use serde::Serialize;

use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, build_text, hex, round2};

/// The nearest builds of a palette's colours on one printing condition.
#[derive(Debug, Clone, PartialEq)]
pub struct ReachReport {
    /// Name of the printing condition.
    pub condition: String,
    /// Where its figures come from.
    pub source: String,
    /// Largest sum of tone values, percent.
    pub ink_limit: f64,
    /// In the order of the palette.
    pub colours: Vec<ReachedColour>,
}

/// One colour of the palette.
#[derive(Debug, Clone, PartialEq)]
pub struct ReachedColour {
    /// Its name.
    pub name: String,
    /// What it should look like.
    pub target: LabD50,
    /// The nearest build.
    pub build: Build,
}

/// For people.
pub fn reach_document(report: &ReachReport) -> Document {
    let mut document = Document::default();
    document.heading(format!("Nearest builds on {}", report.condition));
    document.text(format!(
        "{}. Total ink limit {} %.",
        report.source.trim_end_matches('.'),
        report.ink_limit
    ));
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Build"),
        Column::figures("ΔE00"),
        Column::words("Seen as"),
    ]);
    for colour in &report.colours {
        table.row(vec![
            Cell::text(&colour.name),
            Cell::text(build_text(colour.build.tones)),
            Cell::DeltaE(colour.build.delta_e),
            Cell::text(seen_as(colour.build.delta_e)),
        ]);
    }
    document.table(table);
    document.text(summary(report));
    document.text(CAUTION_SCREEN);
    document
}

/// What a difference means to the eye (common practice, no source).
pub fn seen_as(delta_e: f64) -> &'static str {
    match delta_e {
        d if d <= 1.0 => "the same",
        d if d <= 2.0 => "barely different",
        d if d <= 3.5 => "different side by side",
        d if d <= 6.0 => "plainly different",
        _ => "another colour",
    }
}

fn summary(report: &ReachReport) -> String {
    let within = |limit: f64| {
        report
            .colours
            .iter()
            .filter(|c| c.build.delta_e <= limit)
            .count()
    };
    format!(
        "Of {} colours, {} come within ΔE00 2 (a brand colour's usual tolerance), {} within 3.5, {} within 6.",
        report.colours.len(),
        within(2.0),
        within(3.5),
        within(6.0)
    )
}

#[derive(Serialize)]
struct ReachedJson<'a> {
    name: &'a str,
    target_lab: [f64; 3],
    build: BuildJson,
    delta_e: f64,
    delta_e_unrounded: f64,
    printed_lab: [f64; 3],
    printed_srgb: String,
}

/// Tone values in whole percents.
#[derive(Serialize)]
#[expect(non_snake_case, reason = "the keys are the letters of the inks")]
pub(crate) struct BuildJson {
    C: u8,
    M: u8,
    Y: u8,
    K: u8,
}

impl From<[u8; 4]> for BuildJson {
    fn from([c, m, y, k]: [u8; 4]) -> Self {
        Self {
            C: c,
            M: m,
            Y: y,
            K: k,
        }
    }
}

/// For programs: one object a colour, in the order of the palette.
pub fn reach_json(report: &ReachReport) -> String {
    let rows: Vec<ReachedJson<'_>> = report
        .colours
        .iter()
        .map(|colour| ReachedJson {
            name: &colour.name,
            target_lab: [colour.target.l, colour.target.a, colour.target.b],
            build: colour.build.tones.into(),
            delta_e: round4(colour.build.delta_e),
            delta_e_unrounded: round4(colour.build.unrounded_delta_e),
            printed_lab: [colour.build.lab.l, colour.build.lab.a, colour.build.lab.b].map(round2),
            printed_srgb: hex(srgb_from_lab(colour.build.lab)),
        })
        .collect();
    crate::json::pretty(&rows)
}

/// For spreadsheets.
pub fn reach_csv(report: &ReachReport) -> String {
    let header = [
        "name",
        "C",
        "M",
        "Y",
        "K",
        "build",
        "delta_e",
        "delta_e_unrounded",
        "L",
        "a",
        "b",
    ]
    .map(str::to_owned)
    .to_vec();
    let rows = report.colours.iter().map(|colour| {
        let mut row = vec![colour.name.clone()];
        row.extend(colour.build.tones.iter().map(u8::to_string));
        row.push(build_text(colour.build.tones));
        row.extend(
            [colour.build.delta_e, colour.build.unrounded_delta_e].map(|d| format!("{d:.4}")),
        );
        row.extend(
            [colour.build.lab.l, colour.build.lab.a, colour.build.lab.b].map(|x| format!("{x:.2}")),
        );
        row
    });
    crate::csv::csv_text(header, rows)
}

fn round4(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
