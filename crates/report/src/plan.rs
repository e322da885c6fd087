//! How the colours of a job print in its ink sets.

mod press;
mod smallest;

use inkset_colour::{LabD50, srgb_from_lab};
use inkset_plan::{Plan, PlannedSet, Rendering, RenderingKind, Row, Verdict};
use inkset_spec::Job;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::{Cell, Column, Document, Table};
use crate::figures::{CAUTION_SCREEN, LETTERS, build_text, hex, round2};
use crate::reach::seen_as;

/// A job and its plan.
#[derive(Clone, Copy)]
pub struct PlanReport<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its ink sets.
    pub plan: &'a Plan,
    /// Name of the printing condition of each part.
    pub conditions: &'a [String],
}

/// For people: every set with every colour.
pub fn plan_document(report: PlanReport<'_>) -> Document {
    let mut document = Document::default();
    document.heading(format!("{}: colours", report.job.title));
    document.text(conditions_text(report));
    document.text(format!(
        "Size of the variation: {}.",
        report.plan.variation.source
    ));
    document.text(smallest::text(report));
    for (at, set) in report.plan.sets.iter().enumerate() {
        let mark = if at == report.plan.four_ink {
            " (process inks wherever they serve)"
        } else {
            ""
        };
        document.heading(format!("{}{mark}: {}", set.name, tally(set)));
        document.table(colours_table(report, set));
        document.table(press::table(report, set));
        document.table(papers_table(report, set));
        let notes = set.notes(report.job, &report.plan.rows).into_iter();
        let notes = notes.map(|note| note.text);
        document.list(notes.chain(prediction_notes(report, set)).collect());
    }
    document.list(
        report
            .plan
            .notes
            .iter()
            .map(|note| note.text.clone())
            .collect(),
    );
    document.text(CAUTION_SCREEN);
    document
}

/// One line on what the colours were judged by.
pub fn conditions_text(report: PlanReport<'_>) -> String {
    let mut names: Vec<&str> = report.conditions.iter().map(String::as_str).collect();
    names.dedup();
    let variation = &report.plan.variation;
    format!(
        "Printing condition: {}. Press variation: {}. ΔE00 at the aim, and for 95 % of sheets on press.",
        names.join(", "),
        variation.name
    )
}

/// `2 hold, 1 misses`.
pub fn tally(set: &PlannedSet) -> String {
    let words = [
        (Verdict::Holds, "hold", "holds"),
        (Verdict::Drifts, "drift", "drifts"),
        (Verdict::Misses, "miss", "misses"),
    ];
    let counts: Vec<String> = words
        .iter()
        .map(|(verdict, many, one)| (set.count(*verdict), many, one))
        .filter(|(count, ..)| *count > 0)
        .map(|(count, many, one)| format!("{count} {}", if count == 1 { one } else { many }))
        .collect();
    if counts.is_empty() {
        "no flat colours".to_owned()
    } else {
        counts.join(", ")
    }
}

/// Colours of one set.
pub(crate) fn colours_table(report: PlanReport<'_>, set: &PlannedSet) -> Table {
    let mut table = Table::new(vec![
        Column::words("Colour"),
        Column::words("Printed as"),
        Column::figures("ΔE aim"),
        Column::figures("ΔE press"),
        Column::figures("accepted"),
        Column::words("Verdict"),
    ]);
    for (row, rendering) in report.plan.rows.iter().zip(&set.renderings) {
        table.row(vec![
            Cell::text(&row.name),
            Cell::text(printed_as(report, rendering)),
            Cell::DeltaE(rendering.delta_e),
            Cell::DeltaE(rendering.delta_e_on_press),
            Cell::Number(row.tolerance, 1),
            Cell::text(rendering.verdict.word()),
        ]);
    }
    table
}

/// The same colours on different papers.
fn papers_table(report: PlanReport<'_>, set: &PlannedSet) -> Table {
    let mut table = Table::new(vec![
        Column::words("Same colour on two papers"),
        Column::words("Beside"),
        Column::figures("ΔE between"),
        Column::words("Seen as"),
    ]);
    for gap in set.paper_gaps(&report.plan.rows) {
        let [one, other] = gap.rows.map(|at| &report.plan.rows[at].name);
        let seen = if gap.exceeds() {
            format!("{}: beyond its tolerance", seen_as(gap.delta_e))
        } else {
            seen_as(gap.delta_e).to_owned()
        };
        table.row(vec![
            Cell::text(one),
            Cell::text(other),
            Cell::DeltaE(gap.delta_e),
            Cell::text(seen),
        ]);
    }
    table
}

/// `build M62 Y100`, `solid Pumpkin`, `overprint Pumpkin 80 % K20`, `out of reach; nearest M62 Y100`.
pub fn printed_as(report: PlanReport<'_>, rendering: &Rendering) -> String {
    let tone_of = |(colour, tone): (usize, f64)| {
        let name = &report.job.colours[colour].name.value;
        if tone < 100.0 {
            format!("{name} {tone} %")
        } else {
            name.clone()
        }
    };
    let extended = rendering.extended.iter();
    let extended = extended.map(|(ink, tone)| format!("{} {tone} %", report.plan.extended[*ink]));
    let solids = [rendering.solid, rendering.second_solid]
        .into_iter()
        .flatten();
    let mut inks: Vec<String> = extended.chain(solids.map(tone_of)).collect();
    if rendering.process.iter().any(|tone| *tone > 0) || inks.is_empty() {
        let process = build_text(rendering.process);
        let last = if rendering.solid.is_some() {
            inks.len()
        } else {
            0
        };
        inks.insert(last, process);
    }
    let with = inks.join(" + ");
    match rendering.kind {
        RenderingKind::OutOfReach => format!("out of reach; nearest {with}"),
        kind => format!("{} {with}", kind.word()),
    }
}

/// A line for each printing condition on which colours of a set rest on predicted overprints.
pub fn prediction_notes(report: PlanReport<'_>, set: &PlannedSet) -> Vec<String> {
    let mut conditions = report.conditions.to_vec();
    conditions.sort_unstable();
    conditions.dedup();
    let note = |condition: &String| {
        let rows = report.plan.rows.iter().zip(&set.renderings);
        let predicted: Vec<_> = rows
            .filter(|(row, r)| r.prediction > 0.0 && report.conditions[row.parts[0]] == *condition)
            .collect();
        let error = report.plan.overprint_errors[predicted.first()?.0.parts[0]];
        let shares = predicted
            .iter()
            .map(|(row, r)| format!("`{}` {:.2}", row.name, r.prediction));
        Some(format!(
            "Overprints of further inks are predicted, not measured; so much of the ΔE on press stands for that: {}. Predicted the same way, the {} published overprints of {condition} are off by {:.1} ΔE00 on average, {:.1} at most; a drawdown decides",
            shares.collect::<Vec<_>>().join(", "),
            error.count,
            error.mean,
            error.largest
        ))
    };
    conditions.iter().filter_map(note).collect()
}

/// One colour in one ink set.
#[derive(Serialize, JsonSchema)]
pub(crate) struct ColourJson {
    name: String,
    /// `build`, `solid`, `tint`, `overprint`, `effect` or `out of reach`.
    rendering: &'static str,
    /// Percent by ink; for `out of reach`, the nearest.
    build: serde_json::Map<String, serde_json::Value>,
    /// ΔE00 at the aim.
    delta_e: f64,
    /// ΔE00 that 95 % of sheets keep within.
    delta_e_on_press: f64,
    /// What of that stands for overprints that were predicted, not measured; 0 when none was.
    prediction: f64,
    /// How far such predictions miss the published overprints of the printing condition; only with a prediction.
    prediction_error: Option<PredictionErrorJson>,
    /// Accepted ΔE00.
    tolerance: f64,
    /// `holds`, `drifts` or `misses`.
    verdict: &'static str,
    importance: &'static str,
    target_lab: [f64; 3],
    target_srgb: String,
    printed_lab: Option<[f64; 3]>,
    printed_srgb: Option<String>,
    parts: Vec<String>,
}

/// Predicted against published overprints, ΔE00.
#[derive(Serialize, JsonSchema)]
pub(crate) struct PredictionErrorJson {
    mean: f64,
    largest: f64,
    /// Overprints compared.
    overprints: usize,
}

pub(crate) fn colours_json(report: PlanReport<'_>, set: &PlannedSet) -> Vec<ColourJson> {
    report
        .plan
        .rows
        .iter()
        .zip(&set.renderings)
        .map(|(row, rendering)| colour_json(report, row, rendering))
        .collect()
}

fn colour_json(report: PlanReport<'_>, row: &Row, rendering: &Rendering) -> ColourJson {
    let error = report.plan.overprint_errors[row.parts[0]];
    let axes = |lab: LabD50| [lab.l, lab.a, lab.b].map(round2);
    ColourJson {
        name: row.name.clone(),
        rendering: rendering.kind.word(),
        build: build_json(report, rendering),
        delta_e: rendering.delta_e,
        delta_e_on_press: rendering.delta_e_on_press,
        prediction: rendering.prediction,
        prediction_error: (rendering.prediction > 0.0).then(|| PredictionErrorJson {
            mean: round2(error.mean),
            largest: round2(error.largest),
            overprints: error.count,
        }),
        tolerance: row.tolerance,
        verdict: rendering.verdict.word(),
        importance: importance(row),
        target_lab: axes(row.target),
        target_srgb: hex(srgb_from_lab(row.target)),
        printed_lab: rendering.lab.map(axes),
        printed_srgb: rendering.lab.map(|lab| hex(srgb_from_lab(lab))),
        parts: row
            .parts
            .iter()
            .map(|&part| report.job.parts[part].name.value.clone())
            .collect(),
    }
}

const fn importance(row: &Row) -> &'static str {
    match row.importance {
        inkset_spec::Importance::Brand => "brand",
        inkset_spec::Importance::Matching => "matching",
        inkset_spec::Importance::Decorative => "decorative",
    }
}

/// Percent by ink: process inks by their letters, all four of a build; solids and extended inks by their names.
fn build_json(
    report: PlanReport<'_>,
    rendering: &Rendering,
) -> serde_json::Map<String, serde_json::Value> {
    let is_build = rendering.solid.is_none();
    let process = LETTERS.iter().zip(rendering.process);
    let process = process
        .filter(|(_, tone)| is_build || *tone > 0)
        .map(|(letter, tone)| ((*letter).to_owned(), tone.into()));
    let extended = rendering.extended.iter();
    let extended = extended.map(|(ink, tone)| (report.plan.extended[*ink].clone(), (*tone).into()));
    let solids = [rendering.solid, rendering.second_solid]
        .into_iter()
        .flatten();
    let solids = solids.map(|(colour, tone)| {
        let name = report.job.colours[colour].name.value.clone();
        (name, number(tone))
    });
    process.chain(extended).chain(solids).collect()
}

/// Whole percents as whole numbers.
fn number(tone: f64) -> serde_json::Value {
    if tone.fract() == 0.0 {
        (tone as u64).into()
    } else {
        tone.into()
    }
}

/// Letters of the process inks, then names of the extended inks and of the solids.
pub(crate) fn ink_names(report: PlanReport<'_>, set: &PlannedSet) -> Vec<String> {
    let process = set.process.iter().map(|ink| ink.letter().to_string());
    process
        .chain(
            set.extended
                .iter()
                .map(|&ink| report.plan.extended[ink].clone()),
        )
        .chain(
            set.solids
                .iter()
                .map(|&colour| report.job.colours[colour].name.value.clone()),
        )
        .collect()
}

#[derive(Serialize)]
struct PlanJson {
    title: String,
    conditions: Vec<String>,
    variation: String,
    /// Its size and where that comes from.
    variation_source: String,
    assumptions: Vec<String>,
    cautions: Vec<String>,
    smallest_solids: smallest::SmallestJson,
    ink_sets: Vec<SetJson>,
}

#[derive(Serialize)]
struct SetJson {
    name: String,
    ink_set: Vec<String>,
    within_tolerance: bool,
    verdict: &'static str,
    worst_delta_e: f64,
    colours: Vec<ColourJson>,
    press: Vec<press::PressJson>,
    papers: Vec<PapersJson>,
    notes: Vec<String>,
}

/// One colour on two papers.
#[derive(Serialize)]
struct PapersJson {
    colours: [String; 2],
    /// ΔE00 between the two as printed.
    delta_e: f64,
    tolerance: f64,
    within_tolerance: bool,
}

fn papers_json(report: PlanReport<'_>, set: &PlannedSet) -> Vec<PapersJson> {
    let gaps = set.paper_gaps(&report.plan.rows).into_iter();
    gaps.map(|gap| PapersJson {
        colours: gap.rows.map(|at| report.plan.rows[at].name.clone()),
        delta_e: gap.delta_e,
        tolerance: gap.tolerance,
        within_tolerance: !gap.exceeds(),
    })
    .collect()
}

/// For programs.
pub fn plan_json(report: PlanReport<'_>, assumptions: &[String], cautions: &[String]) -> String {
    let sets = report.plan.sets.iter().map(|set| SetJson {
        name: set.name.clone(),
        ink_set: ink_names(report, set),
        within_tolerance: set.count(Verdict::Misses) == 0,
        verdict: set.verdict().word(),
        worst_delta_e: set.worst_delta_e(),
        colours: colours_json(report, set),
        press: press::json(report, set),
        papers: papers_json(report, set),
        notes: set
            .notes(report.job, &report.plan.rows)
            .into_iter()
            .map(|note| note.text)
            .collect(),
    });
    crate::json::pretty(&PlanJson {
        title: report.job.title.clone(),
        conditions: report.conditions.to_vec(),
        variation: report.plan.variation.name.clone().into_owned(),
        variation_source: report.plan.variation.source.clone().into_owned(),
        assumptions: assumptions.to_vec(),
        cautions: cautions.to_vec(),
        smallest_solids: smallest::json(report),
        ink_sets: sets.collect(),
    })
}

/// For spreadsheets: one line for each set and colour.
pub fn plan_csv(report: PlanReport<'_>) -> String {
    let header = [
        "ink_set",
        "colour",
        "rendering",
        "printed_as",
        "delta_e",
        "delta_e_on_press",
        "tolerance",
        "verdict",
    ];
    let rows = report.plan.sets.iter().flat_map(|set| {
        report
            .plan
            .rows
            .iter()
            .zip(&set.renderings)
            .map(|(row, rendering)| {
                vec![
                    set.name.clone(),
                    row.name.clone(),
                    rendering.kind.word().to_owned(),
                    printed_as(report, rendering),
                    format!("{:.2}", rendering.delta_e),
                    format!("{:.2}", rendering.delta_e_on_press),
                    row.tolerance.to_string(),
                    rendering.verdict.word().to_owned(),
                ]
            })
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
