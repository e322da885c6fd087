//! Prices over quantities: their fixed and their variable part, and where they fall.
//!
//! A price by quantity is a staircase: packs, press sheets and rounding make steps.

use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

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

#[cfg(test)]
mod tests {
    use super::*;

    fn euro() -> Currency {
        Currency::from_code("EUR").unwrap()
    }

    fn cents(cents: u64) -> Money {
        Money::new(Decimal::new(cents.cast_signed(), 2))
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
}
