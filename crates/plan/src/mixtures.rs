//! Which renderings of the rows go together with one choice of inks.
//!
//! Every colour at its best is one answer. Where the best costs ink that another accepted rendering saves, that one is
//! tried as well: a looser tolerance makes further renderings acceptable and some of them better, and must never take away
//! a cheaper set that was acceptable before. What is tried beside the best does not depend on the tolerance.

use crate::candidates::RowCandidates;
use crate::set::Hung;
use crate::{Rendering, Verdict};

/// Most mixtures tried with one choice of inks. Our own choice: six colours with two ways each.
const MOST_MIXTURES: usize = 64;

/// With the inks hung: every row at its best first, then with rows printed otherwise; empty when a row cannot be printed.
///
/// Beyond [`MOST_MIXTURES`] the further rows are printed otherwise one at a time.
pub(crate) fn mixtures<'t>(table: &'t [RowCandidates], hung: &Hung) -> Vec<Vec<&'t Rendering>> {
    let mut mixtures: Vec<Vec<&Rendering>> = vec![Vec::with_capacity(table.len())];
    for row in table {
        let Some((best, others)) = row.ways(hung) else {
            return Vec::new();
        };
        let may_branch = mixtures.len() * (1 + others.len()) <= MOST_MIXTURES;
        let branching = if may_branch { mixtures.len() } else { 1 };
        let branches: Vec<Vec<&Rendering>> = others
            .iter()
            .flat_map(|other| {
                let started = mixtures[..branching].iter();
                started.map(|begun| begun.iter().copied().chain([*other]).collect())
            })
            .collect();
        for begun in &mut mixtures {
            begun.push(best);
        }
        mixtures.extend(branches);
    }
    mixtures
}

impl RowCandidates {
    /// All renderings that the inks hung allow.
    fn with(&self, hung: &Hung) -> impl Iterator<Item = &Rendering> {
        let solids = self.solids.iter().enumerate();
        let solids = solids
            .filter(|(bit, _)| hung.solids >> bit & 1 == 1)
            .filter_map(|(_, rendering)| rendering.as_ref());
        let overprinted = self
            .overprinted
            .iter()
            .filter(|one| one.solids & !hung.solids == 0 && one.process & !hung.process == 0);
        let extended = self.extended.iter();
        let extended = extended.filter(|(mask, _)| **mask & !hung.extended == 0);
        solids
            .chain(self.builds[hung.process].as_ref())
            .chain(overprinted.map(|one| &one.rendering))
            .chain(extended.map(|(_, rendering)| rendering))
    }

    /// The best rendering with the inks hung; `None` when there is none.
    pub(crate) fn best(&self, hung: &Hung) -> Option<&Rendering> {
        self.with(hung)
            .reduce(|best, next| if next.beats(best) { next } else { best })
    }

    /// The best rendering, and others that keep within the tolerance, save some ink against it, and that no rendering
    /// matches at the aim and on press.
    fn ways(&self, hung: &Hung) -> Option<(&Rendering, Vec<&Rendering>)> {
        let best = self.best(hung)?;
        let all: Vec<&Rendering> = self.with(hung).collect();
        let matched = |at: usize, one: &Rendering| {
            let mut rest = all
                .iter()
                .enumerate()
                .filter(|(other_at, _)| *other_at != at);
            // Of two that match each other, the first stays.
            rest.any(|(other_at, other)| {
                other.as_near_as(one) && (other_at < at || !one.as_near_as(other))
            })
        };
        let others = all.iter().enumerate().filter(|(at, one)| {
            one.verdict != Verdict::Misses && one.saves_ink(best) && !matched(*at, one)
        });
        Some((best, others.map(|(_, one)| *one).collect()))
    }
}

impl Rendering {
    /// Whether any ink of `other` is laid down thinner here, or not at all.
    fn saves_ink(&self, other: &Self) -> bool {
        let solid = |of: &Self, colour: usize| -> f64 {
            let solids = [of.solid, of.second_solid].into_iter().flatten();
            solids
                .filter(|(at, _)| *at == colour)
                .map(|(_, tone)| tone)
                .sum()
        };
        let extended = |of: &Self, ink: usize| {
            let tone = of.extended.iter().find(|(at, _)| *at == ink);
            tone.map_or(0, |(_, tone)| *tone)
        };
        let mut process = self.process.iter().zip(&other.process);
        let mut solids = [other.solid, other.second_solid].into_iter().flatten();
        process.any(|(here, there)| here < there)
            || solids.any(|(colour, tone)| solid(self, colour) < tone)
            || other
                .extended
                .iter()
                .any(|(ink, tone)| extended(self, *ink) < *tone)
    }
}
