//! Suppliers' offers side by side, for people, programs and spreadsheets.

mod csv;
mod document;
mod flags;
mod implied;
mod json;
mod rates;
mod xlsx;

use inkset_offers::{Award, Comparison, LikePrice, OfferedPrices, Origin, Split};
use inkset_spec::{Buyer, Job, Offer, RateCard};
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

pub use csv::compare_csv;
pub use document::{compare_document, compare_section};
pub use json::{compare_json, compare_schema};
pub use rates::{OfferedRates, RatedPrice, offered_rates_card};
pub use xlsx::compare_xlsx;

/// Everything that a comparison has to say.
pub struct CompareReport<'a> {
    /// The job.
    pub job: &'a Job,
    /// The rate card of the should-cost.
    pub card: &'a RateCard,
    /// Quantities compared, ascending.
    pub quantities: &'a [u64],
    /// The offers as they were read.
    pub offers: &'a [Offer],
    /// What the buyer adds.
    pub buyer: &'a Buyer,
    /// The offers on one basis.
    pub comparison: &'a Comparison,
    /// For each option, whom to give the order by price alone.
    pub by_price: Vec<Option<Award>>,
    /// Over all options with the buyer's weights; `None` when colour has no weight.
    pub by_weights: Option<Award>,
    /// Ways to share out the basket.
    pub splits: Vec<Split>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

impl CompareReport<'_> {
    fn currency(&self) -> Currency {
        self.job.currency.value
    }

    fn supplier(&self, offer: usize) -> &str {
        &self.comparison.offers[offer].supplier
    }

    fn option(&self, option: usize) -> &str {
        &self.comparison.options[option].name
    }

    /// The should-cost of an option at the quantity of this index.
    fn should(&self, option: usize, at: usize) -> Option<Money> {
        self.comparison.options[option].should_cost.get(at).copied()
    }

    /// Offers for an option, by the rank of their basket; those without one last.
    fn by_rank(&self, option: usize) -> Vec<(usize, &OfferedPrices)> {
        let offers = self.comparison.offers.iter().enumerate();
        let mut priced: Vec<(usize, &OfferedPrices)> = offers
            .filter_map(|(at, offer)| Some((at, offer.prices[option].as_ref()?)))
            .collect();
        priced.sort_by_key(|(at, prices)| (prices.basket_rank.map_or(usize::MAX, |r| r.rank), *at));
        priced
    }

    /// Whether the basket is more than each quantity once.
    fn has_basket(&self) -> bool {
        self.comparison.orders.iter().any(|o| *o != Decimal::ONE)
    }
}

/// Difference from an amount in percent, to one decimal.
fn percent(amount: Money, from: Money) -> Option<Decimal> {
    let difference = (amount - from).amount().checked_mul(Decimal::ONE_HUNDRED)?;
    difference.checked_div(from.amount()).map(|p| p.round_dp(1))
}

/// `+3.2 %`.
fn percent_text(percent: Decimal) -> String {
    let sign = match percent {
        p if p.is_zero() => "±",
        p if p.is_sign_negative() => "−",
        _ => "+",
    };
    format!("{sign}{:.1}\u{a0}%", percent.abs())
}

/// One word for how a price came about.
fn origin_word(price: &LikePrice) -> &'static str {
    match price.offered {
        None => "missing",
        Some((_, Origin::Quoted)) => "quoted",
        Some((_, Origin::RunOn { .. })) => "run-on",
        Some((_, Origin::Between { .. })) => "interpolated",
    }
}

/// Options of one offer that differ by one solid and both have implied rates: with, without, and the solid.
fn implied_pairs(report: &CompareReport<'_>, offer: usize) -> Vec<(usize, usize, String)> {
    let implied = &report.comparison.offers[offer].implied;
    let has = |option: usize| implied.options.iter().any(|rates| rates.option == option);
    let pairs = report.comparison.ink_pairs().into_iter();
    pairs
        .filter(|(with, without, _)| has(*with) && has(*without))
        .collect()
}
