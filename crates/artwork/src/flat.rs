//! Finds flat colours: runs of pixels that are exactly alike.

use std::collections::BTreeMap;

use crate::coverage::{FULL, FlatColour, Ink};

/// Fewest pixels beside one another that count as flat.
const SHORTEST_RUN: usize = 6;
/// Most different colours kept; a picture full of chance runs stops adding new ones.
const MOST_COLOURS: usize = 20_000;
/// Smallest share of the page that is listed.
const SMALLEST_SHARE: f64 = 0.001;
/// Most colours listed.
const MOST_LISTED: usize = 12;

/// Collects flat colours of one page.
#[derive(Debug)]
pub(crate) struct Flats {
    inks: usize,
    found: BTreeMap<Box<[u16]>, u64>,
}

impl Flats {
    pub(crate) fn new(inks: usize) -> Self {
        Self {
            inks,
            found: BTreeMap::new(),
        }
    }

    /// Adds neighbouring pixels of one row.
    pub(crate) fn row(&mut self, tones: &[u16]) {
        let mut run = 0;
        let mut first: &[u16] = &[];
        for pixel in tones.chunks_exact(self.inks) {
            if pixel == first {
                run += 1;
                continue;
            }
            self.add(first, run);
            first = pixel;
            run = 1;
        }
        self.add(first, run);
    }

    fn add(&mut self, tones: &[u16], run: usize) {
        if run < SHORTEST_RUN || tones.iter().all(|&tone| tone == 0) {
            return;
        }
        if let Some(count) = self.found.get_mut(tones) {
            *count += run as u64;
        } else if self.found.len() < MOST_COLOURS {
            self.found.insert(tones.into(), run as u64);
        }
    }

    /// The largest, by area.
    pub(crate) fn finish(self, inks: &[Ink], pixels: u64) -> Vec<FlatColour> {
        let all = pixels.max(1) as f64;
        let mut found: Vec<(Box<[u16]>, u64)> = self.found.into_iter().collect();
        found.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        let large = |count: u64| count as f64 / all >= SMALLEST_SHARE;
        found
            .into_iter()
            .take_while(|&(_, count)| large(count))
            .take(MOST_LISTED)
            .map(|(tones, count)| FlatColour {
                tones: named(&tones, inks),
                share: count as f64 / all,
            })
            .collect()
    }
}

fn named(tones: &[u16], inks: &[Ink]) -> Vec<(Ink, f64)> {
    let inked = inks.iter().zip(tones).filter(|&(_, &tone)| tone > 0);
    inked
        .map(|(ink, &tone)| (ink.clone(), f64::from(tone) / f64::from(FULL)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_not_flat() {
        let mut flats = Flats::new(1);
        let noise: Vec<u16> = (0..100).map(|i| 1 + i % 7).collect();
        flats.row(&noise);
        flats.row(&[500; 50]);
        let found = flats.finish(&Ink::PROCESS[3..], 150);
        assert_eq!(found.len(), 1);
        assert!((found[0].share - 1.0 / 3.0).abs() < 1e-12);
    }
}
