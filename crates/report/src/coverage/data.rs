//! Measured artwork for programs and spreadsheets.

use inkset_artwork::{Alternate, FlatColour, NamedSolid, PageCoverage, Photograph};
use serde::Serialize;

use super::{MeasuredFile, findings::sentence};
use crate::csv::csv_text;

#[derive(Serialize)]
struct Report<'a> {
    ink_limit_percent: f64,
    files: Vec<FileData<'a>>,
}

#[derive(Serialize)]
struct FileData<'a> {
    file: &'a str,
    kind: &'static str,
    assumptions: &'a [String],
    solids: Vec<SolidData<'a>>,
    pages: Vec<PageData<'a>>,
}

#[derive(Serialize)]
struct SolidData<'a> {
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    alternate: Option<AlternateData>,
    pages: &'a [usize],
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum AlternateData {
    Lab([f64; 3]),
    CmykPercent([f64; 4]),
    Rgb([f64; 3]),
    Gray(f64),
}

#[derive(Serialize)]
struct PageData<'a> {
    page: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
    #[serde(flatten)]
    figures: Option<Figures<'a>>,
}

#[derive(Serialize)]
struct Figures<'a> {
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    counted_pixels: [u32; 2],
    inks: Vec<InkData<'a>>,
    peak_percent: f64,
    peak_pixel: [u32; 2],
    above_limit_percent: f64,
    flat_colours: Vec<FlatData<'a>>,
    findings: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    photographs: Vec<PhotographData>,
}

#[derive(Serialize)]
struct PhotographData {
    pixels: [u32; 2],
    #[serde(skip_serializing_if = "Option::is_none")]
    place_mm: Option<PlaceData>,
    times_on_page: usize,
    out_of_reach_percent: f64,
    mean_delta_e_00_lost: f64,
    p95_delta_e_00_lost: f64,
}

#[derive(Serialize)]
struct PlaceData {
    left: f64,
    top: f64,
    width: f64,
    height: f64,
}

#[derive(Serialize)]
struct InkData<'a> {
    ink: &'a str,
    solid: bool,
    mean_percent: f64,
    largest_percent: f64,
}

#[derive(Serialize)]
struct FlatData<'a> {
    tones_percent: Vec<(&'a str, f64)>,
    area_percent: f64,
}

/// For programs.
pub fn coverage_json(files: &[MeasuredFile], limit: f64) -> String {
    crate::json::pretty(&Report {
        ink_limit_percent: limit,
        files: files.iter().map(file_data).collect(),
    })
}

fn file_data(file: &MeasuredFile) -> FileData<'_> {
    FileData {
        file: &file.name,
        kind: file.artwork.kind.name(),
        assumptions: &file.artwork.assumptions,
        solids: file.artwork.solids.iter().map(solid_data).collect(),
        pages: file
            .artwork
            .pages
            .iter()
            .map(|page| match page {
                Ok(page) => PageData {
                    page: page.page,
                    error: None,
                    figures: Some(figures(page)),
                },
                Err(failed) => PageData {
                    page: failed.page,
                    error: Some(failed.error.to_string()),
                    figures: None,
                },
            })
            .collect(),
    }
}

fn solid_data(solid: &NamedSolid) -> SolidData<'_> {
    SolidData {
        name: &solid.name,
        alternate: solid.alternate.as_ref().map(|alternate| match alternate {
            Alternate::Lab(lab) => AlternateData::Lab([lab.l, lab.a, lab.b].map(round3)),
            Alternate::Cmyk(tones) => AlternateData::CmykPercent(tones.map(round3)),
            Alternate::Rgb(rgb) => AlternateData::Rgb(rgb.map(round3)),
            Alternate::Gray(gray) => AlternateData::Gray(round3(*gray)),
        }),
        pages: &solid.pages,
    }
}

fn figures(page: &PageCoverage) -> Figures<'_> {
    let (x, y) = page.peak.pixel;
    Figures {
        width_mm: page.size.millimetres.map(|size| round3(size.0)),
        height_mm: page.size.millimetres.map(|size| round3(size.1)),
        counted_pixels: [page.size.pixels.0, page.size.pixels.1],
        inks: page
            .inks
            .iter()
            .map(|ink| InkData {
                ink: ink.ink.name(),
                solid: ink.ink.is_solid(),
                mean_percent: round3(ink.mean * 100.0),
                largest_percent: round3(ink.largest * 100.0),
            })
            .collect(),
        peak_percent: round3(page.peak.percent),
        peak_pixel: [x, y],
        above_limit_percent: round3(page.above_limit * 100.0),
        flat_colours: page.flats.iter().map(flat_data).collect(),
        findings: page.findings.iter().map(sentence).collect(),
        photographs: page.photographs.iter().map(photograph_data).collect(),
    }
}

fn photograph_data(photograph: &Photograph) -> PhotographData {
    PhotographData {
        pixels: [photograph.pixels.0, photograph.pixels.1],
        place_mm: photograph.place.map(|place| PlaceData {
            left: round3(place.left),
            top: round3(place.top),
            width: round3(place.width),
            height: round3(place.height),
        }),
        times_on_page: photograph.uses,
        out_of_reach_percent: round3(photograph.outside * 100.0),
        mean_delta_e_00_lost: round3(photograph.mean),
        p95_delta_e_00_lost: round3(photograph.p95),
    }
}

fn flat_data(flat: &FlatColour) -> FlatData<'_> {
    FlatData {
        tones_percent: flat
            .tones
            .iter()
            .map(|(ink, tone)| (ink.name(), round3(tone * 100.0)))
            .collect(),
        area_percent: round3(flat.share * 100.0),
    }
}

fn round3(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// For spreadsheets: one row an ink of a page.
pub fn coverage_csv(files: &[MeasuredFile]) -> String {
    let header = [
        "file",
        "page",
        "ink",
        "kind",
        "mean_percent",
        "largest_percent",
        "page_peak_percent",
        "page_above_limit_percent",
    ];
    let rows = files.iter().flat_map(|file| {
        file.pages().flat_map(move |page| {
            page.inks.iter().map(move |ink| {
                vec![
                    file.name.clone(),
                    page.page.to_string(),
                    ink.ink.name().to_owned(),
                    if ink.ink.is_solid() {
                        "solid"
                    } else {
                        "process"
                    }
                    .to_owned(),
                    format!("{:.3}", ink.mean * 100.0),
                    format!("{:.3}", ink.largest * 100.0),
                    format!("{:.2}", page.peak.percent),
                    format!("{:.3}", page.above_limit * 100.0),
                ]
            })
        })
    });
    csv_text(header.map(str::to_owned).to_vec(), rows)
}
