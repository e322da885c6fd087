//! Samples of images, as they come out of the filters. Source: ISO 32000-2, 8.9.5.

use std::rc::Rc;

use hayro_syntax::object::stream::{ImageColorSpace, ImageDecodeParams};
use hayro_syntax::object::{Array, Dict, Stream};
use jpeg_decoder::{Decoder, PixelFormat};

use super::guard::{check_image, too_large};
use super::limits::{MOST_DECODED, MOST_HELD};
use super::painter::Painter;
use super::space::Space;
use super::unpack::{ImageFilter, Unpacker, before_image_filter, image_filter};
use crate::error::ArtworkError;

/// Most bytes that one image may unpack to without an image filter; beyond what is held, rows are left out.
const MOST_UNPACKED: u64 = 4 << 30;

/// Samples as they come out of the filters.
pub(super) struct Samples {
    data: Vec<u8>,
    pub(super) width: usize,
    pub(super) height: usize,
    bits: u32,
    pub(super) components: usize,
    pub(super) decode: Vec<[f32; 2]>,
    row_bytes: usize,
}

/// What the dictionary of an image says of its samples.
struct Stated {
    width: u32,
    height: u32,
    bits: Option<u8>,
}

impl Stated {
    fn of(dict: &Dict<'_>) -> Self {
        let side = |long: &[u8], short: &[u8]| {
            let side = dict.get::<u32>(long).or_else(|| dict.get::<u32>(short));
            side.unwrap_or(0)
        };
        let bits = dict.get::<u8>(b"BitsPerComponent");
        Self {
            width: side(b"Width", b"W"),
            height: side(b"Height", b"H"),
            bits: bits
                .or_else(|| dict.get(b"BPC"))
                .or_else(|| is_stencil(dict).then_some(1)),
        }
    }
}

/// Whether the image is a mask through which a colour is painted.
pub(super) fn is_stencil(dict: &Dict<'_>) -> bool {
    let stated = dict.get::<bool>(b"ImageMask").or_else(|| dict.get(b"IM"));
    stated.unwrap_or(false)
}

fn no_space() -> ArtworkError {
    ArtworkError::damaged("it has no colour space")
}

fn short() -> ArtworkError {
    ArtworkError::damaged("less than half of its data is there")
}

impl Samples {
    /// No data yet.
    fn empty(
        (width, height): (u32, u32),
        bits: u32,
        components: usize,
    ) -> Result<Self, ArtworkError> {
        if width == 0 || height == 0 || !matches!(bits, 1 | 2 | 4 | 8 | 16) {
            return Err(ArtworkError::damaged(format!(
                "{width} x {height} pixels of {bits} bits"
            )));
        }
        Ok(Self {
            data: Vec::new(),
            width: width as usize,
            height: height as usize,
            bits,
            components,
            decode: Vec::new(),
            row_bytes: (width as usize * components * bits as usize).div_ceil(8),
        })
    }

    pub(super) fn raw(&self, x: usize, y: usize, component: usize) -> u32 {
        let index = x * self.components + component;
        let row = y * self.row_bytes;
        let byte = |at: usize| u32::from(self.data.get(row + at).copied().unwrap_or(0));
        match self.bits {
            8 => byte(index),
            16 => byte(2 * index) << 8 | byte(2 * index + 1),
            bits => {
                let bit = index * bits as usize;
                byte(bit / 8) >> (8 - bits as usize - bit % 8) & ((1 << bits) - 1)
            }
        }
    }

    /// The sample at a place of the unit square.
    pub(super) fn at(&self, (u, v): (f64, f64)) -> (usize, usize) {
        let at = |share: f64, side: usize| ((share * side as f64).max(0.0) as usize).min(side - 1);
        (at(u, self.width), at(v, self.height))
    }

    pub(super) fn value(&self, x: usize, y: usize, component: usize) -> f32 {
        let [low, high] = self.decode[component];
        let most = ((1u64 << self.bits) - 1) as f32;
        low + self.raw(x, y, component) as f32 / most * (high - low)
    }
}

impl Painter<'_, '_> {
    /// The samples of an image; a space is needed unless the image brings its own.
    pub(super) fn samples(
        &mut self,
        stream: &Stream<'_>,
        space: Option<Rc<Space>>,
    ) -> Result<(Samples, Rc<Space>), ArtworkError> {
        let stated = Stated::of(stream.dict());
        let decode = numbers(stream.dict());
        let (samples, space) = if let Some((filter, parameters)) = image_filter(stream)? {
            self.decoded(stream, &stated, (filter, &parameters), space)?
        } else {
            let space = space.ok_or_else(no_space)?;
            (self.plain(stream, &stated, &space)?, space)
        };
        let decode = decode.unwrap_or_else(|| space.usual_decode(samples.bits));
        if decode.len() < samples.components {
            return Err(ArtworkError::damaged("its decode array is too short"));
        }
        Ok((Samples { decode, ..samples }, space))
    }

    /// Samples that lie as they are once the lossless filters are undone; of a huge image only some of its rows are held.
    fn plain(
        &mut self,
        stream: &Stream<'_>,
        stated: &Stated,
        space: &Space,
    ) -> Result<Samples, ArtworkError> {
        let bits = u32::from(stated.bits.unwrap_or(8));
        let mut samples = Samples::empty((stated.width, stated.height), bits, space.components())?;
        let row = samples.row_bytes as u64;
        let all = row.saturating_mul(u64::from(stated.height));
        if all > MOST_UNPACKED {
            return Err(too_large(
                all * 8 / u64::from(bits),
                MOST_UNPACKED * 8 / u64::from(bits),
            ));
        }
        let step = all.div_ceil(MOST_HELD).max(1);
        samples.height = u64::from(stated.height).div_ceil(step) as usize;
        samples.data = vec![0; samples.row_bytes * samples.height];
        let meter = &self.shared.meter;
        let mut unpacker = Unpacker::of(stream, MOST_UNPACKED)?;
        let mut found = 0;
        for line in samples.data.chunks_exact_mut(samples.row_bytes) {
            let here = unpacker.fill(line, meter)?;
            found += here;
            if here < line.len() {
                break;
            }
            unpacker.skip(row * (step - 1), meter)?;
        }
        if found < samples.data.len() / 2 {
            return Err(short());
        }
        if step > 1 {
            self.findings.not_counted(format!(
                "an image of {} x {} pixels, counted from one in {step} of its rows",
                stated.width, stated.height
            ));
        }
        Ok(samples)
    }

    /// Samples that an image filter makes.
    fn decoded(
        &mut self,
        stream: &Stream<'_>,
        stated: &Stated,
        filter: (ImageFilter, &Dict<'_>),
        space: Option<Rc<Space>>,
    ) -> Result<(Samples, Rc<Space>), ArtworkError> {
        let size = (stated.width, stated.height);
        check_image(stream, filter, size, &self.shared.meter)?;
        if filter.0 == ImageFilter::Jpeg {
            let packed = before_image_filter(stream, &self.shared.meter)?;
            if let Some((size, data)) = four_inks(&packed) {
                let space = space.unwrap_or_else(|| Rc::new(Space::Cmyk { direct: false }));
                let mut samples = Samples::empty(size, 8, space.components())?;
                samples.data = data;
                if samples.data.len() < samples.row_bytes * samples.height {
                    return Err(short());
                }
                return Ok((samples, space));
            }
        }
        let params = ImageDecodeParams {
            is_indexed: matches!(space.as_deref(), Some(Space::Indexed { .. })),
            bpc: stated.bits,
            num_components: space.as_ref().map(|space| space.components() as u8),
            target_dimension: None,
            width: stated.width,
            height: stated.height,
        };
        let decoded = stream.decoded_image(&params).map_err(|error| {
            ArtworkError::damaged(format!("its data cannot be unpacked ({error:?})"))
        })?;
        let header = decoded.image_data.as_ref();
        let size = header.map_or(size, |data| (data.width, data.height));
        let bits = header.map_or_else(
            || u32::from(stated.bits.unwrap_or(8)),
            |data| u32::from(data.bits_per_component),
        );
        let space = space.or_else(|| self.space_of(header.and_then(|data| data.color_space)));
        let space = space.ok_or_else(no_space)?;
        let mut samples = Samples::empty(size, bits, space.components())?;
        samples.data = decoded.data.into_owned();
        if samples.data.len() < samples.row_bytes * samples.height / 2 {
            return Err(short());
        }
        Ok((samples, space))
    }

    /// The colour space that a JPEG 2000 image brings with it.
    fn space_of(&self, found: Option<ImageColorSpace>) -> Option<Rc<Space>> {
        Some(Rc::new(match found? {
            ImageColorSpace::Gray => Space::Gray,
            ImageColorSpace::Rgb => Space::Rgb(self.shared.separator.srgb()),
            ImageColorSpace::Cmyk => Space::Cmyk { direct: false },
            ImageColorSpace::Unknown(_) => return None,
        }))
    }
}

/// Size and samples of a JPEG of four inks, as they are stored: the reader for all others rounds them down.
fn four_inks(packed: &[u8]) -> Option<((u32, u32), Vec<u8>)> {
    let mut decoder = Decoder::new(packed);
    decoder.read_info().ok()?;
    let info = decoder.info()?;
    let size = (u32::from(info.width), u32::from(info.height));
    let samples = u64::from(size.0) * u64::from(size.1) * 4;
    if info.pixel_format != PixelFormat::CMYK32 || samples > MOST_DECODED {
        return None;
    }
    let mut data = decoder.decode().ok()?;
    // This reader gives the light that is left in place of the ink.
    for sample in &mut data {
        *sample = 255 - *sample;
    }
    Some((size, data))
}

fn numbers(dict: &Dict<'_>) -> Option<Vec<[f32; 2]>> {
    let array = dict
        .get::<Array<'_>>(b"Decode")
        .or_else(|| dict.get::<Array<'_>>(b"D"))?;
    let values: Vec<f32> = array.iter::<f32>().collect();
    Some(
        values
            .chunks_exact(2)
            .map(|pair| [pair[0], pair[1]])
            .collect(),
    )
}
