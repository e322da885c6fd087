//! One ink set, or two, over all quantities.

use inkset_layout::PrintPlan;
use inkset_units::Money;
use rayon::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::break_even::{BreakEven, Closer, Rivals, grid};
use crate::curve::{Fall, Split, falls, fit_quantities, fitted};
use crate::error::CannotPrint;
use crate::estimate::Leeway;
use crate::pricer::{MOST_COPIES, Presses, PricedPlan, Pricer};

/// How the price of an ink set grows with the quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Growth {
    /// The straight line of least squares; `None` when amounts are beyond 28 digits.
    pub split: Option<Split>,
    /// Where the total, with the figures set by hand, falls as the quantity rises.
    pub falls: Vec<Fall>,
}

/// Two ink sets by their index, and how their prices compare.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// The first ink set.
    pub one: usize,
    /// The second.
    pub other: usize,
    /// How they compare.
    pub break_even: BreakEven,
}

impl Pricer<'_> {
    /// Compares the prices of every two ink sets, in their order.
    pub fn break_evens(&self, plans: &[&PrintPlan]) -> Result<Vec<Pair>, CannotPrint> {
        let prepared: Vec<PricedPlan<'_>> = plans
            .iter()
            .map(|plan| self.prepare(plan))
            .collect::<Result<_, _>>()?;
        let priced = self.priced_quantities();
        let quantities = grid(&priced);
        // Absurd rates may leave the largest quantities without a price.
        let all = |plan: &PricedPlan<'_>| -> Vec<Option<Money>> {
            let totals = quantities.iter().map(|quantity| plan.total(*quantity).ok());
            totals.collect()
        };
        let known: Vec<Vec<Option<Money>>> = prepared.par_iter().map(all).collect();
        let count = plans.len();
        let pairs: Vec<(usize, usize)> = (0..count)
            .flat_map(|one| (one + 1..count).map(move |other| (one, other)))
            .collect();
        let closer = Closer::new(&priced, pairs.len());
        let pair = |(one, other): (usize, usize)| {
            let both = quantities.iter().zip(known[one].iter().zip(&known[other]));
            let both: Vec<_> = both
                .filter_map(|(quantity, (a, b))| Some((*quantity, [(*a)?, (*b)?])))
                .collect();
            let plans = [&prepared[one], &prepared[other]];
            let prices = plans.map(|plan| move |quantity| plan.total(quantity));
            Ok(Pair {
                one,
                other,
                break_even: Rivals::new(prices).break_even(&both, &closer)?,
            })
        };
        pairs.into_par_iter().map(pair).collect()
    }
}

impl Pricer<'_> {
    fn priced_quantities(&self) -> Vec<u64> {
        let quantities = self.job.quantities.iter();
        quantities.map(|quantity| quantity.value).collect()
    }

    /// How the price of an ink set on presses with plates alone (first) and on digital ones alone (second) compares.
    ///
    /// `None` when the card does not have both, or one of the two cannot print the ink set.
    pub fn digital_break_even(&self, plan: &PrintPlan) -> Result<Option<BreakEven>, CannotPrint> {
        let mut kinds = self
            .card
            .presses
            .iter()
            .map(|press| press.digital.is_some());
        if kinds.clone().all(|digital| digital) || !kinds.any(|digital| digital) {
            return Ok(None);
        }
        let prepared = self.prepare(plan)?.only(Presses::Plates);
        let digital = self.prepare(plan)?.only(Presses::Digital);
        let both = |quantity| {
            let totals = [
                prepared.total(quantity).ok()?,
                digital.total(quantity).ok()?,
            ];
            Some((quantity, totals))
        };
        let priced = self.priced_quantities();
        let known: Vec<_> = grid(&priced).into_par_iter().filter_map(both).collect();
        if known.is_empty() {
            return Ok(None);
        }
        let prices = [&prepared, &digital].map(|plan| move |quantity| plan.total(quantity));
        let closer = Closer::new(&priced, 1);
        Rivals::new(prices).break_even(&known, &closer).map(Some)
    }
}

impl PricedPlan<'_> {
    /// How the price grows around the quantities priced.
    pub fn growth(&self, priced: &[u64]) -> Result<Growth, CannotPrint> {
        let mut quantities = fit_quantities(priced);
        quantities.extend(priced);
        quantities.sort_unstable();
        quantities.dedup();
        let total = |quantity: u64| Ok((quantity, self.total(quantity)?));
        let points: Vec<(u64, Money)> = quantities
            .into_iter()
            .map(total)
            .collect::<Result<_, CannotPrint>>()?;
        let even = fit_quantities(priced);
        let line: Vec<_> = points
            .iter()
            .filter(|(quantity, _)| even.contains(quantity))
            .copied()
            .collect();
        Ok(Growth {
            split: fitted(&line, self.pricer.currency),
            falls: falls(&self.shown(points)?),
        })
    }

    /// Totals as people see them: what is set by hand may fall where what is computed does not.
    fn shown(&self, points: Vec<(u64, Money)>) -> Result<Vec<(u64, Money)>, CannotPrint> {
        if self.pricer.job.overrides.is_empty() {
            return Ok(points);
        }
        let by_hand = |(quantity, _)| Ok((quantity, self.total_by_hand(quantity)?));
        points.into_iter().map(by_hand).collect()
    }

    /// Copies more or less that a delivery may have, at the run-on.
    pub(crate) fn leeway(&self, quantity: u64, run_on: Money) -> Option<Leeway> {
        let share = self.pricer.job.delivery_tolerance.value;
        let percent = inkset_units::quantity(share.percent(), 4)?;
        let copies = (Decimal::from(quantity) * percent / Decimal::ONE_HUNDRED).floor();
        let amount = run_on.times(copies)?.amount() / Decimal::ONE_THOUSAND;
        Some(Leeway {
            copies: copies.to_u64()?,
            amount: Money::new(amount).rounded(self.pricer.currency),
        })
    }

    /// What 1,000 more copies add to the total.
    pub(crate) fn run_on(&self, quantity: u64, total: Money) -> Result<Money, CannotPrint> {
        if quantity > MOST_COPIES - 1_000 {
            return Ok(total - self.total(quantity - 1_000)?);
        }
        Ok(self.total(quantity + 1_000)? - total)
    }
}
