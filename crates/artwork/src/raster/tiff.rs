//! TIFF: grey, RGB, CMYK and more inks, 8 and 16 bits, strips, tiles and planes, in bounded memory.
//!
//! Own reader rather than a library's, because a further ink that is marked as an extra sample has to be counted and
//! the planes of a strip have to be read side by side.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::io::Read;
use std::rc::Rc;

use super::chunk::{Packing, Place, open};
use super::pixels::{GRAY_IS_BLACK, Layout, Meaning, rgb_meaning};
use super::rows::Rows;
use super::tags::{Header, Tags, short};
use super::{MOST_PIXELS, millimetres};
use crate::coverage::{Artwork, ArtworkPageError, FileKind, Finding, Ink, PageCoverage, PageSize};
use crate::error::ArtworkError;
use crate::{Settings, Source};

/// Most pictures of one file.
const MOST_PAGES: usize = 10_000;
/// Longest row of one plane, bytes.
const LONGEST_ROW: u64 = 8 << 20;

pub(crate) fn tiff(
    mut source: impl Source,
    settings: &Settings<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Artwork, ArtworkError> {
    let header = Header::read(&mut source)?;
    let mut artwork = Artwork {
        kind: FileKind::Tiff,
        page_count: 0,
        pages: Vec::new(),
        assumptions: Vec::new(),
        solids: Vec::new(),
    };
    let (mut at, mut seen) = (header.first, BTreeSet::new());
    while at != 0 && seen.insert(at) && artwork.page_count < MOST_PAGES {
        let (tags, next) = header.directory(&mut source, at)?;
        at = next;
        // Reduced copies of the picture are no pages.
        if tags.number(254).unwrap_or(0) & 1 == 1 && artwork.page_count > 0 {
            continue;
        }
        artwork.page_count += 1;
        let page = artwork.page_count;
        if !settings.counts(page) {
            continue;
        }
        let mut picture = Picture {
            tags: &tags,
            header: &header,
            settings,
            assumptions: &mut artwork.assumptions,
        };
        let counted = picture.count(&mut source, page, progress);
        artwork
            .pages
            .push(counted.map_err(|error| ArtworkPageError { page, error }));
    }
    if artwork.page_count == 0 {
        return Err(ArtworkError::damaged("no picture in the file"));
    }
    artwork.assumptions.sort();
    artwork.assumptions.dedup();
    Ok(artwork)
}

pub(super) fn too_many(pixels: (u32, u32)) -> ArtworkError {
    ArtworkError::TooLarge {
        what: "the picture has pixels",
        found: format!("{} x {}", pixels.0, pixels.1),
        allowed: format!("{} million", MOST_PIXELS / 1_000_000),
    }
}

/// One picture of the file.
struct Picture<'a> {
    tags: &'a Tags,
    header: &'a Header,
    settings: &'a Settings<'a>,
    assumptions: &'a mut Vec<String>,
}

/// How the samples lie in the file.
struct Shape {
    pixels: (u32, u32),
    chunk: (u32, u32),
    samples: usize,
    bits: u32,
    planar: bool,
    packing: Packing,
    predictor: bool,
    tiled: bool,
}

impl Shape {
    /// Samples of one row of one plane of a chunk, beside one another.
    fn together(&self) -> usize {
        if self.planar { 1 } else { self.samples }
    }

    fn row_bytes(&self, width: u32) -> u64 {
        (u64::from(width) * self.together() as u64 * u64::from(self.bits)).div_ceil(8)
    }
}

impl Picture<'_> {
    fn count(
        &mut self,
        source: &mut impl Source,
        page: usize,
        progress: &mut dyn FnMut(f64),
    ) -> Result<PageCoverage, ArtworkError> {
        let shape = self.shape()?;
        let layout = self.layout(&shape)?;
        let mut rows = Rows::new(&layout, self.settings, shape.pixels);
        let shared = Rc::new(RefCell::new(source));
        let across = shape.pixels.0.div_ceil(shape.chunk.0);
        let down = shape.pixels.1.div_ceil(shape.chunk.1);
        for row in 0..down {
            for column in 0..across {
                let at = Chunk {
                    column,
                    row,
                    across,
                    down,
                };
                self.chunk(&shared, &shape, &mut rows, at)?;
            }
            progress(f64::from(row + 1) / f64::from(down));
        }
        let mut page = rows.finish().finish(
            page,
            PageSize {
                pixels: shape.pixels,
                millimetres: self.millimetres(shape.pixels),
            },
        );
        if matches!(layout.meaning, Meaning::Rgb(_)) {
            page.findings.push(Finding::Separated {
                what: "RGB image".to_owned(),
            });
        }
        Ok(page)
    }

    fn shape(&self) -> Result<Shape, ArtworkError> {
        let side = |tag: u16| {
            let value = self.tags.number(tag).unwrap_or(0);
            u32::try_from(value)
                .ok()
                .filter(|&side| side > 0)
                .ok_or_else(|| ArtworkError::damaged(format!("side of {value} pixels")))
        };
        let pixels = (side(256)?, side(257)?);
        if u64::from(pixels.0) * u64::from(pixels.1) > MOST_PIXELS {
            return Err(too_many(pixels));
        }
        let bits = self.tags.number(258).unwrap_or(1) as u32;
        if self
            .tags
            .numbers(258)
            .iter()
            .any(|&other| other != u64::from(bits))
        {
            return Err(ArtworkError::not_read("samples of different depths"));
        }
        if !matches!(bits, 1 | 8 | 16) || self.tags.number(339).is_some_and(|kind| kind != 1) {
            return Err(ArtworkError::not_read(format!(
                "samples of {bits} bits or with a floating point"
            )));
        }
        if self.tags.number(266) == Some(2) {
            return Err(ArtworkError::not_read("bytes with their bits turned round"));
        }
        let tiled = self.tags.number(322).is_some();
        let rows = self.tags.number(278).unwrap_or(u64::from(pixels.1));
        let chunk = if tiled {
            (side(322)?, side(323)?)
        } else {
            (pixels.0, rows.clamp(1, u64::from(pixels.1)) as u32)
        };
        let shape = Shape {
            pixels,
            chunk,
            samples: self.tags.number(277).unwrap_or(1).clamp(1, 64) as usize,
            bits,
            planar: self.tags.number(284) == Some(2),
            packing: self.packing()?,
            predictor: match self.tags.number(317).unwrap_or(1) {
                1 => false,
                2 => true,
                other => return Err(ArtworkError::not_read(format!("predictor {other}"))),
            },
            tiled,
        };
        if shape.row_bytes(chunk.0) > LONGEST_ROW {
            return Err(too_many(pixels));
        }
        Ok(shape)
    }

    fn packing(&self) -> Result<Packing, ArtworkError> {
        Ok(match self.tags.number(259).unwrap_or(1) {
            1 => Packing::None,
            5 => Packing::Lzw,
            7 => Packing::Jpeg,
            8 | 32946 => Packing::Deflate,
            32773 => Packing::PackBits,
            other => return Err(ArtworkError::not_read(format!("compression {other}"))),
        })
    }

    fn layout(&mut self, shape: &Shape) -> Result<Layout, ArtworkError> {
        let photometric = self.tags.number(262).unwrap_or(0);
        let extra = self.tags.numbers(338);
        let base = match photometric {
            0 | 1 => 1,
            2 | 6 => 3,
            5 => shape.samples - extra.len().min(shape.samples),
            other => {
                return Err(ArtworkError::not_read(format!(
                    "photometric interpretation {other}"
                )));
            }
        };
        if shape.samples < base + extra.len() || base == 0 {
            return Err(ArtworkError::damaged("fewer samples than its colours need"));
        }
        if photometric == 6 && shape.packing != Packing::Jpeg {
            return Err(ArtworkError::not_read("luminance and chroma outside JPEG"));
        }
        let alpha = extra.iter().position(|&kind| kind == 1 || kind == 2);
        let alpha = alpha.map(|at| (base + at, extra[at] == 1));
        let meaning = match photometric {
            0 => Meaning::Black,
            1 => {
                self.assumptions.push(GRAY_IS_BLACK.to_owned());
                Meaning::Gray
            }
            5 => Meaning::Inks(self.inks(shape.samples, alpha.map(|(at, _)| at))),
            _ => rgb_meaning(self.tags.bytes(34675), self.settings, self.assumptions),
        };
        if matches!(photometric, 0..=2) && shape.samples > base + extra.len() {
            return Err(ArtworkError::damaged("more samples than it explains"));
        }
        Ok(Layout {
            meaning,
            samples: shape.samples,
            alpha,
        })
    }

    /// One ink for each sample that is no alpha; an ink without a name is called after its place.
    fn inks(&self, samples: usize, alpha: Option<usize>) -> Vec<Ink> {
        let names: Vec<String> = self
            .tags
            .bytes(333)
            .unwrap_or(&[])
            .split(|&byte| byte == 0)
            .filter(|name| !name.is_empty())
            .map(|name| String::from_utf8_lossy(name).into_owned())
            .collect();
        let is_process = self.tags.number(332).unwrap_or(1) == 1;
        // Writers name either all inks or only those beyond the four.
        let skipped = if is_process && names.len() + 4 <= samples {
            4
        } else {
            0
        };
        let named = (0..samples).filter(|&at| Some(at) != alpha).map(|at| {
            match at.checked_sub(skipped).and_then(|at| names.get(at)) {
                _ if is_process && at < 4 => Ink::PROCESS[at].clone(),
                Some(name) => Ink::named(name),
                None => Ink::Solid(format!("Ink {}", at + 1)),
            }
        });
        each_once(named)
    }

    fn millimetres(&self, pixels: (u32, u32)) -> Option<(f64, f64)> {
        let scale = match self.tags.number(296).unwrap_or(2) {
            2 => 1.0,
            3 => 2.54,
            _ => return None,
        };
        millimetres(
            pixels,
            (
                self.tags.rational(282)? * scale,
                self.tags.rational(283)? * scale,
            ),
        )
    }

    fn chunk<S: Source>(
        &self,
        source: &Rc<RefCell<&mut S>>,
        shape: &Shape,
        rows: &mut Rows<'_>,
        at: Chunk,
    ) -> Result<(), ArtworkError> {
        let planes = if shape.planar { shape.samples } else { 1 };
        let mut readers = Vec::with_capacity(planes);
        for plane in 0..planes {
            readers.push(open(source, &self.place(shape, at.index(plane))?)?);
        }
        let x = at.column * shape.chunk.0;
        let y = at.row * shape.chunk.1;
        let width = shape.chunk.0.min(shape.pixels.0 - x) as usize;
        let height = shape.chunk.1.min(shape.pixels.1 - y);
        let mut bytes = vec![0; shape.row_bytes(shape.chunk.0) as usize];
        let wanted = width * shape.samples;
        for row in 0..height {
            let mut done = Ok(());
            rows.add((x, y + row), |samples| {
                let from = samples.len();
                if !shape.planar && shape.bits == 8 {
                    // One plane of bytes, the usual case, needs no shuffling.
                    done = readers[0].read_exact(&mut bytes);
                    Self::unpredicted(shape, &mut bytes);
                    samples.extend(bytes[..wanted].iter().map(|&byte| u16::from(byte) * 257));
                    return;
                }
                samples.resize(from + wanted, 0);
                for (plane, reader) in readers.iter_mut().enumerate() {
                    if done.is_ok() {
                        done = reader.read_exact(&mut bytes);
                        self.samples(shape, &mut bytes, plane, &mut samples[from..]);
                    }
                }
            });
            done.map_err(short_or_damaged)?;
        }
        Ok(())
    }

    fn place(&self, shape: &Shape, index: usize) -> Result<Place<'_>, ArtworkError> {
        let (places, lengths) = if shape.tiled { (324, 325) } else { (273, 279) };
        let from = self.tags.numbers(places).get(index);
        let from = *from
            .ok_or_else(|| ArtworkError::damaged("fewer strips or tiles than the picture needs"))?;
        let whole = shape.row_bytes(shape.chunk.0) * u64::from(shape.chunk.1);
        let length = self
            .tags
            .numbers(lengths)
            .get(index)
            .copied()
            .unwrap_or(whole);
        Ok(Place {
            from,
            length,
            packing: shape.packing,
            tables: self.tags.bytes(347),
            primaries: self.tags.number(262) == Some(2),
        })
    }

    /// Undoes the predictor and puts a row of one plane among the others.
    fn samples(&self, shape: &Shape, bytes: &mut [u8], plane: usize, samples: &mut [u16]) {
        let together = shape.together();
        let stride = if shape.planar { shape.samples } else { 1 };
        let wide: Vec<u16> = match shape.bits {
            1 => bytes
                .iter()
                .flat_map(|byte| (0..8).rev().map(move |bit| (byte >> bit & 1) * 255))
                .map(|v| u16::from(v) * 257)
                .collect(),
            8 => {
                Self::unpredicted(shape, bytes);
                bytes.iter().map(|&byte| u16::from(byte) * 257).collect()
            }
            _ => self.wide(bytes, shape.predictor.then_some(together)),
        };
        let into = samples.iter_mut().skip(plane).step_by(stride);
        for (sample, value) in into.zip(wide) {
            *sample = value;
        }
    }

    /// Undoes the predictor of bytes.
    fn unpredicted(shape: &Shape, bytes: &mut [u8]) {
        if shape.predictor {
            let together = shape.together();
            for at in together..bytes.len() {
                bytes[at] = bytes[at].wrapping_add(bytes[at - together]);
            }
        }
    }

    fn wide(&self, bytes: &[u8], predicted: Option<usize>) -> Vec<u16> {
        let value = |pair: &[u8]| {
            let pair = [pair[0], pair[1]];
            if self.header.big_endian() {
                u16::from_be_bytes(pair)
            } else {
                u16::from_le_bytes(pair)
            }
        };
        let mut values: Vec<u16> = bytes.chunks_exact(2).map(value).collect();
        if let Some(together) = predicted {
            for at in together..values.len() {
                values[at] = values[at].wrapping_add(values[at - together]);
            }
        }
        values
    }
}

/// Which strip or tile.
#[derive(Clone, Copy)]
struct Chunk {
    column: u32,
    row: u32,
    across: u32,
    down: u32,
}

impl Chunk {
    fn index(self, plane: usize) -> usize {
        let in_plane = self.row as usize * self.across as usize + self.column as usize;
        plane * self.across as usize * self.down as usize + in_plane
    }
}

fn short_or_damaged(error: std::io::Error) -> ArtworkError {
    match error.kind() {
        std::io::ErrorKind::InvalidData | std::io::ErrorKind::InvalidInput => {
            ArtworkError::damaged(error.to_string())
        }
        _ => short(error),
    }
}

/// Two samples of one name stay two inks: the second gets its place behind the name.
fn each_once(named: impl Iterator<Item = Ink>) -> Vec<Ink> {
    let mut inks: Vec<Ink> = Vec::new();
    for ink in named {
        let twice = inks.contains(&ink);
        let at = inks.len() + 1;
        inks.push(if twice {
            Ink::Solid(format!("{} (sample {at})", ink.name()))
        } else {
            ink
        });
    }
    inks
}
