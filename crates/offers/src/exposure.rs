//! What an order may come to when more or fewer copies are delivered.

use inkset_spec::{Offer, OfferedOption};
use inkset_units::{Currency, Money};
use rust_decimal::{Decimal, RoundingStrategy};

use crate::like::{LikePrice, Terms};

/// Least and most that may be billed for one order, on the common basis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exposure {
    /// Fewest copies.
    pub fewest: u64,
    /// With the fewest copies.
    pub low: Money,
    /// Most copies.
    pub most: u64,
    /// With the most copies.
    pub high: Money,
}

/// Leeway of an offer in percent over and under: its own, or the job's where it is silent.
pub(crate) fn leeway(offer: &Offer, usual: Decimal) -> (Decimal, Decimal) {
    let own = offer.leeway.map(|l| (l.over_percent, l.under_percent));
    own.unwrap_or((usual, usual))
}

/// `None` when there is no comparable price, or beyond 28 digits.
pub(crate) fn exposure(
    (offer, option, terms): (&Offer, &OfferedOption, &Terms),
    copies: u64,
    price: &LikePrice,
    (usual, currency): (Decimal, Currency),
) -> Option<Exposure> {
    let total = price.total?;
    let (own, _) = price.offered?;
    let (over, under) = leeway(offer, usual);
    let whole = |percent: Decimal| {
        let copies = Decimal::from(copies).checked_mul(percent)? / Decimal::ONE_HUNDRED;
        let whole = copies.round_dp_with_strategy(0, RoundingStrategy::ToZero);
        u64::try_from(whole).ok()
    };
    let (more, fewer) = (whole(over)?, whole(under)?);
    let rate = match offer.leeway.and_then(|l| l.per_thousand).or(option.run_on) {
        Some(rate) => rate,
        None => own.times(Decimal::ONE_THOUSAND / Decimal::from(copies))?,
    };
    let worth = |copies: u64| {
        let thousands = Decimal::from(copies) / Decimal::ONE_THOUSAND;
        let billed = rate.times(thousands)?.times(terms.rate?)?;
        billed.times(terms.net_share())
    };
    Some(Exposure {
        fewest: copies.saturating_sub(fewer),
        low: (total - worth(fewer)?).rounded(currency).max(Money::ZERO),
        most: copies + more,
        high: (total + worth(more)?).rounded(currency),
    })
}
