//! Priced options: side by side, then line by line.

use std::collections::BTreeSet;

use inkset_costing::{
    BreakEven, CostLine, Estimate, Growth, InkId, InkKind, Pair, PartInks, Suggestion,
};
use inkset_plan::{PlannedSet, Verdict};
use inkset_spec::{FileRole, Job, Part, Place, ProductKind, RateCard, spine_mm};
use inkset_units::{Currency, Millimetres, Money};

use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, LETTERS, grouped, money_text};
use crate::plan::{PlanReport, colours_table, conditions_text, prediction_notes, tally};

mod by_hand;
mod csv;
mod explain;
mod growth;
mod json;
mod plates;
mod presses;
mod range;
mod suggest;
mod versions;

pub use csv::price_csv;
pub use explain::{ExplainedStage, explain_csv, explain_document, explain_json};
pub use growth::{break_even_texts, digital_texts, fall_warnings};
pub use json::{price_json, price_schema};
pub use presses::{PressesFrom, presses_by_quantity};
pub use range::{RangesReport, sensitivity_csv, sensitivity_document};

/// Quantities side by side in one table.
pub(crate) const QUANTITIES_A_TABLE: usize = 3;

/// Everything that `price` has to say.
pub struct PriceReport<'a> {
    /// Job, ink sets, printing conditions.
    pub plan: PlanReport<'a>,
    /// The rate card.
    pub card: &'a RateCard,
    /// Name of the job file and of the rate card, as the user gave them.
    pub files: [String; 2],
    /// Copies priced, ascending.
    pub quantities: Vec<u64>,
    /// One for each ink set that can be priced, in the order of the plan.
    pub options: Vec<PricedOption<'a>>,
    /// Index in `options` of the one that takes every build it can from the process inks, if it can be priced.
    pub four_ink: Option<usize>,
    /// Index in `options` of the recommended one, for each quantity.
    pub best: Vec<usize>,
    /// The recommended option of each quantity as the price alone would print it; empty where the job sets no way by hand.
    pub by_price_alone: Vec<Estimate>,
    /// Where the prices of every two options that are shown cross; indices into `options`.
    pub break_evens: Vec<Pair>,
    /// How presses with plates (first) and digital ones (second) compare, for each option shown that both can print.
    pub digital: Vec<(usize, BreakEven)>,
    /// What the ranges of the card do to the prices, if it has any.
    pub ranges: Option<RangesReport<'a>>,
    /// Moves that save on the recommended option, for each quantity, the largest saving first.
    pub suggestions: Vec<Vec<Suggestion>>,
    /// Assumptions in the order they were made.
    pub assumptions: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
}

/// One ink set with its price at each quantity.
pub struct PricedOption<'a> {
    /// The ink set.
    pub set: &'a PlannedSet,
    /// One for each quantity.
    pub estimates: Vec<Estimate>,
    /// Whether it is on the frontier, for each quantity.
    pub on_frontier: Vec<bool>,
    /// How its price grows with the quantity.
    pub growth: Growth,
}

impl PricedOption<'_> {
    fn name(&self) -> &str {
        &self.set.name
    }
}

impl PriceReport<'_> {
    /// Currency of every amount.
    pub fn currency(&self) -> Currency {
        self.card.currency.value
    }

    /// On the frontier at some quantity, recommended at some quantity, or the four-ink option.
    pub fn is_shown(&self, option: usize) -> bool {
        self.options[option].on_frontier.contains(&true)
            || self.best.contains(&option)
            || self.four_ink == Some(option)
    }

    /// The options worth showing, with their index in `options`.
    pub fn shown(&self) -> impl Iterator<Item = (usize, &PricedOption<'_>)> {
        self.options
            .iter()
            .enumerate()
            .filter(|(at, _)| self.is_shown(*at))
    }

    /// What an option costs more than the four-ink option.
    pub fn difference(&self, option: &PricedOption<'_>, quantity: usize) -> Option<Money> {
        let four = &self.options[self.four_ink?];
        Some(option.estimates[quantity].total - four.estimates[quantity].total)
    }

    /// `rates.toml:14`.
    fn place_text(&self, place: Place) -> String {
        let file = match place.file {
            FileRole::Job => &self.files[0],
            _ => &self.files[1],
        };
        format!("{file}:{}", place.line)
    }
}

/// For people: the colours in short, the options, the lines of the best option or of all.
pub fn price_document(report: &PriceReport<'_>, all_lines: bool) -> Document {
    let mut document = Document::default();
    opening(&mut document, report);
    colours(&mut document, report);
    options(&mut document, report);
    choice(&mut document, report);
    by_hand::list(&mut document, report);
    growth::quantities(&mut document, report);
    range::ranges(&mut document, report);
    suggest::suggestions(&mut document, report);
    lines(&mut document, report, all_lines);
    document.heading("Cautions");
    document.list(report.cautions.clone());
    document
}

pub(crate) fn opening(document: &mut Document, report: &PriceReport<'_>) {
    let job = report.plan.job;
    let client = job
        .client
        .as_ref()
        .map_or(String::new(), |client| format!(" for {client}"));
    document.heading(format!("{}{client}", job.title));
    document.text(format!("{}.", job_in_words(report)));
    let example = if report.card.example {
        ", example rates and not today's prices"
    } else {
        ""
    };
    document.text(format!(
        "Rates: {} of {}{example}. All amounts in {}, tax excluded.",
        report.card.title,
        report.card.date.value,
        report.currency()
    ));
}

/// `Folded leaflet, 99 × 210 mm; inside: 6 pages of gloss-135`.
pub fn job_in_words(report: &PriceReport<'_>) -> String {
    let job = report.plan.job;
    let kind = match job.product.kind.value {
        ProductKind::Flat => "Flat sheet",
        ProductKind::Folded => "Folded leaflet",
        ProductKind::SaddleStitched => "Saddle-stitched booklet",
        ProductKind::PerfectBound => "Perfect-bound book",
        ProductKind::SectionSewn => "Section-sewn book",
        ProductKind::Pad => "Pad",
        ProductKind::Set if job.is_in_books() => "Sets in books",
        ProductKind::Set => "Loose sets",
    };
    let parts: Vec<String> = job
        .parts
        .iter()
        .map(|part| part_in_words(job, part))
        .collect();
    let spine = job.product.kind.value.is_gathered();
    let spine = spine_mm(job, report.card).filter(|_| spine);
    let spine = spine.map_or(String::new(), |mm| format!(", spine {mm:.1} mm"));
    let gap = job.product.allowances.gap.value;
    let apart = if gap > Millimetres::ZERO {
        format!(", lying {gap} apart")
    } else {
        String::new()
    };
    format!(
        "{kind}, {}{spine}{apart}; {}",
        job.product.trim.value,
        parts.join("; ")
    )
}

fn part_in_words(job: &Job, part: &Part) -> String {
    let printed = match (job.product.kind.value, part.pages.value) {
        (kind, pages) if kind.is_folded() => format!("{pages} pages"),
        (_, 1) => "printed on one side".to_owned(),
        (_, _) => "printed on both sides".to_owned(),
    };
    let leaves = match (job.product.kind.value.has_leaves(), part.leaves.value) {
        (true, 1) => "1 leaf ".to_owned(),
        (true, leaves) => format!("{leaves} leaves "),
        (false, _) => String::new(),
    };
    let (name, stock) = (&part.name.value, &part.stock.value);
    format!("{name}: {leaves}{printed} of {stock}")
}

fn colours(document: &mut Document, report: &PriceReport<'_>) {
    if report.plan.plan.rows.is_empty() {
        return;
    }
    let four = &report.plan.plan.sets[report.plan.plan.four_ink];
    document.heading(format!("Colours from process inks alone: {}", tally(four)));
    document.text(conditions_text(report.plan));
    document.table(colours_table(report.plan, four));
}

fn options(document: &mut Document, report: &PriceReport<'_>) {
    document.heading("Options");
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::words("Ink set"),
        Column::figures("Units"),
        Column::figures("worst ΔE"),
        Column::words("Colours"),
    ]);
    for (number, (_, option)) in report.shown().enumerate() {
        let first = &option.estimates[0];
        table.row(vec![
            Cell::Count(number as u64 + 1),
            Cell::text(option.name()),
            Cell::Count(u64::from(first.units_needed())),
            Cell::DeltaE(option.set.worst_delta_e()),
            Cell::text(tally(option.set)),
        ]);
    }
    document.table(table);
    document.list(presses::press_lines(report));
    option_prices(document, report);
}

/// Totals of the options shown, quantity beside quantity, and what was left out.
pub(crate) fn option_prices(document: &mut Document, report: &PriceReport<'_>) {
    for from in (0..report.quantities.len()).step_by(QUANTITIES_A_TABLE) {
        document.table(prices(
            report,
            from..report.quantities.len().min(from + QUANTITIES_A_TABLE),
        ));
    }
    document.text(format!(
        "Total, per 1\u{a0}000 and difference from the process-ink option, in {}. * on the frontier: no option is both cheaper and better in colour.",
        report.currency()
    ));
    let hidden = report.options.len() - report.shown().count();
    if hidden > 0 {
        document.text(format!(
            "{hidden} more ink {} and print no better; `--format json` lists {}.",
            if hidden == 1 {
                "set would cost more"
            } else {
                "sets would cost more"
            },
            if hidden == 1 { "it" } else { "them" }
        ));
    }
}

fn prices(report: &PriceReport<'_>, quantities: std::ops::Range<usize>) -> Table {
    let mut columns = vec![Column::figures(""), Column::words("Ink set")];
    columns.extend(quantities.clone().map(|at| {
        Column::figures(format!(
            "{} copies",
            grouped(&report.quantities[at].to_string())
        ))
    }));
    let mut table = Table::new(columns);
    for (number, (_, option)) in report.shown().enumerate() {
        let mut cells = vec![Cell::Count(number as u64 + 1), Cell::text(option.name())];
        cells.extend(
            quantities
                .clone()
                .map(|quantity| price_cell(report, option, quantity)),
        );
        table.row(cells);
    }
    table
}

fn price_cell(report: &PriceReport<'_>, option: &PricedOption<'_>, quantity: usize) -> Cell {
    let currency = report.currency();
    let estimate = &option.estimates[quantity];
    let mark = if option.on_frontier[quantity] {
        "*\u{a0}"
    } else {
        ""
    };
    let mut stack = vec![
        Cell::text(format!("{mark}{}", money_text(estimate.total, currency))),
        Cell::text(format!(
            "{}\u{a0}/1\u{a0}000",
            money_text(estimate.per_thousand, currency)
        )),
    ];
    match report.difference(option, quantity) {
        Some(difference) if difference != Money::ZERO => {
            stack.push(Cell::Difference(difference, currency));
        }
        _ => {}
    }
    Cell::Stack(stack)
}

fn choice(document: &mut Document, report: &PriceReport<'_>) {
    document.heading("Choice");
    let sentences = report
        .best
        .iter()
        .enumerate()
        .map(|(quantity, &best)| choice_text(report, quantity, best));
    let mut sets: Vec<usize> = report.best.clone();
    sets.sort_unstable();
    sets.dedup();
    let predicted = sets.into_iter().flat_map(|option| {
        prediction_notes(report.plan, report.options[option].set)
            .into_iter()
            .map(move |note| format!("{}: {note}", report.options[option].set.name))
    });
    document.list(sentences.chain(predicted).collect());
}

fn choice_text(report: &PriceReport<'_>, quantity: usize, best: usize) -> String {
    let option = &report.options[best];
    let why = match option.set.verdict() {
        Verdict::Holds => "the cheapest in which every colour holds",
        Verdict::Drifts => {
            "the cheapest in which no colour misses and fewest drift; no option holds them all on press"
        }
        Verdict::Misses => {
            "the cheapest in which fewest colours miss; no option brings them all within tolerance"
        }
    };
    let extra = match report.difference(option, quantity) {
        Some(difference) if difference > Money::ZERO => {
            format!(
                "; {} more than process inks alone",
                money_text(difference, report.currency())
            )
        }
        Some(difference) if difference < Money::ZERO => {
            format!(
                "; {} less than process inks alone",
                money_text(-difference, report.currency())
            )
        }
        _ => String::new(),
    };
    format!(
        "{} copies: {} for {} {}, {why}{extra}",
        grouped(&report.quantities[quantity].to_string()),
        option.name(),
        report.currency(),
        money_text(option.estimates[quantity].total, report.currency())
    )
}

fn lines(document: &mut Document, report: &PriceReport<'_>, all: bool) {
    for quantity in 0..report.quantities.len() {
        for (at, option) in report.options.iter().enumerate() {
            if all || report.best[quantity] == at {
                breakdown(document, report, option, quantity);
            }
        }
    }
}

fn breakdown(
    document: &mut Document,
    report: &PriceReport<'_>,
    option: &PricedOption<'_>,
    quantity: usize,
) {
    let estimate = &option.estimates[quantity];
    document.heading(format!(
        "{}, {} copies, line by line",
        option.name(),
        grouped(&report.quantities[quantity].to_string())
    ));
    document.list(how(report, option, estimate));
    let currency = report.currency();
    let mut table = Table::new(vec![
        Column::words("Stage"),
        Column::words("Item"),
        Column::figures("Quantity"),
        Column::figures("Rate"),
        Column::figures(format!("{currency}")),
    ]);
    for line in &estimate.lines {
        table.row(line_cells(report, line));
    }
    table.total(vec![
        Cell::text("Total"),
        Cell::Empty,
        Cell::Empty,
        Cell::Empty,
        Cell::Money(estimate.total, currency),
    ]);
    document.table(table);
}

fn line_cells(report: &PriceReport<'_>, line: &CostLine) -> Vec<Cell> {
    let parts = &report.plan.job.parts;
    let part = line
        .part
        .filter(|_| parts.len() > 1)
        .map(|part| &parts[part].name.value);
    let mut item = part.map_or(line.item.clone(), |part| format!("{part}: {}", line.item));
    if let Some(hand) = &line.by_hand {
        item = format!("{item}; {}", by_hand::text(hand, report));
    }
    vec![
        Cell::text(line.stage.name()),
        Cell::text(item),
        Cell::text(format!(
            "{}\u{a0}{}",
            grouped(&line.quantity.normalize().to_string()),
            line.unit.name()
        )),
        Cell::text(grouped(&line.rate.amount().normalize().to_string())),
        Cell::Money(line.amount, report.currency()),
    ]
}

/// How each part is printed, and what came next.
fn how(report: &PriceReport<'_>, option: &PricedOption<'_>, estimate: &Estimate) -> Vec<String> {
    let parts = estimate.parts.iter().flat_map(|choice| {
        let part = &report.plan.job.parts[choice.part].name.value;
        let own = format!(
            "{part}: {choice}; {} press sheets, {} plate{}{}",
            grouped(&choice.press_sheets.to_string()),
            choice.plates,
            if choice.plates == 1 { "" } else { "s" },
            own_inks(option.set, choice.part)
        );
        let plates = plates::told(report, choice);
        let versions = versions::told(report, choice);
        [own].into_iter().chain(plates).chain(versions)
    });
    let next = estimate.runner_up.iter().map(|runner_up| {
        let more = runner_up.total - estimate.total;
        let own = plates::of_its_own(report, &runner_up.choice);
        let parts = &report.plan.job.parts;
        let part = match parts.len() {
            1 => String::new(),
            _ => format!("{}: ", parts[runner_up.choice.part].name.value),
        };
        let other = format!("{part}{}{own}", runner_up.choice);
        if more == Money::ZERO {
            return format!("As cheap: {other}");
        }
        let dearer = money_text(more, report.currency());
        format!("Next cheapest: {other}, {dearer} dearer")
    });
    parts.chain(next).collect()
}

/// `; prints CMYK + Pumpkin orange`, where not all parts carry the same inks.
fn own_inks(set: &PlannedSet, part: usize) -> String {
    let of = |inks: &PartInks| -> BTreeSet<InkId> {
        let on_pages = inks.pages.iter().flat_map(|page| &page.inks);
        on_pages.map(|(ink, _)| *ink).collect()
    };
    let own = of(&set.print.parts[part]);
    if set.print.parts.iter().all(|other| of(other) == own) {
        return String::new();
    }
    let (mut process, mut others) = (String::new(), Vec::new());
    for ink in own {
        let spec = &set.print.inks[usize::from(ink.0)];
        match spec.kind {
            InkKind::Process(n) => process.push_str(LETTERS[usize::from(n)]),
            _ => others.push(spec.name.clone()),
        }
    }
    if !process.is_empty() {
        others.insert(0, process);
    }
    if others.is_empty() {
        return "; no ink".to_owned();
    }
    format!("; prints {}", others.join(" + "))
}

/// Names of the presses of all parts.
fn press(estimate: &Estimate) -> String {
    estimate.presses().join(" + ")
}

/// Said with every price.
pub fn price_cautions(card: &RateCard) -> Vec<String> {
    let mut cautions = vec![
        CAUTION_SCREEN.trim_end_matches('.').to_owned(),
        "An estimate is not an offer until a person has checked and issued it".to_owned(),
        "Packaging that touches food, toys and cosmetics needs inks and papers cleared for that use by the responsible people under local rules".to_owned(),
        "Wash-up solvents and coatings: follow the safety data sheet; trained staff only".to_owned(),
    ];
    if card.example {
        cautions.insert(
            0,
            "The rate card is marked as an example: its rates are invented and not today's prices"
                .to_owned(),
        );
    }
    cautions
}
