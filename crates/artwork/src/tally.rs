//! Counts ink row by row: sums, the peak, the share above the limit, flat colours.

use crate::coverage::{FULL, Ink, InkCoverage, PageCoverage, PageSize, Peak};
use crate::flat::Flats;

/// Most pixels whose sum of one ink surely fits 32 bits.
const BLOCK: usize = 1 << 16;

/// Counts the pixels of one page; memory does not grow with the page.
#[derive(Debug)]
pub(crate) struct Tally {
    inks: Vec<Ink>,
    sums: Vec<u64>,
    largest: Vec<u16>,
    pixels: u64,
    limit: u32,
    peak: u32,
    peak_at: (u32, u32),
    above: u64,
    flats: Flats,
}

impl Tally {
    /// Starts a page with these inks; `limit` is the largest sum of tones in percent.
    pub(crate) fn new(inks: Vec<Ink>, limit: f64) -> Self {
        let n = inks.len();
        // A whole percent more than the limit is above it; rounding in the file is not.
        let limit = ((limit + 0.5) / 100.0 * f64::from(FULL)).clamp(0.0, f64::from(u32::MAX));
        Self {
            sums: vec![0; n],
            largest: vec![0; n],
            pixels: 0,
            limit: limit as u32,
            peak: 0,
            peak_at: (0, 0),
            above: 0,
            flats: Flats::new(n),
            inks,
        }
    }

    /// Adds neighbouring pixels of one row; `tones` holds all inks of the first pixel, then of the next.
    pub(crate) fn row(&mut self, tones: &[u16], x: u32, y: u32) {
        if self.inks.len() == 4 {
            for (at, block) in tones.chunks(4 * BLOCK).enumerate() {
                self.four(block.as_chunks::<4>().0, (x + (at * BLOCK) as u32, y));
            }
        } else {
            self.any(tones, (x, y));
        }
        self.flats.row(tones, x, y);
    }

    /// Adds pixels without ink.
    pub(crate) fn blank(&mut self, pixels: u64) {
        self.pixels += pixels;
    }

    /// Four inks, at most [`BLOCK`] pixels: sums fit 32 bits, and the place of the peak is looked for once.
    fn four(&mut self, pixels: &[[u16; 4]], from: (u32, u32)) {
        let (mut sums, mut largest) = ([0u32; 4], [0u16; 4]);
        let (mut peak, mut above) = (0, 0u32);
        for pixel in pixels {
            for ink in 0..4 {
                sums[ink] += u32::from(pixel[ink]);
                largest[ink] = largest[ink].max(pixel[ink]);
            }
            let total = total(pixel);
            peak = peak.max(total);
            above += u32::from(total > self.limit);
        }
        for ink in 0..4 {
            self.sums[ink] += u64::from(sums[ink]);
            self.largest[ink] = self.largest[ink].max(largest[ink]);
        }
        self.above += u64::from(above);
        self.pixels += pixels.len() as u64;
        if self.may_raise(peak, from) {
            let at = pixels.iter().position(|pixel| total(pixel) == peak);
            self.raise(peak, (from.0 + at.unwrap_or(0) as u32, from.1));
        }
    }

    fn any(&mut self, tones: &[u16], (x, y): (u32, u32)) {
        let n = self.inks.len();
        for (at, pixel) in tones.chunks_exact(n).enumerate() {
            for (ink, &tone) in pixel.iter().enumerate() {
                self.sums[ink] += u64::from(tone);
                self.largest[ink] = self.largest[ink].max(tone);
            }
            let total = total(pixel);
            self.above += u64::from(total > self.limit);
            self.raise(total, (x + at as u32, y));
            self.pixels += 1;
        }
    }

    /// Whether a sum at this place, or to its right, could be the peak.
    fn may_raise(&self, total: u32, (x, y): (u32, u32)) -> bool {
        let is_earlier = (y, x) < (self.peak_at.1, self.peak_at.0);
        total > self.peak || (total == self.peak && total > 0 && is_earlier)
    }

    fn raise(&mut self, total: u32, at: (u32, u32)) {
        if self.may_raise(total, at) {
            self.peak = total;
            self.peak_at = at;
        }
    }

    /// Adds what another tally of the same page has counted.
    pub(crate) fn merge(&mut self, other: Self) {
        for ink in 0..self.inks.len() {
            self.sums[ink] += other.sums[ink];
            self.largest[ink] = self.largest[ink].max(other.largest[ink]);
        }
        self.pixels += other.pixels;
        self.above += other.above;
        self.raise(other.peak, other.peak_at);
        self.flats.merge(other.flats);
    }

    /// A tally of the same inks and limit that has counted nothing.
    pub(crate) fn empty(&self) -> Self {
        Self {
            inks: self.inks.clone(),
            sums: vec![0; self.inks.len()],
            largest: vec![0; self.inks.len()],
            flats: Flats::new(self.inks.len()),
            pixels: 0,
            limit: self.limit,
            peak: 0,
            peak_at: (0, 0),
            above: 0,
        }
    }

    /// The page's figures.
    pub(crate) fn finish(self, page: usize, size: PageSize) -> PageCoverage {
        let all = self.pixels.max(1) as f64;
        let full = f64::from(FULL);
        let covers = self.inks.iter().zip(&self.sums).zip(&self.largest);
        PageCoverage {
            page,
            size,
            peak: Peak {
                percent: f64::from(self.peak) / full * 100.0,
                pixel: self.peak_at,
            },
            above_limit: self.above as f64 / all,
            flats: self.flats.finish(&self.inks, self.pixels),
            findings: Vec::new(),
            photographs: Vec::new(),
            inks: covers
                .map(|((ink, &sum), &largest)| InkCoverage {
                    ink: ink.clone(),
                    mean: sum as f64 / full / all,
                    largest: f64::from(largest) / full,
                })
                .collect(),
        }
    }
}

fn total(pixel: &[u16]) -> u32 {
    pixel.iter().map(|&tone| u32::from(tone)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size() -> PageSize {
        PageSize {
            pixels: (4, 1),
            millimetres: None,
        }
    }

    #[test]
    fn quarter_of_a_tint_is_counted() {
        let mut tally = Tally::new(Ink::PROCESS.to_vec(), 300.0);
        let tint = (0.375 * f64::from(FULL)) as u16;
        for y in 0..4 {
            for x in 0..4 {
                let tone = if x < 2 && y < 2 { tint } else { 0 };
                tally.row(&[tone, 0, 0, 0], x, y);
            }
        }
        let page = tally.finish(1, size());
        assert!((page.inks[0].mean - 0.09375).abs() < 5e-5, "{page:?}");
        assert!((page.peak.percent - 37.5).abs() < 0.01);
    }

    #[test]
    fn sum_at_the_limit_is_not_above_it() {
        let mut tally = Tally::new(Ink::PROCESS.to_vec(), 300.0);
        tally.row(&[FULL, FULL, FULL, 0, FULL, FULL, FULL, FULL], 0, 0);
        let page = tally.finish(1, size());
        assert!((page.above_limit - 0.5).abs() < 1e-12);
        assert_eq!(page.peak.pixel, (1, 0));
    }

    #[test]
    fn bands_add_up_to_the_whole() {
        let tones: Vec<u16> = (0..6 * 50 * 4u32)
            .map(|i| (i * 7919 % 65536) as u16)
            .collect();
        for inks in [Ink::PROCESS.to_vec(), Ink::PROCESS[..3].to_vec()] {
            let n = inks.len();
            let mut whole = Tally::new(inks, 150.0);
            let mut merged = whole.empty();
            for (y, row) in tones.chunks_exact(50 * n).enumerate() {
                whole.row(row, 0, y as u32);
            }
            for (band, rows) in tones.chunks(2 * 50 * n).enumerate().rev() {
                let mut one = whole.empty();
                for (y, row) in rows.chunks_exact(50 * n).enumerate() {
                    one.row(row, 0, (band * 2 + y) as u32);
                }
                merged.merge(one);
            }
            assert_eq!(whole.finish(1, size()), merged.finish(1, size()));
        }
    }
}
