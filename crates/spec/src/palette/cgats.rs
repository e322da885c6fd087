//! Palettes from CGATS.17 text (ISO 28178): Lab, XYZ or spectra with a name in each row.

use std::ops::Range;

use super::notes::{Figure, Notes, with_point};
use super::{Coordinates, MeasuredSpectrum, PaletteColour};
use crate::codes;
use crate::read::{Optional, Refused};

/// Titles of the column that names a colour, the best first.
const NAMES: [&str; 4] = ["SAMPLE_NAME", "SAMPLENAME", "SAMPLE_ID", "SAMPLEID"];
/// Words before the wavelength in the title of a band.
const BANDS: [&str; 6] = [
    "SPECTRAL_NM_",
    "SPECTRAL_NM",
    "SPECTRAL_",
    "NM_",
    "NM",
    "R_",
];

/// Whether the text is of this format.
pub(super) fn is_cgats(text: &str) -> bool {
    let begins = text.trim_start_matches('\u{feff}').trim_start();
    let known = ["CGATS", "ISO28178", "IT8"];
    known.iter().any(|word| begins.starts_with(word))
        || lines(text).any(|line| line.text.trim() == "BEGIN_DATA_FORMAT")
}

/// Reads the colours; whatever is wrong is told.
pub(super) fn colours(text: &str, notes: &mut Notes<'_>) -> Option<Vec<PaletteColour>> {
    let mut lines = lines(text);
    let head = head(&mut lines, notes)?;
    let columns = Columns::find(&head, notes)?;
    let mut colours = Vec::new();
    let mut rows = 0_usize;
    let mut ended = None;
    for line in lines {
        let words = words(&line);
        match words.first() {
            None => continue,
            Some(word) if word.text == "END_DATA" => {
                ended = Some(line.span());
                break;
            }
            Some(_) => {}
        }
        rows += 1;
        colours.extend(columns.colour(&words, line.span(), notes));
        if notes.is_full() {
            return None;
        }
    }
    compare_counts(&head, rows, ended, (text, notes));
    Some(colours)
}

/// Tells when the data are cut off or not as many as the file says.
fn compare_counts(
    head: &Head,
    rows: usize,
    ended: Option<Range<usize>>,
    (text, notes): (&str, &mut Notes<'_>),
) {
    if ended.is_none() {
        let end = text.len();
        let message = "the table is cut off: `END_DATA` is missing";
        notes.tell(codes::PALETTE_DAMAGED, message, end..end);
        return;
    }
    if let Some((sets, span)) = &head.sets
        && *sets != rows
    {
        let message = format!("the file says {sets} rows and has {rows}");
        notes.tell(codes::PALETTE_DAMAGED, message, span.clone());
    } else if rows == 0 {
        let span = ended.unwrap_or_default();
        notes.tell(codes::EMPTY_LIST, "the table has no rows", span);
    }
}

/// What stands before the data.
#[derive(Default)]
struct Head {
    format: Vec<(String, Range<usize>)>,
    sets: Option<(usize, Range<usize>)>,
    /// Coordinates are for another light or observer than D50 and 2°.
    other_light: bool,
}

fn head<'t>(lines: &mut impl Iterator<Item = Line<'t>>, notes: &mut Notes<'_>) -> Option<Head> {
    let mut head = Head::default();
    let mut in_format = false;
    let mut last = 0..0;
    for line in lines {
        last = line.span();
        let words = words(&line);
        match words.first().map(|word| word.text) {
            Some("BEGIN_DATA_FORMAT") => in_format = true,
            Some("END_DATA_FORMAT") => in_format = false,
            Some("BEGIN_DATA") => return Some(head),
            Some(_) if in_format => {
                let titles = words.iter().map(|w| (w.text.to_uppercase(), w.span()));
                head.format.extend(titles);
            }
            Some("NUMBER_OF_SETS") => head.sets = sets(&words),
            Some(_) => head.other_light |= names_other_light(line.text),
            None => {}
        }
    }
    notes.tell(
        codes::PALETTE_DAMAGED,
        "the table has no `BEGIN_DATA`",
        last,
    );
    None
}

fn sets(words: &[Word<'_>]) -> Option<(usize, Range<usize>)> {
    let count = words.get(1)?;
    Some((count.text.parse().ok()?, count.span()))
}

/// Whether a line of the head names an illuminant or observer other than ours.
fn names_other_light(line: &str) -> bool {
    let upper = line.to_uppercase();
    let mut words = upper.split(|c: char| !c.is_ascii_alphanumeric());
    (upper.contains("ILLUMINANT")
        && words
            .clone()
            .any(|w| ["D65", "D55", "D75", "A"].contains(&w)))
        || (upper.contains("OBSERVER") && words.any(|w| w == "10"))
}

/// Which columns hold what.
struct Columns {
    count: usize,
    name: usize,
    lab: Option<[usize; 3]>,
    xyz: Option<[usize; 3]>,
    bands: Option<Bands>,
}

/// Columns of a spectrum, by wavelength.
struct Bands {
    start_nm: u32,
    interval_nm: u32,
    columns: Vec<usize>,
}

impl Columns {
    fn find(head: &Head, notes: &mut Notes<'_>) -> Option<Self> {
        let at = |title: &str| head.format.iter().position(|(known, _)| known == title);
        let place = head.format.first().map_or(0..0, |(_, span)| span.clone());
        let three = |names: [&str; 3]| {
            let [p, q, r] = names.map(at);
            Some([p?, q?, r?])
        };
        let own_light = |columns: Option<[usize; 3]>| columns.filter(|_| !head.other_light);
        let lab = own_light(three(["LAB_L", "LAB_A", "LAB_B"]));
        let xyz = own_light(three(["XYZ_X", "XYZ_Y", "XYZ_Z"]));
        let bands = bands(&head.format, notes).ok()?;
        if lab.is_none() && xyz.is_none() && bands.is_none() {
            let message = "the table has no Lab, XYZ (D50, 2° observer) or spectra";
            let hint =
                "name columns LAB_L LAB_A LAB_B, XYZ_X XYZ_Y XYZ_Z or SPECTRAL_NM400 and so on";
            notes.tell_with(codes::NO_COLOUR_VALUES, message, place, hint);
            return None;
        }
        let Some(name) = NAMES.iter().find_map(|title| at(title)) else {
            let message = "the table has no column `SAMPLE_NAME` or `SAMPLE_ID`";
            notes.tell(codes::MISSING_COLUMN, message, place);
            return None;
        };
        let count = head.format.len();
        Some(Self {
            count,
            name,
            lab,
            xyz,
            bands,
        })
    }

    fn colour(
        &self,
        words: &[Word<'_>],
        span: Range<usize>,
        notes: &mut Notes<'_>,
    ) -> Option<PaletteColour> {
        if words.len() != self.count {
            let message = format!("the row has {} of {} fields", words.len(), self.count);
            notes.tell(codes::MISSING_COLUMN, message, span);
            return None;
        }
        let name = words[self.name].text.trim().to_owned();
        let place = notes.place(span);
        let named = notes.name(&name, words[self.name].span());
        let coordinates = match (self.lab, self.xyz) {
            (Some(at), _) => Some(Coordinates::Lab(three(words, at, Figure::lab, notes)?)),
            (None, Some(at)) => Some(Coordinates::Xyz(three(words, at, Figure::xyz, notes)?)),
            (None, None) => None,
        };
        let spectrum = match &self.bands {
            Some(bands) => Some(bands.spectrum(words, notes)?),
            None => None,
        };
        named.then_some(PaletteColour {
            name,
            coordinates,
            spectrum,
            tint: None,
            place: Some(place),
        })
    }
}

fn three(
    words: &[Word<'_>],
    columns: [usize; 3],
    figure: fn(usize) -> Figure,
    notes: &mut Notes<'_>,
) -> Option<[f64; 3]> {
    let mut read = |axis: usize| {
        let word = &words[columns[axis]];
        notes.number(&with_point(word.text), figure(axis), word.span())
    };
    let (p, q, r) = (read(0), read(1), read(2));
    Some([p?, q?, r?])
}

/// The columns of a spectrum; told when they are not equally far from each other.
fn bands(format: &[(String, Range<usize>)], notes: &mut Notes<'_>) -> Optional<Bands> {
    let mut found: Vec<(u32, usize)> = format
        .iter()
        .enumerate()
        .filter_map(|(column, (title, _))| Some((wavelength(title)?, column)))
        .collect();
    found.sort_unstable();
    let [(start_nm, _), (second, _), ..] = found[..] else {
        return Ok(None);
    };
    let interval_nm = second - start_nm;
    let uneven = found
        .windows(2)
        .find(|two| two[1].0 - two[0].0 != interval_nm);
    if let Some(two) = uneven {
        let message = format!(
            "the bands {} and {} nm are not {interval_nm} nm apart, as the first two are",
            two[0].0, two[1].0
        );
        notes.tell(codes::WRONG_SPECTRUM, message, format[two[1].1].1.clone());
        return Err(Refused);
    }
    let columns = found.into_iter().map(|(_, column)| column).collect();
    Ok(Some(Bands {
        start_nm,
        interval_nm,
        columns,
    }))
}

fn wavelength(title: &str) -> Option<u32> {
    let number = BANDS
        .iter()
        .find_map(|word| title.strip_prefix(word)?.parse().ok());
    number.filter(|nm| (300..=1_000).contains(nm))
}

impl Bands {
    fn spectrum(&self, words: &[Word<'_>], notes: &mut Notes<'_>) -> Option<MeasuredSpectrum> {
        let read = self.columns.iter().map(|column| {
            let word = &words[*column];
            notes.number(&with_point(word.text), Figure::REFLECTANCE, word.span())
        });
        let read: Vec<Option<f64>> = read.collect();
        Some(MeasuredSpectrum {
            start_nm: self.start_nm,
            interval_nm: self.interval_nm,
            factors: read.into_iter().collect::<Option<_>>()?,
        })
    }
}

/// A line with its first byte, without its end.
#[derive(Clone, Copy)]
struct Line<'t> {
    text: &'t str,
    start: usize,
}

impl Line<'_> {
    fn span(&self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }
}

/// Lines that end with a line feed, a carriage return or both; a byte order mark is skipped.
fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let mark = if text.starts_with('\u{feff}') {
        '\u{feff}'.len_utf8()
    } else {
        0
    };
    let mut start = mark;
    text[mark..].split(['\n', '\r']).map(move |line| {
        let found = Line { text: line, start };
        start += line.len() + 1;
        found
    })
}

/// A word without its quotes, and its first byte.
struct Word<'t> {
    text: &'t str,
    start: usize,
}

impl Word<'_> {
    fn span(&self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }
}

/// Words between blanks and tabs; a quoted one may hold both, and a `#` outside quotes starts a remark.
fn words<'t>(line: &Line<'t>) -> Vec<Word<'t>> {
    let mut words = Vec::new();
    let mut at = 0;
    loop {
        let rest = &line.text[at..];
        at += rest.len() - rest.trim_start().len();
        let rest = rest.trim_start();
        if rest.is_empty() || rest.starts_with('#') {
            return words;
        }
        let quoted = rest.strip_prefix('"');
        let (skip, body) = quoted.map_or((0, rest), |inner| (1, inner));
        let end = match quoted {
            Some(inner) => inner.find('"'),
            None => rest.find(char::is_whitespace),
        };
        let text = &body[..end.unwrap_or(body.len())];
        words.push(Word {
            text,
            start: line.start + at + skip,
        });
        at = (at + text.len() + 2 * skip).min(line.text.len());
    }
}
