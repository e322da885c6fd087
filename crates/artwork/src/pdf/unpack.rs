//! Takes streams out of their lossless filters, piece by piece and no further than is allowed.
//!
//! Source: ISO 32000-2, 7.4. What comes before damage is kept, as readers have always done.

use std::cell::Cell;
use std::io::{BufRead, BufReader, Cursor, Read};
use std::rc::Rc;

use hayro_syntax::object::{Array, Dict, Name, Object, Stream};

use super::filters::{Ascii85, AsciiHex, Inflate, Lzw, RunLength};
use super::limits::{LONGEST_STREAM, Meter, bomb};
use super::predict::Predicted;
use crate::error::ArtworkError;

/// Most filters of one stream.
const MOST_FILTERS: usize = 8;

/// A filter that makes pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ImageFilter {
    Jpeg,
    Jpeg2000,
    Fax,
    Jbig2,
}

/// A filter as it is named in a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Filter {
    Hex,
    Ascii85,
    RunLength,
    Lzw,
    Flate,
    /// The document's own encryption, which is undone already.
    Crypt,
    Image(ImageFilter),
}

impl Filter {
    fn named(name: &[u8]) -> Option<Self> {
        Some(match name {
            b"ASCIIHexDecode" | b"AHx" => Self::Hex,
            b"ASCII85Decode" | b"A85" => Self::Ascii85,
            b"RunLengthDecode" | b"RL" => Self::RunLength,
            b"LZWDecode" | b"LZW" => Self::Lzw,
            b"FlateDecode" | b"Fl" => Self::Flate,
            b"Crypt" => Self::Crypt,
            b"DCTDecode" | b"DCT" => Self::Image(ImageFilter::Jpeg),
            b"JPXDecode" => Self::Image(ImageFilter::Jpeg2000),
            b"CCITTFaxDecode" | b"CCF" => Self::Image(ImageFilter::Fax),
            b"JBIG2Decode" => Self::Image(ImageFilter::Jbig2),
            _ => return None,
        })
    }
}

/// The filters of a stream in the order in which they are undone, each with its parameters.
fn filters<'a>(dict: &Dict<'a>) -> Result<Vec<(Filter, Dict<'a>)>, ArtworkError> {
    // In a stream that is no inline image, `F` names another file.
    if matches!(
        dict.get::<Object<'_>>(b"F"),
        Some(Object::String(_) | Object::Dict(_))
    ) {
        return Err(ArtworkError::not_read(
            "a stream that is kept in another file",
        ));
    }
    let entry = |short: &[u8], long: &[u8]| {
        let short = dict.get::<Object<'a>>(short);
        short.or_else(|| dict.get::<Object<'a>>(long))
    };
    let names: Vec<Name<'a>> = match entry(b"F", b"Filter") {
        Some(Object::Name(name)) => vec![name],
        Some(Object::Array(names)) => names.iter::<Name<'a>>().take(MOST_FILTERS + 1).collect(),
        _ => Vec::new(),
    };
    if names.len() > MOST_FILTERS {
        return Err(ArtworkError::damaged("a stream of more than eight filters"));
    }
    let mut parameters: Vec<Dict<'a>> = match entry(b"DP", b"DecodeParms") {
        Some(Object::Dict(dict)) => vec![dict],
        Some(Object::Array(all)) => parameters(&all),
        _ => Vec::new(),
    };
    parameters.resize_with(names.len(), Dict::empty);
    let found = names.iter().zip(parameters).map(|(name, parameters)| {
        let filter = Filter::named(name)
            .ok_or_else(|| ArtworkError::damaged(format!("no filter `{}`", name.as_str())))?;
        Ok((filter, parameters))
    });
    found.collect()
}

fn parameters<'a>(all: &Array<'a>) -> Vec<Dict<'a>> {
    let dicts = all.iter::<Object<'a>>().take(MOST_FILTERS);
    dicts
        .map(|object| object.into_dict().unwrap_or_else(Dict::empty))
        .collect()
}

/// The filter that makes the pixels of an image, if one does; its parameters.
pub(super) fn image_filter<'a>(
    stream: &Stream<'a>,
) -> Result<Option<(ImageFilter, Dict<'a>)>, ArtworkError> {
    let mut filters = filters(stream.dict())?;
    let last = filters.pop();
    if filters
        .iter()
        .any(|(filter, _)| matches!(filter, Filter::Image(_)))
    {
        return Err(ArtworkError::damaged(
            "an image that is packed again after it was one",
        ));
    }
    Ok(match last {
        Some((Filter::Image(filter), parameters)) => Some((filter, parameters)),
        _ => None,
    })
}

/// What happened inside the filters.
#[derive(Debug, Default)]
pub(super) struct Log {
    /// Bytes that came out of all filters together.
    work: Cell<u64>,
    /// More came out of one than is allowed.
    is_over: Cell<bool>,
    /// Data ended early or could not be understood.
    pub(super) is_damaged: Cell<bool>,
}

/// A stream that is being unpacked.
pub(super) struct Unpacker<'a> {
    source: Box<dyn BufRead + 'a>,
    log: Rc<Log>,
    charged: u64,
    bound: u64,
}

impl<'a> Unpacker<'a> {
    /// Undoes the lossless filters; none of them may give more than `bound` bytes.
    pub(super) fn of(stream: &Stream<'a>, bound: u64) -> Result<Self, ArtworkError> {
        let log = Rc::new(Log::default());
        let mut source: Box<dyn BufRead + 'a> = Box::new(Cursor::new(stream.raw_data()));
        for (filter, parameters) in filters(stream.dict())? {
            let stage: Box<dyn Read + 'a> = match filter {
                Filter::Crypt => continue,
                Filter::Image(_) => break,
                Filter::Hex => Box::new(AsciiHex::new(source)),
                Filter::Ascii85 => Box::new(Ascii85::new(source)),
                Filter::RunLength => Box::new(RunLength::new(source)),
                Filter::Flate => {
                    let plain = Inflate::new(source, Rc::clone(&log));
                    Predicted::of(plain, &parameters)?
                }
                Filter::Lzw => {
                    let plain = Lzw::new(source, &parameters, Rc::clone(&log));
                    Predicted::of(plain, &parameters)?
                }
            };
            source = Box::new(BufReader::new(Bounded {
                source: stage,
                left: bound,
                log: Rc::clone(&log),
            }));
        }
        Ok(Self {
            source,
            log,
            charged: 0,
            bound,
        })
    }

    /// Fills the buffer as far as there is data; returns how much there was.
    pub(super) fn fill(&mut self, buffer: &mut [u8], meter: &Meter) -> Result<usize, ArtworkError> {
        let mut found = 0;
        while found < buffer.len() {
            match self.source.read(&mut buffer[found..])? {
                0 => break,
                more => found += more,
            }
        }
        self.settle(meter)?;
        Ok(found)
    }

    /// Passes over so many bytes; returns how many there were.
    pub(super) fn skip(&mut self, bytes: u64, meter: &Meter) -> Result<u64, ArtworkError> {
        let found = std::io::copy(&mut (&mut self.source).take(bytes), &mut std::io::sink())?;
        self.settle(meter)?;
        Ok(found)
    }

    /// Everything that is left, or the first `most` bytes.
    fn rest(&mut self, most: u64, meter: &Meter) -> Result<Vec<u8>, ArtworkError> {
        let mut bytes = Vec::new();
        (&mut self.source).take(most).read_to_end(&mut bytes)?;
        self.settle(meter)?;
        Ok(bytes)
    }

    /// Charges the work that was done, and stops what goes too far.
    fn settle(&mut self, meter: &Meter) -> Result<(), ArtworkError> {
        if self.log.is_over.get() {
            return Err(bomb(self.bound));
        }
        let work = self.log.work.get();
        let new = work - std::mem::replace(&mut self.charged, work);
        meter.unpacked(new)
    }
}

/// The whole of a stream that is no image.
pub(super) fn unpacked(stream: &Stream<'_>, meter: &Meter) -> Result<Vec<u8>, ArtworkError> {
    unpacked_to(stream, LONGEST_STREAM, meter)
}

/// The whole of a stream that is no image and gives at most `bound` bytes.
pub(super) fn unpacked_to(
    stream: &Stream<'_>,
    bound: u64,
    meter: &Meter,
) -> Result<Vec<u8>, ArtworkError> {
    if image_filter(stream)?.is_some() {
        return Err(ArtworkError::damaged(
            "a stream is packed as if it were an image",
        ));
    }
    let bytes = Unpacker::of(stream, bound)?.rest(bound + 1, meter)?;
    if bytes.len() as u64 > bound {
        return Err(bomb(bound));
    }
    Ok(bytes)
}

/// The first bytes of a stream that is no image; what follows them is of no interest.
pub(super) fn start_of(
    stream: &Stream<'_>,
    most: u64,
    meter: &Meter,
) -> Result<Vec<u8>, ArtworkError> {
    Unpacker::of(stream, LONGEST_STREAM)?.rest(most, meter)
}

/// What an image filter gets to see, once it is known that the filters before it give no more than is allowed.
pub(super) fn before_image_filter<'a>(
    stream: &Stream<'a>,
    meter: &Meter,
) -> Result<std::borrow::Cow<'a, [u8]>, ArtworkError> {
    if filters(stream.dict())?.len() == 1 {
        return Ok(stream.raw_data());
    }
    let mut unpacker = Unpacker::of(stream, LONGEST_STREAM)?;
    let bytes = unpacker.rest(LONGEST_STREAM + 1, meter)?;
    // The image filter's own reader of what lies before it is more patient, and has no bound.
    if unpacker.log.is_damaged.get() {
        return Err(ArtworkError::damaged("its data cannot be unpacked"));
    }
    Ok(bytes.into())
}

/// Stops a filter that gives more than is allowed.
struct Bounded<'a> {
    source: Box<dyn Read + 'a>,
    left: u64,
    log: Rc<Log>,
}

impl Read for Bounded<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        if self.left == 0 {
            let is_more = self.source.read(&mut [0])? > 0;
            self.log.is_over.set(self.log.is_over.get() || is_more);
            return Ok(0);
        }
        let most = buffer
            .len()
            .min(usize::try_from(self.left).unwrap_or(usize::MAX));
        let found = self.source.read(&mut buffer[..most])?;
        self.left -= found as u64;
        self.log.work.set(self.log.work.get() + found as u64);
        Ok(found)
    }
}
