//! Where charges go: a running total, or the lines of a breakdown.
//!
//! Choosing among hundreds of ways to print needs totals only; the winner is then charged again to get its lines. Both
//! ledgers take the same charges and the same rounding.

use inkset_units::Currency;

use crate::line::{CostLine, Input, Stage, Unit};
use crate::rate::{Rate, decimal, money};

/// Something to pay: so many thousandths of a unit at a rate.
pub(crate) struct Charge<'r> {
    pub(crate) stage: Stage,
    pub(crate) unit: Unit,
    /// `None` when the quantity is beyond all reckoning.
    pub(crate) thousandths: Option<i64>,
    pub(crate) rate: &'r Rate,
    pub(crate) formula: &'static str,
}

/// Takes charges. The closures are only asked when lines are wanted.
pub(crate) trait Ledger {
    fn charge(
        &mut self,
        charge: &Charge<'_>,
        item: impl FnOnce() -> String,
        inputs: impl FnOnce() -> Vec<Input>,
    );

    /// Says which press the next charges are for.
    fn of_press(&mut self, _: Option<usize>) {}

    /// Whether the charges so far are too many to be worth going on; no charge is ever negative.
    fn is_beyond(&self) -> bool {
        false
    }
}

/// Adds amounts up, in smallest units of the currency.
#[derive(Debug)]
pub(crate) struct Total {
    sum: i128,
    limit: i128,
    overflow: bool,
}

impl Default for Total {
    fn default() -> Self {
        Self::up_to(i128::MAX)
    }
}

impl Total {
    /// Is beyond once the sum is more than the limit.
    pub(crate) fn up_to(limit: i128) -> Self {
        Self {
            sum: 0,
            limit,
            overflow: false,
        }
    }

    /// `None` when an amount could not be kept.
    pub(crate) fn sum(&self) -> Option<i128> {
        (!self.overflow).then_some(self.sum)
    }
}

fn amount_of(charge: &Charge<'_>) -> Option<i128> {
    charge.rate.amount(charge.thousandths?)
}

impl Ledger for Total {
    fn charge(
        &mut self,
        charge: &Charge<'_>,
        _: impl FnOnce() -> String,
        _: impl FnOnce() -> Vec<Input>,
    ) {
        match amount_of(charge).and_then(|amount| self.sum.checked_add(amount)) {
            Some(sum) => self.sum = sum,
            None => self.overflow = true,
        }
    }

    fn is_beyond(&self) -> bool {
        self.sum > self.limit
    }
}

/// Passes charges on and adds them up.
pub(crate) struct Summed<'l, L> {
    ledger: &'l mut L,
    sum: Option<i128>,
}

impl<'l, L: Ledger> Summed<'l, L> {
    pub(crate) fn new(ledger: &'l mut L) -> Self {
        Self {
            ledger,
            sum: Some(0),
        }
    }

    /// `None` when an amount could not be kept.
    pub(crate) fn sum(&self) -> Option<i128> {
        self.sum
    }
}

impl<L: Ledger> Ledger for Summed<'_, L> {
    fn charge(
        &mut self,
        charge: &Charge<'_>,
        item: impl FnOnce() -> String,
        inputs: impl FnOnce() -> Vec<Input>,
    ) {
        let sum = self.sum.zip(amount_of(charge));
        self.sum = sum.and_then(|(sum, amount)| sum.checked_add(amount));
        self.ledger.charge(charge, item, inputs);
    }
}

/// Writes lines, leaving out those with nothing to charge.
pub(crate) struct Lines {
    pub(crate) written: Vec<CostLine>,
    pub(crate) part: Option<usize>,
    pub(crate) press: Option<usize>,
    pub(crate) currency: Currency,
    pub(crate) overflow: bool,
}

impl Ledger for Lines {
    fn of_press(&mut self, press: Option<usize>) {
        self.press = press;
    }

    fn charge(
        &mut self,
        charge: &Charge<'_>,
        item: impl FnOnce() -> String,
        inputs: impl FnOnce() -> Vec<Input>,
    ) {
        let amount = amount_of(charge).and_then(|amount| money(amount, self.currency));
        let (Some(amount), Some(thousandths)) = (amount, charge.thousandths) else {
            self.overflow = true;
            return;
        };
        if thousandths == 0 {
            return;
        }
        self.written.push(CostLine {
            stage: charge.stage,
            part: self.part,
            press: self.press,
            item: item(),
            quantity: decimal(thousandths),
            unit: charge.unit,
            rate: charge.rate.money,
            amount,
            formula: charge.formula,
            inputs: inputs(),
            by_hand: None,
        });
    }
}
