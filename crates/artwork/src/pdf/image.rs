//! Images and image masks. Source: ISO 32000-2, 8.9.

use std::rc::Rc;

use hayro_syntax::object::stream::ImageDecodeParams;
use hayro_syntax::object::{Array, Dict, Object, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Point, Rect, Shape};

use super::area::scaled;
use super::fill::Rule;
use super::guard::{check_image, too_large};
use super::limits::MOST_HELD;
use super::painter::{Painter, Part, Rows};
use super::space::{Space, shade};
use super::state::Pattern;
use super::unpack::{ImageFilter, Unpacker, image_filter};
use crate::Separator;
use crate::coverage::FULL;
use crate::error::ArtworkError;

/// Largest number of samples along a side that one pixel of the page averages.
const MOST_SAMPLES: usize = 12;
/// Places along a side at which a pixel across the edge of samples is looked at.
const EDGE_STEPS: usize = 8;
/// Places at which one image is looked at, about; on a large page there are fewer to a pixel.
const MOST_PLACES: usize = 200_000_000;
/// Most bytes that one image may unpack to without an image filter; beyond what is held, rows are left out.
const MOST_UNPACKED: u64 = 4 << 30;

/// Samples as they come out of the filters.
struct Samples {
    data: Vec<u8>,
    width: usize,
    height: usize,
    bits: u32,
    components: usize,
    decode: Vec<[f32; 2]>,
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
fn is_stencil(dict: &Dict<'_>) -> bool {
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

    fn raw(&self, x: usize, y: usize, component: usize) -> u32 {
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
    fn at(&self, (u, v): (f64, f64)) -> (usize, usize) {
        let at = |share: f64, side: usize| ((share * side as f64).max(0.0) as usize).min(side - 1);
        (at(u, self.width), at(v, self.height))
    }

    fn value(&self, x: usize, y: usize, component: usize) -> f32 {
        let [low, high] = self.decode[component];
        let most = ((1u64 << self.bits) - 1) as f32;
        low + self.raw(x, y, component) as f32 / most * (high - low)
    }
}

/// Opacity of an image, over its unit square.
enum Opacity {
    Whole,
    Soft(Samples),
    /// Raw samples between these are not painted.
    Keyed(Vec<[u32; 2]>),
}

impl<'a> Painter<'a, '_> {
    /// Paints an image or an image mask into the unit square of user space.
    pub(super) fn image(
        &mut self,
        stream: &Stream<'_>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        if !self.shared.layers.is_visible() || !self.shared.layers.entry_is_on(stream.dict()) {
            return Ok(());
        }
        self.what = "image";
        let done = self.image_or_mask(stream, resources);
        self.what = "shapes";
        match done {
            // One image that cannot be read leaves the rest of the page.
            Err(ArtworkError::Damaged(why) | ArtworkError::NotRead(why)) => {
                self.findings.not_counted(format!("an image: {why}"));
                Ok(())
            }
            other => other,
        }
    }

    fn image_or_mask(
        &mut self,
        stream: &Stream<'_>,
        resources: &Resources<'a>,
    ) -> Result<(), ArtworkError> {
        let dict = stream.dict();
        let path = self.state.ctm * Rect::new(0.0, 0.0, 1.0, 1.0).to_path(0.1);
        let pixels = self.state.clip.area.touched(path.bounding_box()).pixels();
        let Some(map) = Map::of(self.state.ctm, pixels) else {
            return Ok(());
        };
        if is_stencil(dict) {
            return self.stencil(stream, map, &path);
        }
        let space = match dict
            .get::<Object<'_>>(b"ColorSpace")
            .or_else(|| dict.get::<Object<'_>>(b"CS"))
        {
            Some(object) => Some(self.space(&object, resources)?),
            None => None,
        };
        let (samples, space) = self.samples(stream, space)?;
        let opacity = self.opacity(dict, &samples)?;
        if let Some(family) = space.separated().filter(|_| !self.is_luminance) {
            self.findings.separated(family, "image");
        }
        if self.is_luminance {
            let steps = map.steps(&samples);
            let places = (pixels * steps.0 * steps.1) as u64;
            self.spend(places.saturating_mul(space.luminance_cost()))?;
        }
        let tones = self.tones(&space, &vec![0.0; space.components()]);
        let is_all = tones.all.is_some();
        let inks = if is_all {
            (0..self.inks.len()).collect()
        } else {
            tones.inks.iter().map(|&(ink, _)| ink).collect()
        };
        let mut rows = ImageRows {
            map,
            source: &samples,
            opacity: &opacity,
            space: &space,
            separator: self.shared.separator,
            inks,
            is_all,
            is_luminance: self.is_luminance,
            last: None,
        };
        self.fill_rows((&path, Rule::NonZero), Part::Fill, &mut rows)
    }

    fn samples(
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
    fn space_of(
        &self,
        found: Option<hayro_syntax::object::stream::ImageColorSpace>,
    ) -> Option<Rc<Space>> {
        use hayro_syntax::object::stream::ImageColorSpace;
        Some(Rc::new(match found? {
            ImageColorSpace::Gray => Space::Gray,
            ImageColorSpace::Rgb => Space::Rgb(self.shared.separator.srgb()),
            ImageColorSpace::Cmyk => Space::Cmyk { direct: false },
            ImageColorSpace::Unknown(_) => return None,
        }))
    }

    fn opacity(&mut self, dict: &Dict<'_>, samples: &Samples) -> Result<Opacity, ArtworkError> {
        if let Some(mask) = dict.get::<Stream<'_>>(b"SMask") {
            if mask.dict().contains_key(b"Matte") {
                self.findings.not_counted(
                    "an image multiplied by its mask beforehand (Matte), counted as it is",
                );
            }
            let (soft, _) = self.samples(&mask, Some(Rc::new(Space::Gray)))?;
            return Ok(Opacity::Soft(soft));
        }
        if let Some(mask) = dict.get::<Stream<'_>>(b"Mask") {
            let (mut soft, _) = self.samples(&mask, Some(Rc::new(Space::Gray)))?;
            // In a stencil a one is masked out.
            let [low, high] = soft.decode[0];
            soft.decode[0] = [1.0 - low, 1.0 - high];
            return Ok(Opacity::Soft(soft));
        }
        let Some(keys) = dict.get::<Array<'_>>(b"Mask") else {
            return Ok(Opacity::Whole);
        };
        let keys: Vec<u32> = keys.iter::<u32>().collect();
        let pairs: Vec<[u32; 2]> = keys
            .chunks_exact(2)
            .map(|pair| [pair[0], pair[1]])
            .collect();
        Ok(if pairs.len() == samples.components {
            Opacity::Keyed(pairs)
        } else {
            Opacity::Whole
        })
    }

    /// A mask through which the fill colour is painted.
    fn stencil(
        &mut self,
        stream: &Stream<'_>,
        map: Map,
        path: &kurbo::BezPath,
    ) -> Result<(), ArtworkError> {
        let (mut samples, _) = self.samples(stream, Some(Rc::new(Space::Gray)))?;
        // A zero is painted.
        let [low, high] = samples.decode[0];
        samples.decode[0] = [1.0 - low, 1.0 - high];
        if let Some(Pattern::Tiling(_) | Pattern::Shading { .. }) = self.state.fill.pattern {
            self.findings
                .not_counted("an image mask filled with a pattern");
            return Ok(());
        }
        let space = Rc::clone(&self.state.fill.space);
        let tones = self.tones(&space, &self.state.fill.numbers);
        let (inks, _) = self.overprinted(Part::Fill, &space, tones, true);
        let mut rows = StencilRows {
            map,
            source: &samples,
            inks: inks.iter().map(|&(ink, _)| ink).collect(),
            tones: inks.iter().map(|&(_, tone)| tone).collect(),
        };
        self.fill_rows((path, Rule::NonZero), Part::Fill, &mut rows)
    }
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

/// From pixels of the page to samples.
#[derive(Debug, Clone, Copy)]
struct Map {
    inverse: Affine,
    /// Most places along a side of a pixel.
    most: usize,
}

impl Map {
    /// `pixels` is how many of them the image covers.
    fn of(ctm: Affine, pixels: usize) -> Option<Self> {
        let sound = ctm.determinant().abs() > 1e-12 && ctm.is_finite();
        sound.then(|| Self {
            inverse: ctm.inverse(),
            most: (MOST_PLACES / pixels.max(1)).isqrt().clamp(2, MOST_SAMPLES),
        })
    }

    /// Samples along each side of one pixel, on average.
    fn steps(self, samples: &Samples) -> (usize, usize) {
        let [a, b, c, d, _, _] = self.inverse.as_coeffs();
        let (width, height) = (samples.width as f64, samples.height as f64);
        let steps = |count: f64| (count.ceil() as usize).clamp(1, self.most);
        (
            steps((a.abs() * width).max(b.abs() * height)),
            steps((c.abs() * width).max(d.abs() * height)),
        )
    }

    /// Steps for one pixel: one if it lies inside a sample, many if it lies across an edge of large samples.
    fn steps_at(self, x: i32, y: i32, samples: &Samples, usual: (usize, usize)) -> (usize, usize) {
        if usual.0 * usual.1 > 4 {
            return usual;
        }
        let corner = |right: f64, down: f64| {
            let unit = self.inverse * Point::new(f64::from(x) + right, f64::from(y) + down);
            samples.at((unit.x, 1.0 - unit.y))
        };
        let first = corner(0.0, 0.0);
        let is_inside = [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0)]
            .iter()
            .all(|&(right, down)| corner(right, down) == first);
        if is_inside {
            (1, 1)
        } else {
            (EDGE_STEPS.min(self.most), EDGE_STEPS.min(self.most))
        }
    }

    /// Places in the unit square, from its top left, at which one pixel is looked at.
    fn each(self, x: i32, y: i32, steps: (usize, usize), mut found: impl FnMut((f64, f64))) {
        for j in 0..steps.1 {
            for i in 0..steps.0 {
                let point = Point::new(
                    f64::from(x) + (i as f64 + 0.5) / steps.0 as f64,
                    f64::from(y) + (j as f64 + 0.5) / steps.1 as f64,
                );
                let unit = self.inverse * point;
                found((unit.x, 1.0 - unit.y));
            }
        }
    }
}

struct ImageRows<'r> {
    map: Map,
    source: &'r Samples,
    opacity: &'r Opacity,
    space: &'r Space,
    separator: &'r Separator<'r>,
    inks: Vec<usize>,
    is_all: bool,
    is_luminance: bool,
    /// The last colour and its tones: neighbours are often alike.
    last: Option<(Vec<f32>, Vec<u16>)>,
}

impl ImageRows<'_> {
    fn tones(&mut self, numbers: &[f32], sums: &mut [u64], weight: u64) {
        let is_known = self
            .last
            .as_ref()
            .is_some_and(|(known, _)| known == numbers);
        if !is_known {
            let tones = if self.is_luminance {
                shade(self.space.luminance(numbers))
            } else {
                self.space.tones(numbers, self.separator)
            };
            let all = tones.all;
            let list = match all {
                Some(all) => vec![all; self.inks.len()],
                None => tones.inks.iter().map(|&(_, tone)| tone).collect(),
            };
            self.last = Some((numbers.to_vec(), list));
        }
        if let Some((_, list)) = &self.last {
            for (sum, &tone) in sums.iter_mut().zip(list) {
                *sum += u64::from(tone) * weight;
            }
        }
    }

    /// Opacity at a place of the unit square; `x` and `y` are the sample there.
    fn opacity(&self, place: (f64, f64), x: usize, y: usize) -> u16 {
        match self.opacity {
            Opacity::Whole => FULL,
            Opacity::Soft(mask) => {
                let (x, y) = mask.at(place);
                super::space::whole(mask.value(x, y, 0))
            }
            Opacity::Keyed(keys) => {
                let inside = |(at, [low, high]): (usize, &[u32; 2])| {
                    (*low..=*high).contains(&self.source.raw(x, y, at))
                };
                if keys.iter().enumerate().all(inside) {
                    0
                } else {
                    FULL
                }
            }
        }
    }
}

impl Rows for ImageRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.inks
    }

    fn is_all(&self) -> bool {
        self.is_all
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        let usual = self.map.steps(self.source);
        let mut work = 0;
        let (mut numbers, mut sums) = (vec![0.0; self.source.components], vec![0; self.inks.len()]);
        for (at, cover) in cover.iter_mut().enumerate() {
            if *cover == 0 {
                continue;
            }
            sums.fill(0);
            let mut there = 0u64;
            let (map, source) = (self.map, self.source);
            let mut steps = map.steps_at(x0 + at as i32, y, source, usual);
            if let Opacity::Soft(mask) = self.opacity {
                let finer = map.steps_at(x0 + at as i32, y, mask, map.steps(mask));
                steps = (steps.0.max(finer.0), steps.1.max(finer.1));
            }
            work += steps.0 * steps.1;
            map.each(x0 + at as i32, y, steps, |place| {
                let (x, y) = source.at(place);
                let opacity = u64::from(self.opacity(place, x, y));
                if opacity > 0 {
                    for (component, number) in numbers.iter_mut().enumerate() {
                        *number = source.value(x, y, component);
                    }
                    self.tones(&numbers, &mut sums, opacity);
                    there += opacity;
                }
            });
            for (row, &sum) in tones.iter_mut().zip(&sums) {
                row[at] = sum.checked_div(there).unwrap_or(0) as u16;
            }
            *cover = scaled(*cover, (there / (steps.0 * steps.1) as u64) as u16);
        }
        (cover.len() + work * 4) as u64
    }
}

struct StencilRows<'r> {
    map: Map,
    source: &'r Samples,
    inks: Vec<usize>,
    tones: Vec<u16>,
}

impl Rows for StencilRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.inks
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        let usual = self.map.steps(self.source);
        let mut work = 0;
        for (row, &tone) in tones.iter_mut().zip(&self.tones) {
            row.fill(tone);
        }
        for (at, cover) in cover.iter_mut().enumerate() {
            let mut there = 0u64;
            let source = self.source;
            let steps = self.map.steps_at(x0 + at as i32, y, source, usual);
            work += steps.0 * steps.1;
            self.map.each(x0 + at as i32, y, steps, |place| {
                let (x, y) = source.at(place);
                there += u64::from(super::space::whole(source.value(x, y, 0)));
            });
            *cover = scaled(*cover, (there / (steps.0 * steps.1) as u64) as u16);
        }
        (cover.len() + work) as u64
    }
}
