//! Whom to give the order: by the lowest comparable price, or by price and colour with the buyer's weights.

use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::comparison::Comparison;

/// One offer for one option.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Index of the offer.
    pub offer: usize,
    /// Index of the option.
    pub option: usize,
    /// Comparable price of the basket.
    pub basket: Money,
    /// 100 for the lowest price, others in inverse proportion. Common practice in public tenders, no source.
    pub price_points: Decimal,
    /// As [`crate::ColourStanding::points`].
    pub colour_points: Decimal,
    /// Both by the buyer's weights.
    pub points: Decimal,
}

/// The best candidate, and what would have to change for the second to win.
#[derive(Debug, Clone, PartialEq)]
pub struct Award {
    /// From the most points to the fewest; the cheaper first where they are equal.
    pub candidates: Vec<Candidate>,
    /// How many share the first place.
    pub tied: usize,
    /// Basket price at which the second would draw level; `None` when no price would do.
    pub second_wins_below: Option<Money>,
    /// Weight of the colour, percent, at which the two change places; `None` when no weight would do.
    pub changes_at_colour_weight: Option<Decimal>,
}

/// Ranks every offer for every option, or only one option's offers; `None` when nothing has a comparable basket.
///
/// `weights`: price and colour in percent. Equal points are ties.
pub fn award(
    comparison: &Comparison,
    option: Option<usize>,
    (price_weight, colour_weight): (Decimal, Decimal),
    currency: Currency,
) -> Option<Award> {
    let mut candidates = candidates(comparison, option, !colour_weight.is_zero());
    let lowest = candidates.iter().map(|c| c.basket).min()?;
    for one in &mut candidates {
        one.price_points = price_points(lowest, one.basket);
        let sum = price_weight * one.price_points + colour_weight * one.colour_points;
        one.points = (sum / Decimal::ONE_HUNDRED).round_dp(POINT_DECIMALS);
    }
    candidates.sort_by(|a, b| (b.points, a.basket).cmp(&(a.points, b.basket)));
    let first = candidates.first()?;
    let (points, basket) = (first.points, first.basket);
    let level =
        |c: &&Candidate| c.points == points && (c.basket == basket || !colour_weight.is_zero());
    let tied = candidates.iter().filter(level).count();
    let second = candidates.get(1);
    Some(Award {
        tied,
        second_wins_below: second
            .and_then(|second| level_price(first, second, price_weight, colour_weight))
            .map(|price| price.rounded(currency)),
        changes_at_colour_weight: second.and_then(|second| level_weight(first, second)),
        candidates,
    })
}

/// Decimals of points: a cent in the largest price moves them, and what a division leaves at its 28th digit does not.
const POINT_DECIMALS: u32 = 15;

fn candidates(comparison: &Comparison, option: Option<usize>, by_colour: bool) -> Vec<Candidate> {
    let mut found = Vec::new();
    for (offer, compared) in comparison.offers.iter().enumerate() {
        for (at, prices) in compared.prices.iter().enumerate() {
            let colour = comparison.options[at].colour;
            if option.is_some_and(|only| only != at) || (by_colour && colour.is_none()) {
                continue;
            }
            let basket = prices.as_ref().and_then(|p| p.basket);
            found.extend(basket.filter(|b| *b > Money::ZERO).map(|basket| Candidate {
                offer,
                option: at,
                basket,
                price_points: Decimal::ZERO,
                colour_points: colour.map_or(Decimal::ZERO, |c| c.points()),
                points: Decimal::ZERO,
            }));
        }
    }
    found
}

fn price_points(lowest: Money, price: Money) -> Decimal {
    lowest
        .amount()
        .checked_mul(Decimal::ONE_HUNDRED)
        .and_then(|hundredfold| hundredfold.checked_div(price.amount()))
        .unwrap_or_default()
}

/// The price at which the second has as many points as the first.
///
/// While the second stays above the lowest price, only its own points change; below it, it sets the lowest price itself.
fn level_price(
    first: &Candidate,
    second: &Candidate,
    price_weight: Decimal,
    colour_weight: Decimal,
) -> Option<Money> {
    if price_weight.is_zero() {
        return None;
    }
    let hundred = Decimal::ONE_HUNDRED;
    let colour_gap = colour_weight * (first.colour_points - second.colour_points) / price_weight;
    let wanted = first.price_points + colour_gap;
    if wanted > Decimal::ZERO && wanted <= hundred {
        let lowest = second.basket.amount() * second.price_points / hundred;
        return Some(Money::new(
            lowest.checked_mul(hundred)?.checked_div(wanted)?,
        ));
    }
    let share = (hundred - colour_gap) / hundred;
    (share > Decimal::ZERO)
        .then(|| first.basket.times(share))
        .flatten()
}

fn level_weight(first: &Candidate, second: &Candidate) -> Option<Decimal> {
    let price = first.price_points - second.price_points;
    let colour = first.colour_points - second.colour_points;
    let weight = price
        .checked_div(price - colour)?
        .checked_mul(Decimal::ONE_HUNDRED)?;
    let weight = weight.round_dp(1);
    (price * colour < Decimal::ZERO).then_some(weight)
}
