//! Quantities with units, so that a length is never added to a price.
//!
//! Money is an exact decimal and is rounded only by [`Money::rounded`]; physical quantities are `f64`.
//! The two meet in [`Money::times`], which takes a quantity already rounded to the digits that a table shows.

mod length;
mod money;
mod paper;
mod share;

pub use length::{CutDown, Millimetres, NamedSize, Size, SizeError, named_sizes};
pub use money::{Currency, CurrencyError, Money, MoneyError, quantity};
pub use paper::{BasisCategory, Gsm, basis_categories, basis_category};
pub use share::{Coverage, DeltaE, Percent, ToneValue};
