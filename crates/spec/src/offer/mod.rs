//! What suppliers offered, and what the buyer adds to compare it.
//!
//! An offer that was read is right in itself; whether it is for the job at hand is found by [`check_offers`].

mod buyer;
mod csv;
mod draft;
mod figures;
mod fit;
mod toml;

use inkset_units::{Currency, Money, Size};
use jiff::civil::Date;
use rust_decimal::Decimal;

pub use buyer::{Buyer, Charge, Exchange, OrderedLot};
pub use fit::check_offers;

use crate::read::not_text;
use crate::{FileRole, Given, Place, Reading};

/// Most offers of one file, and of one comparison.
pub const MOST_OFFERS: usize = 1_000;

/// What one supplier offered for one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// Who offers.
    pub supplier: Given<String>,
    /// The supplier's own number of the offer.
    pub number: Option<String>,
    /// Title of the job it is for.
    pub job: Given<String>,
    /// Day of the offer.
    pub date: Given<Date>,
    /// Last day on which it holds; `None` when the offer does not say.
    pub valid_until: Option<Given<Date>>,
    /// Currency of every amount.
    pub currency: Given<Currency>,
    /// Whether the amounts hold tax.
    pub tax: Tax,
    /// What the prices include beside the printed copies.
    pub includes: Includes,
    /// Copies more or less than ordered that may be delivered and billed.
    pub leeway: Option<OfferedLeeway>,
    /// For early payment.
    pub discount: Option<Discount>,
    /// Working days from approval to delivery.
    pub lead_days: Option<u32>,
    /// At least one, in the order of the file.
    pub options: Vec<OfferedOption>,
}

/// Whether amounts hold tax.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tax {
    /// They hold none.
    Excluded,
    /// They hold so many percent on top of the net amount.
    Included(Decimal),
    /// The offer does not say.
    Unsaid,
}

/// What a price includes; `None` when the offer does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Includes {
    /// Proofs.
    pub proofs: Option<bool>,
    /// Carriage to the buyer.
    pub carriage: Option<bool>,
    /// Packing.
    pub packing: Option<bool>,
}

/// Copies more or less than ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfferedLeeway {
    /// Most copies too many, percent of the order.
    pub over_percent: Decimal,
    /// Most copies too few, percent of the order.
    pub under_percent: Decimal,
    /// Charged or credited for 1,000 such copies; `None` = the run-on, or the price of a copy.
    pub per_thousand: Option<Money>,
}

/// Less to pay for those who pay early.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Discount {
    /// Percent of the invoice.
    pub percent: Decimal,
    /// Days within which it must be paid.
    pub days: Option<u32>,
}

/// Prices for one ink set.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedOption {
    /// Which of C, M, Y, K are printed.
    pub process: [bool; 4],
    /// Inks besides the four: colours of the job that are printed as solids, and extended process inks of the rate card.
    pub solids: Vec<Given<String>>,
    /// How the price is told.
    pub price: OfferedPrice,
    /// For 1,000 more copies.
    pub run_on: Option<Money>,
    /// Stock offered, when it is not the job's.
    pub stock: Option<Given<String>>,
    /// Finished size offered, when it is not the job's.
    pub size: Option<Given<Size>>,
    /// Other departures, in the supplier's words.
    pub deviations: Vec<String>,
    /// Where it stands.
    pub place: Option<Place>,
}

/// How the price of an option is told.
#[derive(Debug, Clone, PartialEq)]
pub enum OfferedPrice {
    /// At certain quantities, ascending, each once.
    Breaks(Vec<Break>),
    /// A fixed amount and a rate, for any quantity.
    Rates {
        /// For the order.
        set_up: Money,
        /// For 1,000 copies.
        per_thousand: Money,
    },
    /// Priced items, for any quantity.
    Schedule(Vec<Item>),
}

/// The price of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Break {
    /// Copies.
    pub copies: u64,
    /// For all of them.
    pub total: Money,
    /// The price of 1,000 told beside the total, and half a unit of its last digit.
    pub told_per_thousand: Option<(Money, Money)>,
    /// Where it stands.
    pub place: Option<Place>,
}

/// A line of a price schedule: price per unit times units.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is.
    pub name: String,
    /// Units.
    pub count: Decimal,
    /// Price of a unit.
    pub price: Money,
    /// Whether a unit is something of the order or a thousand of the copies.
    pub per: Per,
}

/// What a unit price is paid for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// Once, whatever the quantity.
    Unit,
    /// For every 1,000 copies.
    Thousand,
}

/// The ink set as prices name it: letters of the process inks, then the solids.
pub fn ink_set_name<'n>(process: [bool; 4], solids: impl IntoIterator<Item = &'n str>) -> String {
    let letters = ["C", "M", "Y", "K"].into_iter().zip(process);
    let letters: String = letters.filter(|(_, on)| *on).map(|(l, _)| l).collect();
    let process = (!letters.is_empty()).then_some(letters);
    let names: Vec<String> = process
        .into_iter()
        .chain(solids.into_iter().map(str::to_owned))
        .collect();
    names.join(" + ")
}

/// Reads and checks one offer written as TOML, or many written as CSV; a file whose first line has no `=` and no `[` but
/// the word `supplier` is CSV.
pub fn read_offers(bytes: &[u8]) -> Reading<Vec<Offer>> {
    match std::str::from_utf8(bytes) {
        Err(error) => Reading::new(
            None,
            vec![not_text(FileRole::Offer, bytes, error.valid_up_to())],
        ),
        Ok(text) if csv::is_csv(text) => csv::offers(text),
        Ok(text) => crate::read::read_file(FileRole::Offer, text, |root| {
            toml::offer(root).map(|offer| vec![offer])
        }),
    }
}

/// Reads and checks what a buyer adds to the comparison.
pub fn read_buyer(bytes: &[u8]) -> Reading<Buyer> {
    match std::str::from_utf8(bytes) {
        Err(error) => Reading::new(
            None,
            vec![not_text(FileRole::Buyer, bytes, error.valid_up_to())],
        ),
        Ok(text) => crate::read::read_file(FileRole::Buyer, text, buyer::buyer),
    }
}

impl OfferedOption {
    /// The ink set as prices name it.
    pub fn name(&self) -> String {
        ink_set_name(self.process, self.solids.iter().map(|s| s.value.as_str()))
    }

    /// The inks, comparable: process inks and solids without regard to case and order.
    pub fn inks(&self) -> ([bool; 4], Vec<String>) {
        let mut solids: Vec<String> = self.solids.iter().map(|s| s.value.to_lowercase()).collect();
        solids.sort();
        (self.process, solids)
    }

    /// The price of so many copies as it was quoted; `None` at a quantity that was not, or beyond 28 digits.
    pub fn quoted(&self, copies: u64) -> Option<Money> {
        match &self.price {
            OfferedPrice::Breaks(breaks) => breaks
                .iter()
                .find(|one| one.copies == copies)
                .map(|one| one.total),
            OfferedPrice::Rates {
                set_up,
                per_thousand,
            } => draft::of_copies(*per_thousand, copies).map(|run| *set_up + run),
            OfferedPrice::Schedule(items) => {
                let amounts = items.iter().map(|item| item.amount(copies));
                amounts.sum::<Option<Money>>()
            }
        }
    }
}

impl Item {
    /// The amount for so many copies; `None` beyond 28 digits.
    pub fn amount(&self, copies: u64) -> Option<Money> {
        let of_units = self.price.times(self.count)?;
        match self.per {
            Per::Unit => Some(of_units),
            Per::Thousand => draft::of_copies(of_units, copies),
        }
    }
}
