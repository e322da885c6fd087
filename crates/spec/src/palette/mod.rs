//! Palettes: named colours from CSV, CGATS.17, CxF/3, CxF/X-4 and ICC named-colour profiles.
//!
//! The format is seen from the content, never from the name of the file. What a figure looks like is not worked out here:
//! spectra and media-relative values are handed on as they were measured.

mod cgats;
pub(crate) mod csv;
mod cxf;
mod inks;
mod named_profile;
mod notes;
mod xml;

use crate::{FileRole, Notice, Place, Reading, codes};
use notes::Notes;

/// Longest palette accepted, bytes.
const LONGEST: usize = 64 << 20;
/// Most colours of one palette.
const MOST_COLOURS: usize = 100_000;
/// A reflectance beyond this, in a file that does not say its scale, means that the file counts in percent.
const PERCENT_BEYOND: f64 = 2.0;

/// One colour of a palette. It has coordinates, a spectrum, or both.
#[derive(Debug, Clone, PartialEq)]
pub struct PaletteColour {
    /// Its name, one of a kind within the palette, whatever its case.
    pub name: String,
    /// What the file says it looks like, D50 and 2° observer; `None` when only the spectrum tells.
    pub coordinates: Option<Coordinates>,
    /// What was measured.
    pub spectrum: Option<MeasuredSpectrum>,
    /// Which tone of which ink it is on which ground, where the file characterises an ink.
    pub tint: Option<InkTint>,
    /// Where it stands; `None` in a profile, which has no lines.
    pub place: Option<Place>,
}

/// Colour coordinates as a file gives them; D50, 2° observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coordinates {
    /// CIELAB L, a, b, absolute.
    Lab([f64; 3]),
    /// CIEXYZ on the scale where the perfect white has Y = 100, absolute.
    Xyz([f64; 3]),
    /// CIELAB to a paper taken as white, and CIEXYZ of that paper (perfect white Y = 1).
    LabOnPaper {
        /// L, a, b.
        lab: [f64; 3],
        /// X, Y, Z of the paper.
        paper: [f64; 3],
    },
}

/// Reflectance factors (1 = perfect white) in bands of equal distance.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredSpectrum {
    /// Wavelength of the first band, nm.
    pub start_nm: u32,
    /// Distance of the bands, nm.
    pub interval_nm: u32,
    /// Finite figures; not yet checked for range.
    pub factors: Vec<f64>,
}

/// A printed tone of an ink (ISO 17972-4).
#[derive(Debug, Clone, PartialEq)]
pub struct InkTint {
    /// Name of the ink.
    pub ink: String,
    /// Tone value, 0 (bare ground) to 100 (solid).
    pub tone: f64,
    /// What it is printed on.
    pub ground: Ground,
}

/// What a tint is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// The paper.
    Substrate,
    /// Process black.
    Black,
}

/// Reads a palette; every problem is told, and no colours are returned if there is one.
pub fn read_palette(bytes: &[u8]) -> Reading<Vec<PaletteColour>> {
    if bytes.len() > LONGEST {
        let message = format!(
            "the palette has {} bytes; at most {LONGEST} are read",
            bytes.len()
        );
        return refused(Notice::error(
            FileRole::Palette,
            codes::FILE_TOO_LONG,
            message,
        ));
    }
    if named_profile::is_profile(bytes) {
        return named_profile::read(bytes);
    }
    match text_of(bytes) {
        Ok(text) => read_text(text),
        Err(notice) => refused(*notice),
    }
}

fn refused(notice: Notice) -> Reading<Vec<PaletteColour>> {
    Reading::new(None, vec![notice])
}

fn read_text(text: &str) -> Reading<Vec<PaletteColour>> {
    let mut notes = Notes::of(text);
    let shown = text.trim_start_matches('\u{feff}').trim_start();
    let colours = if shown.starts_with('<') {
        cxf::colours(text, &mut notes)
    } else if cgats::is_cgats(text) {
        cgats::colours(text, &mut notes)
    } else {
        csv::colours(text, &mut notes)
    };
    let colours = colours.map(|colours| in_factors(colours, &mut notes));
    Reading::new(colours, notes.finish())
}

fn text_of(bytes: &[u8]) -> Result<&str, Box<Notice>> {
    if let Some(what) = other_kind(bytes) {
        let message = format!("the file is {what}, not a palette");
        let notice = Notice::error(FileRole::Palette, codes::NOT_A_PALETTE, message);
        let hint = "a palette is CSV, CGATS.17, CxF or an ICC named-colour profile";
        return Err(Box::new(notice.hint(hint)));
    }
    std::str::from_utf8(bytes).map_err(|bad| {
        let before = &bytes[..bad.valid_up_to()];
        let line = before.split(|byte| *byte == b'\n').count();
        let message = format!("the palette is no UTF-8 text from line {line} on");
        let notice = Notice::error(FileRole::Palette, codes::NOT_UTF_8, message);
        Box::new(notice.hint("save it as text in UTF-8"))
    })
}

/// What a file that begins so is, when it surely is no palette.
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 5] = [
        (b"%PDF", "a PDF"),
        (b"PK\x03\x04", "a compressed archive or office document"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"\x1f\x8b", "a compressed file"),
    ];
    let starts = |kind: &&(&[u8], &'static str)| bytes.starts_with(kind.0);
    kinds.iter().find(starts).map(|kind| kind.1)
}

/// Brings spectra in percent to factors, and says so.
fn in_factors(mut colours: Vec<PaletteColour>, notes: &mut Notes<'_>) -> Vec<PaletteColour> {
    let spectra = colours.iter().filter_map(|c| c.spectrum.as_ref());
    let largest = spectra
        .flat_map(|s| &s.factors)
        .copied()
        .fold(0.0, f64::max);
    if largest <= PERCENT_BEYOND {
        return colours;
    }
    let sentence = format!("spectra reach {largest}; taking them as percent");
    notes.assume(codes::ASSUMED_PERCENT, sentence);
    for spectrum in colours.iter_mut().filter_map(|c| c.spectrum.as_mut()) {
        for factor in &mut spectrum.factors {
            *factor /= 100.0;
        }
    }
    colours
}
