//! What RGB photographs that lie on a page lose on press.

use std::sync::Arc;

use hayro_syntax::object::ObjectIdentifier;
use kurbo::Rect;
use rayon::prelude::*;

use super::image::Opacity;
use super::painter::{Painter, Shared};
use super::samples::Samples;
use super::space::{Space, whole};
use crate::coverage::{Photograph, Place};
use crate::error::ArtworkError;
use crate::raster::{Losses, Pixel, loss_pixel};
use crate::separate::LossTable;
use crate::{Photographs, Separation};

/// Pixels from which an image counts as a photograph: smaller ones are marks and drawings.
const LEAST_PIXELS: usize = 10_000;
/// Most photographs of a page that are judged.
const MOST_JUDGED: usize = 200;
/// Most pictures that are kept of a document.
const MOST_PICTURES: usize = 200;
/// Most pixels of a picture that shows where.
const MOST_SHOWN: f64 = 500_000.0;
/// Rows that are judged side by side.
const ROWS: usize = 64;
/// What judging one pixel costs, in painted pixels.
const COST: u64 = 8;

/// What the document keeps for judging photographs.
#[derive(Debug, Default)]
pub(super) struct Judge {
    tables: Vec<(Arc<Separation>, Arc<LossTable>)>,
    pictures: usize,
}

/// A photograph of the page that was judged; inline images have no name of their own.
pub(super) struct Judged {
    id: Option<ObjectIdentifier>,
    /// Where it lies the first time, in pixels of the page.
    bounds: Rect,
    photograph: Photograph,
}

impl Shared<'_> {
    /// What is lost of each colour of a separation; made once.
    fn loss_table(&self, separation: &Arc<Separation>) -> Arc<LossTable> {
        let tables = &mut self.judge.borrow_mut().tables;
        let known = tables
            .iter()
            .find(|(known, _)| Arc::ptr_eq(known, separation));
        if let Some((_, table)) = known {
            return Arc::clone(table);
        }
        let table = Arc::new(self.separator.losses(separation));
        tables.push((Arc::clone(separation), Arc::clone(&table)));
        table
    }

    fn keeps_another_picture(&self) -> bool {
        let pictures = &mut self.judge.borrow_mut().pictures;
        *pictures += 1;
        *pictures <= MOST_PICTURES
    }
}

impl Judged {
    /// What was found, its place in millimetres by so many of them to a pixel across and down.
    pub(super) fn photograph(self, (across, down): (f64, f64)) -> Photograph {
        let bounds = self.bounds;
        Photograph {
            place: Some(Place {
                left: bounds.x0 * across,
                top: bounds.y0 * down,
                width: bounds.width() * across,
                height: bounds.height() * down,
            }),
            ..self.photograph
        }
    }
}

impl Painter<'_, '_> {
    /// Judges an image that is being painted, if that is asked for and it is an RGB photograph.
    ///
    /// `bounds` is where it lies, in pixels of the page.
    pub(super) fn judge(
        &mut self,
        id: ObjectIdentifier,
        (samples, opacity): (&Samples, &Opacity),
        space: &Space,
        bounds: Rect,
    ) -> Result<(), ArtworkError> {
        let pixels = samples.width * samples.height;
        let is_asked = self.shared.photographs == Photographs::Judged && !self.is_luminance;
        let Some(separation) = space.rgb().filter(|_| is_asked && pixels >= LEAST_PIXELS) else {
            return Ok(());
        };
        let id = (id.obj_number > 0).then_some(id);
        let known = self
            .judged
            .iter_mut()
            .find(|known| id.is_some() && known.id == id);
        if let Some(known) = known {
            known.photograph.uses += 1;
            return Ok(());
        }
        if self.judged.len() >= MOST_JUDGED {
            self.findings.not_counted(format!(
                "what photographs lose after the first {MOST_JUDGED}"
            ));
            return Ok(());
        }
        self.spend(pixels as u64 * COST)?;
        let photograph = self.photograph((samples, opacity), space, separation);
        self.judged.push(Judged {
            id,
            bounds,
            photograph,
        });
        Ok(())
    }

    fn photograph(
        &self,
        (samples, opacity): (&Samples, &Opacity),
        space: &Space,
        separation: &Arc<Separation>,
    ) -> Photograph {
        let table = self.shared.loss_table(separation);
        let size = (samples.width as u32, samples.height as u32);
        let mut losses = Losses::within(size, MOST_SHOWN);
        let rows: Vec<usize> = (0..samples.height).collect();
        let numbers = Numbers {
            samples,
            opacity,
            table: space.rgb_table(),
        };
        for band in rows.chunks(ROWS) {
            let judged: Vec<Vec<Option<Pixel>>> =
                band.par_iter().map(|&y| numbers.row(y, &table)).collect();
            for (&y, row) in band.iter().zip(&judged) {
                losses.add_some((0, y as u32), row);
            }
        }
        let mut photograph = losses.finish();
        if !self.shared.keeps_another_picture() {
            photograph.picture = None;
        }
        photograph
    }
}

/// The numbers of an image, row by row.
struct Numbers<'s> {
    samples: &'s Samples,
    opacity: &'s Opacity,
    /// Colours by their index, if samples are none themselves.
    table: Option<Vec<[u16; 3]>>,
}

impl Numbers<'_> {
    /// Grey and loss of a row; none where the image is masked out.
    fn row(&self, y: usize, losses: &LossTable) -> Vec<Option<Pixel>> {
        let samples = self.samples;
        let pixel = |x: usize| {
            let place = (
                (x as f64 + 0.5) / samples.width as f64,
                (y as f64 + 0.5) / samples.height as f64,
            );
            let is_there = self.opacity.at(place, samples, (x, y)) > 0;
            is_there.then(|| loss_pixel(losses, self.rgb(x, y)))
        };
        (0..samples.width).map(pixel).collect()
    }

    fn rgb(&self, x: usize, y: usize) -> [u16; 3] {
        let value = |component: usize| self.samples.value(x, y, component);
        match &self.table {
            Some(table) => {
                let index = value(0).max(0.0) as usize;
                table
                    .get(index)
                    .or(table.last())
                    .copied()
                    .unwrap_or_default()
            }
            None => [0, 1, 2].map(|component| whole(value(component))),
        }
    }
}
