//! Exact amounts in one currency.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub};

use rust_decimal::{Decimal, RoundingStrategy};
use thiserror::Error;

/// Exact amount in the job's one currency; rounded only by [`Money::rounded`].
///
/// `Money * Money` does not exist; multiply by a plain quantity with [`Money::times`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// Wraps a decimal amount.
    pub const fn new(amount: Decimal) -> Self {
        Self(amount)
    }

    /// Reads an amount as it is written, for instance `1250.00`: digits, at most one point, no grouping.
    ///
    /// Underscores between digits are allowed, as in TOML. Exponents are not, so that no amount ever passes a float.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let digits: String = text.trim().chars().filter(|c| *c != '_').collect();
        let plain = digits.trim_start_matches(['-', '+']);
        let well_formed = !plain.is_empty()
            && plain.chars().all(|c| c.is_ascii_digit() || c == '.')
            && plain.chars().filter(|c| *c == '.').count() <= 1
            && plain.starts_with(|c: char| c.is_ascii_digit());
        if !well_formed {
            return Err(MoneyError::NotANumber(text.to_owned()));
        }
        digits
            .parse()
            .map(Self)
            .map_err(|_| MoneyError::TooLong(text.to_owned()))
    }

    /// The exact amount.
    pub const fn amount(self) -> Decimal {
        self.0
    }

    /// Price of `quantity` units at this rate, exact. `None` if the product needs more than 28 digits.
    pub fn times(self, quantity: Decimal) -> Option<Self> {
        self.0.checked_mul(quantity).map(Self)
    }

    /// Rounded to the smallest unit of `currency`, half to even.
    #[must_use]
    pub fn rounded(self, currency: Currency) -> Self {
        Self(
            self.0
                .round_dp_with_strategy(currency.decimals(), RoundingStrategy::MidpointNearestEven),
        )
    }

    /// The amount with exactly the currency's number of decimals, without symbol, for instance `1250.00`.
    pub fn to_text(self, currency: Currency) -> String {
        let mut amount = self.rounded(currency).0;
        amount.rescale(currency.decimals());
        amount.to_string()
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Money {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

/// Rounds a physical quantity (minutes, kilograms, square metres) to `decimals` digits, half to even.
///
/// This is the one place where a float becomes a decimal: what is charged is what the table shows.
/// `None` when the value is not finite or beyond 10¹⁵.
pub fn quantity(value: f64, decimals: u32) -> Option<Decimal> {
    if !value.is_finite() || value.abs() > 1e15 {
        return None;
    }
    Decimal::from_f64_retain(value)
        .map(|exact| exact.round_dp_with_strategy(decimals, RoundingStrategy::MidpointNearestEven))
}

/// A currency of ISO 4217.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// Finds a currency by its three-letter code, for instance `EUR`.
    pub fn from_code(code: &str) -> Result<Self, CurrencyError> {
        iso_currency::Currency::from_code(code)
            .map(Self)
            .ok_or_else(|| CurrencyError(code.to_owned()))
    }

    /// Three-letter code.
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Number of decimals of the smallest unit: 2 for EUR, 0 for JPY.
    pub fn decimals(self) -> u32 {
        self.0.exponent().unwrap_or(2).into()
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// Why an amount could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum MoneyError {
    /// Something else than digits and one point.
    #[error("`{0}` is not an amount; write digits and at most one point, for instance `1250.50`")]
    NotANumber(String),
    /// More digits than a 96-bit decimal holds.
    #[error("`{0}` has too many digits; at most 28 are kept")]
    TooLong(String),
}

/// The code is not in ISO 4217.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{0}` is not a currency code of ISO 4217, for instance `EUR`, `GBP` or `USD`")]
pub struct CurrencyError(String);

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        Money::parse(text).unwrap()
    }

    #[test]
    fn halves_round_to_even() {
        let eur = Currency::from_code("EUR").unwrap();
        for (exact, rounded) in [
            ("0.125", "0.12"),
            ("0.135", "0.14"),
            ("-0.125", "-0.12"),
            ("2", "2.00"),
        ] {
            assert_eq!(money(exact).to_text(eur), rounded, "{exact}");
        }
    }

    #[test]
    fn yen_have_no_decimals() {
        let jpy = Currency::from_code("JPY").unwrap();
        assert_eq!(money("1250.5").to_text(jpy), "1250");
    }

    #[test]
    fn amounts_keep_their_digits() {
        assert_eq!(money("0.1") + money("0.2"), money("0.3"));
        assert_eq!(money("1_250.10").amount().to_string(), "1250.10");
    }

    #[test]
    fn amounts_that_could_be_misread_are_refused() {
        for text in [
            "",
            "1e3",
            "1,5",
            "1.234,56",
            "nan",
            "inf",
            ".5",
            "1.2.3",
            "--",
            "99999999999999999999999999999999",
        ] {
            assert!(Money::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn quantities_show_what_is_charged() {
        assert_eq!(quantity(12.345_678, 2).unwrap().to_string(), "12.35");
        assert_eq!(quantity(f64::NAN, 2), None);
        assert_eq!(quantity(1e300, 2), None);
    }
}
