//! The comparison for programs; the form is fixed by `docs/compare.schema.json`.

use inkset_offers::{AdjustmentKind, Award, Measured, Split};
use inkset_units::Money;
use schemars::JsonSchema;
use serde::Serialize;

use super::flags::{extra, flag_words};
use super::{CompareReport, origin_word, percent};

/// The answer of `inkset compare --format json`. Amounts are strings with the currency's decimals.
#[derive(Serialize, JsonSchema)]
struct CompareJson {
    /// Version of the program.
    inkset: &'static str,
    /// Title of the job.
    title: String,
    /// ISO 4217 code of every amount but those marked as offered.
    currency: &'static str,
    /// Quantities compared, with the number of orders of each in the basket.
    quantities: Vec<LotJson>,
    /// Extras left out of every price, because no offer includes them and the buyer gives no figure.
    left_out: Vec<&'static str>,
    /// Ink sets that were offered.
    options: Vec<OptionJson>,
    /// In the order in which they were given.
    offers: Vec<OfferJson>,
    /// For each option, by price alone.
    by_price: Vec<AwardJson>,
    /// Over all options, by the buyer's weights; absent when colour has none.
    by_weights: Option<AwardJson>,
    /// Ways to share out the basket.
    splits: Vec<SplitJson>,
    /// Price schedules, item by item.
    schedules: Vec<ScheduleJson>,
    assumptions: Vec<String>,
    cautions: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct LotJson {
    copies: u64,
    orders: String,
}

#[derive(Serialize, JsonSchema)]
struct OptionJson {
    name: String,
    /// At each quantity, with proofs and carriage where the prices hold them; empty when the rate card did not price it.
    should_cost: Vec<String>,
    /// Colours that hold, drift and miss; absent when not planned.
    colours: Option<[usize; 3]>,
}

#[derive(Serialize, JsonSchema)]
struct OfferJson {
    supplier: String,
    number: Option<String>,
    lead_days: Option<u32>,
    /// One for each option that is offered.
    options: Vec<OfferedJson>,
    flags: Vec<FlagJson>,
    implied: Vec<ImpliedJson>,
    inks: Vec<InkJson>,
}

#[derive(Serialize, JsonSchema)]
struct OfferedJson {
    option: String,
    prices: Vec<PriceJson>,
    /// Sum over the basket.
    basket: Option<String>,
    rank: Option<usize>,
    tied: bool,
}

#[derive(Serialize, JsonSchema)]
struct PriceJson {
    copies: u64,
    /// In the offer's own currency.
    offered: Option<String>,
    offered_currency: &'static str,
    /// `quoted`, `run-on`, `interpolated` or `missing`.
    origin: &'static str,
    converted: Option<String>,
    steps: Vec<StepJson>,
    /// On the common basis.
    comparable: Option<String>,
    /// Extras for which a figure is lacking.
    lacking: Vec<&'static str>,
    rank: Option<usize>,
    tied: bool,
    difference_percent: Option<String>,
    /// Bill with the fewest and the most copies.
    least_bill: Option<String>,
    highest_bill: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct StepJson {
    step: &'static str,
    amount: String,
}

#[derive(Serialize, JsonSchema)]
struct FlagJson {
    flag: &'static str,
    option: Option<String>,
    copies: Option<u64>,
    reason: String,
    detail: String,
}

#[derive(Serialize, JsonSchema)]
struct MeasuredJson {
    value: String,
    /// 90 % of the time; absent when there are as many unknowns as prices.
    plus_minus: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct ImpliedJson {
    option: String,
    fixed: MeasuredJson,
    per_thousand: MeasuredJson,
    /// Smallest and largest quantity that it rests on; absent when the offer states its rates.
    range: Option<[u64; 2]>,
}

#[derive(Serialize, JsonSchema)]
struct InkJson {
    solid: String,
    with: String,
    without: String,
    copies: u64,
    asked: String,
    should: Option<String>,
    second_pass: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct AwardJson {
    /// Best first.
    candidates: Vec<CandidateJson>,
    /// How many share the first place; 0 when nothing is comparable.
    tied: usize,
    second_wins_below: Option<String>,
    changes_at_colour_weight_percent: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct CandidateJson {
    supplier: String,
    option: String,
    basket: String,
    points: String,
}

#[derive(Serialize, JsonSchema)]
struct SplitJson {
    options: Vec<String>,
    total: String,
    /// Cheapest single supplier, and what splitting saves against it.
    single: Option<String>,
    saving: Option<String>,
    lots: Vec<SplitLotJson>,
}

#[derive(Serialize, JsonSchema)]
struct SplitLotJson {
    option: String,
    copies: u64,
    supplier: String,
    amount: String,
}

#[derive(Serialize, JsonSchema)]
struct ScheduleJson {
    option: String,
    copies: u64,
    suppliers: Vec<String>,
    items: Vec<ItemJson>,
    sums: Vec<Option<String>>,
    ranks: Vec<Option<usize>>,
}

#[derive(Serialize, JsonSchema)]
struct ItemJson {
    item: String,
    amounts: Vec<Option<String>>,
    ranks: Vec<Option<usize>>,
}

/// The comparison as JSON.
pub fn compare_json(report: &CompareReport<'_>) -> String {
    let comparison = report.comparison;
    let lots = report.quantities.iter().zip(&comparison.orders);
    crate::json::pretty(&CompareJson {
        inkset: env!("CARGO_PKG_VERSION"),
        title: report.job.title.clone(),
        currency: report.currency().code(),
        quantities: lots
            .map(|(copies, orders)| LotJson {
                copies: *copies,
                orders: orders.normalize().to_string(),
            })
            .collect(),
        left_out: comparison.left_out.iter().map(|k| extra(*k)).collect(),
        options: comparison
            .options
            .iter()
            .map(|o| option(report, o))
            .collect(),
        offers: (0..report.offers.len())
            .map(|at| offer(report, at))
            .collect(),
        by_price: report
            .by_price
            .iter()
            .map(|a| award(report, a.as_ref()))
            .collect(),
        by_weights: report.by_weights.as_ref().map(|a| award(report, Some(a))),
        splits: report.splits.iter().map(|s| split(report, s)).collect(),
        schedules: schedules(report),
        assumptions: report.assumptions.clone(),
        cautions: report.cautions.clone(),
    })
}

/// JSON Schema of [`compare_json`]; equals `docs/compare.schema.json`.
pub fn compare_schema() -> String {
    crate::json::pretty(&schemars::schema_for!(CompareJson))
}

fn text(report: &CompareReport<'_>, amount: Money) -> String {
    amount.to_text(report.currency())
}

fn option(report: &CompareReport<'_>, option: &inkset_offers::ComparedOption) -> OptionJson {
    OptionJson {
        name: option.name.clone(),
        should_cost: option
            .should_cost
            .iter()
            .map(|m| text(report, *m))
            .collect(),
        colours: option.colour.map(|c| [c.holds, c.drifts, c.misses]),
    }
}

fn offer(report: &CompareReport<'_>, at: usize) -> OfferJson {
    let read = &report.offers[at];
    let compared = &report.comparison.offers[at];
    let name = |option: usize| report.option(option).to_owned();
    let options = (0..report.comparison.options.len()).filter_map(|o| offered(report, at, o));
    let measured = |figure: Measured| MeasuredJson {
        value: text(report, figure.value),
        plus_minus: figure.plus_minus.map(|m| text(report, m)),
    };
    let implied = compared.implied.options.iter().map(|rates| ImpliedJson {
        option: name(rates.option),
        fixed: measured(rates.fixed),
        per_thousand: measured(rates.per_thousand),
        range: rates.range.map(|(low, high)| [low, high]),
    });
    let inks = compared.ink_prices.iter().map(|ink| InkJson {
        solid: ink.solid.clone(),
        with: name(ink.with),
        without: name(ink.without),
        copies: ink.copies,
        asked: text(report, ink.asked),
        should: ink.should.map(|m| text(report, m)),
        second_pass: ink.second_pass.map(|m| text(report, m)),
    });
    OfferJson {
        supplier: compared.supplier.clone(),
        number: read.number.clone(),
        lead_days: read.lead_days,
        options: options.collect(),
        flags: flags(report, at),
        implied: implied.collect(),
        inks: inks.collect(),
    }
}

fn flags(report: &CompareReport<'_>, at: usize) -> Vec<FlagJson> {
    let own = report.offers[at].currency.value;
    let flags = report.comparison.offers[at].flags.iter();
    flags
        .map(|flag| {
            let said = flag_words(&flag.kind, own, report.currency());
            FlagJson {
                flag: said.name,
                option: flag.option.map(|option| report.option(option).to_owned()),
                copies: flag.copies,
                reason: said.head,
                detail: said.detail,
            }
        })
        .collect()
}

fn offered(report: &CompareReport<'_>, at: usize, option: usize) -> Option<OfferedJson> {
    let own = report.comparison.offers[at].prices[option].as_ref()?;
    let theirs = report.offers[at].currency.value;
    let amount = |m: Option<Money>| m.map(|m| text(report, m));
    let prices = own.prices.iter().enumerate().map(|(n, price)| {
        let both = price.total.zip(report.should(option, n));
        PriceJson {
            copies: report.quantities[n],
            offered: price.offered.map(|(m, _)| m.to_text(theirs)),
            offered_currency: theirs.code(),
            origin: origin_word(price),
            converted: amount(price.converted),
            steps: price
                .adjustments
                .iter()
                .map(|step| StepJson {
                    step: extra(step.kind),
                    amount: text(report, step.amount),
                })
                .collect(),
            comparable: amount(price.total),
            lacking: price
                .lacking
                .iter()
                .map(|k: &AdjustmentKind| extra(*k))
                .collect(),
            rank: own.ranks[n].map(|r| r.rank),
            tied: own.ranks[n].is_some_and(|r| r.tied),
            difference_percent: both
                .and_then(|(total, should)| percent(total, should))
                .map(|p| p.to_string()),
            least_bill: amount(own.exposure[n].map(|e| e.low)),
            highest_bill: amount(own.exposure[n].map(|e| e.high)),
        }
    });
    Some(OfferedJson {
        option: report.option(option).to_owned(),
        prices: prices.collect(),
        basket: amount(own.basket),
        rank: own.basket_rank.map(|r| r.rank),
        tied: own.basket_rank.is_some_and(|r| r.tied),
    })
}

fn award(report: &CompareReport<'_>, award: Option<&Award>) -> AwardJson {
    let candidates = award.into_iter().flat_map(|a| &a.candidates);
    AwardJson {
        candidates: candidates
            .map(|c| CandidateJson {
                supplier: report.supplier(c.offer).to_owned(),
                option: report.option(c.option).to_owned(),
                basket: text(report, c.basket),
                points: format!("{:.4}", c.points),
            })
            .collect(),
        tied: award.map_or(0, |a| a.tied),
        second_wins_below: award
            .and_then(|a| a.second_wins_below)
            .map(|m| text(report, m)),
        changes_at_colour_weight_percent: award
            .and_then(|a| a.changes_at_colour_weight)
            .map(|w| w.to_string()),
    }
}

fn split(report: &CompareReport<'_>, split: &Split) -> SplitJson {
    let name = |option: usize| report.option(option).to_owned();
    SplitJson {
        options: split.options.iter().map(|o| name(*o)).collect(),
        total: text(report, split.total),
        single: split
            .single
            .map(|(offer, _)| report.supplier(offer).to_owned()),
        saving: split.saving().map(|m| text(report, m)),
        lots: split
            .lots
            .iter()
            .map(|(option, at, offer, amount)| SplitLotJson {
                option: name(*option),
                copies: report.quantities[*at],
                supplier: report.supplier(*offer).to_owned(),
                amount: text(report, *amount),
            })
            .collect(),
    }
}

fn schedules(report: &CompareReport<'_>) -> Vec<ScheduleJson> {
    let amounts = |all: &[Option<Money>]| all.iter().map(|m| m.map(|m| text(report, m))).collect();
    let ranks = |all: &[Option<inkset_offers::Ranked>]| {
        all.iter().map(|r| r.map(|r| r.rank)).collect::<Vec<_>>()
    };
    let schedules = report.comparison.items.iter();
    schedules
        .map(|schedule| ScheduleJson {
            option: report.option(schedule.option).to_owned(),
            copies: schedule.copies,
            suppliers: schedule
                .offers
                .iter()
                .map(|offer| report.supplier(*offer).to_owned())
                .collect(),
            items: schedule
                .lines
                .iter()
                .map(|line| ItemJson {
                    item: line.name.clone(),
                    amounts: amounts(&line.amounts),
                    ranks: ranks(&line.ranks),
                })
                .collect(),
            sums: amounts(&schedule.sums),
            ranks: ranks(&schedule.ranks),
        })
        .collect()
}
