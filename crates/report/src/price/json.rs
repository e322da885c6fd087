//! Priced options for programs; the form is fixed by `docs/price.schema.json`.

use inkset_costing::{BreakEven, CostLine, Pair};
use inkset_plan::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

use super::by_hand::{ByHandJson, PrintingJson};
use super::range::{RangeJson, RangedJson};
use super::suggest::SuggestionJson;
use super::{PriceReport, PricedOption};
use crate::plan::{ColourJson, colours_json, ink_names};

/// The answer of `inkset price --format json`. Amounts are strings with the currency's decimals.
#[derive(Serialize, JsonSchema)]
struct PriceJson {
    /// Version of the program.
    inkset: &'static str,
    /// Title of the job.
    title: String,
    /// Client of the job.
    client: Option<String>,
    /// ISO 4217 code of every amount.
    currency: &'static str,
    /// The rate card.
    rates: RatesJson,
    /// Printing condition of each part.
    conditions: Vec<String>,
    /// Press variation that colours were judged by.
    variation: String,
    /// What was assumed because the files do not say it.
    assumptions: Vec<String>,
    /// What to keep in mind.
    cautions: Vec<String>,
    /// Every ink set worth pricing, fewest inks first.
    options: Vec<OptionJson>,
    /// Names of the options on the frontier at one or more quantities.
    frontier: Vec<String>,
    /// Name of the option that takes every build it can from the process inks.
    four_ink: Option<String>,
    /// Recommended option for each quantity.
    best: Vec<BestJson>,
    /// Copies more or less, in percent of the order, that a delivery may have.
    delivery_tolerance_percent: f64,
    /// Where the prices of every two options that are worth showing cross.
    break_evens: Vec<PairJson>,
    /// Where presses with plates and digital presses cross, for every option worth showing that both can print.
    digital_or_plates: Vec<PressKindsJson>,
    /// Changes that would save on the recommended option of a quantity, each priced as the job that it makes.
    suggestions: Vec<SuggestionJson>,
    /// Ways to print that the job sets by hand.
    printing: Vec<PrintingJson>,
    /// Rates of the card that are given as ranges.
    ranges: Vec<RangedJson>,
    /// Quantities beyond which an option costs less in all.
    warnings: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct PairJson {
    /// Names of the two options.
    options: [String; 2],
    /// Which is the cheaper one, quantity by quantity; one entry when they never cross, none when they are equal.
    cheaper: Vec<CheaperJson>,
}

#[derive(Serialize, JsonSchema)]
struct PressKindsJson {
    /// Name of the option.
    option: String,
    /// Which kind of press is the cheaper one, `plates` or `digital`, quantity by quantity.
    cheaper: Vec<CheaperJson>,
}

#[derive(Serialize, JsonSchema)]
struct CheaperJson {
    /// First quantity at which it is cheaper.
    from: u64,
    /// First quantity from which it stays cheaper: more than `from` where single sheets and packs change the order before.
    settled: u64,
    name: String,
}

#[derive(Serialize, JsonSchema)]
struct SplitJson {
    /// Total at no copies of the straight line through the totals.
    fixed: String,
    /// More for each 1,000 copies.
    per_thousand: String,
    /// Largest distance between the line and a total.
    worst: String,
}

#[derive(Serialize, JsonSchema)]
struct RatesJson {
    title: String,
    /// Day from which the rates hold.
    date: String,
    /// Example rates are not today's prices.
    example: bool,
}

#[derive(Serialize, JsonSchema)]
struct BestJson {
    quantity: u64,
    name: String,
}

#[derive(Serialize, JsonSchema)]
struct OptionJson {
    name: String,
    /// Letters of the process inks, then names of solids and effects.
    ink_set: Vec<String>,
    /// Inks on the side that carries most.
    units_needed: u32,
    /// Press at the first quantity; several parts may run on several presses.
    press: String,
    /// Passes through the press of the part that needs most.
    passes: u32,
    /// No colour misses.
    within_tolerance: bool,
    /// The worst verdict of all colours.
    verdict: &'static str,
    /// Largest ΔE00 at the aim.
    worst_delta_e: f64,
    colours: Vec<ColourJson>,
    /// Reasons other than colour to think twice.
    notes: Vec<String>,
    /// Fixed and variable part, by least squares around the quantities priced.
    split: Option<SplitJson>,
    quantities: Vec<QuantityJson>,
}

#[derive(Serialize, JsonSchema)]
struct QuantityJson {
    /// Copies.
    quantity: u64,
    /// Sum of the lines.
    total: String,
    per_thousand: String,
    /// Total less that of the four-ink option.
    difference: Option<String>,
    on_frontier: bool,
    /// What 1,000 more copies add.
    run_on: String,
    /// The same again from kept plates.
    reprint: String,
    /// Copies that a delivery may have more or less.
    leeway_copies: u64,
    /// What they are charged or credited, at the run-on.
    leeway_amount: String,
    press: String,
    passes: u32,
    /// How the versions of each part share the run; none without versions.
    versions: Vec<super::versions::PartVersionsJson>,
    /// Plates of every part, and those of another part that stay on for it.
    plates: Vec<super::plates::PartPlatesJson>,
    /// How low and how high the total may come out; null when no rate is a range.
    range: Option<RangeJson>,
    lines: Vec<LineJson>,
}

#[derive(Serialize, JsonSchema)]
struct LineJson {
    stage: &'static str,
    /// Part of the job; null when the line serves the whole product.
    part: Option<String>,
    item: String,
    /// How much, exactly as charged.
    quantity: String,
    unit: &'static str,
    /// Price of one unit.
    rate: String,
    /// Quantity times rate, rounded once.
    amount: String,
    /// Name of the formula, explained in `docs/costing.md`.
    formula: &'static str,
    /// Values it was reckoned from, with file and line.
    inputs: Vec<String>,
    /// The computed figures where one is set by hand; null otherwise.
    by_hand: Option<ByHandJson>,
}

/// For programs.
pub fn price_json(report: &PriceReport<'_>) -> String {
    let name = |at: usize| report.options[at].set.name.clone();
    let on_frontier = |option: &&PricedOption<'_>| option.on_frontier.contains(&true);
    crate::json::pretty(&PriceJson {
        inkset: env!("CARGO_PKG_VERSION"),
        title: report.plan.job.title.clone(),
        client: report.plan.job.client.clone(),
        currency: report.currency().code(),
        rates: RatesJson {
            title: report.card.title.clone(),
            date: report.card.date.value.clone(),
            example: report.card.example,
        },
        conditions: report.plan.conditions.to_vec(),
        variation: report.plan.plan.variation.name.clone().into_owned(),
        assumptions: report.assumptions.clone(),
        cautions: report.cautions.clone(),
        options: report
            .options
            .iter()
            .enumerate()
            .map(|(number, _)| option_json(report, number))
            .collect(),
        frontier: report
            .options
            .iter()
            .filter(on_frontier)
            .map(|option| option.set.name.clone())
            .collect(),
        four_ink: report.four_ink.map(name),
        best: report
            .best
            .iter()
            .zip(&report.quantities)
            .map(|(&at, &quantity)| BestJson {
                quantity,
                name: name(at),
            })
            .collect(),
        delivery_tolerance_percent: report.plan.job.delivery_tolerance.value.percent(),
        break_evens: report
            .break_evens
            .iter()
            .map(|pair| pair_json(report, pair))
            .collect(),
        digital_or_plates: report
            .digital
            .iter()
            .map(|kinds| kinds_json(report, kinds))
            .collect(),
        suggestions: super::suggest::json(report),
        printing: super::by_hand::printing_json(report),
        ranges: super::range::ranged_json(report),
        warnings: super::growth::fall_warnings(report),
    })
}

fn pair_json(report: &PriceReport<'_>, pair: &Pair) -> PairJson {
    let names = [pair.one, pair.other].map(|at| report.options[at].set.name.clone());
    let cheaper = cheaper_json(&pair.break_even, &names);
    PairJson {
        options: names,
        cheaper,
    }
}

fn kinds_json(
    report: &PriceReport<'_>,
    (option, break_even): &(usize, BreakEven),
) -> PressKindsJson {
    let kinds = [false, true].map(super::growth::kind_of_press);
    PressKindsJson {
        option: report.options[*option].set.name.clone(),
        cheaper: cheaper_json(break_even, &kinds),
    }
}

fn cheaper_json(break_even: &BreakEven, names: &[String; 2]) -> Vec<CheaperJson> {
    let named = |from, settled, second: bool| CheaperJson {
        from,
        settled,
        name: names[usize::from(second)].clone(),
    };
    match break_even {
        BreakEven::Equal => Vec::new(),
        BreakEven::Never {
            second_is_lower, ..
        } => vec![named(1, 1, *second_is_lower)],
        BreakEven::At(crossings) => {
            let before = crossings.first().map(|c| named(1, 1, !c.second_is_lower));
            let after = crossings
                .iter()
                .map(|c| named(c.first, c.settled, c.second_is_lower));
            before.into_iter().chain(after).collect()
        }
    }
}

/// JSON Schema of [`price_json`].
pub fn price_schema() -> String {
    crate::json::pretty(&schemars::schema_for!(PriceJson))
}

fn option_json(report: &PriceReport<'_>, number: usize) -> OptionJson {
    let option = &report.options[number];
    let set = option.set;
    let first = &option.estimates[0];
    OptionJson {
        name: set.name.clone(),
        ink_set: ink_names(report.plan, set),
        units_needed: first.units_needed(),
        press: super::press(first),
        passes: first.passes(),
        within_tolerance: set.count(Verdict::Misses) == 0,
        verdict: set.verdict().word(),
        worst_delta_e: set.worst_delta_e(),
        colours: colours_json(report.plan, set),
        notes: set
            .notes(report.plan.job, &report.plan.plan.rows)
            .into_iter()
            .map(|note| note.text)
            .collect(),
        split: option.growth.split.map(|split| SplitJson {
            fixed: split.fixed.to_text(report.currency()),
            per_thousand: split.per_thousand.to_text(report.currency()),
            worst: split.worst.to_text(report.currency()),
        }),
        quantities: (0..report.quantities.len())
            .map(|at| quantity_json(report, (number, option), at))
            .collect(),
    }
}

fn quantity_json(
    report: &PriceReport<'_>,
    (number, option): (usize, &PricedOption<'_>),
    at: usize,
) -> QuantityJson {
    let currency = report.currency();
    let estimate = &option.estimates[at];
    QuantityJson {
        quantity: report.quantities[at],
        total: estimate.total.to_text(currency),
        per_thousand: estimate.per_thousand.to_text(currency),
        difference: report
            .difference(option, at)
            .map(|difference| difference.to_text(currency)),
        on_frontier: option.on_frontier[at],
        run_on: estimate.run_on.to_text(currency),
        reprint: estimate.reprint.to_text(currency),
        leeway_copies: estimate.leeway.copies,
        leeway_amount: estimate.leeway.amount.to_text(currency),
        press: super::press(estimate),
        passes: estimate.passes(),
        versions: super::versions::json(report, estimate),
        plates: super::plates::json(report, estimate),
        range: super::range::range_json(report, number, at),
        lines: estimate
            .lines
            .iter()
            .map(|line| line_json(report, line))
            .collect(),
    }
}

fn line_json(report: &PriceReport<'_>, line: &CostLine) -> LineJson {
    LineJson {
        stage: line.stage.name(),
        part: line
            .part
            .map(|part| report.plan.job.parts[part].name.value.clone()),
        item: line.item.clone(),
        quantity: line.quantity.to_string(),
        unit: line.unit.name(),
        rate: line.rate.amount().to_string(),
        amount: line.amount.to_text(report.currency()),
        formula: line.formula,
        inputs: inputs(report, line),
        by_hand: line
            .by_hand
            .as_ref()
            .map(|hand| super::by_hand::json(hand, report)),
    }
}

/// `plate 8.5 (rates.toml:14)`, or `(assumed)`.
pub(super) fn inputs(report: &PriceReport<'_>, line: &CostLine) -> Vec<String> {
    let place = |place: Option<inkset_spec::Place>| {
        place.map_or("assumed".to_owned(), |place| report.place_text(place))
    };
    line.inputs
        .iter()
        .map(|input| format!("{} {} ({})", input.label, input.value, place(input.place)))
        .collect()
}
