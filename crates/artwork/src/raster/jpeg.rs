//! JPEG: grey, RGB, CMYK and YCCK, with Adobe's inversion.
//!
//! Adobe's marker says that the four inks are stored inverted; without it they are stored as they are (common
//! practice of the decoders in use, no source).

use std::io::Read;

use jpeg_decoder::{Decoder, PixelFormat};

use super::millimetres;
use super::pixels::{GRAY_IS_BLACK, Layout, Meaning, rgb_meaning};
use super::rows::{Counted, Rows};
use crate::coverage::{Artwork, FileKind, Finding, Ink, PageSize};
use crate::error::ArtworkError;
use crate::{Settings, Source};

/// Most pixels: the decoder holds the whole picture.
const MOST_PIXELS: u64 = 200_000_000;
/// Longest file that is read, bytes.
const LONGEST: u64 = 512 << 20;

pub(crate) fn jpeg(source: impl Source, settings: &Settings<'_>) -> Result<Artwork, ArtworkError> {
    let mut bytes = Vec::new();
    source.take(LONGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LONGEST {
        return Err(ArtworkError::TooLarge {
            what: "the file is long",
            found: "more".to_owned(),
            allowed: format!("{} MB", LONGEST >> 20),
        });
    }
    let mut decoder = Decoder::new(&bytes[..]);
    decoder.read_info().map_err(trouble)?;
    let info = decoder
        .info()
        .ok_or_else(|| ArtworkError::damaged("no picture in the file"))?;
    let pixels = (u32::from(info.width), u32::from(info.height));
    if u64::from(pixels.0) * u64::from(pixels.1) > MOST_PIXELS {
        return Err(ArtworkError::TooLarge {
            what: "the picture has pixels",
            found: format!("{} x {}", pixels.0, pixels.1),
            allowed: format!("{} million", MOST_PIXELS / 1_000_000),
        });
    }
    let samples = decoder.decode().map_err(trouble)?;
    let profile = decoder.icc_profile();
    let markers = Markers::of(&bytes);
    let mut assumptions = Vec::new();
    let layout = layout(
        info.pixel_format,
        profile.as_deref(),
        settings,
        &mut assumptions,
    );
    let size = PageSize {
        pixels,
        millimetres: markers
            .per_inch
            .and_then(|per_inch| millimetres(pixels, per_inch)),
    };
    let inverted = info.pixel_format == PixelFormat::CMYK32 && !markers.adobe;
    let mut page = counted(
        &samples,
        &layout,
        settings,
        Shape {
            pixels,
            inverted,
            wide: info.pixel_format == PixelFormat::L16,
        },
    )
    .finish(1, size);
    if matches!(layout.meaning, Meaning::Rgb(_)) {
        page.findings.push(Finding::Separated {
            what: "RGB image".to_owned(),
        });
    }
    Ok(Artwork {
        kind: FileKind::Jpeg,
        page_count: 1,
        pages: vec![Ok(page)],
        assumptions,
        solids: Vec::new(),
    })
}

/// How the decoder's bytes lie.
#[derive(Clone, Copy)]
struct Shape {
    pixels: (u32, u32),
    inverted: bool,
    wide: bool,
}

fn counted(bytes: &[u8], layout: &Layout, settings: &Settings<'_>, shape: Shape) -> Counted {
    let mut rows = Rows::new(layout, settings, shape.pixels);
    let row = shape.pixels.0 as usize * layout.samples * if shape.wide { 2 } else { 1 };
    for (y, row) in bytes.chunks_exact(row.max(1)).enumerate() {
        rows.add((0, y as u32), |samples| {
            if shape.wide {
                let pairs = row.as_chunks::<2>().0;
                samples.extend(pairs.iter().map(|&pair| u16::from_ne_bytes(pair)));
            } else if shape.inverted {
                samples.extend(row.iter().map(|&byte| u16::from(255 - byte) * 257));
            } else {
                samples.extend(row.iter().map(|&byte| u16::from(byte) * 257));
            }
        });
    }
    rows.finish()
}

fn layout(
    format: PixelFormat,
    profile: Option<&[u8]>,
    settings: &Settings<'_>,
    assumptions: &mut Vec<String>,
) -> Layout {
    let (meaning, samples) = match format {
        PixelFormat::L8 | PixelFormat::L16 => {
            assumptions.push(GRAY_IS_BLACK.to_owned());
            (Meaning::Gray, 1)
        }
        PixelFormat::RGB24 => (rgb_meaning(profile, settings, assumptions), 3),
        PixelFormat::CMYK32 => (Meaning::Inks(Ink::PROCESS.to_vec()), 4),
    };
    Layout {
        meaning,
        samples,
        alpha: None,
    }
}

/// What the headers say that the decoder keeps to itself.
#[derive(Debug, Default, PartialEq)]
struct Markers {
    adobe: bool,
    per_inch: Option<(f64, f64)>,
}

impl Markers {
    /// Walks the segments up to the first scan.
    fn of(bytes: &[u8]) -> Self {
        let mut markers = Self::default();
        let mut at = 2;
        while let Some(&[0xff, kind, high, low]) =
            bytes.get(at..at + 4).and_then(|b| b.first_chunk())
        {
            if kind == 0xda {
                break;
            }
            let length = usize::from(u16::from_be_bytes([high, low]));
            let body = bytes.get(at + 4..at + 2 + length.max(2)).unwrap_or(&[]);
            match (kind, body) {
                (0xee, [b'A', b'd', b'o', b'b', b'e', ..]) => markers.adobe = true,
                (0xe0, [b'J', b'F', b'I', b'F', 0, _, _, unit, xh, xl, yh, yl, ..]) => {
                    let scale = match unit {
                        1 => 1.0,
                        2 => 2.54,
                        _ => 0.0,
                    };
                    let per = |h: &u8, l: &u8| f64::from(u16::from_be_bytes([*h, *l])) * scale;
                    markers.per_inch = Some((per(xh, xl), per(yh, yl)));
                }
                _ => {}
            }
            at += 2 + length.max(2);
        }
        markers
    }
}

fn trouble(error: jpeg_decoder::Error) -> ArtworkError {
    match error {
        jpeg_decoder::Error::Unsupported(what) => ArtworkError::not_read(format!("{what:?}")),
        other => ArtworkError::damaged(other.to_string()),
    }
}
