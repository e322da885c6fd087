//! Shadings by function, along an axis and between circles. Source: ISO 32000-2, 8.7.4.5.
//!
//! Meshes (types 4 to 7) are not counted, and told.

use std::rc::Rc;

use hayro_syntax::object::{Array, Dict, Object, dict_or_stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::fill::Rule;
use super::limits::{Costed, Meter};
use super::painter::{Painter, Part, Rows};
use super::space::{Space, shade};
use crate::Separator;
use crate::error::ArtworkError;

/// Colours that an axial or radial shading is sampled to.
const STEPS: usize = 1024;

/// Where a point lies in a shading.
enum Geometry {
    Function {
        domain: [f32; 4],
        inverse: Affine,
    },
    Axial {
        from: Point,
        to: Point,
    },
    Radial {
        from: (Point, f64),
        to: (Point, f64),
    },
}

/// A shading that can be painted.
struct Shading {
    geometry: Geometry,
    extend: [bool; 2],
    domain: [f32; 2],
    functions: Vec<Costed>,
    space: Rc<Space>,
    background: Option<Vec<f32>>,
    bounds: Option<Rect>,
}

impl<'a> Painter<'a, '_> {
    /// Paints a shading where a path is; `matrix` goes from the shading to pixels.
    pub(super) fn shading(
        &mut self,
        object: &Object<'a>,
        (path, rule): (&BezPath, Rule),
        (matrix, part): (Affine, Part),
    ) -> Result<(), ArtworkError> {
        let Some(shading) = self.read_shading(object)? else {
            return Ok(());
        };
        if let Some(family) = shading.space.separated().filter(|_| !self.is_luminance) {
            self.findings.separated(family, "shading");
        }
        if matrix.determinant().abs() < 1e-12 || !matrix.is_finite() {
            return Ok(());
        }
        let area = self.state.clip.area.touched(path.bounding_box());
        self.spend(shading.cost(area.pixels() as u64))?;
        let saved = self.state.clip.clone();
        if let Some(bounds) = shading.bounds {
            self.clip_path(&(matrix * bounds.to_path(0.1)), Rule::NonZero)?;
        }
        let colours = self.shading_colours(&shading);
        let tones = self.tones(&shading.space, &vec![0.0; shading.space.components()]);
        let inks: Vec<usize> = match tones.all {
            Some(_) => (0..self.inks.len()).collect(),
            None => tones.inks.iter().map(|&(ink, _)| ink).collect(),
        };
        let background = shading
            .background
            .as_ref()
            .map(|numbers| listed(&self.tones(&shading.space, numbers), inks.len()));
        let mut rows = ShadingRows {
            shading: &shading,
            colours,
            background,
            inverse: matrix.inverse(),
            inks,
            is_all: tones.all.is_some(),
            is_luminance: self.is_luminance,
            separator: self.shared.separator,
        };
        let done = self.fill_rows((path, rule), part, &mut rows);
        self.state.clip = saved;
        done
    }

    /// Paints the shading of the operator `sh` over all that the clip shows.
    pub(super) fn shade_clip(&mut self, object: &Object<'a>) -> Result<(), ArtworkError> {
        let area = self.state.clip.area;
        let all = Rect::new(
            f64::from(area.x0),
            f64::from(area.y0),
            f64::from(area.x1),
            f64::from(area.y1),
        );
        let matrix = self.state.ctm;
        self.shading(
            object,
            (&all.to_path(0.1), Rule::NonZero),
            (matrix, Part::Fill),
        )
    }

    fn read_shading(&mut self, object: &Object<'a>) -> Result<Option<Shading>, ArtworkError> {
        let Some((dict, _)) = dict_or_stream(object) else {
            return Err(ArtworkError::damaged("a shading that is no dictionary"));
        };
        let geometry = match dict.get::<i32>(b"ShadingType") {
            Some(1) => {
                let matrix = dict
                    .get::<[f64; 6]>(b"Matrix")
                    .map_or(Affine::IDENTITY, Affine::new);
                Geometry::Function {
                    domain: dict.get(b"Domain").unwrap_or([0.0, 1.0, 0.0, 1.0]),
                    inverse: matrix.inverse(),
                }
            }
            Some(2) => {
                let [x0, y0, x1, y1] = dict.get::<[f64; 4]>(b"Coords").ok_or_else(no_place)?;
                Geometry::Axial {
                    from: Point::new(x0, y0),
                    to: Point::new(x1, y1),
                }
            }
            Some(3) => {
                let [x0, y0, r0, x1, y1, r1] =
                    dict.get::<[f64; 6]>(b"Coords").ok_or_else(no_place)?;
                Geometry::Radial {
                    from: (Point::new(x0, y0), r0),
                    to: (Point::new(x1, y1), r1),
                }
            }
            Some(kind @ 4..=7) => {
                self.findings
                    .not_counted(format!("a mesh shading (type {kind})"));
                return Ok(None);
            }
            _ => return Err(ArtworkError::damaged("a shading of unknown type")),
        };
        let functions = functions(dict, &self.shared.meter)?;
        let inputs = if matches!(geometry, Geometry::Function { .. }) {
            2
        } else {
            1
        };
        if functions.is_empty()
            || functions
                .iter()
                .any(|costed| costed.function.num_inputs() != inputs)
        {
            return Err(ArtworkError::damaged("a shading without its function"));
        }
        let space = dict
            .get::<Object<'_>>(b"ColorSpace")
            .ok_or_else(|| ArtworkError::damaged("a shading without its colour space"))?;
        let bounds = dict.get::<hayro_syntax::object::Rect>(b"BBox");
        Ok(Some(Shading {
            geometry,
            extend: dict.get(b"Extend").unwrap_or([false, false]),
            domain: if inputs == 1 {
                dict.get(b"Domain").unwrap_or([0.0, 1.0])
            } else {
                [0.0, 1.0]
            },
            functions,
            space: self.space(&space, &Resources::new(Dict::empty()))?,
            background: dict
                .get::<Array<'_>>(b"Background")
                .map(|array| array.iter::<f32>().collect()),
            bounds: bounds.map(|r| Rect::new(r.x0, r.y0, r.x1, r.y1)),
        }))
    }

    /// Tones along the domain, so that each pixel only has to look one up.
    fn shading_colours(&self, shading: &Shading) -> Vec<Vec<u16>> {
        if matches!(shading.geometry, Geometry::Function { .. }) {
            return Vec::new();
        }
        let [from, to] = shading.domain;
        let colour = |step: usize| {
            let t = from + (to - from) * step as f32 / (STEPS - 1) as f32;
            let tones = self.tones(&shading.space, &shading.numbers(&[t]));
            listed(&tones, self.inks.len())
        };
        (0..STEPS).map(colour).collect()
    }
}

/// One function of a shading, or one for each number of its colours.
fn functions(dict: &Dict<'_>, meter: &Meter) -> Result<Vec<Costed>, ArtworkError> {
    let objects: Vec<Object<'_>> = match dict.get::<Object<'_>>(b"Function") {
        Some(Object::Array(array)) => array.iter::<Object<'_>>().take(32).collect(),
        Some(object) => vec![object],
        None => Vec::new(),
    };
    let made = objects.iter().map(|object| Costed::of(object, meter));
    Ok(made
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .flatten()
        .collect())
}

fn no_place() -> ArtworkError {
    ArtworkError::damaged("a shading without its coordinates")
}

fn listed(tones: &super::space::Tones, inks: usize) -> Vec<u16> {
    match tones.all {
        Some(all) => vec![all; inks],
        None => tones.inks.iter().map(|&(_, tone)| tone).collect(),
    }
}

impl Shading {
    /// What its functions cost over so many pixels.
    fn cost(&self, pixels: u64) -> u64 {
        let one: u64 = self.functions.iter().map(|costed| costed.cost).sum();
        match self.geometry {
            Geometry::Function { .. } => (pixels * 100).saturating_add(pixels.saturating_mul(one)),
            _ => one.saturating_mul(STEPS as u64),
        }
    }

    fn numbers(&self, input: &[f32]) -> Vec<f32> {
        let mut numbers = Vec::new();
        for Costed { function, .. } in &self.functions {
            let from = numbers.len();
            numbers.resize(from + function.num_outputs(), 0.0);
            // A function that fails leaves zeros.
            let _ = function.eval(input, &mut numbers[from..]);
        }
        numbers
    }

    /// Place along the shading, 0 to 1; `None` where there is no colour.
    fn place(&self, point: Point) -> Option<f64> {
        let place = match self.geometry {
            Geometry::Function { .. } => return None,
            Geometry::Axial { from, to } => {
                let axis = to - from;
                let length = axis.hypot2();
                if length == 0.0 {
                    return None;
                }
                (point - from).dot(axis) / length
            }
            Geometry::Radial { from, to } => self.between(point, from, to)?,
        };
        let extended = (place >= 0.0 || self.extend[0]) && (place <= 1.0 || self.extend[1]);
        extended.then(|| place.clamp(0.0, 1.0))
    }

    /// The largest place whose circle goes through the point.
    fn between(&self, point: Point, (c0, r0): (Point, f64), (c1, r1): (Point, f64)) -> Option<f64> {
        let (axis, to, dr) = (c1 - c0, point - c0, r1 - r0);
        let a = axis.hypot2() - dr * dr;
        let b = to.dot(axis) + r0 * dr;
        let c = to.hypot2() - r0 * r0;
        let roots = if a.abs() < 1e-12 {
            if b == 0.0 {
                return None;
            }
            [c / (2.0 * b); 2]
        } else {
            let root = b * b - a * c;
            if root < 0.0 {
                return None;
            }
            let root = root.sqrt();
            [(b + root) / a, (b - root) / a]
        };
        let fits = |s: f64| {
            let inside = (s >= 0.0 || self.extend[0]) && (s <= 1.0 || self.extend[1]);
            inside && r0 + s * dr >= 0.0
        };
        roots
            .into_iter()
            .filter(|&s| fits(s))
            .max_by(f64::total_cmp)
    }
}

struct ShadingRows<'r> {
    shading: &'r Shading,
    colours: Vec<Vec<u16>>,
    background: Option<Vec<u16>>,
    inverse: Affine,
    inks: Vec<usize>,
    is_all: bool,
    is_luminance: bool,
    separator: &'r Separator<'r>,
}

impl ShadingRows<'_> {
    fn by_function(&self, point: Point) -> Option<Vec<u16>> {
        let Geometry::Function { domain, inverse } = &self.shading.geometry else {
            return None;
        };
        let at = *inverse * point;
        let (x, y) = (at.x as f32, at.y as f32);
        let inside = x >= domain[0] && x <= domain[1] && y >= domain[2] && y <= domain[3];
        inside.then(|| {
            let numbers = self.shading.numbers(&[x, y]);
            let tones = if self.is_luminance {
                shade(self.shading.space.luminance(&numbers))
            } else {
                self.shading.space.tones(&numbers, self.separator)
            };
            listed(&tones, self.inks.len())
        })
    }
}

impl Rows for ShadingRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.inks
    }

    fn is_all(&self) -> bool {
        self.is_all
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        for (at, cover) in cover.iter_mut().enumerate() {
            if *cover == 0 {
                continue;
            }
            let pixel = Point::new(f64::from(x0) + at as f64 + 0.5, f64::from(y) + 0.5);
            let point = self.inverse * pixel;
            let made = self.by_function(point);
            let place = self.shading.place(point);
            let known =
                place.map(|place| &self.colours[(place * (STEPS - 1) as f64 + 0.5) as usize]);
            let Some(colour) = made.as_ref().or(known).or(self.background.as_ref()) else {
                *cover = 0;
                continue;
            };
            for (row, &tone) in tones.iter_mut().zip(colour) {
                row[at] = tone;
            }
        }
        cover.len() as u64 * 4
    }
}
