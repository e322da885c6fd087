//! The middle of several offers and how far one lies from it, not misled by the odd one itself.

use inkset_units::Money;
use rust_decimal::Decimal;

/// Fewest offers from which one can be called far from the others. Our own choice.
const FEWEST: usize = 4;
/// Distance in robust standard deviations that is far. Source: Iglewicz and Hoaglin, How to Detect and Handle Outliers,
/// 1993, which also gives the factor 0.6745.
const FAR: Decimal = Decimal::from_parts(35, 0, 0, false, 1);
const NORMAL_QUARTILE: Decimal = Decimal::from_parts(6_745, 0, 0, false, 4);
/// Smallest spread that is assumed, as a share of the middle, so that offers which agree to the cent do not make a cent
/// look far. Our own choice.
const LEAST_SPREAD: Decimal = Decimal::from_parts(2, 0, 0, false, 2);

/// The middle and the spread of several amounts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Robust {
    /// Median.
    pub median: Money,
    /// Median distance from the median.
    pub spread: Money,
    /// How many amounts it rests on.
    pub count: usize,
}

/// How one amount lies among the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// Near enough.
    Usual,
    /// Unusually low.
    Low,
    /// Unusually high.
    High,
}

impl Robust {
    /// `None` of fewer than four amounts, or beyond 28 digits.
    pub fn of(amounts: &[Money]) -> Option<Self> {
        if amounts.len() < FEWEST {
            return None;
        }
        let middle = median(amounts.iter().map(|a| a.amount()).collect())?;
        let distances = amounts.iter().map(|a| (a.amount() - middle).abs());
        Some(Self {
            median: Money::new(middle),
            spread: Money::new(median(distances.collect())?),
            count: amounts.len(),
        })
    }

    /// Where an amount lies.
    pub fn judge(&self, amount: Money) -> Spread {
        let middle = self.median.amount();
        let spread = self.spread.amount().max(middle * LEAST_SPREAD);
        let away = amount.amount() - middle;
        if away.abs() * NORMAL_QUARTILE <= FAR * spread {
            Spread::Usual
        } else if away.is_sign_negative() {
            Spread::Low
        } else {
            Spread::High
        }
    }
}

fn median(mut values: Vec<Decimal>) -> Option<Decimal> {
    values.sort_unstable();
    let n = values.len();
    if n == 0 {
        return None;
    }
    let two = Decimal::TWO;
    Some((values[(n - 1) / 2] + values[n / 2]) / two)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amounts(of: &[i64]) -> Vec<Money> {
        of.iter().map(|a| Money::new(Decimal::from(*a))).collect()
    }

    #[test]
    fn one_odd_offer_does_not_hide_itself() {
        let all = amounts(&[100, 104, 98, 102, 400]);
        let robust = Robust::of(&all).unwrap();
        assert_eq!(robust.median, all[3]);
        assert_eq!(robust.judge(all[4]), Spread::High);
        assert_eq!(robust.judge(all[2]), Spread::Usual);
        assert_eq!(robust.judge(Money::new(Decimal::from(60))), Spread::Low);
    }

    #[test]
    fn three_offers_are_too_few() {
        assert_eq!(Robust::of(&amounts(&[1, 2, 900])), None);
    }

    #[test]
    fn offers_that_agree_leave_room() {
        let robust = Robust::of(&amounts(&[100, 100, 100, 100])).unwrap();
        assert_eq!(robust.judge(amounts(&[105])[0]), Spread::Usual);
        assert_eq!(robust.judge(amounts(&[130])[0]), Spread::High);
    }
}
