//! Patterns of which one step is painted once and then looked up: tiles that do not lie on whole pixels would each leave
//! a seam, and too many of them take too long.

use std::rc::Rc;

use hayro_syntax::object::{Dict, ObjectIdentifier, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, Point, Shape};

use super::area::{Area, Clip, scaled};
use super::blend::Blend;
use super::fill::Rule;
use super::painter::{Painter, Rows};
use super::pattern::{MOST_TILES, Tile};
use super::space::Space;
use super::state::Colour;
use super::surface::Surface;
use super::unpack::unpacked;
use crate::error::ArtworkError;

/// Most pixels that a step is painted on.
const MOST_PIXELS: f64 = 4_000_000.0;
/// Places that are looked up along a side of a pixel of the page; fewer where the step would get too large.
const PLACES: [usize; 3] = [4, 2, 1];
/// A step is painted on so many pixels along a side at least, and brought to its size after that: edges of a clip and of
/// what it cuts may lie in the same pixel, where they are not exact.
const FINE: u32 = 256;

/// One step of a pattern.
pub(super) struct Cell {
    surface: Surface,
    /// From pixels of the page to those of the step and its repetitions.
    inverse: Affine,
    /// Places along a side of a pixel of the page, about as far apart as pixels of the step.
    places: usize,
}

/// What a step looks like depends on.
pub(super) struct Key {
    pattern: ObjectIdentifier,
    matrix: Affine,
    /// The colour of a pattern that has none itself.
    colour: Option<(Rc<Space>, Vec<f32>)>,
    is_overprint: bool,
    is_luminance: bool,
}

impl PartialEq for Key {
    fn eq(&self, other: &Self) -> bool {
        let is_same_colour = match (&self.colour, &other.colour) {
            (Some((here, numbers)), Some((there, others))) => {
                Rc::ptr_eq(here, there) && numbers == others
            }
            (None, None) => true,
            _ => false,
        };
        self.pattern == other.pattern
            && self.matrix == other.matrix
            && is_same_colour
            && self.is_overprint == other.is_overprint
            && self.is_luminance == other.is_luminance
    }
}

/// The step that was looked up last; `None` if it cannot be painted by itself.
pub(super) type Known = Option<(Key, Option<Rc<Cell>>)>;

impl<'a> Painter<'a, '_> {
    /// One step of a pattern whose tiles are brought to pixels by `matrix`.
    ///
    /// `None` if it is too large, or if what it paints depends on what is beneath: overprint and blend modes.
    pub(super) fn cell(
        &mut self,
        (stream, tile): (&Stream<'a>, &Tile),
        matrix: Affine,
        colour: &Colour<'a>,
    ) -> Result<Option<Rc<Cell>>, ArtworkError> {
        let is_uncoloured = stream.dict().get::<i32>(b"PaintType") == Some(2);
        let key = Key {
            pattern: stream.obj_id(),
            matrix,
            colour: is_uncoloured.then(|| (Rc::clone(&colour.space), colour.numbers.clone())),
            is_overprint: colour.is_overprint,
            is_luminance: self.is_luminance,
        };
        if let Some((_, known)) = self.cell.as_ref().filter(|(known, _)| *known == key) {
            return Ok(known.clone());
        }
        let cell = self.make_cell((stream, tile), matrix, colour)?;
        let cell = cell.map(Rc::new);
        self.cell = Some((key, cell.clone()));
        Ok(cell)
    }

    fn make_cell(
        &mut self,
        (stream, tile): (&Stream<'a>, &Tile),
        matrix: Affine,
        colour: &Colour<'a>,
    ) -> Result<Option<Cell>, ArtworkError> {
        let Some((places, size)) = size(tile, matrix) else {
            return Ok(None);
        };
        let finer = finer(size);
        let (width, height) = (size.0 * finer.0, size.1 * finer.1);
        let area = Area::new(width, height);
        let scale = (
            f64::from(width) / tile.step.0,
            f64::from(height) / tile.step.1,
        );
        let from = tile.bounds.origin();
        let to_cell =
            Affine::scale_non_uniform(scale.0, scale.1) * Affine::translate((-from.x, -from.y));
        self.spend(area.pixels() as u64 * (2 + self.inks.len() as u64))?;
        let saved = self.state.clone();
        let (base, pixels) = (self.base, self.pixels_per_point);
        // The pattern takes its opacity and blend mode as a whole, where it is looked up.
        self.state.blend = Blend::Normal;
        self.state.soft_mask = None;
        self.state.clip = Clip { area, mask: None };
        let plain = Colour {
            alpha: 1.0,
            ..colour.clone()
        };
        self.set_tile_colour(stream.dict(), &plain);
        self.pixels_per_point *= (scale.0 * scale.1 / matrix.determinant().abs()).sqrt();
        self.surfaces.push(Surface::group(area));
        let done = self.paint_cell((stream, tile), to_cell);
        let surface = self.surfaces.pop();
        (self.base, self.pixels_per_point) = (base, pixels);
        self.state = saved;
        let is_whole = done?;
        let surface = surface.filter(|surface| is_whole && !surface.needs_beneath);
        let shrink = Affine::scale_non_uniform(1.0 / f64::from(finer.0), 1.0 / f64::from(finer.1));
        Ok(surface.map(|surface| Cell {
            surface: surface.shrunk(Area::new(size.0, size.1), finer),
            inverse: shrink * to_cell * matrix.inverse(),
            places,
        }))
    }

    /// Paints every tile that reaches into the step; `false` if there are too many.
    fn paint_cell(
        &mut self,
        (stream, tile): (&Stream<'a>, &Tile),
        to_cell: Affine,
    ) -> Result<bool, ArtworkError> {
        let reach = |side: f64, step: f64| (side / step - 1e-6).ceil().max(1.0);
        let columns = reach(tile.bounds.width(), tile.step.0);
        let rows = reach(tile.bounds.height(), tile.step.1);
        if columns * rows > MOST_TILES as f64 {
            return Ok(false);
        }
        let bytes = unpacked(stream, &self.shared.meter)?;
        let resources = stream.dict().get::<Dict<'a>>(b"Resources");
        let resources = Resources::new(resources.unwrap_or_default());
        let saved = self.state.clone();
        for row in 1 - rows as i64..=0 {
            for column in 1 - columns as i64..=0 {
                let step = (column as f64 * tile.step.0, row as f64 * tile.step.1);
                self.state.ctm = to_cell * Affine::translate(step);
                self.base = self.state.ctm;
                let bounds = self.state.ctm * tile.bounds.to_path(0.1);
                self.clip_path(&bounds, Rule::NonZero)?;
                self.content(&bytes, &resources)?;
                self.state = saved.clone();
            }
        }
        Ok(true)
    }
}

/// Places that are looked up along a side of a pixel, and the pixels of a step: each about as large as a place.
fn size(tile: &Tile, matrix: Affine) -> Option<(usize, (u32, u32))> {
    let [a, b, c, d, _, _] = matrix.as_coeffs();
    let across = (a * a + b * b).sqrt() * tile.step.0;
    let down = (c * c + d * d).sqrt() * tile.step.1;
    PLACES.into_iter().find_map(|places| {
        let side = |length: f64| (length * places as f64).round().max(1.0);
        let (width, height) = (side(across), side(down));
        let is_small = width * height <= MOST_PIXELS;
        is_small.then_some((places.max(2), (width as u32, height as u32)))
    })
}

/// How many pixels across and down become one of a step of this size.
fn finer((width, height): (u32, u32)) -> (u32, u32) {
    let finer = (FINE.div_ceil(width), FINE.div_ceil(height));
    let pixels = f64::from(width * finer.0) * f64::from(height * finer.1);
    if pixels > MOST_PIXELS { (1, 1) } else { finer }
}

/// The colours of a pattern, row by row.
pub(super) struct CellRows<'r> {
    cell: &'r Cell,
    inks: Vec<usize>,
    /// How far the places of a pixel are from its corner, in pixels of the step, and within one.
    offsets: Vec<(f64, f64)>,
}

impl<'r> CellRows<'r> {
    pub(super) fn new(cell: &'r Cell) -> Self {
        let planes = cell.surface.planes.iter().enumerate();
        let (width, height) = cell.size();
        let [a, b, c, d, _, _] = cell.inverse.as_coeffs();
        let share = |place: usize| (place as f64 + 0.5) / cell.places as f64;
        let offset = |place: usize| {
            let (x, y) = (share(place % cell.places), share(place / cell.places));
            (
                (a * x + c * y).rem_euclid(width),
                (b * x + d * y).rem_euclid(height),
            )
        };
        Self {
            cell,
            inks: planes
                .filter_map(|(ink, plane)| plane.is_some().then_some(ink))
                .collect(),
            offsets: (0..cell.places * cell.places).map(offset).collect(),
        }
    }
}

impl Cell {
    fn size(&self) -> (f64, f64) {
        let area = self.surface.area;
        (area.width() as f64, area.height() as f64)
    }
}

impl Rows for CellRows<'_> {
    fn inks(&self) -> &[usize] {
        &self.inks
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        let surface = &self.cell.surface;
        let (width, height) = self.cell.size();
        let Some(alpha) = &surface.alpha else {
            return 0;
        };
        let planes: Vec<&[u16]> = self
            .inks
            .iter()
            .map(|&ink| surface.planes[ink].as_deref().unwrap_or(&[]))
            .collect();
        let mut places = vec![0; self.offsets.len()];
        for (at, cover) in cover.iter_mut().enumerate() {
            if *cover == 0 {
                continue;
            }
            let corner = Point::new(f64::from(x0) + at as f64, f64::from(y));
            let corner = self.cell.inverse * corner;
            let (u, v) = (corner.x.rem_euclid(width), corner.y.rem_euclid(height));
            for (place, (du, dv)) in places.iter_mut().zip(&self.offsets) {
                let within = |sum: f64, side: f64| if sum >= side { sum - side } else { sum };
                let x = (within(u + du, width) as usize).min(surface.area.width() - 1);
                let y = (within(v + dv, height) as usize).min(surface.area.height() - 1);
                *place = y * surface.area.width() + x;
            }
            let sum = |plane: &[u16]| places.iter().map(|&place| u64::from(plane[place])).sum();
            let there: u64 = sum(alpha);
            for (row, plane) in tones.iter_mut().zip(&planes) {
                let full = u64::from(crate::coverage::FULL);
                row[at] = (sum(plane) * full / there.max(1)).min(full) as u16;
            }
            *cover = scaled(*cover, (there / places.len() as u64) as u16);
        }
        (cover.len() * self.offsets.len() * (2 + self.inks.len())) as u64
    }
}
