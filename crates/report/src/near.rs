//! Colours that process inks reach near those that they miss.

use inkset_colour::{LabD50, Neighbour, hue_difference, srgb_from_lab};
use serde::Serialize;

use crate::ReachedColour;
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, build_text, hex, round2};
use crate::reach::BuildJson;

/// The neighbours of a palette's missed colours on one printing condition.
#[derive(Debug, Clone, PartialEq)]
pub struct NearReport {
    /// Name of the printing condition.
    pub condition: String,
    /// Largest sum of tone values, percent.
    pub ink_limit: f64,
    /// ΔE00 beyond which a colour is missed.
    pub tolerance: f64,
    /// In the order of the palette.
    pub colours: Vec<NearColour>,
}

/// One colour of the palette.
#[derive(Debug, Clone, PartialEq)]
pub struct NearColour {
    /// The colour and its nearest build.
    pub reached: ReachedColour,
    /// Where it is missed, the colours that are reached, one for each direction that has one.
    pub neighbours: Vec<Neighbour>,
}

/// For people.
pub fn near_document(report: &NearReport) -> Document {
    let mut document = Document::default();
    document.heading(format!("Colours within reach on {}", report.condition));
    let missed: Vec<&NearColour> = report
        .colours
        .iter()
        .filter(|colour| !colour.neighbours.is_empty())
        .collect();
    document.text(format!(
        "Of {} colours, {} miss by more than ΔE00 {}. Total ink limit {} %. The neighbours keep the hue or the lightness to within one unit.",
        report.colours.len(),
        missed.len(),
        report.tolerance,
        report.ink_limit
    ));
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Kept"),
        Column::words("Build"),
        Column::figures("L a b"),
        Column::words("sRGB"),
        Column::figures("ΔE00"),
    ]);
    for colour in missed {
        for (at, neighbour) in colour.neighbours.iter().enumerate() {
            let name = if at == 0 { &colour.reached.name } else { "" };
            table.row(vec![
                Cell::text(name),
                Cell::text(neighbour.direction.words()),
                Cell::text(build_text(neighbour.build.tones)),
                Cell::text(lab_text(neighbour.build.lab)),
                Cell::text(hex(srgb_from_lab(neighbour.build.lab))),
                Cell::DeltaE(neighbour.build.delta_e),
            ]);
        }
    }
    document.table(table);
    document.text(CAUTION_SCREEN);
    document
}

/// `62.5 29.8 39.7`.
pub(crate) fn lab_text(lab: LabD50) -> String {
    let one = |value: f64| (value * 10.0).round() / 10.0 + 0.0;
    format!("{:.1} {:.1} {:.1}", one(lab.l), one(lab.a), one(lab.b))
}

#[derive(Serialize)]
struct NearJson<'a> {
    name: &'a str,
    target_lab: [f64; 3],
    target_srgb: String,
    misses: bool,
    tolerance: f64,
    neighbours: Vec<NeighbourJson>,
}

#[derive(Serialize)]
struct NeighbourJson {
    /// `nearest`, `same hue` or `same lightness`.
    kept: &'static str,
    build: BuildJson,
    lab: [f64; 3],
    srgb: String,
    delta_e: f64,
    /// L* less that of the target.
    lightness_difference: f64,
    /// C* less that of the target.
    chroma_difference: f64,
    /// ΔH*ab, without sign.
    hue_difference: f64,
}

/// For programs: one object a colour, in the order of the palette.
pub fn near_json(report: &NearReport) -> String {
    let rows: Vec<NearJson<'_>> = report
        .colours
        .iter()
        .map(|colour| NearJson {
            name: &colour.reached.name,
            target_lab: axes(colour.reached.target),
            target_srgb: hex(srgb_from_lab(colour.reached.target)),
            misses: colour.reached.build.delta_e > report.tolerance,
            tolerance: report.tolerance,
            neighbours: colour
                .neighbours
                .iter()
                .map(|neighbour| neighbour_json(colour.reached.target, neighbour))
                .collect(),
        })
        .collect();
    crate::json::pretty(&rows)
}

fn neighbour_json(target: LabD50, neighbour: &Neighbour) -> NeighbourJson {
    let lab = neighbour.build.lab;
    NeighbourJson {
        kept: neighbour.direction.words(),
        build: neighbour.build.tones.into(),
        lab: axes(lab),
        srgb: hex(srgb_from_lab(lab)),
        delta_e: round2(neighbour.build.delta_e),
        lightness_difference: round2(lab.l - target.l),
        chroma_difference: round2(lab.chroma() - target.chroma()),
        hue_difference: round2(hue_difference(target, lab)),
    }
}

fn axes(lab: LabD50) -> [f64; 3] {
    [lab.l, lab.a, lab.b].map(round2)
}

/// For spreadsheets: a line for each neighbour of each missed colour.
pub fn near_csv(report: &NearReport) -> String {
    let header = [
        "name", "kept", "C", "M", "Y", "K", "build", "L", "a", "b", "srgb", "delta_e",
    ];
    let rows = report.colours.iter().flat_map(|colour| {
        colour.neighbours.iter().map(|neighbour| {
            let build = &neighbour.build;
            let mut row = vec![
                colour.reached.name.clone(),
                neighbour.direction.words().to_owned(),
            ];
            row.extend(build.tones.iter().map(u8::to_string));
            row.push(build_text(build.tones));
            row.extend(axes(build.lab).map(|value| format!("{value:.2}")));
            row.push(hex(srgb_from_lab(build.lab)));
            row.push(format!("{:.2}", build.delta_e));
            row
        })
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
