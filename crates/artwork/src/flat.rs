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
///
/// A run counts when a run of the same colour touches it in the row above or below: the softened edge of a shape is one
/// pixel thick and is no colour of the page.
#[derive(Debug)]
pub(crate) struct Flats {
    inks: usize,
    found: BTreeMap<Box<[u16]>, u64>,
    /// Runs of the row above, from left to right.
    above: Vec<Run>,
    here: Vec<Run>,
    row: Option<u32>,
}

/// A run of alike pixels.
#[derive(Debug, Clone)]
struct Run {
    from: u32,
    to: u32,
    tones: Tones,
    is_counted: bool,
}

/// Tones of one pixel; four inks, the usual case, need no memory of their own.
#[derive(Debug, Clone, PartialEq)]
enum Tones {
    Four([u16; 4]),
    Any(Box<[u16]>),
}

impl Tones {
    fn as_slice(&self) -> &[u16] {
        match self {
            Self::Four(tones) => tones,
            Self::Any(tones) => tones,
        }
    }
}

impl Flats {
    pub(crate) fn new(inks: usize) -> Self {
        Self {
            inks,
            found: BTreeMap::new(),
            above: Vec::new(),
            here: Vec::new(),
            row: None,
        }
    }

    /// Adds neighbouring pixels of one row, from column `x`.
    pub(crate) fn row(&mut self, tones: &[u16], x: u32, y: u32) {
        if self.row.is_none_or(|row| row.checked_add(1) != Some(y)) {
            self.above.clear();
        }
        self.row = Some(y);
        if self.inks == 4 {
            self.four(tones.as_chunks::<4>().0, x);
        } else {
            self.any(tones, x);
        }
        self.compare();
        std::mem::swap(&mut self.above, &mut self.here);
        self.here.clear();
    }

    fn four(&mut self, pixels: &[[u16; 4]], x: u32) {
        let (mut from, mut first) = (0, [0; 4]);
        for (at, pixel) in pixels.iter().enumerate() {
            if *pixel != first {
                if at - from >= SHORTEST_RUN && first != [0; 4] {
                    self.keep(x, (from, at), Tones::Four(first));
                }
                (from, first) = (at, *pixel);
            }
        }
        if pixels.len() - from >= SHORTEST_RUN && first != [0; 4] {
            self.keep(x, (from, pixels.len()), Tones::Four(first));
        }
    }

    fn any(&mut self, tones: &[u16], x: u32) {
        let mut from = 0;
        let mut first: &[u16] = &[];
        let n = tones.len() / self.inks;
        for (at, pixel) in tones.chunks_exact(self.inks).enumerate() {
            if pixel != first {
                self.keep_any(x, (from, at), first);
                (from, first) = (at, pixel);
            }
        }
        self.keep_any(x, (from, n), first);
    }

    fn keep_any(&mut self, x: u32, (from, to): (usize, usize), tones: &[u16]) {
        if to - from >= SHORTEST_RUN && tones.iter().any(|&tone| tone > 0) {
            self.keep(x, (from, to), Tones::Any(tones.into()));
        }
    }

    fn keep(&mut self, x: u32, (from, to): (usize, usize), tones: Tones) {
        self.here.push(Run {
            from: x + from as u32,
            to: x + to as u32,
            tones,
            is_counted: false,
        });
    }

    /// Counts the runs of this row and of the one above that meet.
    fn compare(&mut self) {
        let (mut above, mut here) = (
            std::mem::take(&mut self.above),
            std::mem::take(&mut self.here),
        );
        let mut first = 0;
        for run in &mut here {
            while above.get(first).is_some_and(|other| other.to <= run.from) {
                first += 1;
            }
            for other in &mut above[first..] {
                if other.from >= run.to {
                    break;
                }
                if other.tones == run.tones {
                    self.count(run);
                    self.count(other);
                }
            }
        }
        (self.above, self.here) = (above, here);
    }

    fn count(&mut self, run: &mut Run) {
        if !std::mem::replace(&mut run.is_counted, true) {
            self.add(run.tones.as_slice(), u64::from(run.to - run.from));
        }
    }

    fn add(&mut self, tones: &[u16], pixels: u64) {
        if let Some(count) = self.found.get_mut(tones) {
            *count += pixels;
        } else if self.found.len() < MOST_COLOURS {
            self.found.insert(tones.into(), pixels);
        }
    }

    /// Adds what was found on another part of the page.
    pub(crate) fn merge(&mut self, other: Self) {
        for (tones, pixels) in other.found {
            self.add(&tones, pixels);
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
        flats.row(&noise, 0, 0);
        flats.row(&noise, 0, 1);
        flats.row(&[500; 50], 0, 2);
        flats.row(&[500; 50], 0, 3);
        let found = flats.finish(&Ink::PROCESS[3..], 300);
        assert_eq!(found.len(), 1);
        assert!((found[0].share - 1.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn softened_edge_is_not_flat() {
        for n in [1, 4] {
            let mut flats = Flats::new(n);
            for (y, tone) in [300, FULL, FULL, FULL, 300].into_iter().enumerate() {
                flats.row(&vec![tone; 20 * n], 5, y as u32);
            }
            let found = flats.finish(&Ink::PROCESS[..n], 100);
            assert_eq!(found.len(), 1);
            assert!((found[0].share - 0.6).abs() < 1e-12);
        }
    }
}
