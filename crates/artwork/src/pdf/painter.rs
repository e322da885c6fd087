//! Paints paths, masks and rows with the colour of the graphics state.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use hayro_font::FontCache;
use hayro_syntax::object::ObjectIdentifier;
use kurbo::{Affine, BezPath, Shape, Vec2};

use super::area::{Area, Clip, Mask};
use super::cell::Known;
use super::fill::{Filler, Outline, Rule};
use super::findings::Findings;
use super::glyphs::Glyphs;
use super::inks::Inks;
use super::layers::Layers;
use super::limits::Meter;
use super::photographs::{Judge, Judged};
use super::space::{Space, Tones, shade, whole};
use super::state::{Colour, State};
use super::surface::{Paint, Surface, Tone};
use crate::coverage::FULL;
use crate::error::ArtworkError;
use crate::{Photographs, Separator};

/// What a colour is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Fill,
    Stroke,
}

/// What the document knows on every page.
pub(super) struct Shared<'a> {
    pub(super) fonts: FontCache<'a>,
    pub(super) separator: &'a Separator<'a>,
    pub(super) layers: Layers,
    pub(super) glyphs: Glyphs,
    /// What the page has cost so far, and what the document keeps.
    pub(super) meter: Meter,
    /// Whether photographs are judged, and what that needs.
    pub(super) photographs: Photographs,
    pub(super) judge: RefCell<Judge>,
}

/// Paints one page.
pub(super) struct Painter<'a, 's> {
    pub(super) shared: &'s Shared<'a>,
    pub(super) inks: &'s mut Inks,
    pub(super) assumptions: &'s mut Vec<String>,
    pub(super) surfaces: Vec<Surface>,
    pub(super) state: State<'a>,
    pub(super) saved: Vec<State<'a>>,
    pub(super) findings: Findings,
    /// Photographs of the page that were judged.
    pub(super) judged: Vec<Judged>,
    pub(super) filler: Filler,
    pub(super) spaces: BTreeMap<ObjectIdentifier, Rc<Space>>,
    /// Colours become luminance: a mask is being made.
    pub(super) is_luminance: bool,
    pub(super) depth: usize,
    /// Pixels of a point of user space, before any matrix of the content.
    pub(super) pixels_per_point: f64,
    /// From the default space of the page, or of the form that patterns belong to, to pixels.
    pub(super) base: Affine,
    /// The pattern that was used last.
    pub(super) cell: Known,
    /// What kind of marking is painted, for findings.
    pub(super) what: &'static str,
}

impl<'a> Painter<'a, '_> {
    pub(super) fn surface(&mut self) -> &mut Surface {
        self.surfaces.last_mut().expect("a page has a surface")
    }

    /// Counts work; a page that takes too much is given up.
    pub(super) fn spend(&self, work: u64) -> Result<(), ArtworkError> {
        self.shared.meter.spend(work)
    }

    pub(super) fn colour(&self, part: Part) -> &Colour<'a> {
        match part {
            Part::Fill => &self.state.fill,
            Part::Stroke => &self.state.stroke,
        }
    }

    /// Tones of a colour, or of its luminance where a mask is made.
    pub(super) fn tones(&self, space: &Space, numbers: &[f32]) -> Tones {
        if self.is_luminance {
            shade(space.luminance(numbers))
        } else {
            space.tones(numbers, self.shared.separator)
        }
    }

    /// Tones to paint, and what happens to all other inks.
    ///
    /// Source: ISO 32000-2, 8.6.7 and table 147 (of the 2008 edition) on overprint.
    pub(super) fn overprinted(
        &self,
        part: Part,
        space: &Space,
        tones: Tones,
        is_plain: bool,
    ) -> (Vec<(usize, u16)>, Option<u16>) {
        let colour = self.colour(part);
        if let Some(all) = tones.all {
            let inks = (0..self.inks.len()).map(|ink| (ink, all)).collect();
            return (inks, None);
        }
        if !colour.is_overprint || self.is_luminance {
            return (tones.inks, Some(0));
        }
        let is_skipping = self.state.is_nonzero_overprint && is_plain;
        let inks = match space {
            Space::Inks(_) => tones.inks,
            Space::Cmyk { direct: true } if is_skipping => tones
                .inks
                .into_iter()
                .filter(|&(_, tone)| tone > 0)
                .collect(),
            // Other colours are made of the process inks and set all four.
            _ => (0..4)
                .map(|ink| {
                    (
                        ink,
                        tones
                            .inks
                            .iter()
                            .find(|(known, _)| *known == ink)
                            .map_or(0, |(_, tone)| *tone),
                    )
                })
                .collect(),
        };
        (inks, None)
    }

    /// Fills a path that is given in pixels.
    pub(super) fn fill_path(
        &mut self,
        path: &BezPath,
        rule: Rule,
        part: Part,
    ) -> Result<(), ArtworkError> {
        if !self.shared.layers.is_visible() {
            return Ok(());
        }
        if self.colour(part).pattern.is_some() {
            return self.fill_pattern(path, rule, part);
        }
        self.fill_outline((&Outline::of(path), Vec2::ZERO), rule, part)
    }

    /// Fills an outline, moved by an offset in pixels, with a colour that is no pattern.
    pub(super) fn fill_outline(
        &mut self,
        outline: (&Outline, Vec2),
        rule: Rule,
        part: Part,
    ) -> Result<(), ArtworkError> {
        if !self.shared.layers.is_visible() {
            return Ok(());
        }
        let colour = self.colour(part);
        let (space, alpha) = (Rc::clone(&colour.space), colour.alpha);
        let tones = self.tones(&space, &colour.numbers);
        self.note_colour(part, &space, &tones);
        let (inks, others) = self.overprinted(part, &space, tones, true);
        if inks.is_empty() && others.is_none() {
            return Ok(());
        }
        let paint = Paint {
            tones: inks
                .iter()
                .map(|&(ink, tone)| (ink, Tone::Flat(tone)))
                .collect(),
            others,
            blend: self.state.blend,
            opacity: whole(alpha),
        };
        let clip = self.state.clip.clone();
        let soft = self.state.soft_mask.clone();
        let surface = self.surfaces.last_mut().expect("a page has a surface");
        let area = clip.area.both(surface.area);
        let visited = self.filler.fill(outline, rule, area, |(y, x0, row)| {
            for mask in [&clip.mask, &soft].into_iter().flatten() {
                mask.thin(y, x0, row);
            }
            surface.paint(y, x0, row, &paint);
        });
        self.spend(visited * (1 + paint.tones.len() as u64))
    }

    fn note_colour(&mut self, part: Part, space: &Space, tones: &Tones) {
        if self.is_luminance {
            return;
        }
        if let Some(family) = space.separated() {
            self.findings.separated(family, self.what);
        }
        let colour = self.colour(part);
        let is_white = tones.inks.iter().all(|&(_, tone)| tone == 0) && tones.all.is_none();
        let skips =
            self.state.is_nonzero_overprint && matches!(space, Space::Cmyk { direct: true });
        if is_white && colour.is_overprint && skips {
            self.findings.vanishing(self.what);
        }
    }

    /// Paints where a path is, with a colour for each pixel.
    ///
    /// `colours` gives the inks once and fills a row of tones for each of them; pixels without colour get no cover.
    pub(super) fn fill_rows(
        &mut self,
        (path, rule): (&BezPath, Rule),
        part: Part,
        rows: &mut dyn Rows,
    ) -> Result<(), ArtworkError> {
        if !self.shared.layers.is_visible() {
            return Ok(());
        }
        let alpha = whole(self.colour(part).alpha);
        let is_kept = self.colour(part).is_overprint && !self.is_luminance;
        let others = if is_kept || rows.is_all() {
            None
        } else {
            Some(0)
        };
        let inks = rows.inks().to_vec();
        let clip = self.state.clip.clone();
        let soft = self.state.soft_mask.clone();
        let blend = self.state.blend;
        let surface = self.surfaces.last_mut().expect("a page has a surface");
        let area = clip.area.both(surface.area);
        let mut buffers = vec![Vec::new(); inks.len()];
        let mut work = 0;
        let outline = (&Outline::of(path), Vec2::ZERO);
        let visited = self.filler.fill(outline, rule, area, |(y, x0, row)| {
            for mask in [&clip.mask, &soft].into_iter().flatten() {
                mask.thin(y, x0, row);
            }
            for buffer in &mut buffers {
                buffer.clear();
                buffer.resize(row.len(), 0);
            }
            work += rows.row(y, x0, row, &mut buffers);
            let tones = inks
                .iter()
                .zip(&buffers)
                .map(|(&ink, buffer)| (ink, Tone::Row(buffer)));
            let paint = Paint {
                tones: tones.collect(),
                others,
                blend,
                opacity: alpha,
            };
            surface.paint(y, x0, row, &paint);
        });
        self.spend(visited * (1 + inks.len() as u64) + work)
    }

    /// Narrows the clip to a path in pixels.
    pub(super) fn clip_path(&mut self, path: &BezPath, rule: Rule) -> Result<(), ArtworkError> {
        let old = self.state.clip.clone();
        let bounds = path.bounding_box();
        let area = if path.elements().is_empty() || !bounds.is_finite() {
            Area {
                x1: old.area.x0,
                y1: old.area.y0,
                ..old.area
            }
        } else {
            old.area.touched(bounds)
        };
        let mut mask = Mask {
            area,
            values: vec![0; area.pixels()],
            outside: 0,
        };
        let outline = (&Outline::of(path), Vec2::ZERO);
        let visited = self.filler.fill(outline, rule, area, |(y, x0, row)| {
            if let Some(old) = &old.mask {
                old.thin(y, x0, row);
            }
            let at = area.at(x0, y);
            mask.values[at..at + row.len()].copy_from_slice(row);
        });
        let is_whole = mask.values.iter().all(|&value| value == FULL);
        let mask = (!is_whole).then(|| Rc::new(mask));
        self.state.clip = Clip { area, mask };
        self.spend(visited + area.pixels() as u64)
    }
}

/// Colours that differ from pixel to pixel.
pub(super) trait Rows {
    /// The inks that are painted.
    fn inks(&self) -> &[usize];

    /// Whether every ink there is gets painted.
    fn is_all(&self) -> bool {
        false
    }

    /// Fills the tones of a row from column `x0`, and takes away the cover of pixels without colour; returns the work.
    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64;
}
