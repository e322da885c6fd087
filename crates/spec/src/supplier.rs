//! Who prints, and on what terms: what a quotation says beside its prices.

use crate::Given;

/// The supplier block of a rate card; all of it may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Supplier {
    /// Name of the company.
    pub name: Option<Given<String>>,
    /// Lines of its address.
    pub address: Vec<String>,
    /// Where to ask: telephone, mail.
    pub contact: Option<String>,
    /// Days that a quotation holds, its own day not counted.
    pub valid_days: Option<Given<u64>>,
    /// Working days from approval to delivery.
    pub lead_days: Option<Given<u64>>,
    /// When to pay.
    pub payment: Option<String>,
    /// Further terms, a sentence each.
    pub terms: Vec<String>,
    /// What no price of the card includes, beside what follows from the job.
    pub excluded: Vec<String>,
}
