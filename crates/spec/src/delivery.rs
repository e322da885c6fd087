//! Proofs and deliveries that a job asks for, and their rates.

use inkset_units::{Coverage, Money};

use crate::Given;

/// Proofs that a job asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Proofs {
    /// Contract proofs of each form; 0 = none.
    pub forms: Given<u64>,
    /// Drawdowns of each solid on each paper that it is printed on; 0 = none.
    pub drawdowns: Given<u64>,
}

/// What proofs cost; what is not given cannot be priced.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofRates {
    /// A contract proof of one form.
    pub form: Option<Given<Money>>,
    /// A drawdown of one solid on one paper.
    pub drawdown: Option<Given<Money>>,
}

/// A destination of the copies.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivery {
    /// Name of a zone of the rate card.
    pub zone: Given<String>,
    /// How much of the order goes there.
    pub portion: Portion,
}

/// How much of the order goes to a destination.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Portion {
    /// So many copies, whatever the order.
    Copies(Given<u64>),
    /// A share of the copies that are not given in number.
    Share(Given<Coverage>),
    /// What no other destination takes.
    Rest,
}

/// What carriage to a zone costs.
#[derive(Debug, Clone, PartialEq)]
pub struct CarriageZone {
    /// Name on the card.
    pub zone: Given<String>,
    /// For each consignment.
    pub base: Given<Money>,
    /// For each kilogram.
    pub per_kg: Given<Money>,
}
