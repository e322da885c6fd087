//! Mesh shadings: triangles with a colour at each corner, and patches. Source: ISO 32000-2, 8.7.4.5.5 to 8.7.4.5.8.
//!
//! A mesh is painted by bands of rows, so that memory stays small; for each band its data is gone through anew.

mod cover;
mod patch;
mod polygon;
mod stream;

use hayro_syntax::object::{Dict, Stream};
use kurbo::{Affine, Rect};

use self::cover::{Canvas, Corner};
use self::patch::Patch;
use self::stream::{Layout, Piece, Vertex};
use super::area::{Area, scaled};
use super::limits::Meter;
use super::painter::Rows;
use super::shading::Brush;
use super::unpack::unpacked;
use crate::error::ArtworkError;

/// Bytes that one band may take.
const BAND: usize = 32 << 20;
/// Work for reading a triangle and a patch, in painted pixels; for each number of their colours there is more.
const TRIANGLE: u64 = 80;
const PATCH: u64 = 400;
/// Work for the points of one cell of a patch.
const CELL: u64 = 200;

/// The data of a mesh and how it is written.
pub(super) struct Mesh {
    layout: Layout,
    data: Vec<u8>,
}

impl Mesh {
    /// Reads a shading of type 4 to 7 whose colours are written in so many numbers.
    pub(super) fn of(
        (dict, stream): (&Dict<'_>, Option<&Stream<'_>>),
        kind: i32,
        numbers: usize,
        meter: &Meter,
    ) -> Result<Self, ArtworkError> {
        let stream = stream.ok_or_else(|| ArtworkError::damaged("a mesh shading without data"))?;
        Ok(Self {
            layout: Layout::of(dict, kind, numbers)?,
            data: unpacked(stream, meter)?,
        })
    }

    /// The range of the parameter of a mesh whose colours come from a function.
    pub(super) fn range(&self) -> [f32; 2] {
        self.layout.first_range()
    }
}

/// The colours of a mesh, band after band.
pub(super) struct MeshRows<'r> {
    mesh: &'r Mesh,
    brush: &'r Brush<'r>,
    meter: &'r Meter,
    /// From the mesh to pixels.
    matrix: Affine,
    /// The pixels that will be asked for.
    area: Area,
    band: Canvas,
    /// Why the mesh was given up, if it was.
    pub(super) failed: Option<ArtworkError>,
}

impl<'r> MeshRows<'r> {
    pub(super) fn new(
        (mesh, brush): (&'r Mesh, &'r Brush<'r>),
        meter: &'r Meter,
        (matrix, area): (Affine, Area),
    ) -> Self {
        let nothing = Area {
            y1: area.y0,
            ..area
        };
        Self {
            mesh,
            brush,
            meter,
            matrix,
            area,
            band: Canvas::new(nothing, brush.inks.len()),
            failed: None,
        }
    }

    /// Paints the band that begins with a row.
    fn paint_band(&mut self, y: i32) -> Result<(), ArtworkError> {
        let inks = self.brush.inks.len();
        let row = Canvas::bytes_a_pixel(inks) * self.area.width().max(1);
        let rows = (BAND / row).clamp(1, 1 << 20) as i32;
        let area = Area {
            y0: y,
            y1: self.area.y1.min(y + rows),
            ..self.area
        };
        self.meter.spend((area.pixels() * (2 + inks)) as u64)?;
        self.band = Canvas::new(area, inks);
        let (brush, meter, canvas) = (self.brush, self.meter, &mut self.band);
        self.mesh
            .layout
            .each(&self.mesh.data, self.matrix, &mut |piece| {
                meter.spend(match piece {
                    Piece::Triangle(corners) => brush.triangle(canvas, corners),
                    Piece::Patch(patch) => brush.patch(canvas, patch, meter)?,
                })
            })
    }
}

impl Rows for MeshRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.brush.inks
    }

    fn is_all(&self) -> bool {
        self.brush.is_all
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        // Rows come from the top down.
        if self.failed.is_none() && (self.band.area.y1..self.area.y1).contains(&y) {
            self.failed = self.paint_band(y).err();
        }
        for (at, cover) in cover.iter_mut().enumerate() {
            let pixel = self.band.pixel(x0 + at as i32, y);
            let Some((share, colour)) = pixel.filter(|_| self.failed.is_none()) else {
                *cover = 0;
                continue;
            };
            *cover = scaled(*cover, share);
            for (row, tone) in tones.iter_mut().zip(colour) {
                row[at] = tone;
            }
        }
        cover.len() as u64 * (2 + self.brush.inks.len() as u64)
    }
}

impl Brush<'_> {
    fn triangle(&self, canvas: &mut Canvas, corners: [&Vertex; 3]) -> u64 {
        let [a, b, c] = corners.map(|corner| corner.at);
        let numbers = corners[0].numbers.len() as u64;
        let work = TRIANGLE + 3 * numbers;
        if canvas
            .area
            .touched(Rect::from_points(a, b).union_pt(c))
            .is_empty()
        {
            return work;
        }
        let values = corners.map(|corner| self.values(&corner.numbers));
        let corners = [0, 1, 2].map(|at| Corner {
            at: corners[at].at,
            values: &values[at],
        });
        work + canvas.triangle(&corners, &mut |values, tones| self.colour(values, tones))
    }

    fn patch(
        &self,
        canvas: &mut Canvas,
        patch: &Patch,
        meter: &Meter,
    ) -> Result<u64, ArtworkError> {
        let numbers = patch.colours[0].len() as u64;
        let mut work = PATCH + 8 * numbers;
        let area = canvas.area;
        if area.touched(patch.bounds()).is_empty() {
            return Ok(work);
        }
        let cells = patch.cells();
        // So many cells are gone through wherever they lie.
        meter.spend((cells.0 * cells.1) as u64 * (CELL + 2 * numbers))?;
        let values = patch.colours.each_ref().map(|colour| self.values(colour));
        patch.triangles((cells, &values), area, &mut |corners| {
            work += canvas.triangle(&corners, &mut |values, tones| self.colour(values, tones));
        });
        Ok(work)
    }

    /// What is interpolated in place of the numbers of a corner.
    fn values(&self, numbers: &[f32]) -> Vec<f32> {
        if self.is_even() {
            let tones = self.tones(numbers).into_iter();
            tones.map(f32::from).collect()
        } else {
            numbers.to_vec()
        }
    }

    /// Tones of interpolated values.
    fn colour(&self, values: &[f32], tones: &mut [f32]) {
        if self.is_even() {
            tones.copy_from_slice(values);
            return;
        }
        let made;
        let colour = if let (Some(along), Some(&place)) = (&self.along, values.first()) {
            along.of(place)
        } else {
            made = self.tones(values);
            &made
        };
        for (tone, &found) in tones.iter_mut().zip(colour) {
            *tone = f32::from(found);
        }
    }

    /// Whether tones may be interpolated in place of numbers.
    fn is_even(&self) -> bool {
        self.along.is_none() && self.space.is_even(self.is_luminance)
    }
}
