//! The delivery sheet: what to look at when the copies arrive.

use inkset_colour::ProcessInk;
use inkset_plan::{PlannedSet, Rendering, RenderingKind, Row};
use inkset_spec::copies_of_versions;

use super::enquiry::{lab as lab_unbroken, pages_of};
use super::{Paper, PaperBlock};
use crate::document::{Cell, Column, Table};
use crate::figures::{CAUTION_SCREEN, grouped, listed};
use crate::plan::printed_as;
use crate::price::PriceReport;

/// Everything that a delivery sheet says.
pub struct Arrival<'a> {
    /// The job and its prices.
    pub price: &'a PriceReport<'a>,
    /// Index of the option that was ordered.
    pub option: usize,
}

/// The paper.
pub fn arrival_paper(arrival: &Arrival<'_>) -> Paper {
    let job = arrival.price.plan.job;
    let option = &arrival.price.options[arrival.option];
    let mut paper = Paper {
        kind: "Delivery sheet",
        title: job.title.clone(),
        draft: None,
        from: Vec::new(),
        to: job.client.iter().cloned().collect(),
        facts: vec![("Ink set", option.set.name.clone())],
        blocks: Vec::new(),
        foot: format!("Delivery sheet: {}", job.title),
    };
    copies(&mut paper, arrival);
    colours(&mut paper, arrival, option.set);
    paper.list("How to look", HOW.map(str::to_owned).to_vec());
    paper.list("Mind", vec![
        CAUTION_SCREEN.trim_end_matches('.').to_owned(),
        "The figures are those of the plan; where a contract proof or a drawdown was signed, that is what the copies are held to".to_owned(),
        "Packaging that touches food, toys and cosmetics needs inks and papers cleared for that use by the responsible people under local rules".to_owned(),
    ]);
    paper.heading("Looked at");
    let fields = [
        "Delivered copies",
        "Copies looked at",
        "Findings",
        "Name",
        "Date",
    ];
    paper
        .blocks
        .push(PaperBlock::Blanks(fields.map(str::to_owned).to_vec()));
    paper
}

/// Common practice, no source.
const HOW: [&str; 5] = [
    "Take copies from several places of the delivery, not from one stack: the colour of a run changes along it",
    "Measure dry sheets on a white backing or on a stack of the unprinted paper, D50, 2° observer, filter as agreed (M0 or M1)",
    "Look through a loupe of ten times or more: dots of several inks are a build, an even film without dots is an ink of its own",
    "A digital press screens in a way of its own: there dots say nothing, and measuring decides",
    "Control patches stand in the strip that the printer keeps on the sheet until it is trimmed: ask for an untrimmed sheet with the delivery",
];

/// How many may come.
fn copies(paper: &mut Paper, arrival: &Arrival<'_>) {
    paper.heading("Copies");
    let mut table = Table::new(vec![
        Column::figures("Ordered"),
        Column::figures("at least"),
        Column::figures("at most"),
        Column::figures("more or fewer, each way"),
    ]);
    for estimate in &arrival.price.options[arrival.option].estimates {
        let (ordered, leeway) = (estimate.quantity, estimate.leeway.copies);
        table.row(vec![
            Cell::Count(ordered),
            Cell::Count(ordered - leeway.min(ordered)),
            Cell::Count(ordered + leeway),
            Cell::Count(leeway),
        ]);
    }
    paper.table(table);
    let job = arrival.price.plan.job;
    version_copies(paper, arrival);
    let overs = job.overs.value.percent();
    if overs > 0.0 {
        paper.text(format!(
            "{overs} % more than ordered are printed and paid for; they count as delivered."
        ));
    }
    paper.text("Copies beyond these bounds were not agreed: more need not be paid, fewer need not be accepted.");
}

/// How many of each version are to be there.
fn version_copies(paper: &mut Paper, arrival: &Arrival<'_>) {
    let job = arrival.price.plan.job;
    if job.versions.is_empty() {
        return;
    }
    let orders = arrival.price.options[arrival.option].estimates.iter();
    let orders: Vec<u64> = orders.map(|estimate| estimate.quantity).collect();
    let mut columns = vec![Column::words("Version")];
    let of = |order: &u64| Column::figures(format!("of {}", grouped(&order.to_string())));
    columns.extend(orders.iter().map(of));
    let mut table = Table::new(columns);
    let copies: Vec<Vec<u64>> = orders
        .iter()
        .map(|order| copies_of_versions(&job.versions, *order))
        .collect();
    for (n, version) in job.versions.iter().enumerate() {
        let mut cells = vec![Cell::text(&version.name.value)];
        cells.extend(copies.iter().map(|own| Cell::Count(own[n])));
        table.row(cells);
    }
    paper.table(table);
    paper.text("Count each version for itself: copies of one do not make up for those of another.");
}

fn colours(paper: &mut Paper, arrival: &Arrival<'_>, set: &PlannedSet) {
    let plan = arrival.price.plan;
    if plan.plan.rows.is_empty() {
        paper.text(
            "The job has no flat colours of its own: hold pictures against the contract proof.",
        );
        return;
    }
    paper.heading("Colours");
    paper.blocks.push(PaperBlock::Loupes);
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Where"),
        Column::words("Under the loupe"),
        Column::words("L a b"),
        Column::figures("accepted ΔE00"),
        Column::words("Control patches"),
    ]);
    for (row, rendering) in plan.plan.rows.iter().zip(&set.renderings) {
        table.row(vec![
            Cell::text(&row.name),
            Cell::text(pages_of(plan.job, row)),
            Cell::text(under_loupe(arrival, rendering)),
            Cell::text(lab(row, rendering)),
            Cell::text(accepted(row, rendering)),
            Cell::text(patches(arrival, rendering).join("; ")),
        ]);
    }
    paper.table(table);
    paper.text("L a b is the colour wanted; accepted is the difference from it (CIEDE2000) that at least 95 % of the copies keep within.");
    let mut conditions = plan.conditions.to_vec();
    conditions.dedup();
    paper.text(format!("Printing condition: {}.", conditions.join(", ")));
}

fn lab(row: &Row, rendering: &Rendering) -> String {
    match rendering.kind {
        RenderingKind::Effect => "the drawdown".to_owned(),
        _ => lab_unbroken(row),
    }
}

/// The tolerance; and what is to be expected where the ink set does not keep it.
fn accepted(row: &Row, rendering: &Rendering) -> String {
    if rendering.kind == RenderingKind::Effect {
        return "by eye".to_owned();
    }
    if rendering.delta_e > row.tolerance {
        return format!("{:.1}; {:.2} planned", row.tolerance, rendering.delta_e);
    }
    format!("{:.1}", row.tolerance)
}

/// What a magnifier shows.
fn under_loupe(arrival: &Arrival<'_>, rendering: &Rendering) -> String {
    if rendering.kind == RenderingKind::Effect {
        return format!(
            "{}, without process dots",
            printed_as(arrival.price.plan, rendering)
        );
    }
    let inks = toned(arrival, rendering);
    match inks.as_slice() {
        [] => "bare paper".to_owned(),
        [(name, tone)] if *tone >= 100.0 => format!("an even film of {name}, no dots"),
        [(name, tone)] => format!("dots of {name} alone, {tone}\u{a0}% in the file"),
        many => {
            let all: Vec<String> = many
                .iter()
                .map(|(name, tone)| format!("{name}\u{a0}{tone}\u{a0}%"))
                .collect();
            format!("dots of {}", all.join(", "))
        }
    }
}

/// Patches of the control strip that belong to the inks of a colour. Common practice, no source.
fn patches(arrival: &Arrival<'_>, rendering: &Rendering) -> Vec<String> {
    let inks = toned(arrival, rendering);
    let is_tint = inks.iter().any(|(_, tone)| *tone < 100.0);
    let names: Vec<String> = inks.into_iter().map(|(name, _)| name).collect();
    if names.is_empty() {
        return vec!["none".to_owned()];
    }
    let mut patches = vec![format!("solid of {}", listed(&names))];
    if is_tint && rendering.kind != RenderingKind::Effect {
        patches.push("middle tone of the same".to_owned());
    }
    patches
}

/// Inks of a colour with their tones, in percent.
fn toned(arrival: &Arrival<'_>, rendering: &Rendering) -> Vec<(String, f64)> {
    let plan = arrival.price.plan;
    let process = ProcessInk::ALL.into_iter().zip(rendering.process);
    let process = process.filter(|(_, tone)| *tone > 0);
    let process = process.map(|(ink, tone)| (ink.name().to_owned(), f64::from(tone)));
    let extended = rendering.extended.iter();
    let extended = extended.map(|(at, tone)| (plan.plan.extended[*at].clone(), f64::from(*tone)));
    let solids = [rendering.solid, rendering.second_solid]
        .into_iter()
        .flatten();
    let solids = solids.map(|(at, tone)| (plan.job.colours[at].name.value.clone(), tone));
    process.chain(extended).chain(solids).collect()
}
