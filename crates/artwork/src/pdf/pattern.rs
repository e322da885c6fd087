//! Patterns as colours. Source: ISO 32000-2, 8.7.

use hayro_syntax::object::{Dict, Stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::cell::CellRows;
use super::fill::Rule;
use super::painter::{Painter, Part};
use super::shading::Way;
use super::state::{Colour, Pattern, State};
use super::unpack::unpacked;
use crate::error::ArtworkError;

/// Most tiles that one shape may need.
pub(super) const MOST_TILES: i64 = 40_000;

impl<'a> Painter<'a, '_> {
    /// Fills a path, given in pixels, with the pattern of the colour.
    pub(super) fn fill_pattern(
        &mut self,
        path: &BezPath,
        rule: Rule,
        part: Part,
    ) -> Result<(), ArtworkError> {
        match self.colour(part).pattern.clone() {
            Some(Pattern::Shading { shading, matrix }) => {
                let matrix = self.pattern_base() * matrix;
                self.shading((&shading, Way::Pattern), (path, rule), (matrix, part))
            }
            Some(Pattern::Tiling(stream)) => self.tiles(path, rule, (part, &stream)),
            None => Ok(()),
        }
    }

    fn tiles(
        &mut self,
        path: &BezPath,
        rule: Rule,
        (part, stream): (Part, &Stream<'a>),
    ) -> Result<(), ArtworkError> {
        let Some(tile) = Tile::of(stream.dict()) else {
            return Err(ArtworkError::damaged(
                "a tiling pattern without its box or steps",
            ));
        };
        let matrix = self.pattern_base() * tile.matrix;
        if matrix.determinant().abs() < 1e-12 || !matrix.is_finite() || !self.enter() {
            return Ok(());
        }
        let saved = self.state.clone();
        let done = self.shown_tiles((stream, &tile), matrix, (path, rule, part));
        self.state = saved;
        self.leave();
        done
    }

    fn shown_tiles(
        &mut self,
        (stream, tile): (&Stream<'a>, &Tile),
        matrix: Affine,
        (path, rule, part): (&BezPath, Rule, Part),
    ) -> Result<(), ArtworkError> {
        let colour = self.colour(part).clone();
        let shown = self.state.clip.area.touched(path.bounding_box());
        if shown.is_empty() {
            return Ok(());
        }
        let shown = matrix.inverse() * shown.rect().to_path(0.1);
        let range = tile.range(shown.bounding_box());
        let is_many = range.count() > MOST_TILES;
        if is_many || !tile.is_snapped(matrix) {
            if let Some(cell) = self.cell((stream, tile), matrix, &colour)? {
                return self.fill_rows((path, rule), part, &mut CellRows::new(&cell));
            }
            self.findings.not_counted(if is_many {
                format!("a pattern of {} tiles", range.count())
            } else {
                "a pattern that is turned or finer than four pixels, and large or not plain, counted with seams".to_owned()
            });
        }
        if is_many {
            return Ok(());
        }
        self.clip_path(path, rule)?;
        self.set_tile_colour(stream.dict(), &colour);
        let base = self.base;
        let done = self.repeat((stream, tile), matrix, &range);
        self.base = base;
        done
    }

    fn repeat(
        &mut self,
        (stream, tile): (&Stream<'a>, &Tile),
        matrix: Affine,
        range: &Range,
    ) -> Result<(), ArtworkError> {
        let bytes = unpacked(stream, &self.shared.meter)?;
        let resources = Resources::new(
            stream
                .dict()
                .get::<Dict<'a>>(b"Resources")
                .unwrap_or_default(),
        );
        let saved = self.state.clone();
        let is_snapped = tile.is_snapped(matrix);
        for row in range.y.0..=range.y.1 {
            for column in range.x.0..=range.x.1 {
                let step = (column as f64 * tile.step.0, row as f64 * tile.step.1);
                let placed = matrix * Affine::translate(step);
                let snap = if is_snapped {
                    tile.snap(placed)
                } else {
                    Some(Affine::IDENTITY)
                };
                let Some(snap) = snap else { continue };
                self.state.ctm = snap * placed;
                // Patterns within the tile lie on it.
                self.base = self.state.ctm;
                let bounds = self.state.ctm * tile.bounds.to_path(0.1);
                self.clip_path(&bounds, Rule::NonZero)?;
                if !self.state.clip.area.is_empty() {
                    self.content(&bytes, &resources)?;
                }
                self.state = saved.clone();
            }
        }
        Ok(())
    }

    /// A tile starts with a plain state; an uncoloured one has the colour that came with the pattern.
    pub(super) fn set_tile_colour(&mut self, dict: &Dict<'_>, colour: &Colour<'a>) {
        let mut state = State::new(self.state.ctm, self.state.clip.clone());
        state.soft_mask.clone_from(&self.state.soft_mask);
        state.blend = self.state.blend;
        if dict.get::<i32>(b"PaintType") == Some(2)
            && let super::space::Space::Pattern(Some(base)) = &*colour.space
        {
            let plain = Colour {
                space: std::rc::Rc::clone(base),
                pattern: None,
                ..colour.clone()
            };
            state.fill = plain.clone();
            state.stroke = plain;
            state.is_uncoloured = true;
        }
        state.fill.alpha = colour.alpha;
        state.stroke.alpha = colour.alpha;
        state.fill.is_overprint = colour.is_overprint;
        state.stroke.is_overprint = colour.is_overprint;
        state.is_nonzero_overprint = self.state.is_nonzero_overprint;
        self.state = state;
    }
}

/// One tile and its steps.
pub(super) struct Tile {
    pub(super) bounds: Rect,
    pub(super) step: (f64, f64),
    matrix: Affine,
}

/// Which tiles a shape needs, both ends included.
struct Range {
    x: (i64, i64),
    y: (i64, i64),
}

impl Range {
    fn count(&self) -> i64 {
        let side = |(first, last): (i64, i64)| last.saturating_sub(first).saturating_add(1).max(0);
        side(self.x).saturating_mul(side(self.y))
    }
}

impl Tile {
    fn of(dict: &Dict<'_>) -> Option<Self> {
        let bounds = dict.get::<hayro_syntax::object::Rect>(b"BBox")?;
        let bounds = Rect::new(bounds.x0, bounds.y0, bounds.x1, bounds.y1);
        let step = |key: &[u8]| {
            dict.get::<f64>(key)
                .map(f64::abs)
                .filter(|step| *step > 1e-6 && step.is_finite())
        };
        let matrix = dict
            .get::<[f64; 6]>(b"Matrix")
            .map_or(Affine::IDENTITY, Affine::new);
        Some(Self {
            bounds,
            step: (step(b"XStep")?, step(b"YStep")?),
            matrix,
        })
    }

    /// Opposite corners of one step, in pixels.
    fn cell(&self, placed: Affine) -> (Point, Point) {
        let from = self.bounds.origin();
        (
            placed * from,
            placed * (from + kurbo::Vec2::new(self.step.0, self.step.1)),
        )
    }

    /// Whether steps can be brought to whole pixels without much change: neighbours then leave no seams.
    fn is_snapped(&self, matrix: Affine) -> bool {
        let [a, b, c, d, _, _] = matrix.as_coeffs();
        let is_upright = b.abs().max(c.abs()) < 1e-6 * a.abs().max(d.abs());
        let is_sideways = a.abs().max(d.abs()) < 1e-6 * b.abs().max(c.abs());
        let (from, to) = self.cell(matrix);
        let size = to - from;
        (is_upright || is_sideways) && size.x.abs() >= 4.0 && size.y.abs() >= 4.0
    }

    /// From a step to the whole pixels nearest to it; `None` if none is left.
    fn snap(&self, placed: Affine) -> Option<Affine> {
        let (from, to) = self.cell(placed);
        let (start, end) = (from.round(), to.round());
        let (wide, high) = (
            (end.x - start.x) / (to.x - from.x),
            (end.y - start.y) / (to.y - from.y),
        );
        let is_there = wide.is_finite() && high.is_finite() && wide != 0.0 && high != 0.0;
        is_there.then(|| {
            Affine::translate(start.to_vec2())
                * Affine::scale_non_uniform(wide, high)
                * Affine::translate(-from.to_vec2())
        })
    }

    fn range(&self, shown: Rect) -> Range {
        let range = |low: f64, high: f64, from: f64, to: f64, step: f64| {
            (
                ((low - to) / step).floor() as i64,
                ((high - from) / step).ceil() as i64,
            )
        };
        Range {
            x: range(
                shown.x0,
                shown.x1,
                self.bounds.x0,
                self.bounds.x1,
                self.step.0,
            ),
            y: range(
                shown.y0,
                shown.y1,
                self.bounds.y0,
                self.bounds.y1,
                self.step.1,
            ),
        }
    }
}
