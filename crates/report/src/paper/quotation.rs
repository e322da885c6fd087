//! The estimator's quotation to the customer.

use inkset_costing::Estimate;
use inkset_plan::{Conditions, PlannedSet, Rendering, RenderingKind, Row, Verdict};
use inkset_spec::{Job, PaperPrice, RateCard, Stock};
use inkset_units::Money;
use serde::{Deserialize, Serialize};

use super::specification::{counted, delivery, inks, specification};
use super::{Paper, PaperBlock, paper_colours};
use crate::document::{Cell, Column, Table};
use crate::figures::{CAUTION_SCREEN, grouped, money_text};
use crate::plan::{prediction_notes, printed_as};
use crate::price::{PriceReport, PricedOption};
use crate::reach::seen_as;

/// What the text of an estimate that nobody has checked begins with.
const DRAFT: &str = "Draft. An estimate is not an offer until a person has checked and issued it.";

/// Everything that a quotation says.
pub struct Quotation<'a> {
    /// The job, its prices, the rate card.
    pub price: &'a PriceReport<'a>,
    /// The ink set that is quoted, and what it was judged on.
    pub set: (&'a PlannedSet, &'a Conditions<'a>),
    /// Index of the option in [`PriceReport::options`].
    pub option: usize,
    /// What was assumed because the job does not say it.
    pub assumed: Vec<String>,
    /// Number, if it has one yet.
    pub number: Option<String>,
    /// Day of the quotation, ISO 8601.
    pub date: String,
    /// Last day on which it holds, ISO 8601, if the rate card says how long.
    pub valid_until: Option<String>,
    /// Who checked and issued it, and the digest of its record; `None` while it is a draft.
    pub issued: Option<Issued>,
}

/// A quotation that a person has checked and issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issued {
    /// Who checked it.
    pub by: String,
    /// SHA-256 of its record, in hexadecimal digits.
    pub digest: String,
}

impl<'a> Quotation<'a> {
    fn chosen(&self) -> &'a PricedOption<'a> {
        &self.price.options[self.option]
    }

    fn money(&self, amount: Money) -> String {
        money_text(amount, self.price.currency())
    }
}

/// The paper.
pub fn quotation_paper(quotation: &Quotation<'_>) -> Paper {
    let (job, card) = (quotation.price.plan.job, quotation.price.card);
    let supplier = &card.supplier;
    let mut from: Vec<String> = supplier.name.iter().map(|n| n.value.clone()).collect();
    from.extend(supplier.address.iter().cloned());
    from.extend(supplier.contact.clone());
    let mut paper = Paper {
        kind: "Quotation",
        title: job.title.clone(),
        draft: quotation.issued.is_none().then(|| DRAFT.to_owned()),
        from,
        to: job.client.iter().cloned().collect(),
        facts: facts(quotation),
        blocks: Vec::new(),
        foot: foot(quotation),
    };
    prices(&mut paper, quotation);
    paper.heading("What is quoted");
    paper.table(specification(job, card));
    let inks = inks(job, &quotation.set.0.print).into_iter();
    paper.list(
        "Inks",
        inks.map(|(place, names)| format!("{place}: {names}"))
            .collect(),
    );
    colours(&mut paper, quotation);
    paper.list("Included", included(quotation));
    paper.list("Not included", excluded(quotation));
    paper.list("Terms", terms(quotation));
    paper.list(
        "Taken as given, because the job does not say",
        quotation.assumed.clone(),
    );
    paper.list("Mind", cautions(quotation));
    acceptance(&mut paper, quotation);
    paper
}

fn facts(quotation: &Quotation<'_>) -> Vec<(&'static str, String)> {
    let unsaid = |what: &Option<String>, unsaid: &str| what.clone().unwrap_or(unsaid.to_owned());
    let mut facts = vec![
        ("Number", unsaid(&quotation.number, "none yet")),
        ("Date", quotation.date.clone()),
        ("Valid until", unsaid(&quotation.valid_until, "not stated")),
        ("Ink set", quotation.set.0.name.clone()),
    ];
    if let Some(issued) = &quotation.issued {
        facts.push(("Checked and issued by", issued.by.clone()));
    }
    facts
}

/// `Quotation 2611-07 of 2026-11-25`, and how to know its record again.
fn foot(quotation: &Quotation<'_>) -> String {
    let number = quotation.number.as_deref().unwrap_or("without number");
    let of = format!("Quotation {number} of {}", quotation.date);
    match &quotation.issued {
        None => format!("{of}: draft"),
        Some(issued) => format!("{of}; record SHA-256 {}", issued.digest),
    }
}

fn prices(paper: &mut Paper, quotation: &Quotation<'_>) {
    let code = quotation.price.currency().code();
    paper.heading("Prices");
    let mut table = Table::new(vec![
        Column::figures("Copies"),
        Column::figures(format!("Price, {code}")),
        Column::figures("per 1\u{a0}000"),
        Column::figures("run-on, 1\u{a0}000 more"),
    ]);
    for estimate in &quotation.chosen().estimates {
        let amounts = [estimate.total, estimate.per_thousand, estimate.run_on];
        let mut cells = vec![Cell::Count(estimate.quantity)];
        cells.extend(amounts.map(|amount| Cell::text(quotation.money(amount))));
        table.row(cells);
    }
    paper.table(table);
    let leeway: Vec<String> = quotation
        .chosen()
        .estimates
        .iter()
        .filter_map(|e| over(quotation, e))
        .collect();
    let leeway = match leeway.as_slice() {
        [] => String::new(),
        some => format!(
            " More or fewer copies delivered than ordered are charged or credited at the run-on: {}.",
            some.join("; ")
        ),
    };
    paper.text(format!(
        "All prices in {code}, net of tax, for one order of the copies stated, printed and delivered at once.{leeway}"
    ));
}

/// `of 3 000 copies at most 150, 12.40`.
fn over(quotation: &Quotation<'_>, estimate: &Estimate) -> Option<String> {
    (estimate.leeway.copies > 0).then(|| {
        format!(
            "of {} at most {}, {}",
            counted(estimate.quantity, "copy", "copies"),
            grouped(&estimate.leeway.copies.to_string()),
            quotation.money(estimate.leeway.amount)
        )
    })
}

fn colours(paper: &mut Paper, quotation: &Quotation<'_>) {
    let plan = quotation.price.plan;
    let (set, _) = quotation.set;
    if plan.plan.rows.is_empty() {
        return;
    }
    paper.heading("Colours");
    paper
        .blocks
        .push(PaperBlock::Colours(paper_colours(plan, quotation.set)));
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Printed as"),
        Column::figures("accepted ΔE00"),
        Column::words("What is delivered"),
    ]);
    for (row, rendering) in plan.plan.rows.iter().zip(&set.renderings) {
        table.row(vec![
            Cell::text(&row.name),
            Cell::text(printed_as(plan, rendering)),
            Cell::Number(row.tolerance, 1),
            Cell::text(promise(row, rendering)),
        ]);
    }
    paper.table(table);
    let mut conditions = plan.conditions.to_vec();
    conditions.dedup();
    paper.text(format!(
        "ΔE00: difference from the colour wanted, CIEDE2000, D50, 2° observer, on the printing condition {}. Press variation: {}.",
        conditions.join(", "),
        plan.plan.variation.source
    ));
}

/// What the customer may expect of a colour, and what not.
fn promise(row: &Row, rendering: &Rendering) -> String {
    if rendering.kind == RenderingKind::Effect {
        return "an effect, to be agreed on a drawdown".to_owned();
    }
    let (aim, press) = (rendering.delta_e, rendering.delta_e_on_press);
    match rendering.verdict {
        Verdict::Holds => {
            format!("within it: {aim:.2} at the aim, at most {press:.2} on 95\u{a0}% of sheets")
        }
        Verdict::Drifts => format!(
            "within it at the aim ({aim:.2}), but not on all sheets: up to {press:.2} on 95\u{a0}%"
        ),
        Verdict::Misses => format!(
            "not within {:.1}: {aim:.2} at the aim, {}",
            row.tolerance,
            seen_as(aim)
        ),
    }
}

fn included(quotation: &Quotation<'_>) -> Vec<String> {
    let job = quotation.price.plan.job;
    let printing = if supplies_paper(job, quotation.price.card) {
        "printing with all that it takes, and the handling of the paper, which the customer supplies"
    } else {
        "paper, printing with all that it takes, and the sheets that it spoils"
    };
    let mut included = vec![
        printing.to_owned(),
        "finishing and packing as specified".to_owned(),
    ];
    if job.proofs.forms.value + job.proofs.drawdowns.value > 0 {
        included.push("proofs as specified".to_owned());
    }
    if !job.deliveries.is_empty() {
        included.push(format!("carriage: {}", delivery(job)));
    }
    included
}

/// Whether the customer supplies a paper of the job.
pub(super) fn supplies_paper(job: &Job, card: &RateCard) -> bool {
    let used = |stock: &&Stock| {
        let mut parts = job.parts.iter();
        parts.any(|part| part.stock.value == stock.name.value)
    };
    let mut stocks = card.stocks.iter().filter(used);
    stocks.any(|stock| matches!(stock.price.value, PaperPrice::Supplied { .. }))
}

/// What no price holds: what follows from the job, then what the card says.
fn excluded(quotation: &Quotation<'_>) -> Vec<String> {
    let (job, card) = (quotation.price.plan.job, quotation.price.card);
    let mut excluded = vec![
        "tax".to_owned(),
        "work on the artwork: it is taken as supplied ready for printing, in the inks above"
            .to_owned(),
    ];
    if job.proofs.forms.value == 0 {
        excluded.push("contract proofs".to_owned());
    }
    if job.proofs.drawdowns.value == 0 && !quotation.set.0.solids.is_empty() {
        excluded.push("drawdowns of the solid inks".to_owned());
    }
    if job.deliveries.is_empty() {
        excluded.push("carriage".to_owned());
    }
    if supplies_paper(job, card) {
        excluded.push("paper that the customer supplies".to_owned());
    }
    excluded.extend(card.supplier.excluded.iter().cloned());
    excluded
}

fn terms(quotation: &Quotation<'_>) -> Vec<String> {
    let supplier = &quotation.price.card.supplier;
    let lead = supplier.lead_days.map(|days| {
        let days = counted(days.value, "working day", "working days");
        format!("Delivery: {days} from approval of the proofs or, without proofs, of the order")
    });
    let payment = supplier
        .payment
        .as_ref()
        .map(|when| format!("Payment: {when}"));
    let valid = quotation
        .valid_until
        .as_ref()
        .map(|day| format!("Valid until {day}, that day included"));
    let first = valid.into_iter().chain(payment).chain(lead);
    first.chain(supplier.terms.iter().cloned()).collect()
}

fn cautions(quotation: &Quotation<'_>) -> Vec<String> {
    let plan = quotation.price.plan;
    let set = quotation.set.0;
    let mut cautions = Vec::new();
    if quotation.price.card.example {
        cautions.push(
            "The rate card is marked as an example: its rates are invented and not today's prices"
                .to_owned(),
        );
    }
    cautions.push(CAUTION_SCREEN.trim_end_matches('.').to_owned());
    cautions.push("Packaging that touches food, toys and cosmetics needs inks and papers cleared for that use by the responsible people under local rules".to_owned());
    cautions.extend(
        set.notes(plan.job, &plan.plan.rows)
            .into_iter()
            .map(|note| note.text),
    );
    cautions.extend(prediction_notes(plan, set));
    cautions
}

fn acceptance(paper: &mut Paper, quotation: &Quotation<'_>) {
    paper.heading("Acceptance");
    if quotation.issued.is_none() {
        paper.text("A draft cannot be accepted: the issued quotation has the lines to sign here.");
        return;
    }
    paper.text("We order as quoted, colours as described above included.");
    let fields = [
        "Copies ordered",
        "Order number",
        "Name and position",
        "Date",
        "Signature",
    ];
    paper
        .blocks
        .push(PaperBlock::Blanks(fields.map(str::to_owned).to_vec()));
}

/// What was quoted, for records and programs. Amounts and ΔE00 are texts, so that they come back as they were.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuotedResult {
    /// Name of the ink set.
    pub option: String,
    /// ISO 4217 code of every amount.
    pub currency: String,
    /// One for each quantity.
    pub prices: Vec<QuotedPrice>,
    /// One for each colour.
    pub colours: Vec<QuotedColour>,
}

/// The price of a quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuotedPrice {
    /// Copies ordered.
    pub copies: u64,
    /// For all of them.
    pub total: String,
    /// For 1,000.
    pub per_thousand: String,
    /// For 1,000 more.
    pub run_on: String,
    /// Copies more or fewer that a delivery may have.
    pub leeway_copies: u64,
    /// What they are charged or credited.
    pub leeway: String,
    /// Sum of the lines of each stage.
    pub stages: Vec<(String, String)>,
}

/// A colour as it was quoted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuotedColour {
    /// Its name.
    pub name: String,
    /// `build M62 Y100` and the like.
    pub printed_as: String,
    /// Accepted ΔE00.
    pub tolerance: String,
    /// ΔE00 at the aim.
    pub delta_e: String,
    /// ΔE00 that 95 % of sheets keep within.
    pub on_press: String,
    /// `holds`, `drifts` or `misses`.
    pub verdict: String,
}

/// What a record keeps of the result.
pub fn quoted_result(quotation: &Quotation<'_>) -> QuotedResult {
    let currency = quotation.price.currency();
    let plan = quotation.price.plan;
    let price = |e: &Estimate| QuotedPrice {
        copies: e.quantity,
        total: e.total.to_text(currency),
        per_thousand: e.per_thousand.to_text(currency),
        run_on: e.run_on.to_text(currency),
        leeway_copies: e.leeway.copies,
        leeway: e.leeway.amount.to_text(currency),
        stages: stages(e)
            .map(|(stage, sum)| (stage, sum.to_text(currency)))
            .collect(),
    };
    let pairs = plan.plan.rows.iter().zip(&quotation.set.0.renderings);
    QuotedResult {
        option: quotation.set.0.name.clone(),
        currency: currency.code().to_owned(),
        prices: quotation.chosen().estimates.iter().map(price).collect(),
        colours: pairs
            .map(|(row, rendering)| QuotedColour {
                name: row.name.clone(),
                printed_as: printed_as(plan, rendering),
                tolerance: format!("{:.2}", row.tolerance),
                delta_e: format!("{:.2}", rendering.delta_e),
                on_press: format!("{:.2}", rendering.delta_e_on_press),
                verdict: rendering.verdict.word().to_owned(),
            })
            .collect(),
    }
}

/// Stages that have lines, with their sums.
fn stages(estimate: &Estimate) -> impl Iterator<Item = (String, Money)> {
    let all = inkset_costing::Stage::ALL.into_iter();
    all.filter(|stage| estimate.lines.iter().any(|line| line.stage == *stage))
        .map(|stage| (stage.name().to_owned(), estimate.of_stage(stage)))
}

/// For programs.
pub fn quotation_json(quotation: &Quotation<'_>) -> String {
    crate::json::pretty(&quoted_result(quotation))
}

/// For spreadsheets: a line for each quantity.
pub fn quotation_csv(quotation: &Quotation<'_>) -> String {
    let header = [
        "option",
        "copies",
        "total",
        "per_thousand",
        "run_on",
        "leeway_copies",
        "leeway",
        "currency",
    ];
    let result = quoted_result(quotation);
    let rows = result.prices.into_iter().map(|price| {
        vec![
            result.option.clone(),
            price.copies.to_string(),
            price.total,
            price.per_thousand,
            price.run_on,
            price.leeway_copies.to_string(),
            price.leeway,
            result.currency.clone(),
        ]
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
