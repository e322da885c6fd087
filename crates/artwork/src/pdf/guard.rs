//! Looks into packed images for the size that their decoder would make room for, before it does.
//!
//! Sources: JPEG ITU-T T.81, B.2.2; JPEG 2000 ITU-T T.800, A.5.1; JBIG2 ITU-T T.88, 7.2 and 7.4; fax ISO 32000-2, 7.4.6.

use hayro_syntax::object::{Dict, Stream};

use super::limits::{MOST_DECODED, MOST_WAVES, Meter};
use super::unpack::{ImageFilter, before_image_filter};
use crate::error::ArtworkError;

/// Most tiles of a JPEG 2000 image (T.800: their numbers have 16 bits).
const MOST_TILES: u64 = 65_535;

/// Refuses an image whose decoder would need too much; `size` is what its dictionary says.
pub(super) fn check_image(
    stream: &Stream<'_>,
    (filter, parameters): (ImageFilter, &Dict<'_>),
    size: (u32, u32),
    meter: &Meter,
) -> Result<(), ArtworkError> {
    let packed = before_image_filter(stream, meter)?;
    let stated = u64::from(size.0) * u64::from(size.1);
    let samples = match filter {
        // The decoder keeps to the size of the dictionary.
        ImageFilter::Jpeg => stated * jpeg_components(&packed),
        ImageFilter::Jpeg2000 => jpeg_2000_samples(&packed)?,
        ImageFilter::Fax => {
            let columns = parameters.get::<i64>(b"Columns").unwrap_or(1728);
            columns.unsigned_abs().saturating_mul(u64::from(size.1))
        }
        ImageFilter::Jbig2 => jbig2_pixels(&packed),
    };
    let most = if filter == ImageFilter::Jpeg2000 {
        MOST_WAVES
    } else {
        MOST_DECODED
    };
    if samples > most {
        return Err(too_large(samples, most));
    }
    // What the decoder does is work as well.
    meter.unpacked(samples)
}

/// Told of an image that has more samples than are held.
pub(super) fn too_large(samples: u64, most: u64) -> ArtworkError {
    ArtworkError::TooLarge {
        what: "an image has samples",
        found: format!("{} million", samples / 1_000_000),
        allowed: format!("{} million", most / 1_000_000),
    }
}

fn be16(bytes: &[u8], at: usize) -> Option<u64> {
    let pair = bytes.get(at..at + 2)?;
    Some(u64::from(u16::from_be_bytes([pair[0], pair[1]])))
}

fn be32(bytes: &[u8], at: usize) -> Option<u64> {
    Some(be16(bytes, at)? << 16 | be16(bytes, at + 2)?)
}

/// Components of the first frame; three if none is found, for the decoder to say what is wrong.
fn jpeg_components(bytes: &[u8]) -> u64 {
    let mut at = 0;
    while let Some(&[first, kind]) = bytes.get(at..at + 2).and_then(|pair| pair.first_chunk()) {
        match kind {
            _ if first != 0xff => at += 1,
            0xff => at += 1,
            0xc0..=0xcf if !matches!(kind, 0xc4 | 0xc8 | 0xcc) => {
                return bytes.get(at + 9).map_or(3, |count| u64::from(*count));
            }
            0xd8 | 0xd9 | 1 | 0 => at += 2,
            _ => at += 2 + be16(bytes, at + 2).unwrap_or(0) as usize,
        }
    }
    3
}

/// Samples of the largest image whose size is stated anywhere.
fn jpeg_2000_samples(bytes: &[u8]) -> Result<u64, ArtworkError> {
    let mut largest = 0;
    // The start of a codestream, and the marker of its size.
    for at in places(bytes, &[0xff, 0x4f, 0xff, 0x51]) {
        let side = |offset: usize| be32(bytes, at + 8 + offset).unwrap_or(0);
        let (width, height) = (side(0), side(4));
        let (across, down) = (side(16).max(1), side(20).max(1));
        let components = be16(bytes, at + 40).unwrap_or(0);
        if width.div_ceil(across) * height.div_ceil(down) > MOST_TILES {
            return Err(ArtworkError::damaged("it has more tiles than it may have"));
        }
        largest = largest.max((width * height).saturating_mul(components));
    }
    Ok(largest)
}

fn places<'b>(bytes: &'b [u8], wanted: &'b [u8]) -> impl Iterator<Item = usize> + 'b {
    let ends = wanted.len();
    bytes
        .windows(ends)
        .enumerate()
        .filter(move |(_, window)| *window == wanted)
        .map(|(at, _)| at)
}

/// Pixels of the page and of all its regions together.
fn jbig2_pixels(bytes: &[u8]) -> u64 {
    let (mut at, mut pixels) = (0, 0_u64);
    while let Some(segment) = Segment::at(bytes, at) {
        // Text, patterns, halftones, generic regions and refinements, and the page itself start with their size.
        if matches!(segment.kind, 4..=7 | 20..=23 | 36..=43 | 48) {
            let side = |offset: usize| be32(bytes, segment.data + offset).unwrap_or(0);
            let height = match side(4) {
                // A page of striped height is as high as its stripes.
                0xffff_ffff => 0,
                height => height,
            };
            pixels = pixels.saturating_add(side(0).saturating_mul(height));
        }
        let Some(length) = segment.length else { break };
        at = segment.data + length;
    }
    pixels
}

/// The header of a JBIG2 segment.
struct Segment {
    kind: u8,
    /// Where its data starts.
    data: usize,
    /// `None` if it is not stated.
    length: Option<usize>,
}

impl Segment {
    fn at(bytes: &[u8], at: usize) -> Option<Self> {
        let number = be32(bytes, at)?;
        let flags = *bytes.get(at + 4)?;
        let counts = *bytes.get(at + 5)?;
        let (referred, after) = match counts >> 5 {
            7 => {
                let count = (be32(bytes, at + 5)? & 0x1fff_ffff) as usize;
                (count, at + 9 + (count + 8) / 8)
            }
            count => (usize::from(count), at + 6),
        };
        let reference = match number {
            0..=256 => 1,
            257..=65_536 => 2,
            _ => 4,
        };
        let page = if flags & 64 == 0 { 1 } else { 4 };
        let length_at = after.checked_add(referred.checked_mul(reference)?)? + page;
        let length = be32(bytes, length_at)?;
        Some(Self {
            kind: flags & 63,
            data: length_at + 4,
            length: (length != 0xffff_ffff).then_some(length as usize),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_found_in_headers() {
        let jpeg = [
            0xff, 0xd8, 0xff, 0xe0, 0, 4, 0, 0, 0xff, 0xc2, 0, 17, 8, 0, 9, 0, 9, 4,
        ];
        assert_eq!(jpeg_components(&jpeg), 4);
        let mut wave = vec![0xff, 0x4f, 0xff, 0x51, 0, 47, 0, 0];
        for side in [30_u32, 20, 0, 0, 30, 20, 0, 0] {
            wave.extend(side.to_be_bytes());
        }
        wave.extend([0, 3]);
        assert_eq!(jpeg_2000_samples(&wave).unwrap(), 1800);
        // A page of 64 x 56 pixels, and a region of as many.
        let page = [
            0, 0, 0, 1, 48, 0, 1, 0, 0, 0, 19, 0, 0, 0, 64, 0, 0, 0, 56, 0, 0,
        ];
        let mut both = page.to_vec();
        both.resize(30, 0);
        both.extend([0, 0, 0, 2, 38, 0, 1, 0, 0, 0, 30, 0, 0, 0, 64, 0, 0, 0, 56]);
        assert_eq!(jbig2_pixels(&both), 2 * 64 * 56);
    }

    #[test]
    fn tiles_of_single_pixels_are_refused() {
        let mut wave = vec![0xff, 0x4f, 0xff, 0x51, 0, 47, 0, 0];
        for side in [30_000_u32, 30_000, 0, 0, 1, 1, 0, 0] {
            wave.extend(side.to_be_bytes());
        }
        assert!(jpeg_2000_samples(&wave).is_err());
    }
}
