//! Places where the colour difference itself is deceptive.
//!
//! ΔE00 has hollows: for a vivid target far outside what inks reach, a nearly grey colour of the opposite hue can count as
//! nearer than a vivid one of the right hue. Such a hollow is narrow and winding, and refinement from a coarse lattice
//! stops on its rim. Where the lattice shows one, its nodes are walked down with patience.

use crate::LabD50;
use crate::search::refine::{Point, Problem};
use crate::search::starts::Starts;

/// Nodes walked per target.
const MOST_WALKS: usize = 14;

/// How much worse than the best a node may be and still lie on the rim of the deepest hollow.
const RIM: f64 = 1.35;

/// Widths of the walk, percent.
const WIDTHS: [f64; 9] = [8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.12, 0.06, 0.03];

/// The nodes of the opposite hue that were met among the starts.
pub(crate) struct Hollows {
    target: LabD50,
    nodes: Vec<(usize, Point)>,
}

impl Hollows {
    pub(crate) fn of(target: LabD50) -> Self {
        Self {
            target,
            nodes: Vec::new(),
        }
    }

    /// Notes the starts of one subset, which stands at `place` among the refined ones.
    pub(crate) fn note(&mut self, starts: &Starts, place: usize, problem: &Problem<'_>) {
        for tones in starts.tones() {
            let lab = problem.lab(tones);
            if lab.a * self.target.a + lab.b * self.target.b < 0.0 && problem.allows(tones) {
                self.nodes.push((place, problem.point(tones)));
            }
        }
    }

    /// Walks down from the most promising nodes and keeps what is better than the refined points.
    pub(crate) fn search(mut self, best: f64, refined: &mut [(Problem<'_>, Point)]) {
        self.nodes.retain(|(_, node)| node.delta_e < best * RIM);
        self.nodes
            .sort_by(|p, q| p.1.delta_e.total_cmp(&q.1.delta_e));
        for (place, node) in self.nodes.into_iter().take(MOST_WALKS) {
            let (problem, point) = &mut refined[place];
            let walked = problem.walk(node, &WIDTHS, 4);
            if walked.delta_e < point.delta_e {
                *point = walked;
            }
        }
    }
}
