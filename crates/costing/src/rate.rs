//! Quantity times rate, rounded once.
//!
//! Quantities are whole thousandths of their unit, because that is what a table shows; amounts are whole smallest units of
//! the currency. Both totals and printed lines come from [`Rate::amount`], so that they cannot differ.

use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

/// Thousandths of a unit: three decimals are shown, and charged.
pub(crate) const PER_UNIT: i64 = 1_000;

/// A price per unit, ready to be multiplied.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rate {
    pub(crate) money: Money,
    mantissa: i128,
    /// Power of ten between mantissa times thousandths and the currency's smallest unit.
    shift: u32,
}

impl Rate {
    pub(crate) fn new(money: Money, currency: Currency) -> Self {
        let mut exact = money.amount().normalize();
        // The product needs at least as many decimals as the currency shows.
        if exact.scale() + 3 < currency.decimals() {
            exact.rescale(currency.decimals());
        }
        Self {
            money,
            mantissa: exact.mantissa(),
            shift: exact.scale() + 3 - currency.decimals(),
        }
    }

    /// A thousandth of a rate per thousand, exact.
    pub(crate) fn per_thousandth(money: Money, currency: Currency) -> Self {
        Self::new(Money::new(money.amount() / Decimal::ONE_THOUSAND), currency)
    }

    /// Smallest units of the currency for this many thousandths, rounded half to even. `None` beyond 38 digits.
    pub(crate) fn amount(&self, thousandths: i64) -> Option<i128> {
        self.mantissa
            .checked_mul(i128::from(thousandths))
            .map(|exact| divide_half_even(exact, self.shift))
    }

    pub(crate) fn is_zero(&self) -> bool {
        self.mantissa == 0
    }
}

const POWERS: [u64; 19] = powers();

const fn powers() -> [u64; 19] {
    let mut all = [1; 19];
    let mut i = 1;
    while i < 19 {
        all[i] = all[i - 1] * 10;
        i += 1;
    }
    all
}

/// `value / 10^shift`, half to even.
fn divide_half_even(value: i128, shift: u32) -> i128 {
    let magnitude = value.unsigned_abs();
    let small = u64::try_from(magnitude).ok();
    // Almost every amount is small; a 64-bit division is several times faster.
    let rounded = if let (Some(small), Some(divisor)) = (small, POWERS.get(shift as usize)) {
        let (quotient, rest) = (small / divisor, small % divisor);
        u128::from(quotient) + u128::from(rounds_up(quotient & 1, rest, *divisor))
    } else {
        let divisor = 10_u128.saturating_pow(shift);
        let (quotient, rest) = (magnitude / divisor, magnitude % divisor);
        let up = rest > divisor - rest || (rest == divisor - rest && quotient & 1 == 1);
        quotient + u128::from(up)
    };
    // A quotient of an i128 fits an i128.
    let signed = i128::try_from(rounded).unwrap_or(i128::MAX);
    if value < 0 { -signed } else { signed }
}

fn rounds_up(odd: u64, rest: u64, divisor: u64) -> bool {
    let beyond = divisor - rest;
    rest > beyond || (rest == beyond && odd == 1)
}

/// An amount in smallest units as money.
pub(crate) fn money(smallest_units: i128, currency: Currency) -> Option<Money> {
    Decimal::try_from_i128_with_scale(smallest_units, currency.decimals())
        .ok()
        .map(Money::new)
}

/// Thousandths as a decimal, without idle zeros.
pub(crate) fn decimal(thousandths: i64) -> Decimal {
    Decimal::new(thousandths, 3).normalize()
}

/// A physical quantity in thousandths of its unit, half to even; `None` when it is not a number or absurdly large.
///
/// Binary dust is wiped off first, at a millionth of a thousandth: 2,853 sheets at 6,000 an hour are 0.4755 h, a half, even
/// when the sum of the runs comes out as 0.47549999999999998.
pub(crate) fn thousandths(value: f64) -> Option<i64> {
    let scaled = value * PER_UNIT as f64;
    let wiped = if scaled.abs() < 1e9 {
        (scaled * 1e6).round() / 1e6
    } else {
        scaled
    };
    (wiped.abs() < 1e17).then_some(wiped.round_ties_even() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(rate: &str, thousandths: i64, code: &str) -> String {
        let currency = Currency::from_code(code).unwrap();
        let rate = Rate::new(Money::parse(rate).unwrap(), currency);
        money(rate.amount(thousandths).unwrap(), currency)
            .unwrap()
            .to_text(currency)
    }

    #[test]
    fn amounts_equal_exact_decimal_arithmetic() {
        let mut state = 1_u64;
        let mut random = |below: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) % below
        };
        for code in ["EUR", "JPY", "BHD"] {
            let currency = Currency::from_code(code).unwrap();
            for _ in 0..2_000 {
                let rate = Decimal::new(random(5_000_000).cast_signed(), random(7) as u32);
                let quantity = random(50_000_000).cast_signed();
                let exact = Money::new(rate).times(decimal(quantity)).unwrap();
                assert_eq!(
                    amount(&rate.to_string(), quantity, code),
                    exact.to_text(currency)
                );
            }
        }
    }

    #[test]
    fn dust_does_not_decide_a_half() {
        assert_eq!(thousandths(0.1 + 0.375_5), Some(476));
        assert_eq!(thousandths(0.476_5), Some(476));
        assert_eq!(thousandths(0.476_501), Some(477));
        assert_eq!(thousandths(f64::NAN), None);
        assert_eq!(thousandths(1e300), None);
    }

    #[test]
    fn halves_go_to_the_even_neighbour() {
        assert_eq!(amount("0.125", 1_000, "EUR"), "0.12");
        assert_eq!(amount("0.135", 1_000, "EUR"), "0.14");
        assert_eq!(amount("2.5", 1_000, "JPY"), "2");
        assert_eq!(
            amount("0.0000000000000000000000000005", 1_000, "EUR"),
            "0.00"
        );
        assert_eq!(
            amount("12345678901234567890", 3_000, "EUR"),
            "37037036703703703670.00"
        );
    }
}
