//! What offers are compared on: the job's quantities and options, the should-cost, the buyer's figures.

use inkset_spec::{Buyer, Job};
use inkset_units::{Currency, Money, Size};

/// The common basis of all offers.
#[derive(Debug, Clone)]
pub struct Basis<'a> {
    /// Currency of every comparable amount.
    pub currency: Currency,
    /// Quantities compared, ascending.
    pub quantities: Vec<u64>,
    /// Options that the rate card priced, in the order of the estimate.
    pub options: Vec<BasisOption>,
    /// Names of the job's stocks.
    pub stocks: Vec<String>,
    /// Finished size of the job.
    pub size: Size,
    /// Copies more or less than ordered that the job accepts, percent.
    pub usual_overs: rust_decimal::Decimal,
    /// What the buyer adds.
    pub buyer: &'a Buyer,
}

/// One ink set, as the rate card prices it.
#[derive(Debug, Clone, PartialEq)]
pub struct BasisOption {
    /// Which of C, M, Y, K are printed.
    pub process: [bool; 4],
    /// Names of the inks besides the four: the job's colours that are printed as solids, and extended process inks.
    pub solids: Vec<String>,
    /// Name as prices have it.
    pub name: String,
    /// Should-cost at each quantity of the basis, without tax.
    pub should_cost: Vec<Money>,
    /// Proofs and carriage within each should-cost; empty = none.
    pub own_extras: Vec<OwnExtras>,
    /// For each solid, what printing it alone in a further pass should cost at each quantity.
    pub second_pass: Vec<Vec<Money>>,
    /// How the colours come out.
    pub colour: Option<ColourStanding>,
}

/// Proofs and carriage within a should-cost, with their share of the profit; zero = the job asks for none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwnExtras {
    /// Proofs.
    pub proofs: Money,
    /// Carriage.
    pub carriage: Money,
}

/// How the colours of an option come out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourStanding {
    /// Colours that hold.
    pub holds: usize,
    /// Colours that drift.
    pub drifts: usize,
    /// Colours that miss.
    pub misses: usize,
    /// Largest ΔE00 at the aim.
    pub worst_delta_e: f64,
}

impl ColourStanding {
    /// Points out of 100: a colour that holds counts in full, one that drifts by half. Our own choice.
    pub fn points(&self) -> rust_decimal::Decimal {
        let all = self.holds + self.drifts + self.misses;
        if all == 0 {
            return rust_decimal::Decimal::ONE_HUNDRED;
        }
        let halves = 2 * self.holds + self.drifts;
        rust_decimal::Decimal::from(50 * halves) / rust_decimal::Decimal::from(all)
    }
}

impl Basis<'_> {
    /// Names of stocks of a job.
    pub fn stocks_of(job: &Job) -> Vec<String> {
        job.parts
            .iter()
            .map(|part| part.stock.value.clone())
            .collect()
    }
}

/// Inks, comparable whatever the order and case.
pub(crate) fn key(process: [bool; 4], solids: &[String]) -> ([bool; 4], Vec<String>) {
    let mut names: Vec<String> = solids.iter().map(|name| name.to_lowercase()).collect();
    names.sort();
    (process, names)
}
