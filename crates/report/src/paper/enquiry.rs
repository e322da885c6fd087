//! The request for quotation: so complete that all suppliers price the same thing.

use std::fmt::Write as _;

use inkset_colour::ProcessInk;
use inkset_plan::{PlannedSet, RenderingKind, Row};
use inkset_spec::{Importance, Job};

use super::specification::{delivery, inks, place, proofs, specification};
use super::{Paper, PaperBlock};
use crate::document::{Cell, Column, Table};
use crate::figures::{CAUTION_SCREEN, grouped};
use crate::near::lab_text;
use crate::plan::printed_as;
use crate::price::PriceReport;

/// Placeholder of a figure that the supplier fills in; no amount and no date reads like it.
const BLANK: &str = "?";

/// Everything that an enquiry says.
pub struct Enquiry<'a> {
    /// The job and its ink sets.
    pub price: &'a PriceReport<'a>,
    /// Indices of the options that are wanted.
    pub options: Vec<usize>,
    /// What the job does not say.
    pub assumed: Vec<String>,
    /// Day of the enquiry, ISO 8601.
    pub date: String,
    /// Last day for offers, ISO 8601, if it is settled.
    pub reply_by: Option<String>,
}

impl<'a> Enquiry<'a> {
    fn sets(&self) -> impl Iterator<Item = (u64, &'a PlannedSet)> {
        let options = &self.price.options;
        let sets = self.options.iter().map(|at| options[*at].set);
        (1..).zip(sets)
    }

    fn code(&self) -> &'static str {
        self.price.currency().code()
    }
}

/// The paper.
pub fn enquiry_paper(enquiry: &Enquiry<'_>) -> Paper {
    let job = enquiry.price.plan.job;
    let reply = enquiry.reply_by.clone();
    let mut paper = Paper {
        kind: "Request for quotation",
        title: job.title.clone(),
        draft: None,
        from: job.client.iter().cloned().collect(),
        to: Vec::new(),
        facts: vec![
            ("Date", enquiry.date.clone()),
            (
                "Offers until",
                reply.unwrap_or("________________".to_owned()),
            ),
            ("Currency", format!("{}, net of tax", enquiry.code())),
        ],
        blocks: Vec::new(),
        foot: format!("Request for quotation of {}: {}", enquiry.date, job.title),
    };
    paper.text(format!(
        "Please price the job below in every ink set and quantity of the table, in {}, net of tax. Where you offer something else, say so under deviations; a price for something else without a word about it cannot be compared.",
        enquiry.code()
    ));
    paper.heading("What is to be made");
    paper.table(specification(job, enquiry.price.card));
    wanted(&mut paper, enquiry);
    colours(&mut paper, enquiry);
    paper.list("The price includes", must_include(enquiry));
    paper.list("The price does not include", must_exclude(job));
    paper.list(
        "Not said in the job, and priced on this understanding; tell us where yours differs",
        enquiry.assumed.clone(),
    );
    prices(&mut paper, enquiry);
    blanks(&mut paper);
    paper.list("Mind", vec![
        CAUTION_SCREEN.trim_end_matches('.').to_owned(),
        "Packaging that touches food, toys and cosmetics needs inks and papers cleared for that use by the responsible people under local rules".to_owned(),
    ]);
    paper
}

/// Every ink set with the inks of every page.
fn wanted(paper: &mut Paper, enquiry: &Enquiry<'_>) {
    paper.heading("Ink sets to be priced");
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::words("Ink set"),
        Column::words("Where"),
        Column::words("Inks"),
    ]);
    for (number, set) in enquiry.sets() {
        for (place, names) in inks(enquiry.price.plan.job, &set.print) {
            table.row(vec![
                Cell::Count(number),
                Cell::text(&set.name),
                Cell::text(place),
                Cell::text(names),
            ]);
        }
    }
    paper.table(table);
    paper.text("Process inks are cyan, magenta, yellow and black. Any other ink is one of its own, mixed to the colour of its name below, with its own plate and wash-up. Varnish and coating, where wanted, stand under finishing.");
}

/// Every colour: what it must look like, how near, and how each ink set prints it.
fn colours(paper: &mut Paper, enquiry: &Enquiry<'_>) {
    let plan = enquiry.price.plan;
    if plan.plan.rows.is_empty() {
        return;
    }
    paper.heading("Colours");
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Where"),
        Column::words("L a b wanted"),
        Column::figures("accepted ΔE00"),
    ]);
    for row in &plan.plan.rows {
        table.row(vec![
            Cell::text(&row.name),
            Cell::text(pages_of(plan.job, row)),
            Cell::text(lab(row)),
            Cell::text(format!("{:.1}, {}", row.tolerance, importance(row))),
        ]);
    }
    paper.table(table);
    let mut conditions = plan.conditions.to_vec();
    conditions.dedup();
    paper.text(format!(
        "L a b: CIELAB, D50, 2° observer, absolute, measured on the printed sheet. ΔE00: CIEDE2000, kept on 95 % of the delivered copies. Printing condition: {}.",
        conditions.join(", ")
    ));
    let mut builds = Table::new(vec![
        Column::figures(""),
        Column::words("Colour"),
        Column::words("Printed as"),
        Column::figures("ΔE00 expected"),
    ]);
    for (number, set) in enquiry.sets() {
        for (row, rendering) in plan.plan.rows.iter().zip(&set.renderings) {
            let expected = match rendering.kind {
                RenderingKind::Effect => "by drawdown".to_owned(),
                _ => format!("{:.2}", rendering.delta_e),
            };
            builds.row(vec![
                Cell::Count(number),
                Cell::text(&row.name),
                Cell::text(printed_as(plan, rendering)),
                Cell::text(expected),
            ]);
        }
    }
    paper.table(builds);
    paper.text("Builds are tone values of the files, in percent, as C M Y K. Where an ink set is expected to miss what is accepted, it is priced as described all the same.");
}

/// Lab that is not broken over lines.
pub(super) fn lab(row: &Row) -> String {
    lab_text(row.target).replace(' ', "\u{a0}")
}

fn importance(row: &Row) -> &'static str {
    match row.importance {
        Importance::Brand => "brand",
        Importance::Matching => "matching",
        Importance::Decorative => "decorative",
    }
}

/// Where a colour is printed at the tone of its row, part by part.
pub(super) fn pages_of(job: &Job, row: &Row) -> String {
    let colour = &job.colours[row.colour];
    let of_part = |part: &usize| {
        let uses = colour.uses.iter();
        let uses = uses.filter(|place| {
            place.part == *part && place.tint.value.percent().total_cmp(&row.tone).is_eq()
        });
        let mut pages: Vec<u32> = uses.flat_map(|place| place.pages.clone()).collect();
        pages.sort_unstable();
        pages.dedup();
        place(job, *part, &pages)
    };
    row.parts.iter().map(of_part).collect::<Vec<_>>().join("; ")
}

/// What no offer may leave out.
fn must_include(enquiry: &Enquiry<'_>) -> Vec<String> {
    let job = enquiry.price.plan.job;
    let supplied = super::quotation::supplies_paper(job, enquiry.price.card);
    let mut all = vec![
        if supplied {
            "handling of the paper, which we supply".to_owned()
        } else {
            "paper, with what make-ready and running spoil".to_owned()
        },
        "plates, inks with their smallest order, make-ready, printing in one or more passes, wash-ups".to_owned(),
        "finishing as specified, and packing".to_owned(),
        "the copies over and under as specified".to_owned(),
    ];
    if asks_for_proofs(job) {
        all.push(format!("proofs: {}", proofs(job)));
    }
    if !job.deliveries.is_empty() {
        all.push(format!("carriage: {}", delivery(job)));
    }
    if enquiry.sets().any(|(_, set)| !set.solids.is_empty()) {
        all.push("mixing of every ink of its own".to_owned());
    }
    all
}

fn asks_for_proofs(job: &Job) -> bool {
    job.proofs.forms.value + job.proofs.drawdowns.value > 0
}

/// What an offer for this job leaves out.
fn must_exclude(job: &Job) -> Vec<String> {
    let mut all = vec!["tax".to_owned(), "work on the artwork".to_owned()];
    if !asks_for_proofs(job) {
        all.push("proofs".to_owned());
    }
    if job.deliveries.is_empty() {
        all.push("carriage: we collect the copies".to_owned());
    }
    all
}

/// The table to fill in: a line for every ink set and quantity, and one for the run-on.
fn prices(paper: &mut Paper, enquiry: &Enquiry<'_>) {
    paper.heading("Your prices");
    let mut table = Table::new(vec![
        Column::figures(""),
        Column::words("Ink set"),
        Column::figures("Copies"),
        Column::words(format!("Price for all of them, {}", enquiry.code())),
    ]);
    for (number, set) in enquiry.sets() {
        for copies in &enquiry.price.quantities {
            table.row(vec![
                Cell::Count(number),
                Cell::text(&set.name),
                Cell::Count(*copies),
                Cell::Empty,
            ]);
        }
        table.row(vec![
            Cell::Count(number),
            Cell::text(&set.name),
            Cell::text("1\u{a0}000 more of the same order"),
            Cell::Empty,
        ]);
    }
    paper.table(table);
}

fn blanks(paper: &mut Paper) {
    paper.heading("Please state");
    let fields = [
        "Supplier",
        "Number and date of the offer",
        "Valid until (last day)",
        "Working days from approval to delivery",
        "Press, units, passes for each ink set",
        "Paper offered, where it is not the one specified",
        "Discount for early payment: percent, days",
        "Deviations from this request",
    ];
    let fields = fields.map(str::to_owned).to_vec();
    paper.blocks.push(PaperBlock::Blanks(fields));
    paper.heading("We state before the order, and ask you to price without");
    let ours = [
        "Artwork: form, and day on which you have it",
        "Day of delivery",
        "Addresses of delivery",
        "Who answers questions",
    ];
    paper
        .blocks
        .push(PaperBlock::Blanks(ours.map(str::to_owned).to_vec()));
}

/// The offer file that `compare` reads once its blanks are filled in.
pub fn enquiry_offer(enquiry: &Enquiry<'_>) -> String {
    let job = enquiry.price.plan.job;
    let mut text = format!(
        "# Offer for the request for quotation of {}. Fill in every {BLANK:?} and leave the rest as it is; what you cannot say,\n# take the line out. Amounts with a point and without thousands signs: 1234.50. Dates as year-month-day: 2026-11-25.\n",
        enquiry.date
    );
    let mut line = |what: &str, value: &str| {
        // Writing to a string never fails.
        let _ = writeln!(text, "{what} = {value}");
    };
    line("supplier", &quoted(BLANK));
    line("number", &quoted(BLANK));
    line("job", &quoted(&job.title));
    line("date", &quoted(BLANK));
    line("valid_until", &quoted(BLANK));
    line("currency", &quoted(enquiry.code()));
    line("tax", &quoted("excluded"));
    line("lead_days", &quoted(BLANK));
    // What the request asks for is in the price, unless the supplier says otherwise.
    let asked = |is: bool| if is { "true" } else { "false" };
    let proofs = asks_for_proofs(job);
    let carriage = !job.deliveries.is_empty();
    line(
        "includes",
        &format!(
            "{{ proofs = {}, carriage = {}, packing = true }}",
            asked(proofs),
            asked(carriage)
        ),
    );
    let percent = job.delivery_tolerance.value.percent();
    line(
        "overs",
        &format!("{{ over_percent = \"{percent} %\", under_percent = \"{percent} %\" }}"),
    );
    let mut asked: Vec<&PlannedSet> = Vec::new();
    for (_, set) in enquiry.sets() {
        if asked.iter().any(|other| other.hangs_the_same(set)) {
            let name = quoted(&set.name);
            let note = format!(
                "\n# {name} hangs the inks of an option above; one price stands for both.\n"
            );
            text.push_str(&note);
        } else {
            option(&mut text, enquiry, set);
            asked.push(set);
        }
    }
    text
}

fn option(text: &mut String, enquiry: &Enquiry<'_>, set: &PlannedSet) {
    let job = enquiry.price.plan.job;
    let mut put = |line: &str| {
        text.push_str(line);
        text.push('\n');
    };
    put("\n[[option]]");
    let process: Vec<ProcessInk> = ProcessInk::ALL
        .into_iter()
        .filter(|ink| set.process.contains(*ink))
        .collect();
    if process.len() == ProcessInk::ALL.len() {
        put("inks = [\"process\"]");
    } else if !process.is_empty() {
        let names: Vec<String> = process.iter().map(|ink| quoted(ink.name())).collect();
        put(&format!("inks = [{}]", names.join(", ")));
    }
    let solids = set
        .solids
        .iter()
        .map(|at| job.colours[*at].name.value.as_str());
    let extended = set
        .extended
        .iter()
        .map(|at| enquiry.price.plan.plan.extended[*at].as_str());
    let names: Vec<String> = solids.chain(extended).map(quoted).collect();
    if !names.is_empty() {
        put(&format!("solids = [{}]", names.join(", ")));
    }
    put("prices = [");
    for copies in &enquiry.price.quantities {
        put(&format!(
            "  {{ copies = {copies}, total = \"{BLANK}\" }}, # for all {}",
            grouped(&copies.to_string())
        ));
    }
    put("]");
    put(&format!("run_on_per_thousand = \"{BLANK}\""));
}

/// A basic string of TOML 1.0.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_their_quotes() {
        assert_eq!(quoted("a \"b\" \\ \u{7}"), "\"a \\\"b\\\" \\\\ \\u0007\"");
    }
}
