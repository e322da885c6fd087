//! The smallest set of solids in which every important colour holds.
//!
//! Exact: sets are tried from the smallest up, so that the first that serves proves that no smaller one does. With at most
//! [`crate::MOST_SOLIDS`] solids these are 4,096 sets.

use inkset_spec::Importance;

use crate::candidates::{RowCandidates, Solids};
use crate::{Rendering, Row, Verdict};

/// What a row needs beside the four process inks: any one of these sets of solids, as masks; 0 = nothing.
pub type Needs = Vec<u32>;

/// The smallest sets of solids that serve all rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SmallestSets {
    /// Masks of the smallest sets, ascending; empty when no set serves.
    pub sets: Vec<u32>,
    /// Sets with fewer solids, all of which were tried and do not serve.
    pub smaller_tried: usize,
}

/// Returns the smallest subsets of `solids` solids that contain what every row needs.
///
/// # Panics
///
/// With more than 20 solids, whose subsets are too many to try.
pub fn smallest_sets(solids: usize, rows: &[Needs]) -> SmallestSets {
    assert!(solids <= 20, "{solids} solids have too many subsets");
    let serves = |set: u32| {
        rows.iter()
            .all(|needs| needs.iter().any(|need| need & !set == 0))
    };
    let mut smaller_tried = 0;
    for size in 0..=solids as u32 {
        let of_size = (0..1_u32 << solids).filter(|set| set.count_ones() == size);
        let tried: Vec<u32> = of_size.collect();
        let sets: Vec<u32> = tried.iter().copied().filter(|set| serves(*set)).collect();
        if !sets.is_empty() {
            return SmallestSets {
                sets,
                smaller_tried,
            };
        }
        smaller_tried += tried.len();
    }
    SmallestSets {
        sets: Vec::new(),
        smaller_tried,
    }
}

/// The answer for a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SmallestSolids {
    /// The smallest sets, each as indices into [`inkset_spec::Job::colours`]; one empty set when four process inks do.
    pub sets: Vec<Vec<usize>>,
    /// Indices into [`crate::Plan::rows`] of important colours that no solid of the job makes hold; not asked of the sets.
    pub never: Vec<usize>,
    /// Solids among which the sets choose; those that the job requires are in every set and not counted.
    pub candidates: usize,
    /// Smaller sets that were tried and do not serve.
    pub smaller_tried: usize,
}

/// Finds the smallest sets of solids in which every brand and matching colour holds beside four process inks.
pub(crate) fn smallest(rows: &[Row], solids: &Solids, table: &[RowCandidates]) -> SmallestSolids {
    let n_always = solids.always.len();
    let needs_of = |candidates: &RowCandidates| -> Needs {
        let holds = |r: &Option<Rendering>| r.as_ref().is_some_and(|r| r.verdict == Verdict::Holds);
        let process = holds(&candidates.builds[15]).then_some(0);
        let own = candidates.solids.iter().enumerate();
        // A solid that is in every set costs nothing further.
        let own = own.filter(|(_, r)| holds(r)).map(|(bit, _)| {
            bit.checked_sub(n_always)
                .map_or(0, |optional| 1_u32 << optional)
        });
        let together = candidates.overprinted.iter();
        let together = together
            .filter(|one| one.rendering.verdict == Verdict::Holds)
            .map(|one| (one.solids >> n_always) as u32);
        process.into_iter().chain(own).chain(together).collect()
    };
    let important = (0..rows.len()).filter(|&at| rows[at].importance != Importance::Decorative);
    let (never, served): (Vec<usize>, Vec<usize>) =
        important.partition(|&at| needs_of(&table[at]).is_empty());
    let needs: Vec<Needs> = served.into_iter().map(|at| needs_of(&table[at])).collect();
    let found = smallest_sets(solids.optional.len(), &needs);
    let named = |set: u32| {
        let optional = solids.optional.iter().enumerate();
        let chosen = optional.filter(move |(bit, _)| set >> bit & 1 == 1);
        let mut colours = solids.always.clone();
        colours.extend(chosen.map(|(_, &colour)| colour));
        colours.sort_unstable();
        colours
    };
    SmallestSolids {
        sets: found.sets.into_iter().map(named).collect(),
        never,
        candidates: solids.optional.len(),
        smaller_tried: found.smaller_tried,
    }
}
