//! A coarse lattice of tones, from which searches start.

use std::ops::Range;

use crate::grid::Grid;
use crate::search::ranking::Ranking;
use crate::search::refine::Problem;

/// Tones of the lattice besides zero, percent.
const LEVELS: [u8; 8] = [5, 12, 25, 40, 55, 70, 85, 100];

/// Starts tried per subset of inks.
pub(crate) const STARTS: usize = 4;

/// The lattice's colours, kept by the subset of inks that they use.
#[derive(Debug)]
pub(crate) struct StartNodes {
    groups: Vec<Group>,
    darkest: f64,
    lightest: f64,
}

/// Nodes compared at a time.
const BLOCK: usize = 32;

/// The lattice's colours of one subset of inks, from dark to light.
#[derive(Debug, Default)]
pub(crate) struct Group {
    tones: Vec<[u8; 4]>,
    sums: Vec<f32>,
    lab: [Vec<f32>; 3],
}

/// The nodes nearest to one target in one subset.
#[derive(Debug, Clone)]
pub(crate) struct Starts {
    /// From near to far; an infinite distance where there are fewer nodes.
    found: Vec<(f32, [u8; 4])>,
}

impl Starts {
    /// Returns the distance of the nearest node in ΔE00; 0 if no node is allowed, so that the subset is tried anyway.
    pub(crate) fn distance(&self) -> f64 {
        let nearest = f64::from(self.found[0].0);
        if nearest.is_finite() { nearest } else { 0.0 }
    }

    pub(crate) fn tones(&self) -> impl Iterator<Item = [f64; 4]> + '_ {
        self.found
            .iter()
            .copied()
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
        for group in &mut groups {
            group.sort();
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

    /// Returns so many nearest nodes that the problem allows, at most one of each pair of neighbours.
    ///
    /// The distances in the answer are ΔE00 proper.
    pub(crate) fn nearest(&self, problem: &Problem<'_>, ranking: &Ranking, count: usize) -> Starts {
        let mut met = Met::new(count);
        self.group(problem)
            .nearest(problem.ink_limit(), ranking, &mut met);
        let mut starts = met.starts();
        for (distance, tones) in starts.found.iter_mut().filter(|(d, _)| d.is_finite()) {
            *distance = problem.point(tones.map(f64::from)).delta_e as f32;
        }
        starts.found.sort_by(|p, q| p.0.total_cmp(&q.0));
        starts
    }
}

/// Nodes met on the way outwards that may be among the nearest.
struct Met {
    nodes: Vec<(f32, [u8; 4])>,
    /// The nearest so far that do not lie next to each other, roughly.
    rough: Starts,
}

/// How much further off than the rough answer a node may be and still be noted, as a square.
const NOTED: f32 = 1.4;

impl Met {
    fn new(count: usize) -> Self {
        Self {
            nodes: Vec::new(),
            rough: Starts::none(count),
        }
    }

    /// Squared difference from which nodes are of no interest.
    fn bound(&self) -> f32 {
        NOTED * self.rough.worst()
    }

    fn offer(&mut self, distance: f32, tones: [u8; 4]) {
        self.nodes.push((distance, tones));
        if distance < self.rough.worst() {
            self.rough.offer(distance, tones);
        }
    }

    /// From near to far, every node that is no neighbour of one taken before.
    fn starts(mut self) -> Starts {
        let bound = self.bound();
        self.nodes.retain(|(distance, _)| *distance < bound);
        let by_distance = |p: &(f32, [u8; 4]), q: &(f32, [u8; 4])| p.0.total_cmp(&q.0);
        self.nodes
            .sort_unstable_by(|p, q| by_distance(p, q).then(p.1.cmp(&q.1)));
        let count = self.rough.found.len();
        let mut starts = Starts::none(count);
        let mut taken = 0;
        for (distance, tones) in self.nodes {
            let is_near = |(_, other): &(f32, [u8; 4])| are_neighbours(tones, *other);
            if !starts.found[..taken].iter().any(is_near) {
                starts.found[taken] = (distance, tones);
                taken += 1;
            }
            if taken == count {
                break;
            }
        }
        starts
    }
}

fn are_neighbours(tones: [u8; 4], other: [u8; 4]) -> bool {
    tones.iter().zip(other).all(|(p, q)| p.abs_diff(q) <= 15)
}

impl Starts {
    fn none(count: usize) -> Self {
        Self {
            found: vec![(f32::INFINITY, [0; 4]); count],
        }
    }

    /// The largest distance of all.
    fn worst(&self) -> f32 {
        self.found.last().map_or(0.0, |(distance, _)| *distance)
    }

    fn offer(&mut self, distance: f32, tones: [u8; 4]) {
        let neighbour = self
            .found
            .iter()
            .position(|(d, other)| d.is_finite() && are_neighbours(tones, *other));
        match neighbour {
            Some(at) if self.found[at].0 <= distance => return,
            Some(at) => self.found[at] = (distance, tones),
            None => {
                self.found.pop();
                self.found.push((distance, tones));
            }
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

    /// Offers the nodes from the target's lightness outwards, until lightness alone keeps the rest further off.
    fn nearest(&self, ink_limit: f64, ranking: &Ranking, met: &mut Met) {
        let lightness = &self.lab[0];
        let middle = lightness.partition_point(|l| *l < ranking.lightness());
        let (mut below, mut above) = (middle, middle);
        loop {
            let off = |at: Option<usize>| {
                let part = at.and_then(|at| lightness.get(at));
                part.map_or(f32::INFINITY, |l| ranking.lightness_squared(*l))
            };
            let (darker, lighter) = (off(below.checked_sub(1)), off(Some(above)));
            if darker.min(lighter) >= met.bound() {
                return;
            }
            let block = if darker < lighter {
                let end = below;
                below = below.saturating_sub(BLOCK);
                below..end
            } else {
                let start = above;
                above = lightness.len().min(above + BLOCK);
                start..above
            };
            self.offer(block, (ink_limit, ranking), met);
        }
    }

    fn offer(&self, block: Range<usize>, (ink_limit, ranking): (f64, &Ranking), met: &mut Met) {
        let [l, a, b] = &self.lab;
        let (l, a, b) = (&l[block.clone()], &a[block.clone()], &b[block.clone()]);
        let mut distances = [f32::INFINITY; BLOCK];
        for (distance, ((l, a), b)) in distances.iter_mut().zip(l.iter().zip(a).zip(b)) {
            *distance = ranking.squared(*l, *a, *b);
        }
        for (at, distance) in block.zip(distances) {
            if distance < met.bound() && f64::from(self.sums[at]) <= ink_limit {
                met.offer(distance, self.tones[at]);
            }
        }
    }

    /// Puts the nodes in the order of their lightness.
    fn sort(&mut self) {
        let mut order: Vec<usize> = (0..self.tones.len()).collect();
        let lightness = &self.lab[0];
        order.sort_by(|p, q| lightness[*p].total_cmp(&lightness[*q]));
        self.tones = order.iter().map(|at| self.tones[*at]).collect();
        self.sums = order.iter().map(|at| self.sums[*at]).collect();
        for column in &mut self.lab {
            *column = order.iter().map(|at| column[*at]).collect();
        }
    }
}
