//! The prices of one offer as they stand: net of tax, before discount, in the common currency.

use inkset_spec::{Buyer, Offer, OfferedPrice};
use inkset_units::{Currency, Money};

use crate::like::Terms;

/// A price that the offer gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NetQuote {
    /// Index of the option in the offer.
    pub option: usize,
    /// Copies.
    pub copies: u64,
    /// Net of tax, before discount, exact.
    pub net: Money,
}

/// Every price that an offer gives by itself, of rates and schedules at `quantities`; `None` without a rate of exchange.
pub fn net_quotes(
    offer: &Offer,
    (buyer, currency): (&Buyer, Currency),
    quantities: &[u64],
) -> Option<Vec<NetQuote>> {
    let terms = Terms::of(offer, buyer, [true; 3], currency);
    terms.rate?;
    let mut quotes = Vec::new();
    for (option, offered) in offer.options.iter().enumerate() {
        let copies: Vec<u64> = match &offered.price {
            OfferedPrice::Breaks(breaks) => breaks.iter().map(|one| one.copies).collect(),
            OfferedPrice::Rates { .. } | OfferedPrice::Schedule(_) => quantities.to_vec(),
        };
        for copies in copies {
            let net = offered.quoted(copies).and_then(|own| terms.net(own));
            quotes.extend(net.map(|net| NetQuote {
                option,
                copies,
                net,
            }));
        }
    }
    Some(quotes)
}
