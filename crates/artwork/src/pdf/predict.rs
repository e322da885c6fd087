//! Predictors, which Flate and LZW apply before they pack. Source: ISO 32000-2, 7.4.4.4; PNG (ISO/IEC 15948), 9.

use std::io::{Read, Result};

use hayro_syntax::object::Dict;

use crate::error::ArtworkError;

/// Longest row, bytes.
const LONGEST_ROW: u64 = 64 << 20;

/// How samples were predicted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// By the sample to the left, as in TIFF.
    Left,
    /// Row by row as it says.
    Png,
}

/// Samples put together again.
pub(super) struct Predicted<R> {
    source: R,
    kind: Kind,
    /// Bits of a sample, and samples of a pixel.
    bits: usize,
    colours: usize,
    row: Vec<u8>,
    above: Vec<u8>,
    /// Which bytes of the row are still to be given.
    left: std::ops::Range<usize>,
}

impl<'a, R: Read + 'a> Predicted<R> {
    /// The source itself if nothing was predicted.
    pub(super) fn of(
        source: R,
        parameters: &Dict<'_>,
    ) -> std::result::Result<Box<dyn Read + 'a>, ArtworkError> {
        let kind = match parameters.get::<i32>(b"Predictor").unwrap_or(1) {
            2 => Kind::Left,
            10.. => Kind::Png,
            _ => return Ok(Box::new(source)),
        };
        let number = |key: &[u8], usual: u64| {
            let found = parameters.get::<i64>(key).map_or(usual, i64::unsigned_abs);
            found.clamp(1, 1 << 40)
        };
        let (bits, colours) = (number(b"BitsPerComponent", 8), number(b"Colors", 1));
        let is_sound = matches!(bits, 1 | 2 | 4 | 8 | 16) && colours <= 256;
        let bytes = (number(b"Columns", 1).saturating_mul(bits * colours.min(256))).div_ceil(8);
        if !is_sound || bytes > LONGEST_ROW {
            return Err(ArtworkError::damaged(format!(
                "a predictor over rows of {bytes} bytes with {colours} samples of {bits} bits"
            )));
        }
        Ok(Box::new(Self {
            source,
            kind,
            bits: bits as usize,
            colours: colours as usize,
            row: vec![0; bytes as usize],
            above: vec![0; bytes as usize],
            left: 0..0,
        }))
    }
}

impl<R: Read> Predicted<R> {
    /// Takes the next row; `false` if there is none.
    fn next(&mut self) -> Result<bool> {
        let mut tag = [0];
        if self.kind == Kind::Png && self.source.read(&mut tag)? == 0 {
            return Ok(false);
        }
        std::mem::swap(&mut self.row, &mut self.above);
        let mut found = 0;
        while found < self.row.len() {
            match self.source.read(&mut self.row[found..])? {
                0 => break,
                more => found += more,
            }
        }
        self.row[found..].fill(0);
        match self.kind {
            Kind::Left => left(&mut self.row, self.bits, self.colours),
            Kind::Png => {
                let pixel = (self.bits * self.colours).div_ceil(8);
                png(tag[0], &mut self.row, &self.above, pixel);
            }
        }
        self.left = 0..found;
        Ok(found > 0)
    }
}

impl<R: Read> Read for Predicted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        if self.left.is_empty() && !self.next()? {
            return Ok(0);
        }
        let count = buffer.len().min(self.left.len());
        let from = self.left.start;
        buffer[..count].copy_from_slice(&self.row[from..from + count]);
        self.left.start += count;
        Ok(count)
    }
}

/// Adds to each sample the one of the pixel before it.
fn left(row: &mut [u8], bits: usize, colours: usize) {
    match bits {
        8 => {
            for at in colours..row.len() {
                row[at] = row[at].wrapping_add(row[at - colours]);
            }
        }
        16 => {
            let back = 2 * colours;
            for at in (back..row.len().saturating_sub(1)).step_by(2) {
                let word = |at: usize| u16::from_be_bytes([row[at], row[at + 1]]);
                let [high, low] = word(at).wrapping_add(word(at - back)).to_be_bytes();
                (row[at], row[at + 1]) = (high, low);
            }
        }
        _ => {
            let mask = (1_u8 << bits) - 1;
            let shift = |sample: usize| 8 - bits - sample * bits % 8;
            for sample in colours..row.len() * 8 / bits {
                let (at, before) = (sample * bits / 8, (sample - colours) * bits / 8);
                let old = row[before] >> shift(sample - colours);
                let new = (row[at] >> shift(sample)).wrapping_add(old) & mask;
                row[at] = row[at] & !(mask << shift(sample)) | new << shift(sample);
            }
        }
    }
}

fn png(tag: u8, row: &mut [u8], above: &[u8], pixel: usize) {
    match tag {
        1 => {
            for at in pixel..row.len() {
                row[at] = row[at].wrapping_add(row[at - pixel]);
            }
        }
        2 => {
            for (byte, above) in row.iter_mut().zip(above) {
                *byte = byte.wrapping_add(*above);
            }
        }
        3 => {
            for at in 0..row.len() {
                let before = if at < pixel { 0 } else { row[at - pixel] };
                row[at] = row[at].wrapping_add(u8::midpoint(before, above[at]));
            }
        }
        4 => {
            for at in 0..row.len() {
                let (before, corner) = if at < pixel {
                    (0, 0)
                } else {
                    (row[at - pixel], above[at - pixel])
                };
                row[at] = row[at].wrapping_add(paeth(before, above[at], corner));
            }
        }
        _ => {}
    }
}

/// Whichever of left, above and corner is nearest to left + above - corner.
fn paeth(left: u8, above: u8, corner: u8) -> u8 {
    let [a, b, c] = [left, above, corner].map(i16::from);
    let (to_left, to_above, to_corner) = ((b - c).abs(), (a - c).abs(), (a + b - 2 * c).abs());
    if to_left <= to_above && to_left <= to_corner {
        left
    } else if to_above <= to_corner {
        above
    } else {
        corner
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hayro_syntax::object::FromBytes;

    fn read(bytes: &[u8], parameters: &[u8]) -> Vec<u8> {
        let parameters = Dict::from_bytes(parameters).unwrap();
        let mut out = Vec::new();
        let mut source = Predicted::of(bytes, &parameters).unwrap();
        source.read_to_end(&mut out).unwrap();
        out
    }

    #[test]
    fn samples_to_the_left_are_added() {
        let rows = read(&[1, 2, 3, 10, 20, 30], b"<</Predictor 2 /Columns 3>>");
        assert_eq!(rows, [1, 3, 6, 10, 30, 60]);
        let pixels = read(&[1, 2, 3, 4], b"<</Predictor 2 /Columns 2 /Colors 2>>");
        assert_eq!(pixels, [1, 2, 4, 6]);
        let wide = b"<</Predictor 2 /Columns 2 /BitsPerComponent 16>>";
        assert_eq!(read(&[0, 255, 0, 2], wide), [0, 255, 1, 1]);
        let nibbles = b"<</Predictor 2 /Columns 4 /BitsPerComponent 4>>";
        assert_eq!(read(&[0x11, 0x1f], nibbles), [0x12, 0x32]);
    }

    #[test]
    fn rows_of_png_say_how_they_were_predicted() {
        let parameters = b"<</Predictor 15 /Columns 3>>";
        let rows = [0, 1, 2, 3, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 1, 1, 4, 1, 1, 1];
        let wanted = [1, 2, 3, 1, 2, 3, 2, 3, 4, 2, 3, 4, 3, 4, 5];
        assert_eq!(read(&rows, parameters), wanted);
        // A last row that is cut short gives what is there.
        assert_eq!(read(&[0, 1, 2, 3, 2, 1], parameters), [1, 2, 3, 2]);
    }

    #[test]
    fn endless_rows_are_refused() {
        let parameters = Dict::from_bytes(b"<</Predictor 12 /Columns 999999999999>>").unwrap();
        assert!(Predicted::of(&b""[..], &parameters).is_err());
    }
}
