//! The strips and tiles of a TIFF file as streams of bytes.

use std::cell::RefCell;
use std::io::{self, BufReader, Cursor, Read, Seek, SeekFrom};
use std::rc::Rc;

use flate2::read::ZlibDecoder;
use weezl::{BitOrder, decode::Decoder as LzwDecoder};

use crate::error::ArtworkError;

/// Bytes read at once; several planes are read side by side.
const BLOCK: usize = 64 << 10;
/// Longest strip of JPEG that is read, bytes: the decoder takes it whole.
const LONGEST_JPEG: u64 = 64 << 20;
/// Most pixels of one strip of JPEG.
const MOST_JPEG_PIXELS: u64 = 100_000_000;

/// How the bytes of a strip are packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Packing {
    None,
    Lzw,
    Deflate,
    PackBits,
    Jpeg,
}

/// A part of the file, read through a handle that others use too.
struct Window<S> {
    source: Rc<RefCell<S>>,
    at: u64,
    end: u64,
}

impl<S: Read + Seek> Read for Window<S> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let want = (self.end - self.at).min(buffer.len() as u64) as usize;
        let mut source = self.source.borrow_mut();
        source.seek(SeekFrom::Start(self.at))?;
        let found = source.read(&mut buffer[..want])?;
        self.at += found as u64;
        Ok(found)
    }
}

/// Where a strip lies and how it is packed.
pub(crate) struct Place<'a> {
    pub(crate) from: u64,
    pub(crate) length: u64,
    pub(crate) packing: Packing,
    /// Tables that JPEG strips share.
    pub(crate) tables: Option<&'a [u8]>,
    /// Three samples of JPEG are primaries as they are, not luminance and chroma.
    pub(crate) primaries: bool,
}

/// Opens a strip for reading.
pub(crate) fn open<'a, S: Read + Seek + 'a>(
    source: &Rc<RefCell<S>>,
    place: &Place<'_>,
) -> Result<Box<dyn Read + 'a>, ArtworkError> {
    let window = Window {
        source: Rc::clone(source),
        at: place.from,
        end: place.from.saturating_add(place.length),
    };
    let packed = BufReader::with_capacity(BLOCK, window);
    Ok(match place.packing {
        Packing::None => Box::new(packed),
        Packing::Lzw => Box::new(Lzw::new(packed)),
        Packing::Deflate => Box::new(ZlibDecoder::new(packed)),
        Packing::PackBits => Box::new(PackBits {
            packed,
            state: Run::Start,
        }),
        Packing::Jpeg => Box::new(Cursor::new(jpeg(packed, place)?)),
    })
}

/// A strip of JPEG whole; four inks come out as their tones.
fn jpeg(packed: impl Read, place: &Place<'_>) -> Result<Vec<u8>, ArtworkError> {
    let mut strip = Vec::new();
    packed.take(LONGEST_JPEG + 1).read_to_end(&mut strip)?;
    if strip.len() as u64 > LONGEST_JPEG {
        return Err(ArtworkError::TooLarge {
            what: "a strip of JPEG is long",
            found: "more".to_owned(),
            allowed: format!("{} MB", LONGEST_JPEG >> 20),
        });
    }
    let mut bytes = Vec::new();
    if let Some(tables) = place.tables.filter(|tables| tables.len() > 4) {
        // Tables end with an end-of-image marker, a strip begins with a start-of-image one; neither belongs between.
        bytes.extend_from_slice(&tables[..tables.len() - 2]);
        bytes.extend_from_slice(strip.get(2..).unwrap_or(&[]));
    } else {
        bytes = strip;
    }
    let mut decoder = jpeg_decoder::Decoder::new(&bytes[..]);
    let trouble = |error: jpeg_decoder::Error| ArtworkError::damaged(error.to_string());
    decoder.read_info().map_err(trouble)?;
    let info = decoder
        .info()
        .ok_or_else(|| ArtworkError::damaged("an empty strip of JPEG"))?;
    if u64::from(info.width) * u64::from(info.height) > MOST_JPEG_PIXELS {
        return Err(ArtworkError::damaged(
            "a strip of JPEG is larger than its picture can be",
        ));
    }
    if place.primaries && info.pixel_format == jpeg_decoder::PixelFormat::RGB24 {
        decoder.set_color_transform(jpeg_decoder::ColorTransform::RGB);
    }
    let mut samples = decoder.decode().map_err(trouble)?;
    if info.pixel_format == jpeg_decoder::PixelFormat::CMYK32 {
        // The decoder undoes Adobe's inversion, which strips of a TIFF do not have.
        for sample in &mut samples {
            *sample = 255 - *sample;
        }
    }
    Ok(samples)
}

/// Lempel-Ziv-Welch as TIFF has it: high bits first, codes one early.
struct Lzw<R> {
    packed: R,
    decoder: LzwDecoder,
    block: Vec<u8>,
    from: usize,
    filled: usize,
    done: bool,
}

impl<R: Read> Lzw<R> {
    fn new(packed: R) -> Self {
        Self {
            packed,
            decoder: LzwDecoder::with_tiff_size_switch(BitOrder::Msb, 8),
            block: vec![0; BLOCK],
            from: 0,
            filled: 0,
            done: false,
        }
    }
}

impl<R: Read> Read for Lzw<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        while !self.done && !buffer.is_empty() {
            if self.from == self.filled {
                self.filled = self.packed.read(&mut self.block)?;
                self.from = 0;
            }
            let step = self
                .decoder
                .decode_bytes(&self.block[self.from..self.filled], buffer);
            self.from += step.consumed_in;
            let status = step
                .status
                .map_err(|error| io::Error::new(io::ErrorKind::InvalidData, error.to_string()))?;
            let ended = self.filled == 0 && step.consumed_out == 0;
            self.done = ended || matches!(status, weezl::LzwStatus::Done);
            if step.consumed_out > 0 {
                return Ok(step.consumed_out);
            }
        }
        Ok(0)
    }
}

/// Runs of bytes, alike or as they are.
struct PackBits<R> {
    packed: R,
    state: Run,
}

enum Run {
    Start,
    Literal(usize),
    Alike(usize, u8),
}

impl<R: Read> PackBits<R> {
    fn byte(&mut self) -> io::Result<Option<u8>> {
        let mut byte = [0];
        Ok((self.packed.read(&mut byte)? == 1).then_some(byte[0]))
    }
}

impl<R: Read> Read for PackBits<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            match self.state {
                Run::Start => {
                    let Some(head) = self.byte()? else {
                        return Ok(0);
                    };
                    self.state = match head.cast_signed() {
                        -128 => Run::Start,
                        n if n >= 0 => Run::Literal(n as usize + 1),
                        n => match self.byte()? {
                            Some(byte) => Run::Alike(1 + n.unsigned_abs() as usize, byte),
                            None => return Ok(0),
                        },
                    };
                }
                Run::Literal(left) => {
                    let want = left.min(buffer.len());
                    let found = self.packed.read(&mut buffer[..want])?;
                    self.state = if found == left || found == 0 {
                        Run::Start
                    } else {
                        Run::Literal(left - found)
                    };
                    return Ok(found);
                }
                Run::Alike(left, byte) => {
                    let n = left.min(buffer.len());
                    buffer[..n].fill(byte);
                    self.state = if n == left {
                        Run::Start
                    } else {
                        Run::Alike(left - n, byte)
                    };
                    return Ok(n);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packed_runs_come_out() {
        // The worked example of TIFF 6.0, section 9.
        let packed: &[u8] = &[
            0xfe, 0xaa, 0x02, 0x80, 0x00, 0x2a, 0xfd, 0xaa, 0x03, 0x80, 0x00, 0x2a, 0x22, 0xf7,
            0xaa,
        ];
        let mut out = Vec::new();
        PackBits {
            packed,
            state: Run::Start,
        }
        .read_to_end(&mut out)
        .unwrap();
        assert_eq!(out.len(), 24);
        assert_eq!(&out[..7], [0xaa, 0xaa, 0xaa, 0x80, 0x00, 0x2a, 0xaa]);
        assert_eq!(&out[10..14], [0x80, 0x00, 0x2a, 0x22]);
    }
}
