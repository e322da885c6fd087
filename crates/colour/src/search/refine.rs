//! Finding the best tones of one subset of inks: damped Gauss-Newton inside the limits, then a polish.

use crate::condition::PrintingCondition;
use crate::difference::{difference_jacobian, difference_vector};
use crate::search::BuildLimits;
use crate::{LabD50, ProcessSet, delta_e00};

/// One subset of inks, every one of which prints at least the smallest dot.
#[derive(Debug, Clone)]
pub(crate) struct Problem<'a> {
    condition: &'a PrintingCondition,
    target: LabD50,
    subset: ProcessSet,
    low: [f64; 4],
    high: [f64; 4],
    ink_limit: f64,
}

/// Tones in percent and how far they are from the target.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    pub(crate) tones: [f64; 4],
    pub(crate) delta_e: f64,
}

const MOST_STEPS: usize = 14;

impl<'a> Problem<'a> {
    /// States the problem; `None` when the limits leave no room for all inks of the subset.
    pub(crate) fn new(
        condition: &'a PrintingCondition,
        target: LabD50,
        limits: &BuildLimits,
        subset: ProcessSet,
    ) -> Option<Self> {
        let dot = limits.smallest_dot.max(0.0);
        let mut low = [0.0_f64; 4];
        let mut high = [0.0_f64; 4];
        for ink in subset.iter() {
            low[ink.index()] = dot;
            high[ink.index()] = 100.0;
        }
        high[3] = high[3].min(condition.black_limit());
        let fits = low.iter().sum::<f64>() <= limits.ink_limit && (0..4).all(|i| low[i] <= high[i]);
        fits.then_some(Self {
            condition,
            target,
            subset,
            low,
            high,
            ink_limit: limits.ink_limit,
        })
    }

    pub(crate) fn subset(&self) -> ProcessSet {
        self.subset
    }

    pub(crate) fn condition(&self) -> &'a PrintingCondition {
        self.condition
    }

    pub(crate) fn target(&self) -> LabD50 {
        self.target
    }

    pub(crate) fn ink_limit(&self) -> f64 {
        self.ink_limit
    }

    /// Returns whether these tones respect every limit.
    pub(crate) fn allows(&self, tones: [f64; 4]) -> bool {
        (0..4).all(|i| tones[i] >= self.low[i] && tones[i] <= self.high[i])
            && tones.iter().sum::<f64>() <= self.ink_limit + 1e-9
    }

    pub(crate) fn lab(&self, tones: [f64; 4]) -> LabD50 {
        self.condition.lab(tones)
    }

    pub(crate) fn point(&self, tones: [f64; 4]) -> Point {
        Point {
            tones,
            delta_e: delta_e00(self.target, self.condition.lab(tones)),
        }
    }

    /// Returns the same problem with one ink held at a tone within its bounds.
    pub(crate) fn holding(&self, ink: usize, tone: f64) -> Self {
        let mut held = self.clone();
        let tone = tone.clamp(self.low[ink], self.high[ink]);
        (held.low[ink], held.high[ink]) = (tone, tone);
        held
    }

    /// Walks downhill from a start until nothing is gained.
    pub(crate) fn refine(&self, start: [f64; 4]) -> Point {
        let mut here = self.point(self.moved([0.0; 4], self.clamped(start)));
        let mut damping = 1e-3;
        for _ in 0..MOST_STEPS {
            if here.delta_e < 1e-3 {
                break;
            }
            let Some(next) = self.step(&here, &mut damping) else {
                break;
            };
            let gain = here.delta_e - next.delta_e;
            here = next;
            if gain < 1e-3 * here.delta_e.min(1.0) {
                break;
            }
        }
        here
    }

    fn step(&self, here: &Point, damping: &mut f64) -> Option<Point> {
        let linear = Linear::at(self, here.tones);
        for _ in 0..5 {
            let shift = linear.shift(self, here.tones, *damping);
            let next = self.nearer_end(here.tones, shift);
            if next.delta_e < here.delta_e {
                *damping = (*damping * 0.2).max(1e-6);
                return Some(next);
            }
            *damping *= 10.0;
        }
        None
    }

    /// Moves in both ways that keep the ink limit and takes the better one.
    pub(crate) fn nearer_end(&self, tones: [f64; 4], shift: [f64; 4]) -> Point {
        let drawn = self.point(self.moved(tones, shift));
        if drawn.tones.iter().sum::<f64>() < self.ink_limit - 1e-6 {
            return drawn;
        }
        let stopped = self.point(self.stopped(tones, shift));
        if stopped.delta_e < drawn.delta_e {
            stopped
        } else {
            drawn
        }
    }

    /// Moves as far as the limits allow: each tone to its bound, the sum to the ink limit.
    pub(crate) fn moved(&self, tones: [f64; 4], shift: [f64; 4]) -> [f64; 4] {
        let end = self.clamped(std::array::from_fn(|i| tones[i] + shift[i]));
        let over = end.iter().sum::<f64>() - self.ink_limit;
        if over <= 0.0 {
            return end;
        }
        // Draw every ink back towards its own smallest dot in the same proportion: stays inside all bounds.
        let room: f64 = (0..4).map(|i| end[i] - self.low[i]).sum();
        let share = (over / room.max(f64::MIN_POSITIVE)).min(1.0);
        std::array::from_fn(|i| end[i] - (end[i] - self.low[i]) * share)
    }

    /// Moves until the ink limit is met and stops there, so that full tones stay full.
    pub(crate) fn stopped(&self, tones: [f64; 4], shift: [f64; 4]) -> [f64; 4] {
        let end = self.clamped(std::array::from_fn(|i| tones[i] + shift[i]));
        let (from, to) = (tones.iter().sum::<f64>(), end.iter().sum::<f64>());
        if to <= self.ink_limit {
            return end;
        }
        let share = ((self.ink_limit - from) / (to - from)).clamp(0.0, 1.0);
        std::array::from_fn(|i| tones[i] + (end[i] - tones[i]) * share)
    }

    fn clamped(&self, tones: [f64; 4]) -> [f64; 4] {
        std::array::from_fn(|i| tones[i].clamp(self.low[i], self.high[i]))
    }

    /// Tries small moves of one ink or of two against each other, ever smaller: copes with the kinks of the grid.
    pub(crate) fn polish(&self, point: Point) -> Point {
        self.walk(point, &[2.0, 0.7, 0.25, 0.1, 0.04], 2)
    }

    /// Walks to better points in steps of the given widths that move up to so many inks at once.
    pub(crate) fn walk(&self, point: Point, widths: &[f64], inks: usize) -> Point {
        let mut best = point;
        for &width in widths {
            for _ in 0..12 {
                let before = best;
                for shift in shifts(self.subset, inks) {
                    let from = best.tones;
                    self.try_shift(&mut best, from, shift.map(|s| s * width));
                }
                if before.delta_e - best.delta_e < 1e-3 {
                    break;
                }
                self.follow(&mut best, before.tones);
            }
        }
        best
    }

    /// Goes on in the direction that a round of moves has taken: valleys run for a while.
    fn follow(&self, best: &mut Point, before: [f64; 4]) {
        let (here, mut reach) = (best.tones, 1.0);
        let way: [f64; 4] = std::array::from_fn(|i| here[i] - before[i]);
        while reach < 20.0 && self.try_shift(best, here, way.map(|w| w * reach)) {
            reach *= 2.0;
        }
    }

    fn try_shift(&self, best: &mut Point, from: [f64; 4], shift: [f64; 4]) -> bool {
        let next = self.nearer_end(from, shift);
        let is_better = next.delta_e < best.delta_e;
        if is_better {
            *best = next;
        }
        is_better
    }
}

/// Unit moves of one ink up to `inks` together, each up or down.
pub(crate) fn shifts(subset: ProcessSet, inks: usize) -> impl Iterator<Item = [f64; 4]> {
    let codes = (1..81_u32)
        .map(|code| std::array::from_fn(|i| f64::from(code / 3_u32.pow(i as u32) % 3) - 1.0));
    codes.filter(move |shift: &[f64; 4]| {
        let moved = ProcessSet::of_tones(shift.map(f64::abs));
        (1..=inks).contains(&moved.len()) && subset.contains_all(moved)
    })
}

/// The difference vector and its change per percent of each ink.
pub(crate) struct Linear {
    pub(crate) value: [f64; 3],
    pub(crate) slopes: [[f64; 3]; 4],
}

impl Linear {
    pub(crate) fn at(problem: &Problem<'_>, tones: [f64; 4]) -> Self {
        let tangent = problem.condition.tangent(tones);
        let lab = LabD50::from_array(tangent.lab);
        let value = difference_vector(problem.target, lab);
        let rows = difference_jacobian(problem.target, lab, value);
        let slopes = tangent
            .slopes
            .map(|s| rows.map(|r| r[0] * s[0] + r[1] * s[1] + r[2] * s[2]));
        Self { value, slopes }
    }

    /// Solves the damped normal equations for the inks that are free to move.
    pub(crate) fn shift(&self, problem: &Problem<'_>, tones: [f64; 4], damping: f64) -> [f64; 4] {
        let gradient = self.slopes.map(|s| dot3(s, self.value));
        let is_free = |i: usize| {
            let stuck_low = tones[i] <= problem.low[i] && gradient[i] > 0.0;
            let stuck_high = tones[i] >= problem.high[i] && gradient[i] < 0.0;
            problem.high[i] > problem.low[i] && !stuck_low && !stuck_high
        };
        let free: [bool; 4] = std::array::from_fn(is_free);
        let (matrix, scale) = self.normal_matrix(free, damping);
        let shift = solve4(
            matrix,
            std::array::from_fn(|i| if free[i] { -gradient[i] } else { 0.0 }),
        );
        let is_full = tones.iter().sum::<f64>() >= problem.ink_limit - 1e-9;
        if is_full && shift.iter().sum::<f64>() > 0.0 && scale > 0.0 {
            // At the ink limit the shift keeps the sum: subtract the step that a rising sum answers to.
            let ones = solve4(
                matrix,
                std::array::from_fn(|i| if free[i] { 1.0 } else { 0.0 }),
            );
            let total: f64 = ones.iter().sum();
            let share = if total > 0.0 {
                shift.iter().sum::<f64>() / total
            } else {
                0.0
            };
            return std::array::from_fn(|i| shift[i] - share * ones[i]);
        }
        shift
    }

    fn normal_matrix(&self, free: [bool; 4], damping: f64) -> ([[f64; 4]; 4], f64) {
        let scale = (0..4)
            .filter(|i| free[*i])
            .map(|i| dot3(self.slopes[i], self.slopes[i]))
            .sum::<f64>();
        let entry = |i: usize, j: usize| match (free[i] && free[j], i == j) {
            (true, true) => dot3(self.slopes[i], self.slopes[i]) + damping * scale + 1e-12,
            (true, false) => dot3(self.slopes[i], self.slopes[j]),
            (false, same) => f64::from(u8::from(same)),
        };
        (
            std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j))),
            scale,
        )
    }
}

pub(crate) fn dot3(p: [f64; 3], q: [f64; 3]) -> f64 {
    p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
}

/// Solves a positive definite system of four by elimination; no pivoting is needed for such a matrix.
fn solve4(mut m: [[f64; 4]; 4], mut b: [f64; 4]) -> [f64; 4] {
    for i in 0..4 {
        for j in i + 1..4 {
            let factor = m[j][i] / m[i][i];
            m[j] = std::array::from_fn(|k| m[j][k] - factor * m[i][k]);
            b[j] -= factor * b[i];
        }
    }
    for i in (0..4).rev() {
        let known: f64 = (i + 1..4).map(|k| m[i][k] * b[k]).sum();
        b[i] = (b[i] - known) / m[i][i];
    }
    b
}
