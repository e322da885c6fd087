//! Ranks with ties.

use inkset_units::Money;

/// A place in a ranking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ranked {
    /// From 1; equal amounts share the lower number.
    pub rank: usize,
    /// Whether others share it.
    pub tied: bool,
}

/// Ranks amounts, the lowest first; `None` where there is no amount to rank.
pub fn ranks(amounts: &[Option<Money>]) -> Vec<Option<Ranked>> {
    let mut sorted: Vec<Money> = amounts.iter().flatten().copied().collect();
    sorted.sort_unstable();
    let ranked = |amount: &Money| {
        let lower = sorted.partition_point(|other| other < amount);
        let up_to = sorted.partition_point(|other| other <= amount);
        Ranked {
            rank: lower + 1,
            tied: up_to - lower > 1,
        }
    };
    amounts.iter().map(|a| a.as_ref().map(ranked)).collect()
}
