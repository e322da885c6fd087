//! All offers side by side.

use inkset_spec::Offer;
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::basis::{Basis, BasisOption, ColourStanding, key};
use crate::exposure::{Exposure, exposure};
use crate::flags::{Flag, flags};
use crate::implied::Implied;
use crate::ink_price::{InkPrice, ink_prices};
use crate::items::{ItemComparison, items};
use crate::like::{AdjustmentKind, EXTRAS, LikePrice, Terms, charge_of, charges, left_out};
use crate::rank::{Ranked, ranks};

/// All offers on one basis.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Every option that was offered, those of the estimate first, in its order.
    pub options: Vec<ComparedOption>,
    /// In the order in which they were given.
    pub offers: Vec<ComparedOffer>,
    /// What no offer includes and the buyer gives no figure for: left out of every price.
    pub left_out: Vec<AdjustmentKind>,
    /// Proofs, carriage that the should-cost lacks because the buyer gives no figure.
    pub lacks_of_should_cost: Vec<AdjustmentKind>,
    /// Number of orders of each quantity; `0` for those outside the basket.
    pub orders: Vec<Decimal>,
    /// Price schedules, item by item.
    pub items: Vec<ItemComparison>,
}

/// One ink set that was offered.
#[derive(Debug, Clone)]
pub struct ComparedOption {
    /// Name as prices have it.
    pub name: String,
    pub(crate) process: [bool; 4],
    /// Names of the inks besides the four: the job's colours that are printed as solids, and extended process inks.
    pub solids: Vec<String>,
    /// At each quantity, with proofs and carriage where the prices hold them; empty when the rate card did not price it.
    pub should_cost: Vec<Money>,
    pub(crate) second_pass: Vec<Vec<Money>>,
    /// How its colours come out, if planned.
    pub colour: Option<ColourStanding>,
    /// For each offer, the index of its option with these inks.
    pub(crate) offered: Vec<Option<usize>>,
    /// Should-cost of the basket.
    pub basket_should_cost: Option<Money>,
}

/// One offer on the common basis.
#[derive(Debug, Clone)]
pub struct ComparedOffer {
    /// Who offers.
    pub supplier: String,
    /// For each option of the comparison; `None` where it is not offered.
    pub prices: Vec<Option<OfferedPrices>>,
    /// What to look into.
    pub flags: Vec<Flag>,
    /// Fixed part, run part and price of an ink.
    pub implied: Implied,
    /// What each further ink is asked for.
    pub ink_prices: Vec<InkPrice>,
}

/// The prices of one option in one offer.
#[derive(Debug, Clone)]
pub struct OfferedPrices {
    /// At each quantity.
    pub prices: Vec<LikePrice>,
    /// Least and most that may be billed at each quantity.
    pub exposure: Vec<Option<Exposure>>,
    /// Rank at each quantity among the offers for this option.
    pub ranks: Vec<Option<Ranked>>,
    /// Sum over the basket; `None` when a quantity of it has no comparable price.
    pub basket: Option<Money>,
    /// Rank of the basket among the offers for this option.
    pub basket_rank: Option<Ranked>,
}

/// Compares offers that were checked against the job.
pub fn compare(basis: &Basis<'_>, offers: &[Offer]) -> Comparison {
    let out = left_out(offers, basis.buyer);
    let mut options = options(basis, offers, out);
    let orders = orders(basis);
    let terms: Vec<Terms> = offers
        .iter()
        .map(|offer| Terms::of(offer, basis.buyer, out, basis.currency))
        .collect();
    let mut prices: Vec<Vec<Option<OfferedPrices>>> = Vec::new();
    for (at, offer) in offers.iter().enumerate() {
        let of_option = |option: &ComparedOption| {
            let option = &offer.options[option.offered[at]?];
            Some(priced(basis, (offer, option, &terms[at]), &orders))
        };
        prices.push(options.iter().map(of_option).collect());
    }
    for at in 0..options.len() {
        rank(&mut prices, at, basis.quantities.len());
    }
    for option in &mut options {
        let should = option.should_cost.iter().map(|m| Some(*m));
        option.basket_should_cost =
            basket(should, &orders, basis.currency).filter(|_| !option.should_cost.is_empty());
    }
    let first = basis.quantities.first().copied().unwrap_or(1_000);
    let items = items(&options, offers, &terms, (first, basis.currency));
    let compared = compared(basis, offers, (&options, &terms), prices);
    Comparison {
        offers: compared,
        options,
        left_out: (0..3).filter(|at| out[*at]).map(|at| EXTRAS[at]).collect(),
        lacks_of_should_cost: lacking(basis, out),
        orders,
        items,
    }
}

fn compared(
    basis: &Basis<'_>,
    offers: &[Offer],
    (options, terms): (&[ComparedOption], &[Terms]),
    prices: Vec<Vec<Option<OfferedPrices>>>,
) -> Vec<ComparedOffer> {
    let mut compared: Vec<ComparedOffer> = Vec::new();
    for (at, prices) in prices.into_iter().enumerate() {
        let offer = &offers[at];
        let own = options.iter().enumerate();
        let own = own.filter_map(|(n, option)| Some((n, &offer.options[option.offered[at]?])));
        compared.push(ComparedOffer {
            supplier: offer.supplier.value.clone(),
            implied: Implied::of(own, |amount| terms[at].net(amount), basis.currency),
            ink_prices: ink_prices(options, &prices, &basis.quantities),
            prices,
            flags: Vec::new(),
        });
    }
    let flags = flags(basis, offers, options, &compared);
    for (offer, flags) in compared.iter_mut().zip(flags) {
        offer.flags = flags;
    }
    compared
}

/// Every ink set that is offered.
fn options(basis: &Basis<'_>, offers: &[Offer], out: [bool; 3]) -> Vec<ComparedOption> {
    let mut all: Vec<ComparedOption> = basis
        .options
        .iter()
        .map(|option| ComparedOption {
            name: option.name.clone(),
            process: option.process,
            solids: option.solids.clone(),
            should_cost: with_charges(basis, option, out),
            second_pass: option.second_pass.clone(),
            colour: option.colour,
            offered: vec![None; offers.len()],
            basket_should_cost: None,
        })
        .collect();
    for (at, offer) in offers.iter().enumerate() {
        for (index, option) in offer.options.iter().enumerate() {
            let solids: Vec<String> = option.solids.iter().map(|s| s.value.clone()).collect();
            let wanted = key(option.process, &solids);
            let known = all.iter().position(|o| key(o.process, &o.solids) == wanted);
            let known = known.unwrap_or_else(|| {
                all.push(ComparedOption {
                    name: option.name(),
                    process: option.process,
                    solids,
                    should_cost: Vec::new(),
                    second_pass: Vec::new(),
                    colour: None,
                    offered: vec![None; offers.len()],
                    basket_should_cost: None,
                });
                all.len() - 1
            });
            all[known].offered[at] = Some(index);
        }
    }
    all.retain(|option| option.offered.iter().any(Option::is_some));
    all
}

/// The should-cost with proofs and carriage exactly where the comparable prices hold them: the rate card's own where the
/// job asks for them, else the buyer's figures.
fn with_charges(basis: &Basis<'_>, option: &BasisOption, out: [bool; 3]) -> Vec<Money> {
    let charges = charges(basis.buyer);
    let with = basis.quantities.iter().zip(&option.should_cost).enumerate();
    let with = with.map(|(n, (copies, should))| {
        let mut sum = *should;
        for (at, own) in own_extras(option, n).into_iter().enumerate() {
            if own != Money::ZERO {
                sum = if out[at] { sum - own } else { sum };
            } else if let Some(charge) = charges[at].filter(|_| !out[at]) {
                sum += charge_of(charge, *copies)?;
            }
        }
        Some(sum.rounded(basis.currency))
    });
    with.collect::<Option<_>>().unwrap_or_default()
}

/// Proofs and carriage that the rate card prices itself at the quantity of this index.
fn own_extras(option: &BasisOption, at: usize) -> [Money; 2] {
    let own = option.own_extras.get(at);
    own.map_or([Money::ZERO; 2], |own| [own.proofs, own.carriage])
}

/// Proofs and carriage that comparable prices hold and no should-cost does.
fn lacking(basis: &Basis<'_>, out: [bool; 3]) -> Vec<AdjustmentKind> {
    let charges = charges(basis.buyer);
    let own = |at: usize| {
        let mut options = basis.options.iter();
        options.any(|option| own_extras(option, 0)[at] != Money::ZERO)
    };
    (0..2)
        .filter(|at| !out[*at] && charges[*at].is_none() && !own(*at))
        .map(|at| EXTRAS[at])
        .collect()
}

/// Orders of each quantity compared.
fn orders(basis: &Basis<'_>) -> Vec<Decimal> {
    let basket = &basis.buyer.basket;
    let of = |copies: &u64| match basket.iter().find(|lot| lot.copies == *copies) {
        Some(lot) => lot.orders,
        None if basket.is_empty() => Decimal::ONE,
        None => Decimal::ZERO,
    };
    basis.quantities.iter().map(of).collect()
}

fn priced(
    basis: &Basis<'_>,
    (offer, option, terms): (&Offer, &inkset_spec::OfferedOption, &Terms),
    orders: &[Decimal],
) -> OfferedPrices {
    let prices: Vec<LikePrice> = basis
        .quantities
        .iter()
        .map(|copies| terms.like(option, *copies))
        .collect();
    let of_price = |(copies, price): (&u64, &LikePrice)| {
        let limits = (basis.usual_overs, basis.currency);
        exposure((offer, option, terms), *copies, price, limits)
    };
    OfferedPrices {
        exposure: basis.quantities.iter().zip(&prices).map(of_price).collect(),
        ranks: vec![None; prices.len()],
        basket: basket(prices.iter().map(|p| p.total), orders, basis.currency),
        basket_rank: None,
        prices,
    }
}

/// Sum of prices times orders; `None` when one that is ordered is missing.
pub(crate) fn basket(
    prices: impl Iterator<Item = Option<Money>>,
    orders: &[Decimal],
    currency: Currency,
) -> Option<Money> {
    let mut sum = Money::ZERO;
    for (price, orders) in prices.zip(orders) {
        if !orders.is_zero() {
            sum += price?.times(*orders)?;
        }
    }
    Some(sum.rounded(currency))
}

/// Ranks the offers for one option, at every quantity and over the basket.
fn rank(prices: &mut [Vec<Option<OfferedPrices>>], option: usize, n_quantities: usize) {
    let column = |prices: &[Vec<Option<OfferedPrices>>],
                  of: &dyn Fn(&OfferedPrices) -> Option<Money>| {
        let amounts: Vec<Option<Money>> = prices
            .iter()
            .map(|offer| offer[option].as_ref().and_then(of))
            .collect();
        ranks(&amounts)
    };
    for at in 0..n_quantities {
        let ranked = column(prices, &|p| p.prices[at].total);
        for (offer, rank) in prices.iter_mut().zip(ranked) {
            if let Some(own) = &mut offer[option] {
                own.ranks[at] = rank;
            }
        }
    }
    let ranked = column(prices, &|p| p.basket);
    for (offer, rank) in prices.iter_mut().zip(ranked) {
        if let Some(own) = &mut offer[option] {
            own.basket_rank = rank;
        }
    }
}

impl Comparison {
    /// Options that differ by one solid: with it, without it, and its name.
    pub fn ink_pairs(&self) -> Vec<(usize, usize, String)> {
        let pairs = crate::ink_price::pairs(&self.options).into_iter();
        pairs
            .map(|(with, without, at)| (with, without, self.options[with].solids[at].clone()))
            .collect()
    }
}
