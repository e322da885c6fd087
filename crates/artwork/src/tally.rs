//! Counts ink row by row: sums, the peak, the share above the limit, flat colours.

use crate::coverage::{FULL, Ink, InkCoverage, PageCoverage, PageSize, Peak};
use crate::flat::Flats;

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
        let n = self.inks.len();
        for (at, pixel) in tones.chunks_exact(n).enumerate() {
            let mut total = 0;
            for (ink, &tone) in pixel.iter().enumerate() {
                self.sums[ink] += u64::from(tone);
                self.largest[ink] = self.largest[ink].max(tone);
                total += u32::from(tone);
            }
            self.above += u64::from(total > self.limit);
            let here = (x + at as u32, y);
            let earlier = total == self.peak
                && total > 0
                && (here.1, here.0) < (self.peak_at.1, self.peak_at.0);
            if total > self.peak || earlier {
                self.peak = total;
                self.peak_at = here;
            }
            self.pixels += 1;
        }
        self.flats.row(tones);
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
}
