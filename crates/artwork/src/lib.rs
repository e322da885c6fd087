//! Measures artwork: coverage per ink and page, inks found, flat colours, risky places.
//!
//! Takes bytes (or anything that can be read and sought) and gives figures; knows no files and no money. Colours are
//! kept in the inks that the file states: four process inks and every solid by its name. Only RGB and Lab are
//! separated, through the job's printing condition. Nothing is ever rendered to a screen colour and separated again.

mod coverage;
mod error;
mod flat;
#[expect(
    clippy::cast_possible_wrap,
    reason = "a page has at most a few million pixels"
)]
mod pdf;
mod raster;
mod rgb;
mod separate;
mod tally;

use std::collections::BTreeSet;
use std::io::{Read, Seek, SeekFrom};

pub use coverage::{
    Alternate, Artwork, ArtworkPageError, FileKind, Finding, FlatColour, Ink, InkCoverage,
    LossPicture, NamedSolid, PageCoverage, PageSize, Peak, Photograph, Place,
};
pub use error::ArtworkError;
pub use separate::{Separation, Separator};

/// What is measured and how.
#[derive(Debug)]
pub struct Settings<'a> {
    /// Turns RGB and Lab into the four process inks.
    pub separator: &'a Separator<'a>,
    /// Largest sum of tones that the condition takes, percent; pixels above it are counted.
    pub ink_limit: f64,
    /// Which box of a PDF page is counted.
    pub page_box: PageBox,
    /// Pixels for an inch at which PDF pages are counted; large pages are counted more coarsely.
    pub resolution: f64,
    /// Pages of a PDF or TIFF that are counted, from 1; `None` = all.
    pub pages: Option<&'a BTreeSet<usize>>,
    /// Whether it is measured what RGB photographs lose on press, also those that lie on the pages of a PDF.
    pub photographs: Photographs,
}

/// Whether it is measured what RGB pictures lose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Photographs {
    /// It is not.
    Counted,
    /// Every pixel is held against what the condition prints of it.
    Judged,
}

impl Settings<'_> {
    pub(crate) fn counts(&self, page: usize) -> bool {
        self.pages.is_none_or(|pages| pages.contains(&page))
    }
}

/// A box of a PDF page. Source: ISO 32000-2, 14.11.2.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageBox {
    /// The trimmed page; the crop box where none is given.
    Trim,
    /// The trimmed page with its bleed; the trim box where none is given.
    Bleed,
    /// What is shown.
    Crop,
    /// The whole medium.
    Media,
}

/// Longest PDF that is read, bytes.
const LONGEST_PDF: u64 = 1 << 30;

/// A resolution at which type and rules are counted well.
pub const USUAL_RESOLUTION: f64 = 150.0;

/// Bytes that can be read from any place.
pub trait Source: Read + Seek {}

impl<T: Read + Seek> Source for T {}

/// Measures a file; its kind is told by its first bytes, never by its name.
///
/// `progress` hears of the share done, 0 to 1.
pub fn measure(
    mut source: impl Source,
    settings: &Settings<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Artwork, ArtworkError> {
    let mut start = [0; 8];
    let found = fill(&mut source, &mut start)?;
    source.seek(SeekFrom::Start(0))?;
    let mut artwork = match &start[..found] {
        [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => {
            raster::tiff(source, settings, progress)
        }
        [0xff, 0xd8, 0xff, ..] => raster::jpeg(source, settings),
        [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a] => raster::png(source, settings, progress),
        _ if is_pdf(&mut source)? => pdf::pdf(whole(source)?, settings, progress),
        _ => Err(ArtworkError::UnknownKind),
    }?;
    artwork.find_solids();
    Ok(artwork)
}

/// Whether a PDF header stands within the first 1,024 bytes, as readers have always allowed.
fn is_pdf(source: &mut impl Source) -> std::io::Result<bool> {
    let mut start = [0; 1024];
    let found = fill(source, &mut start)?;
    source.seek(SeekFrom::Start(0))?;
    Ok(start[..found].windows(5).any(|five| five == b"%PDF-"))
}

fn whole(source: impl Source) -> Result<Vec<u8>, ArtworkError> {
    let mut bytes = Vec::new();
    source.take(LONGEST_PDF + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LONGEST_PDF {
        return Err(ArtworkError::TooLarge {
            what: "the file is long",
            found: "more".to_owned(),
            allowed: format!("{} MB", LONGEST_PDF >> 20),
        });
    }
    Ok(bytes)
}

/// Reads until the buffer is full or the source ends.
fn fill(source: &mut impl Read, buffer: &mut [u8]) -> std::io::Result<usize> {
    let mut found = 0;
    while found < buffer.len() {
        match source.read(&mut buffer[found..])? {
            0 => break,
            more => found += more,
        }
    }
    Ok(found)
}
