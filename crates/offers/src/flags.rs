//! What to look into before an offer is accepted, each with its reason.

use std::collections::BTreeMap;

use inkset_spec::{Offer, OfferedOption, OfferedPrice, Tax};
use inkset_units::{Money, Size};
use rust_decimal::Decimal;

use crate::basis::Basis;
use crate::comparison::{ComparedOffer, ComparedOption};
use crate::exposure::leeway;
use crate::like::{AdjustmentKind, EXTRAS, Origin, charges, included};
use crate::robust::{Robust, Spread};

/// Something to look into.
#[derive(Debug, Clone, PartialEq)]
pub struct Flag {
    /// Index of the option it is about; `None`: the whole offer.
    pub option: Option<usize>,
    /// Quantity it is about; `None`: all.
    pub copies: Option<u64>,
    /// What it is.
    pub kind: FlagKind,
}

/// What a flag is about.
#[derive(Debug, Clone, PartialEq)]
pub enum FlagKind {
    /// Others offer this ink set.
    OptionMissing,
    /// No price can be told for a quantity of the comparison.
    QuantityMissing,
    /// The price was reckoned from others of the offer.
    Reckoned(Origin),
    /// Another stock than the job's.
    StockDiffers(String),
    /// Another finished size than the job's.
    SizeDiffers(Size),
    /// A departure in the supplier's words.
    Deviates(String),
    /// It ends before the award.
    Expired {
        /// Last day.
        last: String,
        /// Day of the award.
        award: String,
    },
    /// The offer does not say how long it holds.
    ValidityUnsaid,
    /// The buyer's file gives no day of the award.
    ValidityNotJudged,
    /// More copies for less money.
    PriceFalls {
        /// The smaller quantity and its price, as offered.
        from: (u64, Money),
        /// The larger one.
        to: (u64, Money),
    },
    /// The unit price times the quantity does not give the total.
    UnitPriceDiffers {
        /// As offered.
        total: Money,
        /// What the unit price makes it.
        product: Money,
    },
    /// A further ink costs nothing or less.
    InkFree {
        /// The colour.
        solid: String,
        /// Asked more.
        asked: Money,
    },
    /// A further ink costs more than printing it alone in a further pass should.
    InkAbovePass {
        /// The colour.
        solid: String,
        /// Asked more.
        asked: Money,
        /// What the pass should cost.
        pass: Money,
    },
    /// Converted from another currency.
    Converted {
        /// Its code.
        currency: &'static str,
        /// Rate used.
        rate: Decimal,
        /// Day of the rate.
        date: String,
    },
    /// Another currency, and the buyer's file has no rate.
    NoRate(&'static str),
    /// The offer does not say whether tax is in its prices.
    TaxUnsaid,
    /// The offer does not say how many copies more or less it bills; the job's leeway is used, in percent.
    OversUnsaid(Decimal),
    /// More copies too many than the job accepts.
    OversAbove {
        /// Offered, percent.
        over: Decimal,
        /// Accepted by the job, percent.
        usual: Decimal,
    },
    /// The offer does not say whether it includes this.
    ExtraUnsaid(AdjustmentKind),
    /// Not included, included by others, and the buyer gives no figure: the offer has no comparable price.
    ExtraWithoutFigure(AdjustmentKind),
    /// A discount that the buyer does not take.
    DiscountNotTaken(Decimal),
    /// Far from what it should cost.
    FarFromShouldCost {
        /// Difference, percent of the should-cost.
        percent: Decimal,
        /// Should-cost.
        should: Money,
    },
    /// Far from the other offers.
    FarFromOthers {
        /// On which side.
        side: Spread,
        /// Median of all offers.
        median: Money,
        /// How many offers it rests on.
        count: usize,
    },
    /// Exactly the same prices as another supplier.
    SameFigures(String),
}

/// The flags of every offer.
pub(crate) fn flags(
    basis: &Basis<'_>,
    offers: &[Offer],
    options: &[ComparedOption],
    compared: &[ComparedOffer],
) -> Vec<Vec<Flag>> {
    let mut all: Vec<Vec<Flag>> = Vec::new();
    for (at, offer) in offers.iter().enumerate() {
        let mut flags = Vec::new();
        of_terms(basis, offer, &mut flags);
        for (n, option) in options.iter().enumerate() {
            match option.offered[at] {
                None => flags.push(about(n, None, FlagKind::OptionMissing)),
                Some(index) => {
                    of_option(basis, (n, &offer.options[index]), &mut flags);
                    of_prices(basis, (n, option), &compared[at], &mut flags);
                }
            }
        }
        of_inks(&compared[at], &mut flags);
        let lacking = compared[at].prices.iter().flatten();
        let mut lacking = lacking.flat_map(|p| &p.prices).map(|p| p.lacking.clone());
        let lacking = lacking.next().unwrap_or_default();
        flags.extend(
            lacking
                .into_iter()
                .map(|k| whole(FlagKind::ExtraWithoutFigure(k))),
        );
        all.push(flags);
    }
    far_from_others(basis, options, compared, &mut all);
    same_figures(offers, &mut all);
    all
}

fn whole(kind: FlagKind) -> Flag {
    Flag {
        option: None,
        copies: None,
        kind,
    }
}

fn about(option: usize, copies: Option<u64>, kind: FlagKind) -> Flag {
    Flag {
        option: Some(option),
        copies,
        kind,
    }
}

fn of_terms(basis: &Basis<'_>, offer: &Offer, flags: &mut Vec<Flag>) {
    let mut flag = |kind| flags.push(whole(kind));
    let buyer = basis.buyer;
    match (offer.valid_until.map(|d| d.value), buyer.award_date) {
        (None, _) => flag(FlagKind::ValidityUnsaid),
        (Some(_), None) => flag(FlagKind::ValidityNotJudged),
        (Some(last), Some(award)) if last < award => flag(FlagKind::Expired {
            last: last.to_string(),
            award: award.to_string(),
        }),
        _ => {}
    }
    let currency = offer.currency.value;
    if currency != basis.currency {
        let rate = buyer.exchange.iter().find(|e| e.currency == currency);
        flag(match rate {
            Some(exchange) => FlagKind::Converted {
                currency: currency.code(),
                rate: exchange.rate,
                date: exchange.date.to_string(),
            },
            None => FlagKind::NoRate(currency.code()),
        });
    }
    if offer.tax == Tax::Unsaid {
        flag(FlagKind::TaxUnsaid);
    }
    if offer.leeway.is_none() {
        flag(FlagKind::OversUnsaid(basis.usual_overs));
    }
    let (over, _) = leeway(offer, basis.usual_overs);
    if over > basis.usual_overs {
        flag(FlagKind::OversAbove {
            over,
            usual: basis.usual_overs,
        });
    }
    for (at, kind) in EXTRAS.into_iter().enumerate() {
        if included(offer)[at].is_none() && charges(buyer)[at].is_some() {
            flag(FlagKind::ExtraUnsaid(kind));
        }
    }
    if let Some(discount) = offer.discount.filter(|_| !buyer.takes_discount) {
        flag(FlagKind::DiscountNotTaken(discount.percent));
    }
}

fn of_option(basis: &Basis<'_>, (n, option): (usize, &OfferedOption), flags: &mut Vec<Flag>) {
    let mut flag = |copies, kind| flags.push(about(n, copies, kind));
    if let Some(stock) = &option.stock {
        let known = basis
            .stocks
            .iter()
            .any(|s| s.eq_ignore_ascii_case(&stock.value));
        if !known {
            flag(None, FlagKind::StockDiffers(stock.value.clone()));
        }
    }
    if let Some(size) = option.size.filter(|size| size.value != basis.size) {
        flag(None, FlagKind::SizeDiffers(size.value));
    }
    for said in &option.deviations {
        flag(None, FlagKind::Deviates(said.clone()));
    }
    let OfferedPrice::Breaks(breaks) = &option.price else {
        return;
    };
    for pair in breaks
        .windows(2)
        .filter(|pair| pair[1].total < pair[0].total)
    {
        let kind = FlagKind::PriceFalls {
            from: (pair[0].copies, pair[0].total),
            to: (pair[1].copies, pair[1].total),
        };
        flag(Some(pair[1].copies), kind);
    }
    for one in breaks {
        if let Some(product) = differing_product(one) {
            let total = one.total;
            flag(
                Some(one.copies),
                FlagKind::UnitPriceDiffers { total, product },
            );
        }
    }
}

/// What a unit price makes of the total, when that is further off than the rounding of the unit price allows.
fn differing_product(one: &inkset_spec::Break) -> Option<Money> {
    let (rate, half_digit) = one.told_per_thousand?;
    let thousands = Decimal::from(one.copies) / Decimal::ONE_THOUSAND;
    let product = rate.times(thousands)?;
    let allowed = half_digit.times(thousands)?.amount() + Decimal::new(5, 3);
    ((product - one.total).amount().abs() > allowed).then_some(product)
}

fn of_prices(
    basis: &Basis<'_>,
    (n, option): (usize, &ComparedOption),
    offer: &ComparedOffer,
    flags: &mut Vec<Flag>,
) {
    let Some(own) = &offer.prices[n] else {
        return;
    };
    for (at, (copies, price)) in basis.quantities.iter().zip(&own.prices).enumerate() {
        let mut flag = |kind| flags.push(about(n, Some(*copies), kind));
        match price.offered {
            None => flag(FlagKind::QuantityMissing),
            Some((_, Origin::Quoted)) => {}
            Some((_, origin)) => flag(FlagKind::Reckoned(origin)),
        }
        if let (Some(total), Some(should)) = (price.total, option.should_cost.get(at))
            && let Some(percent) = percent_of(total - *should, *should)
            && percent.abs() > basis.buyer.far_percent
        {
            let should = *should;
            flag(FlagKind::FarFromShouldCost { percent, should });
        }
    }
}

/// A difference in percent of an amount.
pub(crate) fn percent_of(difference: Money, of: Money) -> Option<Decimal> {
    let hundredfold = difference.amount().checked_mul(Decimal::ONE_HUNDRED)?;
    hundredfold.checked_div(of.amount())
}

fn of_inks(offer: &ComparedOffer, flags: &mut Vec<Flag>) {
    for ink in &offer.ink_prices {
        let mut flag = |kind| flags.push(about(ink.with, Some(ink.copies), kind));
        let solid = ink.solid.clone();
        let asked = ink.asked;
        if asked <= Money::ZERO {
            flag(FlagKind::InkFree { solid, asked });
        } else if let Some(pass) = ink.second_pass.filter(|pass| is_above(asked, *pass)) {
            flag(FlagKind::InkAbovePass { solid, asked, pass });
        }
    }
}

/// Whether more is asked than a pass costs at least, by more than a tenth of it. Our own choice.
fn is_above(asked: Money, pass: Money) -> bool {
    asked.amount() > pass.amount() * Decimal::new(11, 1)
}

fn far_from_others(
    basis: &Basis<'_>,
    options: &[ComparedOption],
    compared: &[ComparedOffer],
    flags: &mut [Vec<Flag>],
) {
    for n in 0..options.len() {
        for (at, copies) in basis.quantities.iter().enumerate() {
            let total = |offer: &ComparedOffer| offer.prices[n].as_ref()?.prices[at].total;
            let totals: Vec<Money> = compared.iter().filter_map(total).collect();
            let Some(robust) = Robust::of(&totals) else {
                continue;
            };
            for (offer, flags) in compared.iter().zip(flags.iter_mut()) {
                let side = total(offer).map_or(Spread::Usual, |total| robust.judge(total));
                if side != Spread::Usual {
                    let kind = FlagKind::FarFromOthers {
                        side,
                        median: robust.median,
                        count: robust.count,
                    };
                    flags.push(about(n, Some(*copies), kind));
                }
            }
        }
    }
}

/// Two suppliers whose every price is the same did not reckon apart from each other.
fn same_figures(offers: &[Offer], flags: &mut [Vec<Flag>]) {
    let figures = |offer: &Offer| {
        let mut figures: Vec<String> = offer
            .options
            .iter()
            .map(|option| format!("{:?} {:?}", option.inks(), plain(&option.price)))
            .collect();
        figures.sort();
        figures.push(offer.currency.value.code().to_owned());
        figures.join("\n")
    };
    let mut alike: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, offer) in offers.iter().enumerate() {
        alike.entry(figures(offer)).or_default().push(at);
    }
    for group in alike.values().filter(|group| group.len() > 1) {
        for (place, &at) in group.iter().enumerate() {
            let other = group[usize::from(place == 0)];
            let other = offers[other].supplier.value.clone();
            flags[at].push(whole(FlagKind::SameFigures(other)));
        }
    }
}

/// The figures of a price without their places.
fn plain(price: &OfferedPrice) -> Vec<(u64, Decimal)> {
    let of = |amount: Money| amount.amount().normalize();
    match price {
        OfferedPrice::Breaks(breaks) => breaks.iter().map(|b| (b.copies, of(b.total))).collect(),
        OfferedPrice::Rates {
            set_up,
            per_thousand,
        } => vec![(0, of(*set_up)), (1_000, of(*per_thousand))],
        OfferedPrice::Schedule(items) => items
            .iter()
            .map(|item| (0, (item.count * of(item.price)).normalize()))
            .collect(),
    }
}
