//! Brings one price of an offer to the common basis.

use inkset_spec::{Buyer, Charge, Offer, OfferedOption, OfferedPrice, Tax};
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

/// How the offer's own price of a quantity came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Quoted for this quantity.
    Quoted,
    /// From the price of a smaller quantity by the offer's run-on.
    RunOn {
        /// The smaller quantity.
        from: u64,
    },
    /// On the straight line between two quoted quantities.
    Between {
        /// The smaller one.
        low: u64,
        /// The larger one.
        high: u64,
    },
}

/// What is added to printed copies, and what offers include or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AdjustmentKind {
    /// Tax taken off.
    Tax,
    /// Discount for early payment.
    Discount,
    /// Proofs at the buyer's figure.
    Proofs,
    /// Carriage at the buyer's figure.
    Carriage,
    /// Packing at the buyer's figure.
    Packing,
    /// Difference between the sum of the rounded lines and the total, which is rounded once.
    Rounding,
}

/// The three things that an offer may include beside printed copies.
pub(crate) const EXTRAS: [AdjustmentKind; 3] = [
    AdjustmentKind::Proofs,
    AdjustmentKind::Carriage,
    AdjustmentKind::Packing,
];

/// Largest price that is compared, so that no sum leaves the range of a decimal.
const LARGEST: u64 = 1_000_000_000_000;

/// A step from the offer's price to the comparable one, in the common currency, rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Adjustment {
    /// What it is for.
    pub kind: AdjustmentKind,
    /// Added; negative where taken off.
    pub amount: Money,
}

/// A price on the common basis.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LikePrice {
    /// The offer's own price, in its own currency, as offered.
    pub offered: Option<(Money, Origin)>,
    /// The same in the common currency; `None` without a rate of exchange.
    pub converted: Option<Money>,
    /// Steps to the total; with `converted` they sum to it.
    pub adjustments: Vec<Adjustment>,
    /// The comparable price, rounded once; `None` when something is lacking.
    pub total: Option<Money>,
    /// What the buyer's file would have to give for a comparable price.
    pub lacking: Vec<AdjustmentKind>,
}

/// What turns an offer's own amounts into comparable ones.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Terms {
    /// Units of the common currency for one of the offer's; `None` when it is not known.
    pub(crate) rate: Option<Decimal>,
    /// Tax within the price, percent of the net amount.
    tax: Decimal,
    /// Discount that is taken, percent.
    discount: Decimal,
    included: [bool; 3],
    charges: [Option<Charge>; 3],
    /// Extras that no offer includes and the buyer gives no figure for: left out of all.
    left_out: [bool; 3],
    currency: Currency,
}

impl Terms {
    pub(crate) fn of(
        offer: &Offer,
        buyer: &Buyer,
        left_out: [bool; 3],
        currency: Currency,
    ) -> Self {
        let exchange = buyer.exchange.iter();
        let mut exchange = exchange.filter(|e| e.currency == offer.currency.value);
        let rate = if offer.currency.value == currency {
            Some(Decimal::ONE)
        } else {
            exchange.next().map(|e| e.rate)
        };
        let discount = offer.discount.filter(|_| buyer.takes_discount);
        Self {
            rate,
            tax: match offer.tax {
                Tax::Included(percent) => percent,
                Tax::Excluded | Tax::Unsaid => Decimal::ZERO,
            },
            discount: discount.map_or(Decimal::ZERO, |d| d.percent),
            included: included(offer).map(|said| said == Some(true)),
            charges: charges(buyer),
            left_out,
            currency,
        }
    }

    /// Share of an invoiced amount that is left net of tax and, where taken, discount.
    pub(crate) fn net_share(&self) -> Decimal {
        let hundred = Decimal::ONE_HUNDRED;
        (hundred - self.discount) / (hundred + self.tax)
    }

    /// An amount of the offer net of tax, before discount, in the common currency.
    pub(crate) fn net(&self, amount: Money) -> Option<Money> {
        let hundred = Decimal::ONE_HUNDRED;
        let converted = amount.times(self.rate?)?;
        converted
            .times(hundred)?
            .amount()
            .checked_div(hundred + self.tax)
            .map(Money::new)
    }

    /// The comparable price of an option at a quantity.
    pub(crate) fn like(&self, option: &OfferedOption, copies: u64) -> LikePrice {
        let mut price = LikePrice {
            offered: offered(option, copies),
            lacking: self.lacking(),
            ..LikePrice::default()
        };
        let steps = price.offered.and_then(|(own, _)| self.steps(own, copies));
        if let Some((converted, steps)) = steps {
            let exact: Money = converted + steps.iter().map(|(_, amount)| *amount).sum();
            price.converted = Some(converted.rounded(self.currency));
            price.adjustments = self.rounded_steps(converted, &steps, exact);
            price.total = Some(exact.rounded(self.currency)).filter(|_| price.lacking.is_empty());
        }
        price
    }

    fn steps(&self, own: Money, copies: u64) -> Option<(Money, Vec<(AdjustmentKind, Money)>)> {
        let converted = own.times(self.rate?)?;
        let net = self.net(own)?;
        let discount = net.times(self.discount / Decimal::ONE_HUNDRED)?;
        let mut steps = vec![
            (AdjustmentKind::Tax, net - converted),
            (AdjustmentKind::Discount, -discount),
        ];
        for (at, kind) in EXTRAS.into_iter().enumerate() {
            if let Some(charge) = self.charges[at].filter(|_| !self.included[at]) {
                steps.push((kind, charge_of(charge, copies)?));
            }
        }
        steps.retain(|(_, amount)| *amount != Money::ZERO);
        Some((converted, steps))
    }

    /// Each step rounded for show; what rounding leaves over is a step of its own.
    fn rounded_steps(
        &self,
        converted: Money,
        steps: &[(AdjustmentKind, Money)],
        exact: Money,
    ) -> Vec<Adjustment> {
        let mut rounded: Vec<Adjustment> = steps
            .iter()
            .map(|(kind, amount)| Adjustment {
                kind: *kind,
                amount: amount.rounded(self.currency),
            })
            .collect();
        let shown: Money = rounded.iter().map(|step| step.amount).sum();
        let left = exact.rounded(self.currency) - converted.rounded(self.currency) - shown;
        if left != Money::ZERO {
            rounded.push(Adjustment {
                kind: AdjustmentKind::Rounding,
                amount: left,
            });
        }
        rounded
    }

    /// Extras that others include, this offer does not, and the buyer gives no figure for.
    pub(crate) fn lacking(&self) -> Vec<AdjustmentKind> {
        let lacks =
            |at: &usize| !self.included[*at] && !self.left_out[*at] && self.charges[*at].is_none();
        (0..3).filter(lacks).map(|at| EXTRAS[at]).collect()
    }
}

/// What an offer says of proofs, carriage and packing.
pub(crate) fn included(offer: &Offer) -> [Option<bool>; 3] {
    let includes = offer.includes;
    [includes.proofs, includes.carriage, includes.packing]
}

/// What the buyer's file says of proofs, carriage and packing.
pub(crate) fn charges(buyer: &Buyer) -> [Option<Charge>; 3] {
    [buyer.proofs, buyer.carriage, buyer.packing]
}

/// Extras that no offer includes and the buyer gives no figure for: the comparison leaves them out of every price.
pub(crate) fn left_out(offers: &[Offer], buyer: &Buyer) -> [bool; 3] {
    let charges = charges(buyer);
    std::array::from_fn(|at| {
        charges[at].is_none() && offers.iter().all(|offer| included(offer)[at] != Some(true))
    })
}

/// A charge for so many copies.
pub(crate) fn charge_of(charge: Charge, copies: u64) -> Option<Money> {
    let thousands = Decimal::from(copies) / Decimal::ONE_THOUSAND;
    Some(charge.fixed + charge.per_thousand.times(thousands)?)
}

/// The offer's own price of a quantity: quoted, by its run-on, or between two of its quantities.
///
/// By the run-on no more is charged than for the next larger quantity.
pub(crate) fn offered(option: &OfferedOption, copies: u64) -> Option<(Money, Origin)> {
    own_price(option, copies).filter(|(amount, _)| amount.amount() <= LARGEST.into())
}

fn own_price(option: &OfferedOption, copies: u64) -> Option<(Money, Origin)> {
    if let Some(quoted) = option.quoted(copies) {
        return Some((quoted, Origin::Quoted));
    }
    let OfferedPrice::Breaks(breaks) = &option.price else {
        return None;
    };
    let above = breaks.iter().find(|one| one.copies > copies);
    let below = breaks.iter().rfind(|one| one.copies < copies)?;
    let more = Decimal::from(copies - below.copies);
    if let Some(run_on) = option.run_on {
        let more = run_on.times(more / Decimal::ONE_THOUSAND)?;
        let total = below.total + more;
        let capped = above.map_or(total, |above| total.min(above.total.max(below.total)));
        return Some((capped, Origin::RunOn { from: below.copies }));
    }
    let above = above?;
    let share = more / Decimal::from(above.copies - below.copies);
    let between = below.total + (above.total - below.total).times(share)?;
    let origin = Origin::Between {
        low: below.copies,
        high: above.copies,
    };
    Some((between, origin))
}
