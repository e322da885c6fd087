//! Brute force against the search: every allowed build of a lattice, then the best ones walked downhill.
//!
//! Knows nothing of the search but the difference that it has to beat, and uses nothing of it.

use inkset_colour::{LabD50, PrintingCondition, delta_e00};

use super::common::Stream;

/// Every allowed build whose tones are multiples of a step, the smallest dot, or the largest tone.
pub(crate) struct Lattice<'a> {
    condition: &'a PrintingCondition,
    nodes: Vec<Node>,
}

#[derive(Clone, Copy)]
struct Node {
    tones: [u8; 4],
    lab: [f32; 3],
}

/// Nodes walked downhill per target.
const WALKS: usize = 24;

/// Percent by which at least one ink of a walked node differs from every other walked node.
const APART: u8 = 6;

/// Nodes worse than the bar are walked too if they are no worse than this factor and this much more, ΔE00: a valley
/// may run between the nodes.
const SLACK: (f64, f64) = (1.1, 1.0);

/// Widths of a walk's steps, percent: from the first, halved down to the second.
const WIDTHS: (f64, f64) = (2.0, 0.004);

/// Random directions tried per round of a walk, besides the 80 of up to four inks up or down.
const RANDOM_WAYS: usize = 40;

impl<'a> Lattice<'a> {
    pub(crate) fn new(condition: &'a PrintingCondition, step: u8) -> Self {
        let dot = condition.smallest_dot().ceil() as u8;
        let multiples = (0..=100).filter(|t| *t % step == 0 || *t == dot);
        let levels: Vec<u8> = multiples.filter(|t| *t == 0 || *t >= dot).collect();
        let n = levels.len();
        let tones = (0..n.pow(4)).map(|code| {
            let level = |i: u32| levels[code / n.pow(i) % n];
            std::array::from_fn(|i| level(i as u32))
        });
        let node = |tones: [u8; 4]| {
            let lab = condition.lab(tones.map(f64::from));
            Node {
                tones,
                lab: [lab.l, lab.a, lab.b].map(|v| v as f32),
            }
        };
        let nodes = tones
            .filter(|t: &[u8; 4]| allowed(condition, t.map(f64::from)))
            .map(node)
            .collect();
        Self { condition, nodes }
    }

    pub(crate) fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Returns the smallest ΔE00 found, and its tones; `bar` is the difference to beat.
    pub(crate) fn best(&self, target: LabD50, bar: f64) -> (f64, [f64; 4]) {
        let mut stream = Stream(7);
        let starts = apart(self.near(target, bar * SLACK.0 + SLACK.1));
        let mut best = (f64::INFINITY, [0.0; 4]);
        for (delta_e, tones) in starts {
            let start = (delta_e, tones.map(f64::from));
            let walked = walk(self.condition, target, start, &mut stream);
            if walked.0 < best.0 {
                best = walked;
            }
        }
        best
    }

    /// All nodes below a difference, nearest first.
    fn near(&self, target: LabD50, most: f64) -> Vec<(f64, [u8; 4])> {
        let mut near: Vec<(f64, [u8; 4])> = Vec::new();
        for node in &self.nodes {
            let [l, a, b] = node.lab.map(f64::from);
            if lightness_part(target.l, l) < most {
                let delta_e = delta_e00(target, LabD50::new(l, a, b));
                if delta_e < most {
                    near.push((delta_e, node.tones));
                }
            }
        }
        near.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
        near
    }
}

/// The nearest nodes that do not lie next to each other.
fn apart(near: Vec<(f64, [u8; 4])>) -> Vec<(f64, [u8; 4])> {
    let mut kept: Vec<(f64, [u8; 4])> = Vec::with_capacity(WALKS);
    for node in near {
        let is_apart = |other: &(f64, [u8; 4])| {
            let mut inks = node.1.iter().zip(other.1);
            inks.any(|(p, q)| p.abs_diff(q) >= APART || (*p == 0) != (q == 0))
        };
        if kept.iter().all(is_apart) {
            kept.push(node);
        }
        if kept.len() == WALKS {
            break;
        }
    }
    kept
}

/// The share of ΔE00 that lightness alone gives: no difference is smaller.
fn lightness_part(x: f64, y: f64) -> f64 {
    let offset = 0.5 * (x + y) - 50.0;
    let square = offset * offset;
    (y - x).abs() / (1.0 + 0.015 * square / (20.0 + square).sqrt())
}

fn allowed(condition: &PrintingCondition, tones: [f64; 4]) -> bool {
    let dot = condition.smallest_dot();
    tones.iter().sum::<f64>() <= condition.ink_limit() + 1e-9
        && tones[3] <= condition.black_limit()
        && tones
            .iter()
            .all(|t| (*t == 0.0 || *t >= dot) && (0.0..=100.0).contains(t))
}

/// Steps to better builds in all directions of one to four inks and some random ones, ever shorter.
fn walk(
    condition: &PrintingCondition,
    target: LabD50,
    start: (f64, [f64; 4]),
    stream: &mut Stream,
) -> (f64, [f64; 4]) {
    let mut best = start;
    let mut width = WIDTHS.0;
    while width > WIDTHS.1 {
        let before = best;
        for code in 1..81 + RANDOM_WAYS as u32 {
            let way = direction(code, stream);
            let reached = step(condition, best.1, way.map(|w| w * width));
            try_tones(condition, target, reached, &mut best);
        }
        let gained: [f64; 4] = std::array::from_fn(|i| best.1[i] - before.1[i]);
        let mut reach = 1.0;
        while reach < 30.0 {
            let reached = step(condition, best.1, gained.map(|g| g * reach));
            if !try_tones(condition, target, reached, &mut best) {
                break;
            }
            reach *= 2.0;
        }
        if before.0 - best.0 < 1e-5 {
            width *= 0.5;
        }
    }
    best
}

fn direction(code: u32, stream: &mut Stream) -> [f64; 4] {
    if code < 81 {
        std::array::from_fn(|i| f64::from(code / 3_u32.pow(i as u32) % 3) - 1.0)
    } else {
        [(); 4].map(|()| stream.between(-1.0, 1.0))
    }
}

/// A step that stays on what is not printed, and stops at the smallest dot and the full tone.
fn step(condition: &PrintingCondition, tones: [f64; 4], way: [f64; 4]) -> [f64; 4] {
    std::array::from_fn(|i| {
        if tones[i] == 0.0 {
            0.0
        } else {
            (tones[i] + way[i]).clamp(condition.smallest_dot(), 100.0)
        }
    })
}

fn try_tones(
    condition: &PrintingCondition,
    target: LabD50,
    tones: [f64; 4],
    best: &mut (f64, [f64; 4]),
) -> bool {
    if !allowed(condition, tones) {
        return false;
    }
    let delta_e = delta_e00(target, condition.lab(tones));
    let is_better = delta_e < best.0;
    if is_better {
        *best = (delta_e, tones);
    }
    is_better
}
