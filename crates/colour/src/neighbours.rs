//! Colours that process inks do reach, near one that they miss.
//!
//! A designer gives way in one direction rather than another: keep the hue, keep the lightness, or simply come nearest.
//! Each direction is a search over whole-percent builds for the smallest ΔE00, with a penalty on the quality that is kept.

use crate::condition::PrintingCondition;
use crate::search::{Build, BuildLimits, best_build};
use crate::{LabD50, ProcessInk, delta_e00};

/// What a neighbour keeps of the colour that it stands in for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Nothing in particular: the smallest ΔE00.
    Nearest,
    /// The hue angle, to within [`KEPT_HUE`].
    SameHue,
    /// The lightness L*, to within [`KEPT_LIGHTNESS`].
    SameLightness,
}

impl Direction {
    /// All of them, in the order in which they are told.
    pub const ALL: [Self; 3] = [Self::Nearest, Self::SameHue, Self::SameLightness];

    /// Returns the words shown to users.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nearest => "nearest",
            Self::SameHue => "same hue",
            Self::SameLightness => "same lightness",
        }
    }
}

/// Largest difference of hue, ΔH*ab, at which a hue counts as kept. Our own choice.
pub const KEPT_HUE: f64 = 1.0;

/// Largest difference of L* at which a lightness counts as kept. Our own choice.
pub const KEPT_LIGHTNESS: f64 = 1.0;

/// A colour that is reached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbour {
    /// What it keeps.
    pub direction: Direction,
    /// How it is printed; ΔE00 is to the colour that it stands in for.
    pub build: Build,
}

/// Returns the nearest reachable colour in each direction; a direction in which there is none is left out.
pub fn neighbours(
    condition: &PrintingCondition,
    target: LabD50,
    limits: &BuildLimits,
) -> Vec<Neighbour> {
    let nearest = best_build(condition, target, limits);
    let found = Direction::ALL.into_iter().filter_map(|direction| {
        let build = match direction {
            Direction::Nearest => Some(nearest),
            _ => Search::new(condition, target, limits, direction).run(nearest.tones),
        };
        build.map(|build| Neighbour { direction, build })
    });
    found.collect()
}

/// Difference of hue ΔH*ab between two colours (CIE 15:2018), without its sign.
pub fn hue_difference(one: LabD50, other: LabD50) -> f64 {
    let dot = one.chroma() * other.chroma() - one.a * other.a - one.b * other.b;
    (2.0 * dot).max(0.0).sqrt()
}

/// Weights of the kept quality against ΔE00: light at first, so that a search is not caught beside the place that it
/// looks for, then so heavy that the quality is kept.
const WEIGHTS: [f64; 3] = [0.5, 2.0, 20.0];

/// Share of its limit up to which a deviation costs nothing, because whole percents cannot do better.
const FREE: f64 = 0.5;

/// Tones from which searches start, percent.
const LATTICE: [u8; 7] = [0, 15, 30, 48, 65, 82, 100];

/// Starts followed down.
const STARTS: usize = 8;

/// Widths of the steps, percent.
const WIDTHS: [i16; 5] = [12, 6, 3, 2, 1];

struct Search<'a> {
    condition: &'a PrintingCondition,
    target: LabD50,
    limits: &'a BuildLimits,
    direction: Direction,
}

impl<'a> Search<'a> {
    fn new(
        condition: &'a PrintingCondition,
        target: LabD50,
        limits: &'a BuildLimits,
        direction: Direction,
    ) -> Self {
        Self {
            condition,
            target,
            limits,
            direction,
        }
    }

    fn run(&self, nearest: [u8; 4]) -> Option<Build> {
        let starts = self.starts(nearest).into_iter();
        let best = starts
            .map(|tones| self.descend(tones))
            .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))?;
        let lab = self.lab(best.1);
        let delta_e = delta_e00(self.target, lab);
        self.keeps(lab).then_some(Build {
            tones: best.1,
            lab,
            delta_e,
            unrounded_delta_e: delta_e,
        })
    }

    /// The best nodes of a coarse lattice, and the build that is nearest whatever it keeps.
    fn starts(&self, nearest: [u8; 4]) -> Vec<[u8; 4]> {
        let steps = LATTICE.len();
        let mut ranked: Vec<(f64, [u8; 4])> = (0..steps * steps * steps * steps)
            .map(|code| std::array::from_fn(|ink| LATTICE[code / steps.pow(ink as u32) % steps]))
            .filter(|tones| self.allows(*tones))
            .map(|tones| (self.cost(tones, WEIGHTS[1]), tones))
            .collect();
        ranked.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
        ranked.truncate(STARTS);
        let nodes = ranked.into_iter().map(|(_, tones)| tones);
        nodes.chain([nearest]).collect()
    }

    /// Steps to better builds, one or two inks at a time, ever more finely.
    fn descend(&self, start: [u8; 4]) -> (f64, [u8; 4]) {
        let mut best = (0.0, start);
        for weight in WEIGHTS {
            best.0 = self.cost(best.1, weight);
            for width in WIDTHS {
                while let Some(next) = self.better(best, width, weight) {
                    best = next;
                }
            }
        }
        best
    }

    fn better(&self, from: (f64, [u8; 4]), width: i16, weight: f64) -> Option<(f64, [u8; 4])> {
        let moves = (1..81).map(|code: i16| {
            let digit = |ink: u32| code / 3_i16.pow(ink) % 3 - 1;
            std::array::from_fn(|ink| self.stepped(from.1[ink], digit(ink as u32) * width))
        });
        let judged = moves
            .filter(|tones| self.allows(*tones))
            .map(|tones| (self.cost(tones, weight), tones));
        let best = judged.min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))?;
        (best.0 < from.0).then_some(best)
    }

    /// A tone moved by a step, over the gap between nothing and the smallest dot.
    fn stepped(&self, tone: u8, step: i16) -> u8 {
        let moved = (i16::from(tone) + step).clamp(0, 100) as u8;
        let smallest = libm::ceil(self.limits.smallest_dot) as u8;
        match (moved < smallest, step > 0) {
            (true, true) => smallest,
            (true, false) => 0,
            (false, _) => moved,
        }
    }

    fn allows(&self, tones: [u8; 4]) -> bool {
        let sum: f64 = tones.iter().map(|t| f64::from(*t)).sum();
        sum <= self.limits.ink_limit
            && ProcessInk::ALL
                .into_iter()
                .all(|ink| tones[ink.index()] == 0 || self.limits.inks.contains(ink))
    }

    fn lab(&self, tones: [u8; 4]) -> LabD50 {
        self.condition.lab(tones.map(f64::from))
    }

    fn cost(&self, tones: [u8; 4], weight: f64) -> f64 {
        let lab = self.lab(tones);
        let excess = self.given_up(lab) - FREE * self.limit();
        delta_e00(self.target, lab) + weight * excess.max(0.0)
    }

    fn given_up(&self, lab: LabD50) -> f64 {
        match self.direction {
            Direction::Nearest => 0.0,
            Direction::SameHue => hue_difference(self.target, lab),
            Direction::SameLightness => (self.target.l - lab.l).abs(),
        }
    }

    fn limit(&self) -> f64 {
        match self.direction {
            Direction::Nearest => 1.0,
            Direction::SameHue => KEPT_HUE,
            Direction::SameLightness => KEPT_LIGHTNESS,
        }
    }

    fn keeps(&self, lab: LabD50) -> bool {
        self.given_up(lab) <= self.limit()
    }
}
