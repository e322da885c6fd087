//! Rows of samples, counted on all cores.
//!
//! Rows are gathered to bands of a fixed size, so that the figures do not depend on how many cores there are.

use rayon::prelude::*;

use super::loss::{Losses, Pixel, pixels};
use super::pixels::{Layout, Meaning};
use crate::coverage::{PageCoverage, PageSize, Photograph};
use crate::separate::LossTable;
use crate::tally::Tally;
use crate::{Photographs, Settings};

/// Samples that are gathered before they are counted.
const GATHERED: usize = 4 << 20;
/// Rows of one band.
const BAND: usize = 32;

/// Counts rows of samples.
pub(crate) struct Rows<'a> {
    layout: &'a Layout,
    tally: Tally,
    samples: Vec<u16>,
    /// Column, line and samples of every gathered row.
    gathered: Vec<(u32, u32, usize)>,
    losses: Option<(LossTable, Losses)>,
}

/// What one band counted: its tally, and the pixels of a photograph that is judged.
type Band = (Tally, Vec<Pixel>);

/// Everything that was counted.
pub(crate) struct Counted {
    tally: Tally,
    photograph: Option<Photograph>,
}

impl Counted {
    /// The figures of the page.
    pub(crate) fn finish(self, number: usize, size: PageSize) -> PageCoverage {
        PageCoverage {
            photographs: self.photograph.into_iter().collect(),
            ..self.tally.finish(number, size)
        }
    }
}

impl<'a> Rows<'a> {
    /// Counts pixels of this layout in a picture of this size.
    pub(crate) fn new(layout: &'a Layout, settings: &Settings<'_>, size: (u32, u32)) -> Self {
        let losses = match (&layout.meaning, settings.photographs) {
            (Meaning::Rgb(separation), Photographs::Judged) => {
                Some((settings.separator.losses(separation), Losses::new(size)))
            }
            _ => None,
        };
        Self {
            tally: Tally::new(layout.inks(), settings.ink_limit),
            layout,
            samples: Vec::new(),
            gathered: Vec::new(),
            losses,
        }
    }

    /// Adds neighbouring pixels from a column of a line: `fill` appends their samples.
    pub(crate) fn add(&mut self, (x, y): (u32, u32), fill: impl FnOnce(&mut Vec<u16>)) {
        let before = self.samples.len();
        fill(&mut self.samples);
        self.gathered.push((x, y, self.samples.len() - before));
        if self.samples.len() >= GATHERED {
            self.flush();
        }
    }

    /// Counts what was gathered.
    fn flush(&mut self) {
        let mut rest = &self.samples[..];
        let mut bands = Vec::new();
        for rows in self.gathered.chunks(BAND) {
            let (band, after) = rest.split_at(rows.iter().map(|row| row.2).sum());
            bands.push((rows, band));
            rest = after;
        }
        let counted: Vec<Band> = bands
            .into_par_iter()
            .map(|(rows, samples)| self.band(rows, samples))
            .collect();
        let mut rows = self.gathered.iter();
        for (tally, pixels) in counted {
            self.tally.merge(tally);
            let Some((_, losses)) = &mut self.losses else {
                continue;
            };
            let mut rest = &pixels[..];
            for &(x, y, samples) in rows.by_ref().take(BAND) {
                let (row, after) = rest.split_at(samples / self.layout.samples);
                losses.add((x, y), row);
                rest = after;
            }
        }
        self.samples.clear();
        self.gathered.clear();
    }

    fn band(&self, rows: &[(u32, u32, usize)], mut samples: &[u16]) -> Band {
        let mut tally = self.tally.empty();
        let judged = self
            .losses
            .as_ref()
            .map(|(table, _)| pixels(table, samples, self.layout.samples));
        let mut tones = Vec::new();
        for &(x, y, length) in rows {
            let (row, after) = samples.split_at(length);
            tones.clear();
            self.layout.tones(row, &mut tones);
            tally.row(&tones, x, y);
            samples = after;
        }
        (tally, judged.unwrap_or_default())
    }

    /// Ends the count.
    pub(crate) fn finish(mut self) -> Counted {
        self.flush();
        Counted {
            tally: self.tally,
            photograph: self.losses.map(|(_, losses)| losses.finish()),
        }
    }
}
