//! A few copies more or less.

use inkset_units::Money;
use rust_decimal::Decimal;

use super::{Move, Suggestion, is_worth_telling};
use crate::pricer::PricedPlan;

/// Largest change of the quantity that is tried, percent.
const NEAR: u64 = 10;
/// How many times its share of the total a smaller quantity must save to be told.
const STEPPED: u64 = 2;

/// More copies for the same money, and fewer copies that save more than their share.
pub(super) fn nearby(
    plan: &PricedPlan<'_>,
    (quantity, now): (u64, Money),
) -> impl Iterator<Item = Suggestion> {
    let at = |copies: u64| {
        Some(Suggestion {
            change: Move::Quantity,
            copies,
            now,
            then: plan.total(copies).ok()?,
        })
    };
    let most = quantity + quantity * NEAR / 100;
    let same = last_that(quantity..most + 1, |n| at(n).is_some_and(|s| s.then <= now));
    let worth_telling = same - quantity >= quantity.div_ceil(100);
    let more = worth_telling.then(|| at(same)).flatten();
    let fewer = (1..=NEAR).filter_map(|percent| at(quantity - quantity * percent / 100));
    // More than its share: below it something has a step.
    let stepped = |s: &Suggestion| {
        let copies = Decimal::from(STEPPED * (quantity - s.copies));
        s.saving().amount() * Decimal::from(quantity) > now.amount() * copies
    };
    let fewer = fewer.filter(|s| s.copies < quantity && stepped(s) && is_worth_telling(s));
    let fewer = fewer.max_by_key(Suggestion::saving);
    more.into_iter().chain(fewer)
}

/// The last number for which something is true that is true up to there; the first is taken for granted.
fn last_that(range: std::ops::Range<u64>, is_true: impl Fn(u64) -> bool) -> u64 {
    let (mut yes, mut no) = (range.start, range.end);
    while no - yes > 1 {
        let middle = yes + (no - yes) / 2;
        if is_true(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}
