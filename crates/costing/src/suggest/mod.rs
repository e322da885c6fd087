//! Moves that an experienced estimator would try, each priced as the job that it makes of the job.
//!
//! Presses, parent sheets, divisions and work styles are searched anyway; these are moves that change what is printed or
//! ordered. Nothing is estimated by rule of thumb: each move changes the job or its ink plan, and that is priced like any
//! other.

mod jobs;
mod plans;
mod quantity;

use std::collections::BTreeMap;

use inkset_layout::PrintPlan;
use inkset_spec::{Job, RateCard};
use inkset_units::Money;
use rayon::prelude::*;
use rust_decimal::Decimal;

use crate::error::CannotPrint;
use crate::pricer::{PricedPlan, Pricer};

/// Share of the largest saving that a smaller cut of the size must reach to be told instead, percent.
const ENOUGH: i64 = 90;
/// Least saving that is told, thousandths of the total.
const LEAST: i64 = 5;

/// What is changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Move {
    /// Further inks stay on these pages of a part only; all other pages are printed as in another plan.
    OneForm {
        /// Index of the part that keeps them.
        part: usize,
        /// Pages that keep them, ascending.
        pages: Vec<u32>,
        /// Names of the inks.
        inks: Vec<String>,
        /// Index of the plan by which the other pages are printed.
        instead: usize,
    },
    /// Process black is left out: another plan, of the same inks without it.
    WithoutBlack {
        /// Index of that plan.
        instead: usize,
    },
    /// Cover and text are printed together.
    Gang {
        /// Indices of the two parts.
        parts: [usize; 2],
    },
    /// Another paper of the card.
    Paper {
        /// Index of the part.
        part: usize,
        /// Name of its new stock.
        stock: String,
    },
    /// A smaller trimmed size.
    Trim {
        /// Width and height that are cut off, mm.
        off: [u32; 2],
    },
    /// Another quantity.
    Quantity,
}

impl Move {
    /// Gives the plan that it borrows from the number that it has elsewhere: `numbers[n]` for plan `n`.
    pub fn renumber_plans(&mut self, numbers: &[usize]) {
        if let Self::OneForm { instead, .. } | Self::WithoutBlack { instead } = self {
            *instead = numbers[*instead];
        }
    }

    /// Moves of a kind exclude each other; only the best of them is told.
    fn kind(&self) -> (u8, usize) {
        match self {
            Self::OneForm { instead, .. } => (0, *instead),
            Self::WithoutBlack { .. } => (1, 0),
            Self::Gang { .. } => (2, 0),
            Self::Paper { part, .. } => (3, *part),
            Self::Trim { .. } => (4, 0),
            Self::Quantity => (5, 0),
        }
    }

    /// How much of the product is given up, to choose among moves that save about as much.
    fn given_up(&self) -> u32 {
        match self {
            Self::Trim { off } => off[0] + off[1],
            _ => 0,
        }
    }
}

/// A move with the totals before and after it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suggestion {
    /// What is changed.
    pub change: Move,
    /// Copies after the change.
    pub copies: u64,
    /// Computed total as it is.
    pub now: Money,
    /// Computed total of the changed job.
    pub then: Money,
}

impl Suggestion {
    /// What the move saves; zero where it brings more copies for the same money.
    pub fn saving(&self) -> Money {
        self.now - self.then
    }
}

/// A move with the totals that it leads to, one for each quantity.
struct Tried {
    change: Move,
    totals: Vec<Money>,
}

/// Moves that save, the largest saving first, for one of several ink plans of a job at each of these quantities.
///
/// `plans` are those of the job's options, any of which a move may borrow from. A move that the card cannot print is left
/// out, as is one that saves less than half a percent of the total. Totals are computed ones: what the job sets by hand does not count.
///
/// # Errors
///
/// When the job cannot be priced as it is.
pub fn suggestions(
    (job, card): (&Job, &RateCard),
    (plans, which): (&[&PrintPlan], usize),
    quantities: &[u64],
) -> Result<Vec<Vec<Suggestion>>, CannotPrint> {
    let pricer = Pricer::new(job, card)?;
    let prepared = pricer.prepare(plans[which])?;
    let now = totals(&prepared, quantities)?;
    let mut tried = plans::tried((job, &pricer), (plans, which), quantities);
    tried.extend(jobs::tried((job, card), plans[which], quantities));
    let of_quantity = |(at, &copies): (usize, &u64)| {
        let now = now[at];
        let suggestion = |tried: &Tried| Suggestion {
            change: tried.change.clone(),
            copies,
            now,
            then: tried.totals[at],
        };
        let all = tried.iter().map(suggestion);
        let mut found = best_of_each_kind(all.filter(is_worth_telling));
        found.extend(quantity::nearby(&prepared, (copies, now)));
        found.sort_by_key(|suggestion| std::cmp::Reverse(suggestion.saving()));
        found
    };
    Ok(quantities.par_iter().enumerate().map(of_quantity).collect())
}

fn totals(plan: &PricedPlan<'_>, quantities: &[u64]) -> Result<Vec<Money>, CannotPrint> {
    quantities
        .iter()
        .map(|copies| plan.total(*copies))
        .collect()
}

fn is_worth_telling(suggestion: &Suggestion) -> bool {
    let least = suggestion.now.amount() * Decimal::new(LEAST, 3);
    suggestion.saving() > Money::ZERO && suggestion.saving().amount() >= least
}

fn best_of_each_kind(all: impl Iterator<Item = Suggestion>) -> Vec<Suggestion> {
    let mut kinds: BTreeMap<_, Vec<Suggestion>> = BTreeMap::new();
    for suggestion in all {
        kinds
            .entry(suggestion.change.kind())
            .or_default()
            .push(suggestion);
    }
    kinds.into_values().filter_map(best).collect()
}

/// The one that gives up least of those that save nearly the most; of these the one that saves most.
fn best(of_a_kind: Vec<Suggestion>) -> Option<Suggestion> {
    let most = of_a_kind.iter().map(Suggestion::saving).max()?;
    let wanted = most.amount() * Decimal::new(ENOUGH, 2);
    let enough = of_a_kind
        .into_iter()
        .filter(|s| s.saving().amount() >= wanted);
    enough.min_by_key(|s| (s.change.given_up(), std::cmp::Reverse(s.saving())))
}
