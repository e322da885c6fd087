//! The rate card that would reproduce what one supplier offered.

use inkset_costing::{CannotPrint, Pricer, Stage};
use inkset_offers::{Asked, NetQuote, TakenApart, nearest, net_quotes};
use inkset_plan::{Plan, PlannedSet};
use inkset_report::{OfferedRates, RatedPrice, offered_rates_card};
use inkset_spec::{
    Buyer, Job, Offer, RateCard, RateGroup, changed_card, rate_groups, read_rate_card,
};
use inkset_units::Money;
use rust_decimal::Decimal;

use super::priced::told;
use super::should_cost::offered;
use crate::CliError;
use crate::files::{Loaded, read};
use crate::output::Output;

/// Beside the rates of an offer: the job's plan, the buyer's figures and the quantities to estimate.
pub(super) struct Ground<'a> {
    pub(super) loaded: &'a Loaded,
    pub(super) plan: &'a Plan,
    pub(super) buyer: &'a Buyer,
    pub(super) quantities: &'a [u64],
}

/// Prints the card that would reproduce the supplier's offer.
pub(super) fn rates_of(
    ground: &Ground<'_>,
    (supplier, offers): (&str, &[Offer]),
    out: &mut Output,
) -> Result<(), CliError> {
    let offer = find(supplier, offers)?;
    let currency = ground.loaded.job.currency.value;
    let terms = (ground.buyer, currency);
    let Some(mut quotes) = net_quotes(offer, terms, ground.quantities) else {
        return Err(refused(
            out,
            &format!(
                "{} offers in {}, and the buyer's file has no rate for it",
                offer.supplier.value, offer.currency.value
            ),
        ));
    };
    let sets = offered(&ground.loaded.job, ground.plan, std::slice::from_ref(offer));
    let sets = Sets::of(ground, offer, &sets);
    quotes.retain(|quote| sets.by_option[quote.option].is_some() && quote.net > Money::ZERO);
    if quotes.is_empty() {
        return Err(refused(
            out,
            &format!(
                "{} gives no price for an ink set of the job",
                offer.supplier.value
            ),
        ));
    }
    let bytes = read(&ground.loaded.rates_path)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let costing = Costing {
        job: &ground.loaded.job,
        card: &ground.loaded.card,
        text: &text,
        title: format!("As offered by {}", offer.supplier.value),
        left_out: left_out(offer),
    };
    let card = costing
        .fit(&sets, offer, (&quotes, ground.quantities))
        .map_err(|why| match why {
            Stop::Printing(why) => told(&why, ground.loaded, out),
            Stop::Reckoning => refused(
                out,
                "the offer cannot be reproduced: its prices and the card's are too far apart",
            ),
        })?;
    out.data(&card)
}

fn refused(out: &mut Output, why: &str) -> CliError {
    out.message(&format!("error: {why}\n"));
    CliError::Told
}

fn find<'o>(supplier: &str, offers: &'o [Offer]) -> Result<&'o Offer, CliError> {
    let wanted = supplier.to_lowercase();
    let mut all = offers.iter();
    let found = all.find(|offer| offer.supplier.value.to_lowercase() == wanted);
    found.ok_or_else(|| {
        let names: Vec<&str> = offers
            .iter()
            .take(20)
            .map(|o| o.supplier.value.as_str())
            .collect();
        CliError::Usage(format!(
            "no offer of `{supplier}` is given; offers: {}",
            names.join(", ")
        ))
    })
}

/// What the offer excludes of what the card can price, with its word.
fn left_out(offer: &Offer) -> Vec<(Stage, &'static str)> {
    let includes = offer.includes;
    let all = [
        (includes.proofs, Stage::Proofs, "proofs"),
        (includes.carriage, Stage::Carriage, "carriage"),
        (includes.packing, Stage::Packing, "packing"),
    ];
    let out = all.into_iter().filter(|(said, ..)| *said == Some(false));
    out.map(|(_, stage, word)| (stage, word)).collect()
}

/// The planned ink set of each option of the offer.
struct Sets<'p> {
    by_option: Vec<Option<&'p PlannedSet>>,
}

impl<'p> Sets<'p> {
    fn of(ground: &Ground<'_>, offer: &Offer, sets: &[&'p PlannedSet]) -> Self {
        let set = |option: &inkset_spec::OfferedOption| {
            let mut sets = sets.iter();
            sets.find(|set| {
                super::should_cost::inks(&ground.loaded.job, ground.plan, set) == option.inks()
            })
            .copied()
        };
        Self {
            by_option: offer.options.iter().map(set).collect(),
        }
    }
}

impl Sets<'_> {
    /// Names of offered ink sets that are none of the job's.
    fn unknown(&self, offer: &Offer) -> Vec<String> {
        let options = offer.options.iter().zip(&self.by_option);
        let unknown = options.filter(|(_, set)| set.is_none());
        unknown.map(|(option, _)| option.name()).collect()
    }
}

/// Groups of rates that move, with their factors.
fn changed(groups: &[RateGroup], factors: &[Decimal]) -> Vec<(String, Decimal)> {
    let moved = groups.iter().zip(factors);
    let moved = moved.filter(|(_, factor)| factor.round_dp(3) != Decimal::ONE);
    moved
        .map(|(group, factor)| (group.name.clone(), *factor))
        .collect()
}

/// Why nothing comes out.
enum Stop {
    Printing(CannotPrint),
    Reckoning,
}

/// The job and the card whose rates are changed.
struct Costing<'a> {
    job: &'a Job,
    card: &'a RateCard,
    text: &'a str,
    title: String,
    left_out: Vec<(Stage, &'static str)>,
}

impl Costing<'_> {
    /// The card that reproduces the quotes best, with what it rests on.
    fn fit(
        &self,
        sets: &Sets<'_>,
        offer: &Offer,
        (quotes, quantities): (&[NetQuote], &[u64]),
    ) -> Result<String, Stop> {
        let prices: Vec<Decimal> = quotes.iter().map(|quote| quote.net.amount()).collect();
        let copies: Vec<u64> = quotes.iter().map(|quote| quote.copies).collect();
        let groups = rate_groups(self.card);
        let spare: Vec<bool> = groups.iter().map(|group| group.spare).collect();
        let asked = Asked {
            prices: &prices,
            copies: &copies,
            spare: &spare,
        };
        let wanted: Vec<(usize, u64)> = quotes.iter().map(|q| (q.option, q.copies)).collect();
        let found = nearest(&asked, |factors| {
            let (rows, _) = self.apart(sets, &wanted, factors)?;
            Ok(rows)
        })?;
        let found = found.ok_or(Stop::Reckoning)?;
        let unasked = unasked(sets, quotes, quantities);
        let (rest, card) = self.apart(sets, &unasked, &found.factors)?;
        let asked = quotes.iter().zip(&found.totals).map(|(quote, total)| {
            let at = (quote.option, quote.copies);
            self.rated(sets, quotes, (at, *total, Some(quote.net)))
        });
        let not_asked = unasked.iter().zip(&rest);
        let not_asked = not_asked.map(|(at, row)| self.rated(sets, quotes, (*at, row.total, None)));
        let rates = OfferedRates {
            offer,
            card: &self.card.title,
            currency: self.job.currency.value,
            changed: changed(&groups, &found.factors),
            left_out: self.left_out.iter().map(|(_, word)| *word).collect(),
            asked: asked.collect(),
            not_asked: not_asked.collect(),
            plus_minus: found.plus_minus,
            unknown: sets.unknown(offer),
        };
        Ok(offered_rates_card(&rates, &card))
    }

    /// A price by the changed rates, beside what is asked.
    fn rated(
        &self,
        sets: &Sets<'_>,
        quotes: &[NetQuote],
        ((option, copies), total, asked): ((usize, u64), Decimal, Option<Money>),
    ) -> RatedPrice {
        let known = || quotes.iter().filter(|quote| quote.option == option);
        RatedPrice {
            option: sets.by_option[option].map_or(String::new(), |set| set.name.clone()),
            copies,
            asked,
            rated: Money::new(total).rounded(self.job.currency.value),
            outside: known().all(|q| q.copies < copies) || known().all(|q| q.copies > copies),
        }
    }

    /// Prices by the card with its rates times these factors, taken apart; and the card.
    fn apart(
        &self,
        sets: &Sets<'_>,
        wanted: &[(usize, u64)],
        factors: &[Decimal],
    ) -> Result<(Vec<TakenApart>, String), Stop> {
        let own = rate_groups(self.card);
        let text = changed_card(self.text, self.card, (&own, factors), &self.title);
        let text = text.ok_or(Stop::Reckoning)?;
        let card = read_rate_card(&text).value.ok_or(Stop::Reckoning)?;
        let groups = rate_groups(&card);
        let pricer = Pricer::new(self.job, &card).map_err(Stop::Printing)?;
        let out: Vec<Stage> = self.left_out.iter().map(|(stage, _)| *stage).collect();
        let row = |(option, copies): &(usize, u64)| {
            let set = sets.by_option[*option].ok_or(Stop::Reckoning)?;
            let prepared = pricer.prepare(&set.print).map_err(Stop::Printing)?;
            let estimate = prepared.called(&set.name).estimate(*copies);
            let estimate = estimate.map_err(Stop::Printing)?;
            let excluded: Money = out.iter().map(|stage| estimate.of_stage(*stage)).sum();
            let excluded = estimate.with_profit(excluded).ok_or(Stop::Reckoning)?;
            let shares = estimate.shares(&groups, &out).ok_or(Stop::Reckoning)?;
            Ok(TakenApart {
                total: (estimate.total - excluded).amount(),
                shares: shares.into_iter().map(Money::amount).collect(),
            })
        };
        let rows = wanted.iter().map(row).collect::<Result<_, Stop>>()?;
        Ok((rows, text))
    }
}

/// Quantities of the job that an option does not quote.
fn unasked(sets: &Sets<'_>, quotes: &[NetQuote], quantities: &[u64]) -> Vec<(usize, u64)> {
    let options = (0..sets.by_option.len()).filter(|at| sets.by_option[*at].is_some());
    let known = |option, copies| {
        let mut quotes = quotes.iter();
        quotes.any(|quote| (quote.option, quote.copies) == (option, copies))
    };
    options
        .flat_map(|option| quantities.iter().map(move |copies| (option, *copies)))
        .filter(|(option, copies)| !known(*option, *copies))
        .collect()
}
