//! Backwards from good copies, and figures as they are charged.

use inkset_spec::{Operation, Press, RateCard};
use rust_decimal::{Decimal, RoundingStrategy};

pub(crate) fn input(good: u64, percent: f64) -> u64 {
    let kept = Decimal::ONE_HUNDRED - Decimal::try_from(percent).unwrap();
    whole(Decimal::from(good) * Decimal::ONE_HUNDRED, kept)
}

/// A quotient rounded up.
pub(crate) fn whole(value: Decimal, by: Decimal) -> u64 {
    // A quotient of 28 digits may fall just short of the whole number that it is.
    let down = (value / by).floor();
    let exact = if down * by >= value {
        down
    } else {
        down + Decimal::ONE
    };
    exact.try_into().unwrap()
}

pub(crate) fn through(operation: Option<&Operation>, good: u64) -> u64 {
    operation.map_or(good, |o| {
        input(good, o.run_spoilage.percent()) + o.set_up_spoilage.value
    })
}

pub(crate) fn at_speed(card: &RateCard, good: u64) -> u64 {
    let steps = &card.run_spoilage.steps;
    let first = &steps[0];
    if good <= first.up_to.unwrap() {
        return input(good, first.percent.percent());
    }
    let end = first.up_to.unwrap();
    let least = input(end, first.percent.percent()) - end;
    input(good, steps[1].percent.percent()).max(good + least)
}

pub(crate) fn hours_running(press: &Press, sheets: u64) -> f64 {
    let end = press.speeds[0].up_to.unwrap();
    let speed = |n: usize| press.speeds[n].sheets_per_hour.value;
    if sheets <= end {
        return sheets as f64 / speed(0);
    }
    (sheets as f64 / speed(1)).max(end as f64 / speed(0))
}

/// A physical quantity as it is charged: three decimals, half to even, without the dust of binary fractions.
pub(crate) fn shown(value: f64) -> Decimal {
    let exact = Decimal::try_from((value * 1e9).round() / 1e9).unwrap();
    exact.round_dp_with_strategy(3, RoundingStrategy::MidpointNearestEven)
}

pub(crate) fn cents(exact: Decimal) -> Decimal {
    exact.round_dp_with_strategy(2, RoundingStrategy::MidpointNearestEven)
}
