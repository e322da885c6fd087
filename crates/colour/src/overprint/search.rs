//! The best build with further inks: at most four inks, whole percents.
//!
//! Coarse lattice, then the best nodes walked downhill in whole percents with steps halved from 16 to 1. At most four
//! unknowns, so the lattice is small.

use super::{MOST_FURTHER, MOST_INKS_AT_ONCE, Overprints};
use crate::search::PREFERENCE_SLACK;
use crate::{LabD50, ProcessInk, ProcessSet, delta_e00};

/// Tones of the lattice, percent.
const LATTICE: [u8; 6] = [0, 20, 40, 60, 80, 100];
/// Nodes of the lattice that are walked downhill.
const WALKS: usize = 8;
/// First step of a walk, percent.
const FIRST_STEP: u8 = 16;

/// What a build with further inks may use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FurtherLimits {
    /// Process inks.
    pub process: ProcessSet,
    /// Which of the further inks, in their order.
    pub further: [bool; MOST_FURTHER],
    /// Largest sum of all tones, percent.
    pub ink_limit: f64,
    /// Smallest tone that prints, percent; smaller ones are 0.
    pub smallest_dot: f64,
}

/// A build with further inks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FurtherBuild {
    /// Whole percents of C M Y K.
    pub process: [u8; 4],
    /// Whole percents of the further inks.
    pub further: [u8; MOST_FURTHER],
    /// What it looks like.
    pub lab: LabD50,
    /// ΔE00 to the target.
    pub delta_e: f64,
    /// Share of the area on which the colour rests on predicted overprints.
    pub share: f64,
}

/// Tones of C M Y K and of the further inks.
type Tones = [u8; 4 + MOST_FURTHER];

impl Overprints<'_> {
    /// Returns the build that comes nearest to the target, of at most [`MOST_INKS_AT_ONCE`] inks.
    ///
    /// Among builds within 0.1 ΔE00 of the nearest, one with fewer inks is preferred. Without any allowed ink it is the
    /// bare paper. Of more than four allowed inks every four are tried.
    pub fn best(&self, target: LabD50, limits: &FurtherLimits) -> FurtherBuild {
        let allowed = self.allowed(limits);
        let bare = self.judged([0; 4 + MOST_FURTHER], target);
        let sets = (1..1_usize << allowed.len()).filter(|set| {
            let inks = set.count_ones() as usize;
            inks == allowed.len().min(MOST_INKS_AT_ONCE)
        });
        sets.map(|set| {
            let inks: Vec<usize> = (0..allowed.len())
                .filter(|at| set >> at & 1 == 1)
                .map(|at| allowed[at])
                .collect();
            let search = Search {
                overprints: self,
                target,
                limits,
                inks: &inks,
            };
            search.run()
        })
        .fold(bare, |best, next| {
            if next.delta_e < best.delta_e {
                next
            } else {
                best
            }
        })
    }

    fn allowed(&self, limits: &FurtherLimits) -> Vec<usize> {
        let process = ProcessInk::ALL
            .into_iter()
            .filter(|ink| limits.process.contains(*ink))
            .map(ProcessInk::index);
        let further = (0..self.further()).filter(|ink| limits.further[*ink]);
        process.chain(further.map(|ink| 4 + ink)).collect()
    }

    fn judged(&self, tones: Tones, target: LabD50) -> FurtherBuild {
        let process = [tones[0], tones[1], tones[2], tones[3]];
        let further = [tones[4], tones[5]];
        let predicted = self.lab(process.map(f64::from), &further.map(f64::from));
        FurtherBuild {
            process,
            further,
            lab: predicted.lab,
            delta_e: delta_e00(target, predicted.lab),
            share: predicted.share,
        }
    }
}

impl FurtherBuild {
    fn tones(&self) -> Tones {
        let ([c, m, y, k], [first, second]) = (self.process, self.further);
        [c, m, y, k, first, second]
    }
}

struct Search<'s> {
    overprints: &'s Overprints<'s>,
    target: LabD50,
    limits: &'s FurtherLimits,
    inks: &'s [usize],
}

impl Search<'_> {
    fn run(&self) -> FurtherBuild {
        let mut nodes = self.lattice();
        nodes.sort_by(|p, q| p.delta_e.total_cmp(&q.delta_e));
        nodes.truncate(WALKS);
        let walked = nodes.into_iter().map(|node| self.walk(node, self.inks));
        let best = walked
            .reduce(|best, next| {
                if next.delta_e < best.delta_e {
                    next
                } else {
                    best
                }
            })
            .unwrap_or_else(|| self.judge([0; 4 + MOST_FURTHER]));
        self.with_fewer_inks(best)
    }

    fn judge(&self, tones: Tones) -> FurtherBuild {
        self.overprints.judged(tones, self.target)
    }

    fn allows(&self, tones: Tones) -> bool {
        let sum: u32 = tones.iter().map(|tone| u32::from(*tone)).sum();
        let printable = |tone: &u8| {
            *tone == 0 || (*tone <= 100 && f64::from(*tone) >= self.limits.smallest_dot)
        };
        f64::from(sum) <= self.limits.ink_limit && tones.iter().all(printable)
    }

    fn lattice(&self) -> Vec<FurtherBuild> {
        let n = LATTICE.len();
        let node = |code: usize| {
            let mut tones = [0; 4 + MOST_FURTHER];
            for (place, ink) in self.inks.iter().enumerate() {
                tones[*ink] = LATTICE[code / n.pow(place as u32) % n];
            }
            tones
        };
        let all = (0..n.pow(self.inks.len() as u32)).map(node);
        all.filter(|tones| self.allows(*tones))
            .map(|tones| self.judge(tones))
            .collect()
    }

    /// Steps to the best neighbour while there is a better one, in all directions of one and of two of the inks.
    fn walk(&self, from: FurtherBuild, inks: &[usize]) -> FurtherBuild {
        let mut best = from;
        let mut step = FIRST_STEP;
        while step > 0 {
            let from = best.tones();
            let better = directions(inks)
                .filter_map(|ways| moved(from, ways, i16::from(step), self.limits.smallest_dot))
                .filter(|tones| self.allows(*tones))
                .map(|tones| self.judge(tones))
                .fold(best, |best, next| {
                    if next.delta_e < best.delta_e {
                        next
                    } else {
                        best
                    }
                });
            if better.delta_e < best.delta_e {
                best = better;
            } else {
                step /= 2;
            }
        }
        best
    }

    /// Leaves an ink out, the one of the smallest tone first, while the difference grows by less than the slack.
    fn with_fewer_inks(&self, best: FurtherBuild) -> FurtherBuild {
        let bar = best.delta_e + PREFERENCE_SLACK;
        let mut chosen = best;
        loop {
            let tones = chosen.tones();
            let mut printed: Vec<usize> = (0..tones.len()).filter(|ink| tones[*ink] > 0).collect();
            printed.sort_by_key(|ink| tones[*ink]);
            let fewer = printed.iter().find_map(|out| {
                let kept: Vec<usize> = printed.iter().copied().filter(|ink| ink != out).collect();
                let mut without = tones;
                without[*out] = 0;
                let walked = self.walk(self.judge(without), &kept);
                (walked.delta_e <= bar).then_some(walked)
            });
            match fewer {
                Some(fewer) => chosen = fewer,
                None => return chosen,
            }
        }
    }
}

/// Single and double steps: each ink up or down, and every two inks in all four ways.
fn directions(inks: &[usize]) -> impl Iterator<Item = [(usize, i16); 2]> + '_ {
    let single = inks
        .iter()
        .flat_map(|&ink| [[(ink, 1), (ink, 0)], [(ink, -1), (ink, 0)]]);
    let pairs = inks.iter().enumerate().flat_map(|(at, &first)| {
        inks[at + 1..].iter().flat_map(move |&second| {
            [(1, 1), (1, -1), (-1, 1), (-1, -1)].map(|(p, q)| [(first, p), (second, q)])
        })
    });
    single.chain(pairs)
}

/// The tones a step further; a step across the gap below the smallest dot lands on the other side of it.
fn moved(from: Tones, ways: [(usize, i16); 2], step: i16, smallest_dot: f64) -> Option<Tones> {
    let dot = smallest_dot.ceil() as i16;
    let mut tones = from;
    for (ink, way) in ways {
        let mut tone = i16::from(tones[ink]) + way * step;
        if tone > 0 && tone < dot {
            tone = if way > 0 { dot } else { 0 };
        }
        tones[ink] = u8::try_from(tone.clamp(0, 100)).ok()?;
    }
    (tones != from).then_some(tones)
}
