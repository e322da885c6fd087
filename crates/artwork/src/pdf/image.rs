//! Images and image masks. Source: ISO 32000-2, 8.9.

use std::rc::Rc;

use hayro_syntax::object::{Array, Dict, Object, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Point, Rect, Shape};

use super::area::scaled;
use super::fill::Rule;
use super::painter::{Painter, Part, Rows};
use super::samples::{Samples, is_stencil};
use super::space::{Space, shade};
use crate::Separator;
use crate::coverage::FULL;
use crate::error::ArtworkError;

/// Largest number of samples along a side that one pixel of the page averages.
const MOST_SAMPLES: usize = 12;
/// Places along a side at which a pixel across the edge of samples is looked at.
const EDGE_STEPS: usize = 8;
/// Places at which one image is looked at, about; on a large page there are fewer to a pixel.
const MOST_PLACES: usize = 200_000_000;
/// Opacity of an image, over its unit square.
pub(super) enum Opacity {
    Whole,
    Soft(Samples),
    /// Raw samples between these are not painted.
    Keyed(Vec<[u32; 2]>),
}

impl Opacity {
    /// Opacity at a place of the unit square; `x` and `y` are the sample of the image there.
    pub(super) fn at(&self, place: (f64, f64), image: &Samples, (x, y): (usize, usize)) -> u16 {
        match self {
            Self::Whole => FULL,
            Self::Soft(mask) => {
                let (x, y) = mask.at(place);
                super::space::whole(mask.value(x, y, 0))
            }
            Self::Keyed(keys) => {
                let inside = |(at, [low, high]): (usize, &[u32; 2])| {
                    (*low..=*high).contains(&image.raw(x, y, at))
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
        let shown = (&samples, &opacity);
        self.judge(stream.obj_id(), shown, &space, path.bounding_box())?;
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
}

/// From pixels of the page to samples.
#[derive(Debug, Clone, Copy)]
pub(super) struct Map {
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
    pub(super) fn steps(self, samples: &Samples) -> (usize, usize) {
        let [a, b, c, d, _, _] = self.inverse.as_coeffs();
        let (width, height) = (samples.width as f64, samples.height as f64);
        let steps = |count: f64| (count.ceil() as usize).clamp(1, self.most);
        (
            steps((a.abs() * width).max(b.abs() * height)),
            steps((c.abs() * width).max(d.abs() * height)),
        )
    }

    /// Steps for one pixel: one if it lies inside a sample, many if it lies across an edge of large samples.
    pub(super) fn steps_at(
        self,
        x: i32,
        y: i32,
        samples: &Samples,
        usual: (usize, usize),
    ) -> (usize, usize) {
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
    pub(super) fn each(
        self,
        x: i32,
        y: i32,
        steps: (usize, usize),
        mut found: impl FnMut((f64, f64)),
    ) {
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
                let opacity = u64::from(self.opacity.at(place, source, (x, y)));
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
