//! Small jobs written as text, planned on shipped conditions and priced with the example rate card.
#![allow(dead_code, reason = "every test uses another part of it")]

use std::fmt::Write;

use inkset_colour::{PrintingCondition, shipped};
use inkset_costing::Pricer;
use inkset_plan::{Conditions, ExtendedInk, Look, Plan, PlannedSet, Verdict, plan};
use inkset_spec::{Job, RateCard, read_job, read_rate_card};
use inkset_units::Money;

/// A brand colour of the made-up job.
#[derive(Debug, Clone)]
pub(crate) struct Brand {
    pub(crate) lab: [f64; 3],
    pub(crate) tolerance: f64,
    /// `allowed` or `refused`.
    pub(crate) solid: &'static str,
}

/// A booklet with pictures on its cover only, and brand colours on cover and text pages.
pub(crate) fn booklet(text_stock: &str, brands: &[Brand]) -> Job {
    let mut text = format!(
        r#"title = "Example"
currency = "EUR"
quantities = [1000, 20000]
overs = 0
variation = "controlled"
product = {{ kind = "saddle-stitched", size = "A5" }}
part = [
  {{ name = "cover", stock = "matt-200", pages = 4, bleed = "3 mm" }},
  {{ name = "text", stock = "{text_stock}", pages = 8, bleed = "3 mm" }},
]
picture = [ {{ part = "cover", pages = [1], area = 0.4, inks = {{ c = 0.3, m = 0.3, y = 0.3, k = 0.1 }} }} ]
[[colour]]
name = "Reading black"
cmyk = [0, 0, 0, 100]
condition = "coated-fogra39"
importance = "decorative"
tolerance = 20
solid = "refused"
uses = [ {{ part = "text", pages = "all", coverage = 0.09, as = "type" }} ]
"#
    );
    for (at, brand) in brands.iter().enumerate() {
        let ([l, a, b], page) = (brand.lab, at % 8 + 1);
        write!(
            text,
            r#"[[colour]]
name = "Brand {at}"
lab = [{l:.2}, {a:.2}, {b:.2}]
importance = "brand"
tolerance = {:.2}
solid = "{}"
solid_match = 1.0
uses = [
  {{ part = "cover", pages = [1], coverage = 0.1, tint = 100, as = "panel" }},
  {{ part = "text", pages = [{page}], coverage = 0.2, tint = 100, as = "panel" }},
]
"#,
            brand.tolerance, brand.solid
        )
        .unwrap();
    }
    let reading = read_job(&text);
    reading
        .value
        .unwrap_or_else(|| panic!("{:#?}", reading.notices))
}

/// The shipped example rate card.
pub(crate) fn card() -> RateCard {
    read_rate_card(include_str!("../../../../rates/metric.toml"))
        .value
        .unwrap()
}

/// The condition that a stock of the example card prints under.
pub(crate) fn condition_of(stock: &str) -> &'static PrintingCondition {
    let card = card();
    let stock = card.stocks.iter().find(|s| s.name.value == stock).unwrap();
    shipped(&stock.condition.value).unwrap()
}

/// The job's plan on the conditions of its stocks.
pub(crate) fn planned(job: &Job) -> Plan {
    planned_with(job, Vec::new())
}

/// The same at a plant with extended process inks.
pub(crate) fn planned_with(job: &Job, extended: Vec<ExtendedInk>) -> Plan {
    plan(job, &conditions(job, extended))
}

/// The conditions of a job's stocks.
pub(crate) fn conditions(job: &Job, extended: Vec<ExtendedInk>) -> Conditions<'static> {
    let coated = shipped("coated-fogra39").unwrap();
    Conditions {
        of_parts: job
            .parts
            .iter()
            .map(|part| condition_of(&part.stock.value))
            .collect(),
        plant: None,
        extended,
        looks: Look::of_job(job).unwrap(),
        named: vec![("coated-fogra39".to_owned(), coated)],
    }
}

/// Sets in which no colour misses.
pub(crate) fn accepted(plan: &Plan) -> impl Iterator<Item = &PlannedSet> {
    plan.sets
        .iter()
        .filter(|set| set.count(Verdict::Misses) == 0)
}

/// The cheapest price of the sets in which no colour misses.
pub(crate) fn cheapest_accepted(job: &Job, plan: &Plan, copies: u64) -> Option<Money> {
    let card = card();
    let pricer = Pricer::new(job, &card).unwrap();
    accepted(plan)
        .filter_map(|set| pricer.estimate(&set.print, copies).ok())
        .map(|estimate| estimate.total)
        .min()
}
