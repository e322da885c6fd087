//! Profit and rounding, the last two lines.

use inkset_spec::{Profit, RateCard};
use inkset_units::{Currency, Money, quantity};
use rust_decimal::Decimal;

use crate::error::CannotPrint;
use crate::line::{CostLine, Input, Stage, Unit};

/// Largest cost that is closed, far below the end of a decimal.
const MOST: i128 = 1_000_000_000_000_000_000_000_000;

/// How a cost becomes a price.
#[derive(Debug)]
pub(crate) struct Closing<'a> {
    card: &'a RateCard,
    currency: Currency,
    /// Profit as a share of the cost; not exact for a margin.
    share: Share,
}

#[derive(Debug, Clone, Copy)]
enum Share {
    /// Times the cost.
    OfCost(Decimal),
    /// Cost times the first by the second.
    OfPrice(Decimal, Decimal),
}

impl<'a> Closing<'a> {
    pub(crate) fn new(card: &'a RateCard, currency: Currency) -> Result<Self, CannotPrint> {
        let exact = |percent: f64| quantity(percent, 6).ok_or(CannotPrint::AmountTooLarge);
        let share = match card.profit.value {
            Profit::MarkUp(percent) => {
                Share::OfCost(exact(percent.percent())? / Decimal::ONE_HUNDRED)
            }
            Profit::Margin(percent) if percent.percent() >= 100.0 => {
                return Err(CannotPrint::Margin {
                    percent: percent.percent(),
                });
            }
            Profit::Margin(percent) => {
                let margin = exact(percent.percent())?;
                Share::OfPrice(margin, Decimal::ONE_HUNDRED - margin)
            }
        };
        Ok(Self {
            card,
            currency,
            share,
        })
    }

    /// Profit on a cost and the rounding of the sum; `None` when they are beyond all reckoning.
    pub(crate) fn amounts(&self, cost: Money) -> Option<[Money; 2]> {
        let profit = self.profit(cost)?.rounded(self.currency);
        Some([profit, self.rounding(cost + profit)?])
    }

    /// The rounding line of a cost whose profit is set by hand.
    pub(crate) fn rounding_after(&self, cost: Money, profit: Money) -> Option<Vec<CostLine>> {
        let amount = self.rounding(cost + profit)?;
        let line = (amount != Money::ZERO).then(|| self.rounding_line(amount));
        Some(line.into_iter().collect())
    }

    fn profit(&self, cost: Money) -> Option<Money> {
        if cost.amount().abs() > Decimal::from_i128_with_scale(MOST, 0) {
            return None;
        }
        match self.share {
            Share::OfCost(share) => cost.times(share),
            Share::OfPrice(margin, rest) => {
                let exact = cost.times(margin)?.amount().checked_div(rest)?;
                Some(Money::new(exact))
            }
        }
    }

    /// What is missing to the next multiple.
    fn rounding(&self, sum: Money) -> Option<Money> {
        let step = self.card.round_total_to.value.amount();
        if step <= Decimal::ZERO {
            return Some(Money::ZERO);
        }
        let over = sum.amount().checked_rem(step)?;
        let missing = if over.is_zero() { over } else { step - over };
        Some(Money::new(missing).rounded(self.currency))
    }

    /// The lines of [`Closing::amounts`], left out where nothing is added.
    pub(crate) fn lines(&self, cost: Money) -> Option<Vec<CostLine>> {
        let [profit, rounding] = self.amounts(cost)?;
        let lines = [self.profit_line(cost, profit), self.rounding_line(rounding)];
        Some(
            lines
                .into_iter()
                .filter(|line| line.amount != Money::ZERO)
                .collect(),
        )
    }

    fn profit_line(&self, cost: Money, amount: Money) -> CostLine {
        // The margin of the price with the rounded margin in it rounds to that margin again, so that the line can be checked.
        let (label, of, share, unit, rate) = match self.share {
            Share::OfCost(share) => ("mark-up", "cost", share, Unit::TimesCost, cost),
            Share::OfPrice(margin, _) => {
                let share = margin / Decimal::ONE_HUNDRED;
                ("margin", "price", share, Unit::TimesPrice, cost + amount)
            }
        };
        let percent = (share * Decimal::ONE_HUNDRED).normalize();
        CostLine {
            stage: Stage::Profit,
            part: None,
            press: None,
            item: format!("{label}, {percent} % of the {of}"),
            quantity: share.normalize(),
            unit,
            rate,
            amount,
            formula: label,
            inputs: vec![Input::of(label, &self.card.profit, format!("{percent} %"))],
            by_hand: None,
        }
    }

    fn rounding_line(&self, amount: Money) -> CostLine {
        CostLine {
            stage: Stage::Rounding,
            part: None,
            press: None,
            item: format!(
                "rounding up to a multiple of {}",
                self.card.round_total_to.value.amount().normalize()
            ),
            quantity: Decimal::ONE,
            unit: Unit::Sum,
            rate: amount,
            amount,
            formula: "rounding",
            inputs: vec![Input::money("round to", &self.card.round_total_to)],
            by_hand: None,
        }
    }
}
