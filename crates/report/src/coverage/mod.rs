//! Measured artwork: coverage per ink and page, solids, flat colours, what to look at.

mod data;
mod findings;

use inkset_artwork::{Alternate, Artwork, Ink, NamedSolid, PageCoverage};

pub use data::{coverage_csv, coverage_json};
use findings::finding_lines;

use crate::document::{Cell, Column, Document, Table};
use crate::figures::runs;

/// Solids that still get a column each.
const MOST_COLUMNS: usize = 2;
/// What the table of photographs shows.
const PHOTOGRAPHS: &str = "RGB photographs: the share of their pixels that loses more than ΔE00 2 on the way to paper, and what these lose on the mean and at most in 95 % of them:";
/// Flat colours listed of a page.
const FLATS_SHOWN: usize = 8;

/// A file with what was measured.
#[derive(Debug)]
pub struct MeasuredFile {
    /// Its name as given.
    pub name: String,
    /// What was measured.
    pub artwork: Artwork,
}

impl MeasuredFile {
    fn pages(&self) -> impl Iterator<Item = &PageCoverage> {
        self.artwork
            .pages
            .iter()
            .filter_map(|page| page.as_ref().ok())
    }
}

/// For people; `limit` is the largest sum of tones in percent.
pub fn coverage_document(files: &[MeasuredFile], limit: f64) -> Document {
    let mut document = Document::default();
    for file in files {
        let pages = file.artwork.pages.len();
        let pages = if pages == 1 {
            "1 page".to_owned()
        } else {
            format!("{pages} pages")
        };
        document.heading(format!(
            "{} ({}, {pages})",
            file.name,
            file.artwork.kind.name()
        ));
        document.text(
            "Mean tone over the page in percent, ink by ink; peak is the largest sum of tones:",
        );
        document.table(inks_table(file));
        document.table(solids_table(file));
        document.list(uncounted_lines(file));
        document.list(limit_lines(file, limit));
        document.list(photograph_lines(file));
        let photographs = photographs_table(file);
        if !photographs.rows.is_empty() {
            document.text(PHOTOGRAPHS);
            document.table(photographs);
        }
        document.table(flats_table(file));
        document.list(finding_lines(file));
    }
    document
}

fn inks_table(file: &MeasuredFile) -> Table {
    let solids: Vec<&NamedSolid> = used(file).collect();
    let columns = if solids.len() <= MOST_COLUMNS {
        &solids[..]
    } else {
        &[]
    };
    let mut titles = vec![Column::words("Page"), Column::words("Size")];
    titles.extend(["C", "M", "Y", "K"].map(Column::figures));
    titles.extend(columns.iter().map(|solid| Column::figures(&solid.name)));
    titles.extend(["Sum", "Peak"].map(Column::figures));
    let mut table = Table::new(titles);
    for page in file.pages() {
        let mut cells = vec![Cell::text(page.page.to_string()), Cell::text(size(page))];
        let mean = |ink: &Ink| {
            percent(
                page.inks
                    .iter()
                    .find(|known| known.ink == *ink)
                    .map_or(0.0, |known| known.mean),
            )
        };
        cells.extend(Ink::PROCESS.iter().map(&mean));
        cells.extend(
            columns
                .iter()
                .map(|solid| mean(&Ink::Solid(solid.name.clone()))),
        );
        let sum: f64 = page.inks.iter().map(|ink| ink.mean).sum();
        cells.extend([percent(sum), Cell::Number(page.peak.percent, 0)]);
        table.row(cells);
    }
    table
}

fn used(file: &MeasuredFile) -> impl Iterator<Item = &NamedSolid> {
    file.artwork
        .solids
        .iter()
        .filter(|solid| !solid.pages.is_empty())
}

fn percent(share: f64) -> Cell {
    Cell::Number(share * 100.0, 2)
}

fn size(page: &PageCoverage) -> String {
    match page.size.millimetres {
        Some((width, height)) => format!("{width:.1} × {height:.1} mm"),
        None => format!("{} × {} px", page.size.pixels.0, page.size.pixels.1),
    }
}

/// Every solid that the file names, with the page that it covers most.
fn solids_table(file: &MeasuredFile) -> Table {
    let mut table = Table::new(vec![
        Column::words("Solid"),
        Column::words("Stands in the file as"),
        Column::figures("Most % on a page"),
        Column::words("Used on pages"),
    ]);
    for solid in &file.artwork.solids {
        let ink = Ink::Solid(solid.name.clone());
        let covers = file
            .pages()
            .flat_map(|page| &page.inks)
            .filter(|known| known.ink == ink);
        let most = covers.map(|known| known.mean).fold(0.0, f64::max);
        table.row(vec![
            Cell::text(&solid.name),
            Cell::text(
                solid
                    .alternate
                    .as_ref()
                    .map_or_else(|| "no colour given".to_owned(), alternate),
            ),
            percent(most),
            Cell::text(if solid.pages.is_empty() {
                "none: only declared".to_owned()
            } else {
                runs(&solid.pages)
            }),
        ]);
    }
    table
}

fn alternate(alternate: &Alternate) -> String {
    match alternate {
        Alternate::Lab(lab) => format!("L*a*b* {:.1} {:.1} {:.1}", lab.l, lab.a, lab.b),
        Alternate::Cmyk(tones) => {
            let tones: Vec<String> = ["C", "M", "Y", "K"]
                .iter()
                .zip(tones)
                .filter(|&(_, &tone)| tone >= 0.05)
                .map(|(letter, tone)| format!("{letter}{tone:.0}"))
                .collect();
            if tones.is_empty() {
                "no ink".to_owned()
            } else {
                tones.join(" ")
            }
        }
        Alternate::Rgb(rgb) => {
            let [r, g, b] = rgb.map(|v| (v * 255.0).round());
            format!("RGB {r} {g} {b}")
        }
        Alternate::Gray(v) => format!("K{:.0}", (1.0 - v) * 100.0),
    }
}

/// Pages that are in none of the tables.
fn uncounted_lines(file: &MeasuredFile) -> Vec<String> {
    let failed = file
        .artwork
        .pages
        .iter()
        .filter_map(|page| page.as_ref().err());
    failed
        .map(|failed| format!("Page {} is not counted: {}", failed.page, failed.error))
        .collect()
}

fn limit_lines(file: &MeasuredFile, limit: f64) -> Vec<String> {
    let above = file.pages().filter(|page| page.above_limit > 0.0);
    above
        .map(|page| {
            format!(
                "Page {}: {:.2} % of the area is above the ink limit of {limit:.0} %; the peak of {:.0} % is {}",
                page.page,
                page.above_limit * 100.0,
                page.peak.percent,
                place(page)
            )
        })
        .collect()
}

/// What photographs that fill their page lose on the way to paper.
fn photograph_lines(file: &MeasuredFile) -> Vec<String> {
    let photographs = file.pages().flat_map(|page| {
        let whole = page.photographs.iter().filter(|p| p.place.is_none());
        whole.map(|photograph| (page.page, photograph))
    });
    photographs
        .map(|(page, photograph)| {
            let share = photograph.outside * 100.0;
            if photograph.outside <= 0.0 {
                return format!("Page {page}: every pixel of the photograph is reached");
            }
            format!(
                "Page {page}: {share:.1} % of the photograph is out of reach and loses ΔE00 {:.1} on the mean, up to {:.1} for 95 % of it",
                photograph.mean, photograph.p95
            )
        })
        .collect()
}

/// What photographs that lie on a page lose on the way to paper.
fn photographs_table(file: &MeasuredFile) -> Table {
    let mut table = Table::new(vec![
        Column::words("Page"),
        Column::words("RGB photograph"),
        Column::words("From left, top: size in mm"),
        Column::figures("Lost %"),
        Column::figures("ΔE00"),
        Column::figures("95 %"),
    ]);
    for page in file.pages() {
        for (at, photograph) in page.photographs.iter().enumerate() {
            let Some(place) = photograph.place else {
                continue;
            };
            let (width, height) = photograph.pixels;
            let times = match photograph.uses {
                1 => String::new(),
                uses => format!(", {uses} times"),
            };
            table.row(vec![
                Cell::text(page.page.to_string()),
                Cell::text(format!("{}: {width} × {height} px{times}", at + 1)),
                Cell::text(format!(
                    "{:.1}, {:.1}: {:.1} × {:.1}",
                    place.left, place.top, place.width, place.height
                )),
                percent(photograph.outside),
                Cell::Number(photograph.mean, 1),
                Cell::Number(photograph.p95, 1),
            ]);
        }
    }
    table
}

fn place(page: &PageCoverage) -> String {
    let (x, y) = page.peak.pixel;
    match page.size.millimetres {
        Some((width, height)) => {
            let across = (f64::from(x) + 0.5) / f64::from(page.size.pixels.0) * width;
            let down = (f64::from(y) + 0.5) / f64::from(page.size.pixels.1) * height;
            format!("{across:.1} mm from the left and {down:.1} mm from the top")
        }
        None => format!("at pixel {x} from the left and {y} from the top"),
    }
}

fn flats_table(file: &MeasuredFile) -> Table {
    let mut table = Table::new(vec![
        Column::words("Page"),
        Column::words("Flat colour"),
        Column::figures("Area %"),
    ]);
    for page in file.pages() {
        for (at, flat) in page.flats.iter().take(FLATS_SHOWN).enumerate() {
            let number = if at == 0 {
                page.page.to_string()
            } else {
                String::new()
            };
            table.row(vec![
                Cell::text(number),
                Cell::text(build(&flat.tones)),
                percent(flat.share),
            ]);
        }
    }
    table
}

/// A build in the usual short form, without inks of less than half a percent; solids by name with their tint.
pub(super) fn build(tones: &[(Ink, f64)]) -> String {
    let parts: Vec<String> = tones
        .iter()
        .filter(|(_, tone)| *tone >= 0.005)
        .map(|(ink, tone)| {
            let gap = if ink.is_solid() { " " } else { "" };
            format!("{}{gap}{:.0}", ink.short(), tone * 100.0)
        })
        .collect();
    if parts.is_empty() {
        return "less than half a percent of any ink".to_owned();
    }
    parts.join(" ")
}
