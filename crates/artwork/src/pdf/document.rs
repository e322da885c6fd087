//! A document and its pages.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use hayro_font::{CMapResolverFn, FontCache, FontQuery, FontResolverFn};
use hayro_syntax::object::{Array, Dict, Object, Stream};
use hayro_syntax::page::{Page, Rotation};
use hayro_syntax::{LoadPdfError, Pdf};
use kurbo::{Affine, Rect};

use super::area::{Area, Clip};
use super::containers::check_objects;
use super::fill::Filler;
use super::findings::Findings;
use super::glyphs::Glyphs;
use super::inks::Inks;
use super::layers::Layers;
use super::limits::{LONGEST_STREAM, Meter, bomb};
use super::painter::{Painter, Shared};
use super::state::State;
use super::surface::Surface;
use super::unpack::unpacked_to;
use crate::coverage::{
    Artwork, ArtworkPageError, FileKind, Finding, Ink, NamedSolid, PageCoverage, PageSize,
};
use crate::error::ArtworkError;
use crate::tally::Tally;
use crate::{PageBox, Settings};

/// Most pixels of a page; larger pages are counted more coarsely.
const MOST_PIXELS: f64 = 8_000_000.0;
/// Longest side of a page, points: a hundred metres.
const LONGEST_SIDE: f64 = 100_000.0 / 25.4 * 72.0;
/// Most pieces of a page's content.
const MOST_PIECES: usize = 100_000;
/// Most pages of a document.
const MOST_PAGES: usize = 100_000;

/// Fonts that stand in for those that are not embedded.
pub(super) fn fonts() -> FontResolverFn {
    Arc::new(|query| {
        Some(match query {
            FontQuery::Standard(font) => font.get_font_data(),
            FontQuery::Fallback(font) => font.pick_standard_font().get_font_data(),
        })
    })
}

/// Character maps that documents take for granted.
pub(super) fn maps() -> CMapResolverFn {
    Arc::new(hayro_font::hayro_cmap::load_embedded)
}

/// Measures every page of a document.
pub(crate) fn pdf(
    bytes: Vec<u8>,
    settings: &Settings<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Artwork, ArtworkError> {
    check_objects(&bytes)?;
    let loaded = catch_unwind(|| Pdf::new(bytes))
        .map_err(|_| ArtworkError::damaged("it cannot be taken apart"))?;
    let document = loaded.map_err(|error| match error {
        LoadPdfError::Decryption(_) => {
            ArtworkError::not_read("the document is encrypted and asks for a password")
        }
        LoadPdfError::Invalid => ArtworkError::damaged("it has no pages that can be found"),
    })?;
    let pages = document.pages();
    if pages.len() > MOST_PAGES {
        return Err(ArtworkError::TooLarge {
            what: "the document has pages",
            found: pages.len().to_string(),
            allowed: MOST_PAGES.to_string(),
        });
    }
    let catalog = document.xref().get::<Dict<'_>>(document.xref().root_id());
    let shared = Shared {
        fonts: FontCache::new(),
        separator: settings.separator,
        layers: catalog.as_ref().map(Layers::of).unwrap_or_default(),
        glyphs: Glyphs::default(),
        meter: Meter::default(),
        photographs: settings.photographs,
        judge: RefCell::default(),
    };
    let stated = catalog
        .as_ref()
        .and_then(|catalog| catalog.get::<Dict<'_>>(b"Pages")?.get::<i64>(b"Count"));
    let mut measured = Measured {
        shared,
        settings,
        inks: Inks::new(),
        assumptions: Vec::from_iter(counted_otherwise(stated, pages.len())),
    };
    let mut artwork = Artwork {
        kind: FileKind::Pdf,
        page_count: pages.len(),
        pages: Vec::new(),
        assumptions: Vec::new(),
        solids: Vec::new(),
    };
    for (at, page) in pages.iter().enumerate() {
        let number = at + 1;
        if !settings.counts(number) {
            continue;
        }
        // A reader that gives up on one page must not take the others with it.
        let counted = catch_unwind(AssertUnwindSafe(|| measured.page(page, number)));
        let counted =
            counted.unwrap_or_else(|_| Err(ArtworkError::damaged("it cannot be taken apart")));
        artwork
            .pages
            .push(counted.map_err(|error| ArtworkPageError {
                page: number,
                error,
            }));
        measured.shared.layers.restore(0);
        progress(number as f64 / pages.len() as f64);
    }
    artwork.assumptions = measured.assumptions;
    artwork.solids = measured
        .inks
        .solids()
        .map(|(name, alternate)| NamedSolid {
            name: name.to_owned(),
            alternate,
            pages: Vec::new(),
        })
        .collect();
    Ok(artwork)
}

/// Told of a document that states another number of pages than it has.
fn counted_otherwise(stated: Option<i64>, found: usize) -> Option<String> {
    let stated = stated.filter(|stated| usize::try_from(*stated) != Ok(found))?;
    Some(format!(
        "the document says that it has {stated} pages, and {found} are found in it; one that is listed twice is counted once"
    ))
}

/// What is kept from page to page.
struct Measured<'a> {
    shared: Shared<'a>,
    settings: &'a Settings<'a>,
    inks: Inks,
    assumptions: Vec<String>,
}

impl<'a> Measured<'a> {
    fn page(&mut self, page: &Page<'a>, number: usize) -> Result<PageCoverage, ArtworkError> {
        self.shared.meter.next_page();
        let frame = Frame::of(page, self.settings)?;
        let clip = Clip {
            area: frame.area,
            mask: None,
        };
        let mut painter = Painter {
            shared: &self.shared,
            inks: &mut self.inks,
            assumptions: &mut self.assumptions,
            surfaces: vec![Surface::page(frame.area)],
            state: State::new(frame.matrix, clip),
            saved: Vec::new(),
            findings: Findings::default(),
            judged: Vec::new(),
            filler: Filler::default(),
            spaces: BTreeMap::new(),
            is_luminance: false,
            depth: 0,
            pixels_per_point: frame.pixels_per_point,
            base: frame.matrix,
            cell: None,
            what: "shapes",
        };
        painter.declare(page)?;
        let bytes = painter.page_content(page.raw())?;
        painter.content(&bytes, page.resources())?;
        painter.annotations(page.raw(), page.resources())?;
        let scale = frame.millimetres_per_pixel();
        let judged = painter.judged.into_iter();
        let judged = judged.map(|judged| judged.photograph(scale)).collect();
        let (findings, surface) = (painter.findings, painter.surfaces.pop());
        let surface = surface.ok_or_else(|| ArtworkError::damaged("its groups do not close"))?;
        Ok(PageCoverage {
            photographs: judged,
            ..self.counted(&surface, findings, (number, &frame))
        })
    }

    /// Counts the planes of a page.
    fn counted(
        &self,
        surface: &Surface,
        findings: Findings,
        (number, frame): (usize, &Frame),
    ) -> PageCoverage {
        let here: Vec<usize> = (0..self.inks.len())
            .filter(|&ink| ink < 4 || surface.planes.get(ink).is_some_and(Option::is_some))
            .collect();
        let inks: Vec<Ink> = here.iter().map(|&ink| self.inks.ink(ink).clone()).collect();
        let mut tally = Tally::new(inks, self.settings.ink_limit);
        let width = frame.area.width();
        let planes: Vec<Option<&[u16]>> = here
            .iter()
            .map(|&ink| surface.planes.get(ink)?.as_deref())
            .collect();
        let mut row = Vec::new();
        for y in 0..frame.area.height() {
            let line = y * width..(y + 1) * width;
            let lines = planes
                .iter()
                .map(|plane| Some(&plane.as_ref()?[line.clone()]));
            let (x, inked) = interleaved(&lines.collect::<Vec<_>>(), &mut row);
            tally.blank((width - inked) as u64);
            if inked > 0 {
                tally.row(&row, x as u32, y as u32);
            }
        }
        let size = PageSize {
            pixels: (width as u32, frame.area.height() as u32),
            millimetres: Some(frame.millimetres),
        };
        let mut page = tally.finish(number, size);
        page.findings = findings.finish();
        page.findings.extend(rich_black(&page));
        page
    }
}

/// Brings the inks of a row together pixel by pixel, without blank ends; returns the first pixel and how many there are.
fn interleaved(lines: &[Option<&[u16]>], row: &mut Vec<u16>) -> (usize, usize) {
    let is_inked = |tone: &u16| *tone > 0;
    let inked = |line: &&[u16]| {
        let first = line.iter().position(is_inked)?;
        Some((first, line.iter().rposition(is_inked)? + 1))
    };
    let spans = lines.iter().flatten().filter_map(inked);
    let Some((from, to)) = spans.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))) else {
        return (0, 0);
    };
    row.clear();
    row.resize((to - from) * lines.len(), 0);
    for (at, line) in lines.iter().enumerate() {
        let Some(line) = line else { continue };
        let into = row.iter_mut().skip(at).step_by(lines.len());
        for (to, tone) in into.zip(&line[from..to]) {
            *to = *tone;
        }
    }
    (from, to - from)
}

/// The largest flat black with 30 % or more of other inks beneath it (common practice, no source).
fn rich_black(page: &PageCoverage) -> Option<Finding> {
    let black = &Ink::PROCESS[3];
    let rich = page.flats.iter().find(|flat| {
        let tone = |wanted: bool| -> f64 {
            flat.tones
                .iter()
                .filter(|(ink, _)| (ink == black) == wanted)
                .map(|(_, tone)| tone)
                .sum()
        };
        tone(true) > 0.9 && tone(false) >= 0.3
    })?;
    Some(Finding::RichBlack {
        tones: rich.tones.clone(),
        share: rich.share,
    })
}

/// What part of a page is counted, and how finely.
struct Frame {
    area: Area,
    matrix: Affine,
    pixels_per_point: f64,
    millimetres: (f64, f64),
}

impl Frame {
    /// Across and down.
    fn millimetres_per_pixel(&self) -> (f64, f64) {
        let (width, height) = self.millimetres;
        (
            width / self.area.width() as f64,
            height / self.area.height() as f64,
        )
    }

    fn of(page: &Page<'_>, settings: &Settings<'_>) -> Result<Self, ArtworkError> {
        let boxed = page_box(page, settings.page_box);
        let unit = page
            .raw()
            .get::<f64>(b"UserUnit")
            .filter(|unit| *unit > 0.0 && unit.is_finite())
            .unwrap_or(1.0);
        let (width, height) = (boxed.width() * unit, boxed.height() * unit);
        let is_sound = width > 0.01 && height > 0.01 && width.is_finite() && height.is_finite();
        if !is_sound {
            return Err(ArtworkError::damaged("its box has no area"));
        }
        if width.max(height) > LONGEST_SIDE {
            return Err(ArtworkError::TooLarge {
                what: "its longer side is",
                found: format!("{:.0} m", width.max(height) / 72.0 * 0.0254),
                allowed: "100 m".to_owned(),
            });
        }
        let wanted = settings.resolution / 72.0;
        let scale = wanted.min((MOST_PIXELS / (width * height)).sqrt());
        let (across, down) = (
            (width * scale).ceil().max(1.0),
            (height * scale).ceil().max(1.0),
        );
        if across * down > MOST_PIXELS * 2.0 {
            return Err(ArtworkError::not_read(
                "a page that is far longer than wide",
            ));
        }
        // Whole pixels: the page is stretched by less than one of them.
        let stretch = Affine::scale_non_uniform(across / boxed.width(), -down / boxed.height());
        let matrix = stretch * Affine::translate((-boxed.x0, -boxed.y1));
        let (matrix, across, down) = turned(page, matrix, (across, down));
        let is_sideways = matches!(
            page.rotation(),
            Rotation::Horizontal | Rotation::FlippedHorizontal
        );
        let (width, height) = if is_sideways {
            (height, width)
        } else {
            (width, height)
        };
        Ok(Self {
            area: Area::new(across as u32, down as u32),
            matrix,
            pixels_per_point: scale,
            millimetres: (width / 72.0 * 25.4, height / 72.0 * 25.4),
        })
    }
}

/// Turns the page as its entry says; returns the new matrix and size.
fn turned(page: &Page<'_>, matrix: Affine, (across, down): (f64, f64)) -> (Affine, f64, f64) {
    match page.rotation() {
        Rotation::None => (matrix, across, down),
        Rotation::Horizontal => (
            Affine::new([0.0, 1.0, -1.0, 0.0, down, 0.0]) * matrix,
            down,
            across,
        ),
        Rotation::Flipped => (
            Affine::new([-1.0, 0.0, 0.0, -1.0, across, down]) * matrix,
            across,
            down,
        ),
        Rotation::FlippedHorizontal => (
            Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, across]) * matrix,
            down,
            across,
        ),
    }
}

/// The box that is asked for, or the nearest that the page has, inside its media.
fn page_box(page: &Page<'_>, wanted: PageBox) -> Rect {
    let rect = |r: hayro_syntax::object::Rect| {
        Rect::new(
            r.x0.min(r.x1),
            r.y0.min(r.y1),
            r.x0.max(r.x1),
            r.y0.max(r.y1),
        )
    };
    let media = rect(page.media_box());
    let named = |key: &[u8]| page.raw().get::<hayro_syntax::object::Rect>(key).map(rect);
    let crop = rect(page.crop_box());
    let found = match wanted {
        PageBox::Media => media,
        PageBox::Crop => crop,
        PageBox::Trim => named(b"TrimBox").unwrap_or(crop),
        PageBox::Bleed => named(b"BleedBox")
            .or_else(|| named(b"TrimBox"))
            .unwrap_or(crop),
    };
    let inside = found.intersect(media);
    if inside.area() > 0.0 { inside } else { media }
}

impl<'a> Painter<'a, '_> {
    /// The content of a page, its pieces put together.
    fn page_content(&mut self, page: &Dict<'_>) -> Result<Vec<u8>, ArtworkError> {
        let meter = &self.shared.meter;
        if let Some(content) = page.get::<Stream<'_>>(b"Contents") {
            return unpacked_to(&content, LONGEST_STREAM, meter);
        }
        let pieces = page.get::<Array<'_>>(b"Contents");
        let pieces = pieces.iter().flat_map(Array::iter::<Stream<'_>>);
        let mut whole = Vec::new();
        for (at, piece) in pieces.enumerate() {
            let left = LONGEST_STREAM - whole.len() as u64;
            if at == MOST_PIECES || left == 0 {
                return Err(bomb(LONGEST_STREAM));
            }
            match unpacked_to(&piece, left, meter) {
                Ok(bytes) => whole.extend(bytes),
                Err(error @ ArtworkError::TooLarge { .. }) => return Err(error),
                Err(error) => {
                    let told = format!("piece {} of the content: {error}", at + 1);
                    self.findings.not_counted(told);
                }
            }
            // Words of two pieces do not run into each other.
            whole.push(b' ');
        }
        Ok(whole)
    }

    /// Reads every colour space of the page, so that solids which are only declared are known too.
    fn declare(&mut self, page: &Page<'a>) -> Result<(), ArtworkError> {
        let resources = page.resources();
        let names: Vec<_> = resources.color_spaces.keys().take(1000).collect();
        for name in names {
            if let Some(object) = resources.color_spaces.get::<Object<'a>>(name) {
                // What is damaged is told where it is used.
                if let Err(error @ ArtworkError::TooLarge { .. }) = self.space(&object, resources) {
                    return Err(error);
                }
            }
        }
        Ok(())
    }

    /// From the pattern's parent content to pixels.
    pub(super) fn pattern_base(&self) -> Affine {
        self.base
    }
}
