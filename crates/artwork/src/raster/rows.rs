//! Rows of samples, counted on all cores.
//!
//! Rows are gathered to bands of a fixed size, so that the figures do not depend on how many cores there are.

use rayon::prelude::*;

use super::pixels::Layout;
use crate::tally::Tally;

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
}

impl<'a> Rows<'a> {
    /// Counts pixels of this layout; `limit` is the largest sum of tones in percent.
    pub(crate) fn new(layout: &'a Layout, limit: f64) -> Self {
        Self {
            tally: Tally::new(layout.inks(), limit),
            layout,
            samples: Vec::new(),
            gathered: Vec::new(),
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
        let counted: Vec<Tally> = bands
            .into_par_iter()
            .map(|(rows, samples)| self.band(rows, samples))
            .collect();
        for band in counted {
            self.tally.merge(band);
        }
        self.samples.clear();
        self.gathered.clear();
    }

    fn band(&self, rows: &[(u32, u32, usize)], mut samples: &[u16]) -> Tally {
        let mut tally = self.tally.empty();
        let mut tones = Vec::new();
        for &(x, y, length) in rows {
            let (row, after) = samples.split_at(length);
            tones.clear();
            self.layout.tones(row, &mut tones);
            tally.row(&tones, x, y);
            samples = after;
        }
        tally
    }

    /// Everything that was counted.
    pub(crate) fn finish(mut self) -> Tally {
        self.flush();
        self.tally
    }
}
