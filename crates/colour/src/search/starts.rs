//! A coarse lattice of tones, from which searches start.

use crate::grid::Grid;
use crate::search::ranking::Ranking;
use crate::search::refine::Problem;

/// Tones of the lattice besides zero, percent.
const LEVELS: [u8; 8] = [5, 12, 25, 40, 55, 70, 85, 100];

/// Starts tried per subset of inks.
const STARTS: usize = 4;

/// The lattice's colours, kept by the subset of inks that they use.
#[derive(Debug)]
pub(crate) struct StartNodes {
    groups: Vec<Group>,
    darkest: f64,
    lightest: f64,
}

/// The lattice's colours of one subset of inks.
#[derive(Debug, Default)]
pub(crate) struct Group {
    tones: Vec<[u8; 4]>,
    sums: Vec<f32>,
    lab: [Vec<f32>; 3],
}

/// The nodes nearest to one target in one subset.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Starts {
    found: [(f32, [u8; 4]); STARTS],
}

impl Starts {
    /// Returns the distance of the nearest node in ΔE00; 0 if no node is allowed, so that the subset is tried anyway.
    pub(crate) fn distance(&self) -> f64 {
        let nearest = f64::from(self.found[0].0);
        if nearest.is_finite() { nearest } else { 0.0 }
    }

    pub(crate) fn tones(&self) -> impl Iterator<Item = [f64; 4]> {
        self.found
            .into_iter()
            .filter(|(d, _)| d.is_finite())
            .map(|(_, tones)| tones.map(f64::from))
    }
}

impl StartNodes {
    pub(crate) fn of(grid: &Grid) -> Self {
        let mut groups: Vec<Group> = (0..16).map(|_| Group::default()).collect();
        let steps = LEVELS.len() + 1;
        for code in 0..steps * steps * steps * steps {
            let digit = |ink: u32| code / steps.pow(ink) % steps;
            let tones: [u8; 4] = std::array::from_fn(|i| {
                [0].iter()
                    .chain(&LEVELS)
                    .nth(digit(i as u32))
                    .copied()
                    .unwrap_or(0)
            });
            let subset = (0..4)
                .filter(|i| tones[*i] > 0)
                .fold(0, |bits, i| bits | 1 << i);
            groups[subset].push(tones, grid);
        }
        let lightnesses = || {
            groups
                .iter()
                .flat_map(|g| &g.lab[0])
                .copied()
                .map(f64::from)
        };
        Self {
            darkest: lightnesses().fold(f64::INFINITY, f64::min),
            lightest: lightnesses().fold(f64::NEG_INFINITY, f64::max),
            groups,
        }
    }

    /// Returns the smallest lightness of the lattice.
    pub(crate) fn darkest(&self) -> f64 {
        self.darkest
    }

    /// Returns the largest lightness of the lattice.
    pub(crate) fn lightest(&self) -> f64 {
        self.lightest
    }

    /// Returns the nodes that use exactly the inks of a problem.
    pub(crate) fn group(&self, problem: &Problem<'_>) -> &Group {
        &self.groups[problem.subset().bits()]
    }

    /// Returns the nearest nodes that the problem allows, at most one of each pair of neighbours.
    ///
    /// The distances in the answer are ΔE00 proper.
    pub(crate) fn nearest(&self, problem: &Problem<'_>, ranking: &Ranking) -> Starts {
        let group = self.group(problem);
        let distances = group.distances(ranking);
        let mut starts = Starts {
            found: [(f32::INFINITY, [0; 4]); STARTS],
        };
        for (i, distance) in distances.into_iter().enumerate() {
            if distance < starts.found[STARTS - 1].0
                && f64::from(group.sums[i]) <= problem.ink_limit()
            {
                starts.offer(distance, group.tones[i]);
            }
        }
        for (distance, tones) in starts.found.iter_mut().filter(|(d, _)| d.is_finite()) {
            *distance = problem.point(tones.map(f64::from)).delta_e as f32;
        }
        starts.found.sort_by(|p, q| p.0.total_cmp(&q.0));
        starts
    }
}

impl Starts {
    fn offer(&mut self, distance: f32, tones: [u8; 4]) {
        let is_near = |other: [u8; 4]| tones.iter().zip(other).all(|(p, q)| p.abs_diff(q) <= 15);
        if let Some(neighbour) = self
            .found
            .iter()
            .position(|(d, other)| d.is_finite() && is_near(*other))
        {
            if self.found[neighbour].0 <= distance {
                return;
            }
            self.found[neighbour] = (distance, tones);
        } else {
            self.found[STARTS - 1] = (distance, tones);
        }
        self.found.sort_by(|p, q| p.0.total_cmp(&q.0));
    }
}

impl Group {
    fn push(&mut self, tones: [u8; 4], grid: &Grid) {
        let lab = grid.lab(tones.map(f64::from)).to_array();
        self.sums.push(tones.iter().map(|t| f32::from(*t)).sum());
        self.tones.push(tones);
        for (column, value) in self.lab.iter_mut().zip(lab) {
            column.push(value as f32);
        }
    }

    /// Returns the tones and the colour of every node.
    pub(crate) fn colours(&self) -> impl Iterator<Item = ([f64; 4], [f64; 3])> {
        let [l, a, b] = &self.lab;
        let labs = l.iter().zip(a).zip(b);
        let labs = labs.map(|((l, a), b)| [*l, *a, *b].map(f64::from));
        self.tones.iter().map(|t| t.map(f64::from)).zip(labs)
    }

    /// Squares of the distances to a target, for ranking.
    fn distances(&self, ranking: &Ranking) -> Vec<f32> {
        let [l, a, b] = &self.lab;
        l.iter()
            .zip(a)
            .zip(b)
            .map(|((l, a), b)| ranking.squared(*l, *a, *b))
            .collect()
    }
}
