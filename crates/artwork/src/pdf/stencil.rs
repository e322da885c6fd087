//! Image masks, through which a colour or a pattern is painted. Source: ISO 32000-2, 8.9.6.2.

use std::rc::Rc;

use hayro_syntax::object::Stream;
use kurbo::{BezPath, Shape, Vec2};

use super::area::{Clip, Mask, scaled};
use super::fill::{Outline, Rule};
use super::image::Map;
use super::painter::{Painter, Part, Rows};
use super::samples::Samples;
use super::space::{Space, whole};
use crate::coverage::FULL;
use crate::error::ArtworkError;

impl Painter<'_, '_> {
    /// Paints the fill colour through a mask.
    pub(super) fn stencil(
        &mut self,
        stream: &Stream<'_>,
        map: Map,
        path: &BezPath,
    ) -> Result<(), ArtworkError> {
        let (mut samples, _) = self.samples(stream, Some(Rc::new(Space::Gray)))?;
        // A zero is painted.
        let [low, high] = samples.decode[0];
        samples.decode[0] = [1.0 - low, 1.0 - high];
        let mut rows = StencilRows {
            map,
            source: &samples,
            inks: Vec::new(),
            tones: Vec::new(),
        };
        if self.state.fill.pattern.is_some() {
            return self.patterned(&mut rows, path);
        }
        let space = Rc::clone(&self.state.fill.space);
        let tones = self.tones(&space, &self.state.fill.numbers);
        let (inks, _) = self.overprinted(Part::Fill, &space, tones, true);
        (rows.inks, rows.tones) = inks.into_iter().unzip();
        self.fill_rows((path, Rule::NonZero), Part::Fill, &mut rows)
    }

    /// Paints the pattern on a copy of what is there, and takes that over where the mask is.
    ///
    /// Pixels of a mask are covered in part as a rule: painted one after the other, the layers of a tile would shine
    /// through each other there.
    fn patterned(
        &mut self,
        rows: &mut StencilRows<'_>,
        path: &BezPath,
    ) -> Result<(), ArtworkError> {
        let area = self.state.clip.area.both(self.surface().area);
        let area = area.touched(path.bounding_box());
        if area.is_empty() {
            return Ok(());
        }
        let mut mask = Mask {
            area,
            values: vec![0; area.pixels()],
            outside: 0,
        };
        let mut work = (area.pixels() * (4 + self.inks.len())) as u64;
        let outline = (&Outline::of(path), Vec2::ZERO);
        self.filler
            .fill(outline, Rule::NonZero, area, |(y, x0, row)| {
                work += rows.row(y, x0, row, &mut []);
                let at = area.at(x0, y);
                mask.values[at..at + row.len()].copy_from_slice(row);
            });
        self.spend(work)?;
        let saved = self.state.clone();
        self.state.clip = Clip { area, mask: None };
        self.state.soft_mask = None;
        let copy = self.surface().copy_of(area);
        self.surfaces.push(copy);
        let all = area.rect().to_path(0.1);
        let done = self.fill_pattern(&all, Rule::NonZero, Part::Fill);
        self.state = saved;
        let Some(painted) = self.surfaces.pop() else {
            return done;
        };
        let (clip, soft) = (self.state.clip.mask.clone(), self.state.soft_mask.clone());
        let others = [clip.as_deref(), soft.as_deref()].into_iter().flatten();
        let masks: Vec<&Mask> = std::iter::once(&mask).chain(others).collect();
        self.surface().take_over(&painted, &masks, FULL);
        done
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
                there += u64::from(whole(source.value(x, y, 0)));
            });
            *cover = scaled(*cover, (there / (steps.0 * steps.1) as u64) as u16);
        }
        (cover.len() + work) as u64
    }
}
