//! What each solid adds to the price, shared out fairly where solids share a pass.
//!
//! The share of a solid is what it adds on joining those that are there already, averaged over every order in which the
//! solids can join (Shapley, A value for n-person games, 1953). Exact: amounts are whole smallest units of the currency, the
//! average is a fraction over n!, and what rounding leaves over goes to the largest fractions, so that the shares always
//! sum to the difference between all solids and none.

use inkset_units::{Currency, Money};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Most solids among which a price is shared out: 4,096 subsets.
pub const MOST_SHARED: usize = 12;

/// What one solid adds to the price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PriceTag {
    /// Price with it alone less price with no solid.
    pub alone: Money,
    /// Price with all solids less price with all but it.
    pub beside_others: Money,
    /// Its share of the difference between all solids and none; all shares sum to that difference.
    pub share: Money,
}

/// The price tag of each solid, from the price with each subset of them: bit `n` of an index stands for solid `n`.
///
/// `None` when the number of prices is no power of two up to 2^[`MOST_SHARED`], when an amount is no whole number of the
/// currency's smallest unit, or beyond 15 digits.
pub fn price_tags(prices: &[Money], currency: Currency) -> Option<Vec<PriceTag>> {
    let n = prices.len().checked_ilog2()? as usize;
    if prices.len() != 1 << n || n > MOST_SHARED {
        return None;
    }
    let units: Vec<i128> = prices
        .iter()
        .map(|price| smallest_units(*price, currency))
        .collect::<Option<_>>()?;
    let shares = rounded_to_sum(&averages(&units, n), factorial(n));
    let all = prices.len() - 1;
    let tag = |solid: usize| PriceTag {
        alone: prices[1 << solid] - prices[0],
        beside_others: prices[all] - prices[all & !(1 << solid)],
        share: from_units(shares[solid], currency),
    };
    Some((0..n).map(tag).collect())
}

/// For each solid the sum, over all orders, of what it adds: n! times its share.
fn averages(units: &[i128], n: usize) -> Vec<i128> {
    // So many orders have exactly this set before the solid: |set|! (n − 1 − |set|)!.
    let weight = |before: usize| {
        let there = before.count_ones() as usize;
        factorial(there) * factorial(n - 1 - there)
    };
    let average = |solid: usize| -> i128 {
        let without = (0..units.len()).filter(|set| set & (1 << solid) == 0);
        without
            .map(|set| weight(set) * (units[set | 1 << solid] - units[set]))
            .sum()
    };
    (0..n).map(average).collect()
}

/// Whole numbers nearest to `numerators / denominator` whose sum is that of the fractions, which is whole.
fn rounded_to_sum(numerators: &[i128], denominator: i128) -> Vec<i128> {
    let mut whole: Vec<i128> = numerators
        .iter()
        .map(|n| n.div_euclid(denominator))
        .collect();
    let left: i128 = numerators.iter().map(|n| n.rem_euclid(denominator)).sum();
    let mut order: Vec<usize> = (0..numerators.len()).collect();
    order.sort_by_key(|&at| (-numerators[at].rem_euclid(denominator), at));
    let over = (left / denominator) as usize;
    for &at in order.iter().take(over) {
        whole[at] += 1;
    }
    whole
}

fn factorial(n: usize) -> i128 {
    (1..=n as i128).product()
}

fn smallest_units(money: Money, currency: Currency) -> Option<i128> {
    let scale = Decimal::from(10_u64.pow(currency.decimals()));
    let units = money.amount().checked_mul(scale)?;
    let limit = Decimal::from(10_u64.pow(15));
    (units.fract().is_zero() && units.abs() <= limit).then(|| units.to_i128())?
}

fn from_units(units: i128, currency: Currency) -> Money {
    Money::new(Decimal::from_i128_with_scale(units, currency.decimals()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn euro() -> Currency {
        Currency::from_code("EUR").unwrap()
    }

    fn cents(cents: i64) -> Money {
        Money::new(Decimal::new(cents, 2))
    }

    fn shares(prices: &[i64]) -> Vec<Money> {
        let prices: Vec<Money> = prices.iter().copied().map(cents).collect();
        let tags = price_tags(&prices, euro()).unwrap();
        tags.iter().map(|tag| tag.share).collect()
    }

    /// Sums over every order, each played through by itself.
    fn played_through(prices: &[i64], n: usize) -> Vec<i64> {
        let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
        for solid in 0..n {
            let longer = |order: &Vec<usize>| {
                let order = order.clone();
                (0..=order.len()).map(move |at| {
                    let mut next = order.clone();
                    next.insert(at, solid);
                    next
                })
            };
            orders = orders.iter().flat_map(longer).collect();
        }
        let mut sums = vec![0; n];
        for order in orders {
            let mut there = 0;
            for solid in order {
                sums[solid] += prices[there | 1 << solid] - prices[there];
                there |= 1 << solid;
            }
        }
        sums
    }

    #[test]
    fn two_solids_halve_the_pass_they_share() {
        // Worked by hand: each alone needs the second pass at 100.00 and its own ink, 20.00 and 30.00.
        assert_eq!(
            shares(&[50_000, 62_000, 63_000, 65_000]),
            [cents(7_000), cents(8_000)]
        );
    }

    #[test]
    fn closed_form_of_the_runway_is_met() {
        // Littlechild and Owen, A simple expression for the Shapley value in a special case, 1973: a runway as long as the
        // longest landing needs. For 8, 11, 13, 18: 8/4, + (11 − 8)/3, + (13 − 11)/2, + (18 − 13)/1.
        let costs = [800, 1_100, 1_300, 1_800];
        let price = |set: usize| {
            let there = (0..4).filter(|n| set & (1 << n) != 0);
            there.map(|n| costs[n]).max().unwrap_or(0)
        };
        let prices: Vec<i64> = (0..16).map(price).collect();
        assert_eq!(
            shares(&prices),
            [cents(200), cents(300), cents(400), cents(900)]
        );
    }

    #[test]
    fn a_cent_that_cannot_be_halved_is_not_lost() {
        assert_eq!(shares(&[0, 1, 1, 1]), [cents(1), cents(0)]);
        assert_eq!(shares(&[0, 0, 0, -1]), [cents(0), cents(-1)]);
    }

    #[test]
    fn no_solids_have_no_tags() {
        assert_eq!(price_tags(&[cents(5)], euro()), Some(Vec::new()));
        assert_eq!(price_tags(&[], euro()), None);
        assert_eq!(price_tags(&[cents(5); 3], euro()), None);
        let part = Money::parse("0.001").unwrap();
        assert_eq!(price_tags(&[part, part], euro()), None);
    }

    fn prices() -> impl Strategy<Value = Vec<i64>> {
        (0_usize..5).prop_flat_map(|n| prop::collection::vec(-5_000_000_i64..5_000_000, 1 << n))
    }

    proptest! {
        #[test]
        fn shares_sum_to_the_difference_of_all_and_none(prices in prices()) {
            let sum: Money = shares(&prices).into_iter().sum();
            prop_assert_eq!(sum, cents(prices[prices.len() - 1] - prices[0]));
        }

        #[test]
        fn shares_are_averages_over_all_orders(prices in prices()) {
            let n = prices.len().ilog2() as usize;
            let orders = factorial(n) as i64;
            for (share, sum) in shares(&prices).iter().zip(played_through(&prices, n)) {
                let units = smallest_units(*share, euro()).unwrap() as i64;
                prop_assert!((units * orders - sum).abs() < orders, "{share:?} {sum}/{orders}");
            }
        }
    }
}
