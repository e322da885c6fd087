//! PNG: grey, RGB, palette, with or without alpha; row by row.

use std::io::{BufRead, BufReader, Seek};

use ::png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Transformations, Unit};

use super::pixels::{GRAY_IS_BLACK, Layout, Meaning, rgb_meaning};
use super::rows::{Counted, Rows};
use super::{MOST_PIXELS, millimetres};
use crate::coverage::{Artwork, FileKind, Finding, PageSize};
use crate::error::ArtworkError;
use crate::{Settings, Source};

/// Memory that the decoder may take, bytes.
const MOST_MEMORY: usize = 256 << 20;

pub(crate) fn png(
    source: impl Source,
    settings: &Settings<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Artwork, ArtworkError> {
    let mut decoder =
        Decoder::new_with_limits(BufReader::new(source), Limits { bytes: MOST_MEMORY });
    decoder.set_transformations(Transformations::EXPAND);
    let mut reader = decoder.read_info().map_err(trouble)?;
    let mut assumptions = Vec::new();
    let layout = layout(&reader, settings, &mut assumptions);
    let info = reader.info();
    let pixels = (info.width, info.height);
    if u64::from(pixels.0) * u64::from(pixels.1) > MOST_PIXELS {
        return Err(super::tiff::too_many(pixels));
    }
    let size = PageSize {
        pixels,
        millimetres: info
            .pixel_dims
            .filter(|dims| dims.unit == Unit::Meter)
            .and_then(|dims| {
                millimetres(
                    pixels,
                    (f64::from(dims.xppu) * 0.0254, f64::from(dims.yppu) * 0.0254),
                )
            }),
    };
    let page = if info.interlaced {
        whole(&mut reader, &layout, settings)?
    } else {
        rows(&mut reader, &layout, settings, progress)?
    };
    let mut page = page.finish(1, size);
    if matches!(layout.meaning, Meaning::Rgb(_)) {
        page.findings.push(Finding::Separated {
            what: "RGB image".to_owned(),
        });
    }
    Ok(Artwork {
        kind: FileKind::Png,
        page_count: 1,
        pages: vec![Ok(page)],
        assumptions,
        solids: Vec::new(),
    })
}

fn layout<R: BufRead + Seek>(
    reader: &::png::Reader<R>,
    settings: &Settings<'_>,
    assumptions: &mut Vec<String>,
) -> Layout {
    let (colour, _) = reader.output_color_type();
    let profile = reader.info().icc_profile.as_deref();
    let gray = matches!(colour, ColorType::Grayscale | ColorType::GrayscaleAlpha);
    let meaning = if gray {
        assumptions.push(GRAY_IS_BLACK.to_owned());
        Meaning::Gray
    } else {
        rgb_meaning(profile, settings, assumptions)
    };
    let samples = colour.samples();
    let has_alpha = matches!(colour, ColorType::GrayscaleAlpha | ColorType::Rgba);
    Layout {
        meaning,
        samples,
        alpha: has_alpha.then_some((samples - 1, false)),
    }
}

fn rows<R: BufRead + Seek>(
    reader: &mut ::png::Reader<R>,
    layout: &Layout,
    settings: &Settings<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Counted, ArtworkError> {
    let mut counted = Rows::new(
        layout,
        settings,
        (reader.info().width, reader.info().height),
    );
    let (_, depth) = reader.output_color_type();
    let height = reader.info().height;
    let mut y = 0;
    while let Some(row) = reader.next_row().map_err(trouble)? {
        counted.add((0, y), |samples| widened(row.data(), depth, samples));
        y += 1;
        if y % 64 == 0 {
            progress(f64::from(y) / f64::from(height.max(1)));
        }
    }
    Ok(counted.finish())
}

/// An interlaced picture has to be put together first.
fn whole<R: BufRead + Seek>(
    reader: &mut ::png::Reader<R>,
    layout: &Layout,
    settings: &Settings<'_>,
) -> Result<Counted, ArtworkError> {
    let mut counted = Rows::new(
        layout,
        settings,
        (reader.info().width, reader.info().height),
    );
    let (_, depth) = reader.output_color_type();
    let length = reader
        .output_buffer_size()
        .filter(|&bytes| bytes <= MOST_MEMORY);
    let length = length.ok_or_else(|| ArtworkError::TooLarge {
        what: "an interlaced picture takes memory",
        found: "more".to_owned(),
        allowed: format!("{} MB", MOST_MEMORY >> 20),
    })?;
    let mut bytes = vec![0; length];
    let frame = reader.next_frame(&mut bytes).map_err(trouble)?;
    for (y, row) in bytes.chunks_exact(frame.line_size.max(1)).enumerate() {
        counted.add((0, y as u32), |samples| widened(row, depth, samples));
    }
    Ok(counted.finish())
}

/// Appends the samples of a row, each over the whole of 16 bits.
fn widened(row: &[u8], depth: BitDepth, samples: &mut Vec<u16>) {
    if depth == BitDepth::Sixteen {
        let pairs = row.as_chunks::<2>().0;
        samples.extend(pairs.iter().map(|&pair| u16::from_be_bytes(pair)));
    } else {
        samples.extend(row.iter().map(|&byte| u16::from(byte) * 257));
    }
}

fn trouble(error: DecodingError) -> ArtworkError {
    match error {
        DecodingError::IoError(error) if error.kind() != std::io::ErrorKind::UnexpectedEof => {
            ArtworkError::Read(error)
        }
        DecodingError::LimitsExceeded => ArtworkError::TooLarge {
            what: "a row takes memory",
            found: "more".to_owned(),
            allowed: format!("{} MB", MOST_MEMORY >> 20),
        },
        other => ArtworkError::damaged(other.to_string()),
    }
}
