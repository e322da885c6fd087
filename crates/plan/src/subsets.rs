//! The job printed with each subset of its solids, whether they are worth having or not.
//!
//! The question is what a solid adds to the price. So a solid that is there prints its colour, even where a build would
//! serve; every other colour is printed at its best from the inks that are there.

use inkset_layout::PrintPlan;
use inkset_spec::Job;
use rayon::prelude::*;

use crate::candidates::{self, RowCandidates, Solids};
use crate::set::{Hung, NO_WORSE_THAN_FOUR_INKS, picture_inks};
use crate::{Conditions, MOST_SOLIDS, Rendering, Row, coverage, row};

/// Every subset of a job's solids and the ways to print it.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidSubsets {
    /// Colours for which the job may take a solid or an effect ink, at most [`MOST_SOLIDS`]: indices into [`Job::colours`].
    pub solids: Vec<usize>,
    /// Further solids that the job requires, beyond that number; they are in every subset.
    pub fixed: Vec<usize>,
    /// For each subset (bit `n` of the index stands for `solids[n]`) what may be printed: one plan or more, which differ
    /// in their process inks and print no colour worse than all four would.
    pub plans: Vec<Vec<PrintPlan>>,
}

/// Prints `job` with each subset of its solids.
///
/// Extended process inks are left out of it. Where an effect ink is left out, what it prints stays blank; nothing else takes its place.
pub fn solid_subsets(job: &Job, conditions: &Conditions<'_>) -> SolidSubsets {
    let rows = row::rows(job, conditions);
    let (mut solids, _) = candidates::solids(job, &rows, conditions);
    let fixed = kept_out(job, &mut solids);
    let mut known = solids.clone();
    known.always.extend(&fixed);
    let variation = crate::variation(job.variation.value, conditions);
    let search = candidates::Search {
        job,
        rows: &rows,
        solids: &known,
        conditions,
        variation: &variation,
    };
    let table = search.table(candidates::Known::default());
    let printer = Printer {
        job,
        conditions,
        rows: &rows,
        table: &table,
        known: known.all(),
    };
    let chosen = solids.all();
    let plans = (0..1_usize << chosen.len()).into_par_iter().map(|subset| {
        let there = chosen.iter().enumerate();
        let there = there.filter(|(bit, _)| subset & (1 << bit) != 0);
        let mut there: Vec<usize> = there.map(|(_, colour)| *colour).collect();
        there.extend(&fixed);
        printer.plans(&there)
    });
    SolidSubsets {
        plans: plans.collect(),
        solids: chosen,
        fixed,
    }
}

/// Takes solids out until [`MOST_SOLIDS`] are left, the least important first; returns those that the job requires.
fn kept_out(job: &Job, solids: &mut Solids) -> Vec<usize> {
    let key = |&colour: &usize| (job.colours[colour].importance.value, colour);
    solids.optional.sort_by_key(key);
    solids.always.sort_by_key(key);
    let fixed = solids
        .always
        .split_off(solids.always.len().min(MOST_SOLIDS));
    solids.optional.truncate(MOST_SOLIDS - solids.always.len());
    solids.optional.sort_unstable();
    solids.always.sort_unstable();
    fixed
}

struct Printer<'a> {
    job: &'a Job,
    conditions: &'a Conditions<'a>,
    rows: &'a [Row],
    table: &'a [RowCandidates],
    /// Solids in the order of [`RowCandidates::solids`].
    known: Vec<usize>,
}

impl Printer<'_> {
    /// What may be printed with exactly these solids.
    fn plans(&self, there: &[usize]) -> Vec<PrintPlan> {
        let all_four = self.renderings(15, there).expect("four inks print any row");
        let needed = picture_inks(self.job);
        let no_worse = |renderings: &Vec<Rendering>| {
            let mut rows = self.rows.iter().zip(renderings.iter().zip(&all_four));
            rows.all(|(row, (one, four))| {
                let floor = row.tolerance.max(four.delta_e + NO_WORSE_THAN_FOUR_INKS);
                one.verdict <= four.verdict && one.delta_e <= floor
            })
        };
        let mut plans: Vec<PrintPlan> = Vec::new();
        let masks = (0..16).filter(|mask| mask & needed == needed);
        for renderings in masks.filter_map(|mask| self.renderings(mask, there)) {
            if no_worse(&renderings) {
                let plan = coverage::print_plan(
                    self.job,
                    (self.rows, &renderings),
                    there,
                    &self.conditions.extended,
                );
                if !plans.contains(&plan) {
                    plans.push(plan);
                }
            }
        }
        plans
    }

    /// `None` when a row cannot be printed with these process inks.
    fn renderings(&self, mask: usize, there: &[usize]) -> Option<Vec<Rendering>> {
        let rows = self.rows.iter().zip(self.table);
        rows.map(|(row, candidates)| self.rendering(row, candidates, (mask, there)))
            .collect()
    }

    fn rendering(
        &self,
        row: &Row,
        candidates: &RowCandidates,
        (process, there): (usize, &[usize]),
    ) -> Option<Rendering> {
        let known = self.known.iter().enumerate();
        if there.contains(&row.colour) {
            let own = known.clone().find(|(_, known)| **known == row.colour)?.0;
            return candidates.solids[own].clone();
        }
        if self.job.colours[row.colour].effect.is_some() {
            return Some(Rendering::blank());
        }
        let bits = known.filter(|(_, known)| there.contains(known));
        let hung = Hung {
            process,
            solids: bits.map(|(bit, _)| 1 << bit).sum(),
            extended: 0,
        };
        candidates.best(&hung).cloned()
    }
}
