//! Shadings by function, along an axis and between circles. Source: ISO 32000-2, 8.7.4.5.2 to 8.7.4.5.4.

use hayro_syntax::object::Dict;
use kurbo::{Affine, Point};

use super::painter::Rows;
use super::shading::Brush;
use crate::error::ArtworkError;

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

/// A shading whose colours come from a function of the place.
pub(super) struct Gradient {
    geometry: Geometry,
    extend: [bool; 2],
    /// The range of the parameter along it.
    pub(super) domain: [f32; 2],
}

fn no_place() -> ArtworkError {
    ArtworkError::damaged("a shading without its coordinates")
}

impl Gradient {
    /// Reads a shading of type 1, 2 or 3.
    pub(super) fn of(dict: &Dict<'_>, kind: i32) -> Result<Self, ArtworkError> {
        let geometry = match kind {
            1 => {
                let matrix = dict
                    .get::<[f64; 6]>(b"Matrix")
                    .map_or(Affine::IDENTITY, Affine::new);
                Geometry::Function {
                    domain: dict.get(b"Domain").unwrap_or([0.0, 1.0, 0.0, 1.0]),
                    inverse: matrix.inverse(),
                }
            }
            2 => {
                let [x0, y0, x1, y1] = dict.get::<[f64; 4]>(b"Coords").ok_or_else(no_place)?;
                Geometry::Axial {
                    from: Point::new(x0, y0),
                    to: Point::new(x1, y1),
                }
            }
            _ => {
                let [x0, y0, r0, x1, y1, r1] =
                    dict.get::<[f64; 6]>(b"Coords").ok_or_else(no_place)?;
                Geometry::Radial {
                    from: (Point::new(x0, y0), r0),
                    to: (Point::new(x1, y1), r1),
                }
            }
        };
        let domain = if kind == 1 { None } else { dict.get(b"Domain") };
        Ok(Self {
            geometry,
            extend: dict.get(b"Extend").unwrap_or([false, false]),
            domain: domain.unwrap_or([0.0, 1.0]),
        })
    }

    /// Numbers that its function takes.
    pub(super) fn inputs(&self) -> usize {
        match self.geometry {
            Geometry::Function { .. } => 2,
            _ => 1,
        }
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

/// The colours of such a shading, row by row.
pub(super) struct GradientRows<'r> {
    gradient: &'r Gradient,
    brush: &'r Brush<'r>,
    /// From pixels to the shading.
    inverse: Affine,
}

impl<'r> GradientRows<'r> {
    /// `matrix` goes from the shading to pixels.
    pub(super) fn new(gradient: &'r Gradient, brush: &'r Brush<'r>, matrix: Affine) -> Self {
        Self {
            gradient,
            brush,
            inverse: matrix.inverse(),
        }
    }

    fn by_function(&self, point: Point) -> Option<Vec<u16>> {
        let Geometry::Function { domain, inverse } = &self.gradient.geometry else {
            return None;
        };
        let at = *inverse * point;
        let (x, y) = (at.x as f32, at.y as f32);
        let inside = x >= domain[0] && x <= domain[1] && y >= domain[2] && y <= domain[3];
        inside.then(|| self.brush.tones(&self.brush.numbers(&[x, y])))
    }
}

impl Rows for GradientRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.brush.inks
    }

    fn is_all(&self) -> bool {
        self.brush.is_all
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        for (at, cover) in cover.iter_mut().enumerate() {
            if *cover == 0 {
                continue;
            }
            let pixel = Point::new(f64::from(x0) + at as f64 + 0.5, f64::from(y) + 0.5);
            let point = self.inverse * pixel;
            let made = self.by_function(point);
            let along = self.brush.along.as_ref();
            let known = along.and_then(|along| Some(along.at(self.gradient.place(point)?)));
            let Some(colour) = made.as_deref().or(known) else {
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
