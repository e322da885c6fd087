//! The same colour on two papers: how far apart its two renderings are.

use inkset_colour::delta_e00;

use crate::rendering::shown;
use crate::{PlannedSet, Row};

/// A colour that is printed on two papers in one set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaperGap {
    /// Indices into [`crate::Plan::rows`] of the colour on the one paper and on the other.
    pub rows: [usize; 2],
    /// ΔE00 between the two as printed at the aim, to two decimals.
    pub delta_e: f64,
    /// The smaller tolerance of the two.
    pub tolerance: f64,
}

impl PaperGap {
    /// Whether a reader with both papers in hand sees more than the colour's tolerance.
    pub fn exceeds(&self) -> bool {
        self.delta_e > self.tolerance
    }
}

impl PlannedSet {
    /// Every pair of papers on which this set prints the same colour and tint; effects, which no Lab describes, are left out.
    pub fn paper_gaps(&self, rows: &[Row]) -> Vec<PaperGap> {
        let pairs = (0..rows.len()).flat_map(|one| (one + 1..rows.len()).map(move |at| [one, at]));
        pairs
            .filter(|&[one, other]| same_colour(&rows[one], &rows[other]))
            .filter_map(|pair| {
                let [one, other] = pair.map(|at| self.renderings[at].lab);
                Some(PaperGap {
                    rows: pair,
                    delta_e: shown(delta_e00(one?, other?)),
                    tolerance: rows[pair[0]].tolerance.min(rows[pair[1]].tolerance),
                })
            })
            .collect()
    }
}

/// Rows of one colour and tint differ only in their paper.
fn same_colour(one: &Row, other: &Row) -> bool {
    one.colour == other.colour && one.tone.total_cmp(&other.tone).is_eq()
}
