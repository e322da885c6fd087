//! How low and how high a price may come out when rates are ranges, and which range moves it most.
//!
//! Three answers, none of them random. Each range alone, at its low and its high end with all others typical, gives its
//! swing. All ranges at their cheap ends, and all at their dear ends, give the lowest and the highest price: no price falls
//! as a rate, a time, a spoilage or an ink film rises or a speed falls, so that nothing inside the ranges goes beyond. The
//! likely range adds the swings by their squares, as independent deviations add.

use inkset_layout::PrintPlan;
use inkset_spec::{CardRanges, Job, RateCard};
use inkset_units::{Currency, Money};
use rayon::prelude::*;
use rust_decimal::Decimal;

use crate::error::CannotPrint;
use crate::pricer::Pricer;
use crate::rate::money;

/// How low and how high one price may come out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceRange {
    /// Total with the typical value of every range.
    pub typical: Money,
    /// Total with the cheap end of every range, or less where a figure set by hand makes some other total the lowest.
    pub lowest: Money,
    /// The typical total less the root of the squared swings downwards, but not less than the lowest.
    pub likely_low: Money,
    /// The typical total and the root of the squared swings upwards, but not more than the highest.
    pub likely_high: Money,
    /// Total with the dear end of every range, or more where a figure set by hand makes some other total the highest.
    pub highest: Money,
    /// What each range does alone, the widest swing first; ranges that change nothing are left out.
    pub swings: Vec<Swing>,
}

/// What one range does to a price while all others stay typical.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Swing {
    /// Index into the ranges of the card.
    pub rate: usize,
    /// Total at its low end, less the typical total.
    pub at_low: Money,
    /// Total at its high end, less the typical total.
    pub at_high: Money,
}

impl Swing {
    /// Distance between the lowest and the highest total of this range.
    pub fn width(&self) -> Money {
        self.above() + self.below()
    }

    fn above(&self) -> Money {
        self.at_low.max(self.at_high).max(Money::ZERO)
    }

    fn below(&self) -> Money {
        Money::ZERO - self.at_low.min(self.at_high).min(Money::ZERO)
    }
}

/// The range of the price of every plan at every quantity, in their order; `card` has the typical values.
pub fn price_ranges(
    (job, card, ranges): (&Job, &RateCard, &CardRanges),
    plans: &[(&str, &PrintPlan)],
    quantities: &[u64],
) -> Result<Vec<Vec<PriceRange>>, CannotPrint> {
    let ends = ranges.rates.iter().flat_map(|rate| [&rate.low, &rate.high]);
    let corners = [card, &ranges.cheapest, &ranges.dearest];
    let cards: Vec<&RateCard> = corners.into_iter().chain(ends).collect();
    let totals = |card: &&RateCard| -> Result<Vec<Vec<Money>>, CannotPrint> {
        let pricer = Pricer::new(job, card)?;
        let of_plan = |(name, plan): &(&str, &PrintPlan)| -> Result<Vec<Money>, CannotPrint> {
            let prepared = pricer.prepare(plan)?.called(name);
            quantities
                .iter()
                .map(|q| prepared.total_by_hand(*q))
                .collect()
        };
        plans.par_iter().map(of_plan).collect()
    };
    let totals: Vec<Vec<Vec<Money>>> = cards.par_iter().map(totals).collect::<Result<_, _>>()?;
    let currency = card.currency.value;
    let range = |plan: usize, at: usize| {
        let of: Vec<Money> = totals.iter().map(|card| card[plan][at]).collect();
        combined(&of, currency).ok_or(CannotPrint::AmountTooLarge)
    };
    (0..plans.len())
        .map(|plan| (0..quantities.len()).map(|at| range(plan, at)).collect())
        .collect()
}

/// From the totals: typical, cheapest, dearest, then low and high end of each range.
fn combined(totals: &[Money], currency: Currency) -> Option<PriceRange> {
    let typical = *totals.first()?;
    // The corners, unless a figure is set by hand: then a way that is chosen by its computed price need not be the cheapest.
    let (lowest, highest) = (*totals.iter().min()?, *totals.iter().max()?);
    let swing = |(rate, ends): (usize, &[Money])| Swing {
        rate,
        at_low: ends[0] - typical,
        at_high: ends[1] - typical,
    };
    let mut swings: Vec<Swing> = totals[3..].chunks(2).enumerate().map(swing).collect();
    let below = root_of_squares(swings.iter().map(Swing::below), currency)?;
    let above = root_of_squares(swings.iter().map(Swing::above), currency)?;
    swings.retain(|swing| swing.width() > Money::ZERO);
    swings.sort_by(|a, b| b.width().cmp(&a.width()).then(a.rate.cmp(&b.rate)));
    Some(PriceRange {
        typical,
        lowest,
        likely_low: (typical - below).max(lowest),
        likely_high: (typical + above).min(highest),
        highest,
        swings,
    })
}

/// Root of the sum of squares, to the nearest smallest unit of the currency, in whole numbers throughout.
fn root_of_squares(swings: impl Iterator<Item = Money>, currency: Currency) -> Option<Money> {
    let scale = Decimal::from(10_u64.checked_pow(currency.decimals())?);
    let mut sum: u128 = 0;
    for swing in swings {
        let units = swing.amount().checked_mul(scale)?.round();
        let units = u128::try_from(units.mantissa()).ok()?;
        sum = sum.checked_add(units.checked_mul(units)?)?;
    }
    let root = sum.isqrt();
    let rounded = root + u128::from(sum - root * root > root);
    money(i128::try_from(rounded).ok()?, currency)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn euro(cents: i64) -> Money {
        Money::new(Decimal::new(cents, 2))
    }

    fn range(totals: &[i64]) -> PriceRange {
        let totals: Vec<Money> = totals.iter().map(|cents| euro(*cents)).collect();
        combined(&totals, Currency::from_code("EUR").unwrap()).unwrap()
    }

    #[test]
    fn swings_add_by_their_squares() {
        // Swings of 3.00 and 4.00 to each side: 5.00 likely, 7.00 at most.
        let found = range(&[10_000, 9_300, 10_700, 9_700, 10_300, 10_400, 9_600]);
        assert_eq!(
            [found.likely_low, found.likely_high],
            [euro(9_500), euro(10_500)]
        );
        let order: Vec<usize> = found.swings.iter().map(|swing| swing.rate).collect();
        assert_eq!(order, [1, 0], "the widest first");
    }

    #[test]
    fn roots_go_to_the_nearest_cent() {
        let root = |cents: &[i64]| {
            let swings = cents.iter().map(|c| euro(*c));
            root_of_squares(swings, Currency::from_code("EUR").unwrap()).unwrap()
        };
        // 1.4142 and 1.7321 cents.
        assert_eq!(
            [root(&[1, 1]), root(&[1, 1, 1]), root(&[])],
            [euro(1), euro(2), euro(0)]
        );
    }

    #[test]
    fn likely_range_stays_within_the_corners() {
        // The dear end of a press that is then avoided: alone it costs 2.00, all together also only 2.00.
        let found = range(&[10_000, 10_000, 10_200, 10_000, 10_200, 10_000, 10_200]);
        assert_eq!(
            [found.likely_high, found.highest],
            [euro(10_200), euro(10_200)]
        );
        assert_eq!(found.likely_low, euro(10_000));
    }

    #[test]
    fn ranges_that_change_nothing_are_left_out() {
        assert!(range(&[100, 100, 100, 100, 100]).swings.is_empty());
    }
}
