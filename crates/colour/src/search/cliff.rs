//! The cliff of the colour difference at exactly opposite hues.
//!
//! ΔE00 takes the mean hue along the shorter arc, so it jumps where a colour passes the hue opposite to the target's. On one
//! side of that cliff, close to the neutral axis, lies a hollow: for a vivid red far outside what inks reach, an almost grey
//! green can count as nearer than the vivid red of the right hue. The lowest place is often at the very foot of the cliff, and
//! no descent in tones follows a cliff. So the hue is held there, which leaves a smooth function of lightness and chroma, and
//! Newton's method finds its minimum among the tones.

use crate::search::refine::{Linear, Point, Problem};
use crate::search::starts::{Group, StartNodes};
use crate::search::valley;
use crate::{LabD50, delta_e00};

/// Distance from the cliff at which the difference is taken, Lab units.
const BESIDE: f64 = 1e-3;

/// Distance from the cliff that the tones aim at: a little more, so that what they miss by stays on the same side.
const AIM: f64 = 2e-3;

/// Smallest chroma; the neutral axis itself has no hue.
const LEAST_CHROMA: f64 = 0.05;

/// Direction of 275 degrees, at which ΔE00 tilts its ellipses most.
const BLUE: [f64; 2] = [0.087_155_742_747_658_2, -0.996_194_698_091_745_5];

/// Below this chroma of the target the hollow is no deeper than its surroundings.
const LEAST_TARGET_CHROMA: f64 = 10.0;

/// Chromas at which the depth of the hollow is sounded.
const SOUNDINGS: [f64; 12] = [
    0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 9.0, 13.0, 18.0, 25.0, 35.0,
];

/// How far the soundings may lie above the true depth, ΔE00.
const SOUNDING_ERROR: f64 = 0.25;

/// Starts tried per subset and side.
const STARTS: usize = 5;

/// Percent by which a start may exceed the ink limit; it is drawn back, and so the limit's edge has starts as well.
const BEYOND: f64 = 20.0;

/// Weights of the distance from the aimed hue against the difference; the last one holds it to about 0.001.
const HOLDS: [f64; 2] = [10.0, 100.0];

/// Newton steps per weight.
const MOST_STEPS: usize = 14;

/// One side of the cliff of one target, or another hue at which there is a hollow.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cliff {
    target: LabD50,
    /// Unit vector in a and b from the neutral axis to the hue that is held.
    away: [f64; 2],
    /// 1 where the shorter arc from the target turns towards rising hue angles, -1 on the other side, 0 before the cliff.
    side: f64,
}

/// A colour as seen from the cliff: lightness, chroma along the opposite hue, distance from the cliff.
#[derive(Debug, Clone, Copy)]
struct Seen([f64; 3]);

impl Cliff {
    /// The hues beside and before a target's cliff that could lie lower than `best`.
    pub(crate) fn lower_than(best: f64, target: LabD50, starts: &StartNodes) -> Vec<Self> {
        let chroma = target.chroma();
        if chroma < LEAST_TARGET_CHROMA {
            return Vec::new();
        }
        let (cos, sin) = (target.a / chroma, target.b / chroma);
        let at = |away: [f64; 2], side: f64| Self { target, away, side };
        let mut hues = vec![at([-cos, -sin], 1.0), at([-cos, -sin], -1.0)];
        // The hue that has the target's mirrored at the tilt's centre is a hollow of its own if it lies before the cliff.
        let (along, across) = (cos * BLUE[0] + sin * BLUE[1], sin * BLUE[0] - cos * BLUE[1]);
        if along > 0.0 && along < across.abs() {
            hues.push(at(
                [2.0 * along * BLUE[0] - cos, 2.0 * along * BLUE[1] - sin],
                0.0,
            ));
        }
        let nearest_l = target.l.clamp(starts.darkest(), starts.lightest());
        let depth = |cliff: &Self| {
            let soundings = SOUNDINGS
                .iter()
                .map(|chroma| cliff.foot(nearest_l, *chroma));
            soundings.fold(f64::INFINITY, f64::min)
        };
        hues.into_iter()
            .filter(|cliff| depth(cliff) < best + SOUNDING_ERROR)
            .collect()
    }

    /// Returns the lowest point found at the foot of the cliff for one subset of inks.
    pub(crate) fn search(&self, problem: &Problem<'_>, nodes: &Group) -> Option<Point> {
        let starts = self.starts(problem, nodes);
        let feet = starts.into_iter().map(|tones| {
            let held = HOLDS
                .iter()
                .fold(tones, |tones, hold| self.descend(problem, tones, *hold));
            valley::follow(problem, problem.point(held))
        });
        feet.min_by(|p, q| p.delta_e.total_cmp(&q.delta_e))
    }

    fn see(&self, lab: [f64; 3]) -> Seen {
        let [l, a, b] = lab;
        let [u, v] = self.away;
        Seen([l, a * u + b * v, a * v - b * u])
    }

    /// ΔE00 beside the cliff.
    fn foot(&self, l: f64, chroma: f64) -> f64 {
        let [u, v] = self.away;
        let (along, across) = (chroma.max(LEAST_CHROMA), BESIDE * self.side);
        let lab = LabD50 {
            l,
            a: along * u + across * v,
            b: along * v - across * u,
        };
        delta_e00(self.target, lab)
    }

    /// The allowed nodes that look best when moved to the cliff.
    fn starts(&self, problem: &Problem<'_>, nodes: &Group) -> Vec<[f64; 4]> {
        let mut found: Vec<(f64, [f64; 4])> = Vec::with_capacity(STARTS + 1);
        for (tones, lab) in nodes.colours() {
            let Seen([l, along, across]) = self.see(lab);
            if along < -across.abs() || tones.iter().sum::<f64>() > problem.ink_limit() + BEYOND {
                continue;
            }
            let worst = found.get(STARTS - 1).map_or(f64::INFINITY, |(d, _)| *d);
            let off = 0.3 * across.abs();
            if off < worst {
                let distance = self.foot(l, along) + off;
                let place = found.partition_point(|(d, _)| *d <= distance);
                found.insert(place, (distance, tones));
                found.truncate(STARTS);
            }
        }
        found.into_iter().map(|(_, tones)| tones).collect()
    }

    fn descend(&self, problem: &Problem<'_>, start: [f64; 4], hold: f64) -> [f64; 4] {
        let mut tones = problem.moved(start, [0.0; 4]);
        let mut damping = 1e-6;
        let mut height = self.height(problem, tones, hold);
        for _ in 0..MOST_STEPS {
            let linear = self.linear(problem, tones, hold);
            let before = height;
            for _ in 0..5 {
                let shift = linear.shift(problem, tones, damping);
                let ends = [problem.moved(tones, shift), problem.stopped(tones, shift)];
                let reached = ends.map(|end| self.height(problem, end, hold));
                let lower = usize::from(reached[1] < reached[0]);
                if reached[lower] < height {
                    (tones, height) = (ends[lower], reached[lower]);
                    damping = f64::max(damping * 0.1, 1e-9);
                    break;
                }
                damping *= 20.0;
            }
            if before - height < 1e-4 * before {
                break;
            }
        }
        tones
    }

    /// What is made small: half the squared difference beside the cliff, and the squared distance from the aim.
    fn height(&self, problem: &Problem<'_>, tones: [f64; 4], hold: f64) -> f64 {
        let lab = problem.lab(tones);
        let Seen([l, along, across]) = self.see([lab.l, lab.a, lab.b]);
        let (foot, off) = (self.foot(l, along), hold * (across - AIM * self.side));
        0.5 * (foot * foot + off * off)
    }

    /// The same close to some tones, as a length of a vector, from the first and second derivatives.
    fn linear(&self, problem: &Problem<'_>, tones: [f64; 4], hold: f64) -> Linear {
        let tangent = problem.condition().tangent(tones);
        let Seen([l, along, across]) = self.see(tangent.lab);
        let (gradient, root) = self.bowl(l, along.max(2.0 * LEAST_CHROMA));
        // With H = root' root, the vector root'^-1 gradient has the gradient of the bowl.
        let first = gradient[0] / root[0];
        let second = (gradient[1] - root[1] * first) / root[2];
        let value = [first, second, hold * (across - AIM * self.side)];
        let slopes = tangent.slopes.map(|slope| {
            let Seen([dl, dalong, dacross]) = self.see(slope);
            [
                root[0] * dl + root[1] * dalong,
                root[2] * dalong,
                hold * dacross,
            ]
        });
        Linear { value, slopes }
    }

    /// Gradient of half the squared difference by lightness and chroma, and the upper Cholesky factor of its curvature,
    /// made positive where it is not.
    fn bowl(&self, l: f64, along: f64) -> ([f64; 2], [f64; 3]) {
        let half = |dl: f64, dc: f64| {
            let foot = self.foot(l + dl, along + dc);
            0.5 * foot * foot
        };
        let step = 0.02;
        let here = half(0.0, 0.0);
        let (up, down) = (half(step, 0.0), half(-step, 0.0));
        let (out, back) = (half(0.0, step), half(0.0, -step));
        let mixed = half(step, step) - up - out + here;
        let square = step * step;
        let gradient = [(up - down) / (2.0 * step), (out - back) / (2.0 * step)];
        let curvature = [
            ((up + down - 2.0 * here) / square).abs().max(1e-3),
            mixed / square,
            ((out + back - 2.0 * here) / square).abs().max(1e-3),
        ];
        let first = curvature[0].sqrt();
        let cross = curvature[1] / first;
        let rest = (curvature[2] - cross * cross).max(0.05 * curvature[2]);
        (gradient, [first, cross, rest.sqrt()])
    }
}
