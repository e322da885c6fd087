//! Prices over quantities: fixed and variable part, falls, and where two prices cross.
//!
//! A price by quantity is a staircase: packs, press sheets and rounding make steps. Nothing here assumes more of it than that
//! it does not fall, and where it does, [`falls`] tells.

use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::error::CannotPrint;

/// Largest quantity at which a break-even is looked for: the most that a job may order.
pub const MOST_ORDERED: u64 = 10_000_000;
/// Steps between two neighbouring quantities that are looked at: a quarter of the lower.
const STEP: u64 = 4;
/// Most prices asked for to settle one break-even.
const MOST_PRICES: u32 = 20_000;

/// Totals split into a fixed part and one that grows with the quantity: the straight line of least squares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Split {
    /// Total at no copies.
    pub fixed: Money,
    /// More for each 1,000 copies.
    pub per_thousand: Money,
    /// Largest distance between the line and a total that it was drawn through.
    pub worst: Money,
}

/// Fits a straight line through totals by least squares. `None` with fewer than two quantities or beyond 28 digits.
pub fn fitted(points: &[(u64, Money)], currency: Currency) -> Option<Split> {
    let n = Decimal::from(points.len());
    let sum = |of: fn(&(u64, Money)) -> Decimal| -> Option<Decimal> {
        let mut all = points.iter().map(of);
        all.try_fold(Decimal::ZERO, Decimal::checked_add)
    };
    let mean_copies = sum(|p| Decimal::from(p.0))?.checked_div(n)?;
    let mean_total = sum(|p| p.1.amount())?.checked_div(n)?;
    let mut spread = Decimal::ZERO;
    let mut together = Decimal::ZERO;
    for (copies, total) in points {
        let apart = Decimal::from(*copies) - mean_copies;
        spread = spread.checked_add(apart.checked_mul(apart)?)?;
        let product = apart.checked_mul(total.amount() - mean_total)?;
        together = together.checked_add(product)?;
    }
    let slope = together.checked_div(spread)?;
    let fixed = mean_total - slope.checked_mul(mean_copies)?;
    let distance = |(copies, total): &(u64, Money)| {
        (fixed + slope * Decimal::from(*copies) - total.amount()).abs()
    };
    let worst = points.iter().map(distance).max()?;
    Some(Split {
        fixed: Money::new(fixed).rounded(currency),
        per_thousand: Money::new(slope.checked_mul(Decimal::ONE_THOUSAND)?).rounded(currency),
        worst: Money::new(worst).rounded(currency),
    })
}

/// Quantities through which a line is fitted: twenty, evenly from the smallest to the largest priced.
///
/// With one quantity priced, from its half to its double.
pub(crate) fn fit_quantities(priced: &[u64]) -> Vec<u64> {
    let (Some(&least), Some(&most)) = (priced.iter().min(), priced.iter().max()) else {
        return Vec::new();
    };
    let (least, most) = if least == most {
        (least.div_ceil(2), most.saturating_mul(2))
    } else {
        (least, most)
    };
    let mut all: Vec<u64> = (0..20).map(|n| least + (most - least) * n / 19).collect();
    all.dedup();
    all
}

/// A total that is lower at a larger quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fall {
    /// The smaller quantity and its total.
    pub from: (u64, Money),
    /// The next larger quantity and its lower total.
    pub to: (u64, Money),
}

/// Neighbouring quantities, ascending, between which the total falls.
pub fn falls(points: &[(u64, Money)]) -> Vec<Fall> {
    let pairs = points.windows(2).filter(|pair| pair[1].1 < pair[0].1);
    pairs
        .map(|pair| Fall {
            from: pair[0],
            to: pair[1],
        })
        .collect()
}

/// Quantities at which two prices are compared: 1 to [`MOST_ORDERED`], each a quarter more than the one before.
pub(crate) fn grid() -> Vec<u64> {
    let next = |at: &u64| (*at < MOST_ORDERED).then(|| MOST_ORDERED.min(at + at.div_ceil(STEP)));
    std::iter::successors(Some(1), next).collect()
}

/// Where the order of two prices changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crossing {
    /// First quantity at which the other price is the lower one.
    pub first: u64,
    /// First quantity from which it stays the lower one, as far as the next quantity compared; more than `first` where
    /// steps of the two prices change places before.
    pub settled: u64,
    /// Whether the second price is the lower one from there.
    pub second_is_lower: bool,
}

/// How two prices compare over all quantities.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BreakEven {
    /// The order changes, ascending by quantity.
    At(Vec<Crossing>),
    /// One price is the lower one at every quantity compared.
    Never {
        /// Whether that is the second.
        second_is_lower: bool,
        /// By how much at a single copy.
        at_one: Money,
        /// The largest quantity compared, and by how much there.
        at_most: (u64, Money),
    },
    /// The two are equal at every quantity compared.
    Equal,
}

/// Two prices by quantity; neither may fall with the quantity.
pub(crate) struct Rivals<F> {
    pub(crate) prices: [F; 2],
    asked: u32,
}

type Totals = Result<[Money; 2], CannotPrint>;

impl<F: FnMut(u64) -> Result<Money, CannotPrint>> Rivals<F> {
    pub(crate) fn new(prices: [F; 2]) -> Self {
        Self { prices, asked: 0 }
    }

    /// Finds every change of order between the quantities of `known`: quantity and both totals, ascending.
    pub(crate) fn break_even(
        &mut self,
        known: &[(u64, [Money; 2])],
    ) -> Result<BreakEven, CannotPrint> {
        let mut crossings = Vec::new();
        let mut last: Option<(u64, [Money; 2])> = None;
        for (quantity, totals) in known.iter().filter(|(_, t)| t[0] != t[1]) {
            if let Some((from, before)) = last
                && second_is_lower(before) != second_is_lower(*totals)
            {
                self.asked = 0;
                let ends = [(from, before), (*quantity, *totals)];
                crossings.push(self.crossing(ends)?);
            }
            last = Some((*quantity, *totals));
        }
        if !crossings.is_empty() {
            return Ok(BreakEven::At(crossings));
        }
        let apart = |(_, totals): &(u64, [Money; 2])| {
            Money::new((totals[0].amount() - totals[1].amount()).abs())
        };
        Ok(match (known.first(), last, known.last()) {
            (Some(one), Some((_, totals)), Some(most)) => BreakEven::Never {
                second_is_lower: second_is_lower(totals),
                at_one: apart(one),
                at_most: (most.0, apart(most)),
            },
            _ => BreakEven::Equal,
        })
    }

    fn crossing(&mut self, ends: [(u64, [Money; 2]); 2]) -> Result<Crossing, CannotPrint> {
        let lower = second_is_lower(ends[1].1);
        let first = self.first_lower(ends[0], ends[1], lower)?;
        let last_not = self.last_not_lower(ends[0], ends[1], lower)?;
        Ok(Crossing {
            first: first.unwrap_or(ends[1].0),
            settled: last_not.map_or(ends[1].0, |last| last + 1),
            second_is_lower: lower,
        })
    }

    /// First quantity after `from` up to `to` at which the price named is the lower one.
    fn first_lower(&mut self, from: End, to: End, second: bool) -> Found {
        if never_lower(from.1, to.1, second) {
            return Ok(None);
        }
        if to.0 - from.0 == 1 || self.is_spent() {
            return Ok(is_lower(to.1, second).then_some(to.0));
        }
        let middle = self.middle(from.0, to.0)?;
        match self.first_lower(from, middle, second)? {
            None => self.first_lower(middle, to, second),
            found => Ok(found),
        }
    }

    /// Last quantity from `from` on and before `to` at which the price named is not the lower one.
    fn last_not_lower(&mut self, from: End, to: End, second: bool) -> Found {
        if always_lower(from.1, to.1, second) {
            return Ok(None);
        }
        if to.0 - from.0 == 1 || self.is_spent() {
            return Ok((!is_lower(from.1, second)).then_some(from.0));
        }
        let middle = self.middle(from.0, to.0)?;
        match self.last_not_lower(middle, to, second)? {
            None => self.last_not_lower(from, middle, second),
            found => Ok(found),
        }
    }

    fn middle(&mut self, from: u64, to: u64) -> Result<End, CannotPrint> {
        let middle = from + (to - from) / 2;
        Ok((middle, self.totals(middle)?))
    }

    fn totals(&mut self, quantity: u64) -> Totals {
        self.asked += 1;
        let [one, other] = &mut self.prices;
        Ok([one(quantity)?, other(quantity)?])
    }

    /// Prices that run side by side over a long way would take too long to tell apart.
    fn is_spent(&self) -> bool {
        self.asked > MOST_PRICES
    }
}

/// A quantity with both totals.
type End = (u64, [Money; 2]);
type Found = Result<Option<u64>, CannotPrint>;

fn second_is_lower(totals: [Money; 2]) -> bool {
    is_lower(totals, true)
}

fn is_lower(totals: [Money; 2], second: bool) -> bool {
    totals[usize::from(second)] < totals[usize::from(!second)]
}

/// As neither price falls, the one named costs at least `from` and the other at most `to` in between.
fn never_lower(from: [Money; 2], to: [Money; 2], second: bool) -> bool {
    from[usize::from(second)] >= to[usize::from(!second)]
}

/// At every quantity from `from` to `to`.
fn always_lower(from: [Money; 2], to: [Money; 2], second: bool) -> bool {
    to[usize::from(second)] < from[usize::from(!second)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn euro() -> Currency {
        Currency::from_code("EUR").unwrap()
    }

    fn cents(cents: u64) -> Money {
        Money::new(Decimal::new(cents.cast_signed(), 2))
    }

    type Price = fn(u64) -> u64;

    fn between(one: Price, other: Price) -> BreakEven {
        let prices = [one, other].map(|price| move |q| Ok(cents(price(q))));
        let known: Vec<(u64, [Money; 2])> = grid()
            .into_iter()
            .map(|q| (q, [cents(one(q)), cents(other(q))]))
            .collect();
        Rivals::new(prices).break_even(&known).unwrap()
    }

    #[test]
    fn straight_lines_cross_once() {
        // 100.00 + 0.10 a copy against 40.00 + 0.30 a copy: equal at 300 copies.
        let found = between(|q| 10_000 + 10 * q, |q| 4_000 + 30 * q);
        let at = Crossing {
            first: 301,
            settled: 301,
            second_is_lower: false,
        };
        assert_eq!(found, BreakEven::At(vec![at]));
    }

    #[test]
    fn stairs_may_change_places_before_they_settle() {
        let stairs: Price = |q| 10_000 + 2_500 * q.div_ceil(250);
        let slope: Price = |q| 4_000 + 30 * q;
        let found = between(stairs, slope);
        let lower = |q| stairs(q) < slope(q);
        let first = (1..10_000).find(|q| lower(*q)).unwrap();
        let settled = (1..10_000).rfind(|q| !lower(*q)).unwrap() + 1;
        assert!(first <= settled);
        let at = Crossing {
            first,
            settled,
            second_is_lower: false,
        };
        assert_eq!(found, BreakEven::At(vec![at]));
    }

    #[test]
    fn dearer_throughout_never_breaks_even() {
        assert_eq!(
            between(|q| 10_000 + 30 * q, |q| 4_000 + 10 * q),
            BreakEven::Never {
                second_is_lower: true,
                at_one: cents(6_020),
                at_most: (MOST_ORDERED, cents(6_000 + 20 * MOST_ORDERED)),
            }
        );
        assert_eq!(between(|q| q, |q| q), BreakEven::Equal);
    }

    #[test]
    fn published_unit_prices_come_from_their_line() {
        // Row C1 of tests/reference/costing/worked_examples.csv: 300 to set up and 1.00 each; 1.30 at 1,000 and 1.60 at 500.
        let points = [(500, cents(80_000)), (1_000, cents(130_000))];
        let split = fitted(&points, euro()).unwrap();
        assert_eq!(split.fixed, cents(30_000));
        assert_eq!(split.per_thousand, cents(100_000));
        assert_eq!(split.worst, cents(0));
    }

    #[test]
    fn one_point_makes_no_line() {
        assert_eq!(fitted(&[(500, cents(1))], euro()), None);
        assert_eq!(fitted(&[], euro()), None);
        assert_eq!(fit_quantities(&[1_000]).first(), Some(&500));
        assert_eq!(fit_quantities(&[1_000, 5_000]).last(), Some(&5_000));
        assert_eq!(fit_quantities(&[1]), [1, 2]);
    }

    #[test]
    fn published_tariff_falls_at_its_break() {
        // Row C7: class V of the tariff of 2012, 49,000 copies at 6,815 and 50,000 at 6,150 for each colour.
        let points = [(49_000, cents(681_500)), (50_000, cents(615_000))];
        let fall = Fall {
            from: points[0],
            to: points[1],
        };
        assert_eq!(falls(&points), [fall]);
        assert!(falls(&points[..1]).is_empty());
    }

    #[test]
    fn grid_reaches_from_one_copy_to_the_most() {
        let grid = grid();
        assert_eq!((grid[0], grid[1]), (1, 2));
        assert_eq!(grid.last(), Some(&MOST_ORDERED));
        assert!(grid.is_sorted() && grid.len() < 100);
    }
}
