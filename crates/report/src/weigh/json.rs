//! Price against colour for programs; the form is fixed by `docs/weigh.schema.json`.

use inkset_plan::Verdict;
use inkset_units::Money;
use schemars::JsonSchema;
use serde::Serialize;

use super::{LooserWhy, WeighReport};
use crate::plan::ink_names;
use crate::price::PricedOption;

/// The answer of `inkset weigh --format json`. Amounts are strings with the currency's decimals.
#[derive(Serialize, JsonSchema)]
struct WeighJson {
    /// Version of the program.
    inkset: &'static str,
    /// Title of the job.
    title: String,
    /// ISO 4217 code of every amount.
    currency: &'static str,
    /// The decision without trade words, paragraph by paragraph.
    plain_words: Vec<String>,
    /// What was assumed because the files do not say it.
    assumptions: Vec<String>,
    /// What to keep in mind.
    cautions: Vec<String>,
    /// Every ink set worth pricing, fewest inks first.
    options: Vec<OptionJson>,
    /// The answers for each quantity.
    quantities: Vec<AnswersJson>,
    /// What each solid adds; null when it cannot be told.
    price_tags: Option<Vec<TagsJson>>,
    /// Why there are no price tags.
    no_price_tags: Option<String>,
    /// Required solids that are in every price and share in no tag.
    in_every_price: Vec<String>,
    /// What looser tolerances save.
    looser: Vec<LooserJson>,
    /// Colours whose tolerance was left alone because only the most important are tried.
    not_loosened: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct OptionJson {
    name: String,
    /// Letters of the process inks, then names of solids and effects.
    ink_set: Vec<String>,
    /// Largest ΔE00 at the aim.
    worst_delta_e: f64,
    /// Mean ΔE00 at the aim, weighted by importance: brand 3, matching 12/7, decorative 1.
    weighted_delta_e: f64,
    /// Colours inside their tolerance at the aim and on press.
    holds: usize,
    /// Colours inside it at the aim only.
    drifts: usize,
    /// Colours outside it.
    misses: usize,
    /// Price at each quantity.
    prices: Vec<PriceJson>,
}

#[derive(Serialize, JsonSchema)]
struct PriceJson {
    quantity: u64,
    total: String,
    per_thousand: String,
    on_frontier: bool,
}

#[derive(Serialize, JsonSchema)]
struct AnswersJson {
    quantity: u64,
    /// Options that no other beats in both price and colour, cheapest first.
    frontier: Vec<String>,
    /// The recommended option.
    recommended: String,
    /// The cheapest option in which every colour holds.
    cheapest_that_holds: Option<String>,
    /// The budget that was asked about.
    budget: Option<String>,
    /// The option with the best colour within the budget.
    best_within_budget: Option<String>,
    /// Price with all solids less price with none: the sum of the shares.
    all_solids_less_none: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct TagsJson {
    /// Colour that the solid is mixed for.
    solid: String,
    tags: Vec<TagJson>,
}

#[derive(Serialize, JsonSchema)]
struct TagJson {
    quantity: u64,
    /// With it alone less with no solid.
    alone: String,
    /// With all solids less with all but it.
    last: String,
    /// Averaged over every order in which the solids can join.
    share: String,
}

#[derive(Serialize, JsonSchema)]
struct LooserJson {
    colour: String,
    /// Tolerance of the job, ΔE00.
    tolerance: f64,
    /// The looser one.
    looser_tolerance: f64,
    /// `one more delta E` or `four inks hold`.
    why: &'static str,
    savings: Vec<SavingJson>,
}

#[derive(Serialize, JsonSchema)]
struct SavingJson {
    quantity: u64,
    /// Total of the recommended option.
    before: String,
    /// Total of the cheapest option that is as good under the looser tolerance.
    after: String,
    /// Before less after.
    saves: String,
    /// The option after.
    option: String,
}

/// For programs.
pub fn weigh_json(report: &WeighReport<'_>) -> String {
    let names = |colours: &[usize]| -> Vec<String> {
        let names = colours.iter().map(|at| report.colour_name(*at).to_owned());
        names.collect()
    };
    crate::json::pretty(&WeighJson {
        inkset: env!("CARGO_PKG_VERSION"),
        title: report.price.plan.job.title.clone(),
        currency: report.currency().code(),
        plain_words: super::plain_words(report),
        assumptions: report.price.assumptions.clone(),
        cautions: report.price.cautions.clone(),
        options: report
            .price
            .options
            .iter()
            .map(|option| option_json(report, option))
            .collect(),
        quantities: (0..report.price.quantities.len())
            .map(|at| answers_json(report, at))
            .collect(),
        price_tags: tags_json(report),
        no_price_tags: report.tags.as_ref().err().cloned(),
        in_every_price: names(&report.fixed),
        looser: looser_json(report),
        not_loosened: names(&report.not_loosened),
    })
}

/// JSON Schema of [`weigh_json`].
pub fn weigh_schema() -> String {
    crate::json::pretty(&schemars::schema_for!(WeighJson))
}

fn option_json(report: &WeighReport<'_>, option: &PricedOption<'_>) -> OptionJson {
    let set = option.set;
    let money = |amount: Money| amount.to_text(report.currency());
    let prices = option.estimates.iter().zip(&option.on_frontier);
    OptionJson {
        name: set.name.clone(),
        ink_set: ink_names(report.price.plan, set),
        worst_delta_e: set.worst_delta_e(),
        weighted_delta_e: super::weighted(report, option),
        holds: set.count(Verdict::Holds),
        drifts: set.count(Verdict::Drifts),
        misses: set.count(Verdict::Misses),
        prices: prices
            .map(|(estimate, on_frontier)| PriceJson {
                quantity: estimate.quantity,
                total: money(estimate.total),
                per_thousand: money(estimate.per_thousand),
                on_frontier: *on_frontier,
            })
            .collect(),
    }
}

fn answers_json(report: &WeighReport<'_>, at: usize) -> AnswersJson {
    let name = |option: usize| report.price.options[option].set.name.clone();
    let money = |amount: Money| amount.to_text(report.currency());
    let budget = report.budget.as_ref();
    let tags = report.tags.as_ref().ok();
    AnswersJson {
        quantity: report.price.quantities[at],
        frontier: report.frontier(at).into_iter().map(name).collect(),
        recommended: name(report.price.best[at]),
        cheapest_that_holds: report.holds[at].map(name),
        budget: budget.map(|budget| money(budget.limit)),
        best_within_budget: budget.and_then(|budget| budget.best[at].map(name)),
        all_solids_less_none: tags.map(|tags| money(super::all_less_none(tags, at))),
    }
}

fn tags_json(report: &WeighReport<'_>) -> Option<Vec<TagsJson>> {
    let money = |amount: Money| amount.to_text(report.currency());
    let solids = report.tags.as_ref().ok()?.iter().map(|solid| {
        let tags = report.price.quantities.iter().zip(&solid.tags);
        TagsJson {
            solid: report.colour_name(solid.colour).to_owned(),
            tags: tags
                .map(|(quantity, tag)| TagJson {
                    quantity: *quantity,
                    alone: money(tag.alone),
                    last: money(tag.beside_others),
                    share: money(tag.share),
                })
                .collect(),
        }
    });
    Some(solids.collect())
}

fn looser_json(report: &WeighReport<'_>) -> Vec<LooserJson> {
    let money = |amount: Money| amount.to_text(report.currency());
    let looser = report.looser.iter().map(|looser| {
        let savings = report.price.quantities.iter().zip(&looser.prices);
        LooserJson {
            colour: report.colour_name(looser.colour).to_owned(),
            tolerance: looser.from,
            looser_tolerance: looser.to,
            why: match looser.why {
                LooserWhy::OneMore => "one more delta E",
                LooserWhy::FourInksHold => "four inks hold",
            },
            savings: savings
                .map(|(quantity, price)| SavingJson {
                    quantity: *quantity,
                    before: money(price.before),
                    after: money(price.after),
                    saves: money(price.saved()),
                    option: price.set.clone(),
                })
                .collect(),
        }
    });
    looser.collect()
}
