//! Price against colour: the options weighed, what each solid adds, what a budget buys.

use inkset_costing::PriceTag;
use inkset_plan::Verdict;
use inkset_units::{Currency, Money};

use crate::document::{Cell, Column, Document, Table};
use crate::figures::{grouped, money_text};
use crate::price::{PriceReport, PricedOption, QUANTITIES_A_TABLE, opening, option_prices};

mod csv;
mod json;
mod words;

pub use csv::weigh_csv;
pub use json::{weigh_json, weigh_schema};
pub use words::plain_words;

/// Everything that `weigh` has to say.
pub struct WeighReport<'a> {
    /// The priced options.
    pub price: &'a PriceReport<'a>,
    /// What each solid adds; or why that cannot be told.
    pub tags: Result<Vec<SolidTags>, String>,
    /// Required solids beyond those that are shared out: they are in every price.
    pub fixed: Vec<usize>,
    /// For each quantity the cheapest option in which every colour holds.
    pub holds: Vec<Option<usize>>,
    /// The budget that was asked about.
    pub budget: Option<Budget>,
    /// What looser tolerances save, colour by colour.
    pub looser: Vec<Looser>,
    /// Colours whose tolerance was left alone because there are so many: indices into the job's colours.
    pub not_loosened: Vec<usize>,
}

/// What one solid adds to the price.
pub struct SolidTags {
    /// Index into the job's colours.
    pub colour: usize,
    /// One for each quantity.
    pub tags: Vec<PriceTag>,
}

/// What a budget buys.
pub struct Budget {
    /// The most that the job may cost.
    pub limit: Money,
    /// For each quantity the option with the best colour within the limit.
    pub best: Vec<Option<usize>>,
}

/// What a looser tolerance of one colour saves.
pub struct Looser {
    /// Index into the job's colours.
    pub colour: usize,
    /// Tolerance of the job, ΔE00.
    pub from: f64,
    /// Looser tolerance, ΔE00.
    pub to: f64,
    /// Why this tolerance is told.
    pub why: LooserWhy,
    /// One for each quantity.
    pub prices: Vec<LooserPrice>,
}

/// Why a looser tolerance is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LooserWhy {
    /// One ΔE00 more than the job's.
    OneMore,
    /// At this one the colour holds when printed from the four process inks.
    FourInksHold,
}

/// The cheapest option that is as good under the looser tolerance as the recommended one is under the job's.
pub struct LooserPrice {
    /// Its ink set.
    pub set: String,
    /// Total of the recommended option.
    pub before: Money,
    /// Total of the cheapest as good under the looser tolerance.
    pub after: Money,
}

impl LooserPrice {
    /// Nothing or more.
    pub fn saved(&self) -> Money {
        self.before - self.after
    }
}

impl WeighReport<'_> {
    /// Currency of every amount.
    pub fn currency(&self) -> Currency {
        self.price.card.currency.value
    }

    /// Name of a colour of the job.
    pub fn colour_name(&self, colour: usize) -> &str {
        &self.price.plan.job.colours[colour].name.value
    }

    fn money(&self, amount: Money) -> String {
        money_text(amount, self.currency())
    }

    fn copies(&self, quantity: usize) -> String {
        format!(
            "{} copies",
            grouped(&self.price.quantities[quantity].to_string())
        )
    }

    /// Options on the frontier at a quantity, cheapest first.
    pub fn frontier(&self, quantity: usize) -> Vec<usize> {
        let options = &self.price.options;
        let mut on: Vec<usize> = (0..options.len())
            .filter(|&at| options[at].on_frontier[quantity])
            .collect();
        on.sort_by_key(|&at| options[at].estimates[quantity].total);
        on
    }
}

/// All solids less none, at a quantity.
fn all_less_none(tags: &[SolidTags], quantity: usize) -> Money {
    tags.iter().map(|tag| tag.tags[quantity].share).sum()
}

/// For people.
pub fn weigh_document(report: &WeighReport<'_>) -> Document {
    let mut document = Document::default();
    opening(&mut document, report.price);
    document.heading("In plain words");
    for paragraph in plain_words(report) {
        document.text(paragraph);
    }
    document.heading("Price and colour of the options");
    document.table(colour_table(report));
    option_prices(&mut document, report.price);
    document.text(
        "Weighted ΔE: mean of all colours at the aim, a brand colour counted 3 times, a matching one 1.71 times.",
    );
    document.heading("What the next step buys");
    document.list(steps(report));
    document.heading("Answers");
    document.table(answers(report));
    tags(&mut document, report);
    looser(&mut document, report);
    document.heading("Cautions");
    document.list(report.price.cautions.clone());
    document
}

fn colour_table(report: &WeighReport<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::words("Ink set"),
        Column::figures("worst ΔE"),
        Column::figures("weighted ΔE"),
        Column::figures("Hold"),
        Column::figures("Drift"),
        Column::figures("Miss"),
    ]);
    for (number, (_, option)) in report.price.shown().enumerate() {
        let count = |verdict| Cell::Count(option.set.count(verdict) as u64);
        table.row(vec![
            Cell::Count(number as u64 + 1),
            Cell::text(&option.set.name),
            Cell::DeltaE(option.set.worst_delta_e()),
            Cell::DeltaE(weighted(report, option)),
            count(Verdict::Holds),
            count(Verdict::Drifts),
            count(Verdict::Misses),
        ]);
    }
    table
}

fn weighted(report: &WeighReport<'_>, option: &PricedOption<'_>) -> f64 {
    option.set.weighted_delta_e(&report.price.plan.plan.rows)
}

/// From each option on the frontier to the next dearer one.
fn steps(report: &WeighReport<'_>) -> Vec<String> {
    let quantities = 0..report.price.quantities.len();
    quantities
        .map(|quantity| step_text(report, quantity))
        .collect()
}

fn step_text(report: &WeighReport<'_>, quantity: usize) -> String {
    let options = &report.price.options;
    let mut said = Vec::new();
    let mut before: Option<usize> = None;
    for at in report.frontier(quantity) {
        let option = &options[at];
        let total = option.estimates[quantity].total;
        let colour = format!(
            "worst ΔE {:.2}, {}",
            option.set.worst_delta_e(),
            crate::plan::tally(option.set)
        );
        said.push(match before {
            None => format!("{} for {} ({colour})", option.set.name, report.money(total)),
            Some(before) => format!(
                "then {} for {} more ({colour})",
                option.set.name,
                report.money(total - options[before].estimates[quantity].total)
            ),
        });
        before = Some(at);
    }
    format!("{}: {}", report.copies(quantity), said.join("; "))
}

fn answers(report: &WeighReport<'_>) -> Table {
    let mut columns = vec![
        Column::figures("Copies"),
        Column::words("Cheapest that holds every colour"),
        Column::figures(report.currency().code()),
    ];
    if let Some(budget) = &report.budget {
        let limit = report.money(budget.limit);
        columns.push(Column::words(format!("Best colour within {limit}")));
        columns.push(Column::figures("left"));
    }
    let mut table = Table::new(columns);
    for (at, quantity) in report.price.quantities.iter().enumerate() {
        let mut cells = vec![Cell::Count(*quantity)];
        cells.extend(holds_cells(report, at));
        if let Some(budget) = &report.budget {
            cells.extend(budget_cells(report, budget, at));
        }
        table.row(cells);
    }
    table
}

fn holds_cells(report: &WeighReport<'_>, quantity: usize) -> [Cell; 2] {
    match report.holds[quantity] {
        Some(at) => {
            let option = &report.price.options[at];
            let total = option.estimates[quantity].total;
            [
                Cell::text(&option.set.name),
                Cell::Money(total, report.currency()),
            ]
        }
        None => [Cell::text("none"), Cell::Empty],
    }
}

/// What a budget buys and what is left of it; below zero, what it falls short of the cheapest.
fn budget_cells(report: &WeighReport<'_>, budget: &Budget, quantity: usize) -> [Cell; 2] {
    let left = |total: Money| Cell::Money(budget.limit - total, report.currency());
    if let Some(at) = budget.best[quantity] {
        let option = &report.price.options[at];
        let text = format!("{} ({})", option.set.name, crate::plan::tally(option.set));
        return [Cell::text(text), left(option.estimates[quantity].total)];
    }
    let options = report.price.options.iter();
    let cheapest = options.min_by_key(|option| option.estimates[quantity].total);
    let cheapest = cheapest.expect("a priced job has options");
    let text = format!("nothing; cheapest is {}", cheapest.set.name);
    [Cell::text(text), left(cheapest.estimates[quantity].total)]
}

fn tags(document: &mut Document, report: &WeighReport<'_>) {
    document.heading("Price tag of each solid");
    let tags = match &report.tags {
        Ok(tags) if tags.is_empty() => {
            document.text("No colour of the job may take a solid ink.");
            return;
        }
        Ok(tags) => tags,
        Err(why) => {
            document.text(format!("Cannot be told: {why}."));
            return;
        }
    };
    for quantity in 0..report.price.quantities.len() {
        document.table(tags_table(report, tags, quantity));
    }
    document.text(format!(
        "In {}: the job with the solid less the job without it. Alone: with no other solid. Last: with all others there already. Share: averaged over every order in which the solids can join, which splits a pass or a press that they share; the shares sum to the price with all solids less the price with none. A solid that is there prints its colour even where a build would serve; a minus means that it saves more process inks than it costs.",
        report.currency()
    ));
    let effects = tags.iter().filter(|tag| {
        let colour = &report.price.plan.job.colours[tag.colour];
        colour.effect.is_some()
    });
    document.list(
        effects
            .map(|tag| {
                let name = report.colour_name(tag.colour);
                format!("{name} is an effect: without its ink, what it prints stays blank")
            })
            .collect(),
    );
    document.list(
        report
            .fixed
            .iter()
            .map(|colour| {
                let name = report.colour_name(*colour);
                format!("{name} is required and in every price; at most 12 solids are shared out")
            })
            .collect(),
    );
}

fn tags_table(report: &WeighReport<'_>, tags: &[SolidTags], quantity: usize) -> Table {
    let currency = report.currency();
    let mut table = Table::new(vec![
        Column::words(report.copies(quantity)),
        Column::figures("Alone"),
        Column::figures("Last"),
        Column::figures("Share"),
    ]);
    let difference = |amount| Cell::Difference(amount, currency);
    for tag in tags {
        let figures = tag.tags[quantity];
        table.row(vec![
            Cell::text(report.colour_name(tag.colour)),
            difference(figures.alone),
            difference(figures.beside_others),
            difference(figures.share),
        ]);
    }
    table.total(vec![
        Cell::text("All solids less none"),
        Cell::Empty,
        Cell::Empty,
        difference(all_less_none(tags, quantity)),
    ]);
    table
}

fn looser(document: &mut Document, report: &WeighReport<'_>) {
    if report.looser.is_empty() {
        return;
    }
    document.heading("What a looser tolerance saves");
    let all = report.price.quantities.len();
    for from in (0..all).step_by(QUANTITIES_A_TABLE) {
        let quantities = from..all.min(from + QUANTITIES_A_TABLE);
        document.table(looser_table(report, quantities));
    }
    document.text(format!(
        "Saved in {} by planning again with the looser tolerance: the recommended option less the cheapest that is as good then. * at this tolerance the colour holds on press when printed from the four process inks.",
        report.currency()
    ));
    if !report.not_loosened.is_empty() {
        let names = report.not_loosened.iter();
        let names: Vec<&str> = names.map(|at| report.colour_name(*at)).collect();
        document.text(format!(
            "Only the most important colours are tried; left out: {}.",
            names.join(", ")
        ));
    }
}

fn looser_table(report: &WeighReport<'_>, quantities: std::ops::Range<usize>) -> Table {
    let mut columns = vec![
        Column::words("Colour"),
        Column::figures("accepted"),
        Column::figures("looser"),
    ];
    columns.extend(
        quantities
            .clone()
            .map(|at| Column::figures(report.copies(at))),
    );
    let mut table = Table::new(columns);
    for looser in &report.looser {
        let mark = match looser.why {
            LooserWhy::OneMore => "",
            LooserWhy::FourInksHold => "*\u{a0}",
        };
        let mut cells = vec![
            Cell::text(report.colour_name(looser.colour)),
            Cell::Number(looser.from, 2),
            Cell::text(format!("{mark}{:.2}", looser.to)),
        ];
        let saved = looser.prices[quantities.clone()].iter();
        cells.extend(saved.map(|price| Cell::Money(price.saved(), report.currency())));
        table.row(cells);
    }
    table
}
