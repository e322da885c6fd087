//! One stage of the recommended options, from its formula down to the lines of the user's files.

use inkset_costing::{Explanation, Input};
use serde::Serialize;

use super::PriceReport;
use crate::document::{Cell, Column, Document, Table};
use crate::figures::grouped;

/// The lines of a stage of one option at one quantity, explained.
pub struct ExplainedStage {
    /// Name of the stage.
    pub stage: &'static str,
    /// Index into the report's options.
    pub option: usize,
    /// Copies.
    pub quantity: u64,
    /// One for each line; none when the option has nothing to pay at this stage.
    pub lines: Vec<Explanation>,
}

/// For people: each line with its steps and the values it rests on.
pub fn explain_document(report: &PriceReport<'_>, stages: &[ExplainedStage]) -> Document {
    let mut document = Document::default();
    for explained in stages {
        document.heading(format!(
            "{} of {}, {} copies",
            explained.stage,
            report.options[explained.option].set.name,
            grouped(&explained.quantity.to_string())
        ));
        if explained.lines.is_empty() {
            document.text("Nothing is paid for at this stage.");
        }
        for line in &explained.lines {
            document.text(format!(
                "{}: formula `{}`",
                item(report, line),
                line.line.formula
            ));
            document.list(line.steps.clone());
            document.table(inputs(report, line));
        }
    }
    document
}

fn item(report: &PriceReport<'_>, explained: &Explanation) -> String {
    let parts = &report.plan.job.parts;
    let part = explained.line.part.filter(|_| parts.len() > 1);
    part.map_or(explained.line.item.clone(), |part| {
        format!("{}: {}", parts[part].name.value, explained.line.item)
    })
}

fn all_inputs(explained: &Explanation) -> impl Iterator<Item = &Input> {
    explained.inputs.iter().chain(&explained.line.inputs)
}

fn inputs(report: &PriceReport<'_>, explained: &Explanation) -> Table {
    let mut table = Table::new(vec![
        Column::words("Input"),
        Column::figures("Value"),
        Column::words("From"),
    ]);
    for input in all_inputs(explained) {
        table.row(vec![
            Cell::text(input.label.as_ref()),
            Cell::text(&input.value),
            Cell::text(place(report, input)),
        ]);
    }
    table
}

fn place(report: &PriceReport<'_>, input: &Input) -> String {
    input
        .place
        .map_or("assumed".to_owned(), |place| report.place_text(place))
}

#[derive(Serialize)]
struct StageJson {
    stage: &'static str,
    option: String,
    quantity: u64,
    lines: Vec<LineJson>,
}

#[derive(Serialize)]
struct LineJson {
    part: Option<String>,
    item: String,
    formula: &'static str,
    amount: String,
    steps: Vec<String>,
    inputs: Vec<InputJson>,
}

#[derive(Serialize)]
struct InputJson {
    label: String,
    value: String,
    /// File and line, or `assumed`.
    from: String,
}

/// For programs.
pub fn explain_json(report: &PriceReport<'_>, stages: &[ExplainedStage]) -> String {
    let stage = |explained: &ExplainedStage| StageJson {
        stage: explained.stage,
        option: report.options[explained.option].set.name.clone(),
        quantity: explained.quantity,
        lines: explained
            .lines
            .iter()
            .map(|line| line_json(report, line))
            .collect(),
    };
    crate::json::pretty(&stages.iter().map(stage).collect::<Vec<_>>())
}

fn line_json(report: &PriceReport<'_>, explained: &Explanation) -> LineJson {
    let line = &explained.line;
    LineJson {
        part: line
            .part
            .map(|part| report.plan.job.parts[part].name.value.clone()),
        item: line.item.clone(),
        formula: line.formula,
        amount: line.amount.to_text(report.currency()),
        steps: explained.steps.clone(),
        inputs: all_inputs(explained)
            .map(|input| InputJson {
                label: input.label.to_string(),
                value: input.value.clone(),
                from: place(report, input),
            })
            .collect(),
    }
}

/// For spreadsheets: a row for each step.
pub fn explain_csv(report: &PriceReport<'_>, stages: &[ExplainedStage]) -> String {
    let header = ["option", "quantity", "stage", "item", "step"];
    let rows = stages.iter().flat_map(|explained| {
        explained.lines.iter().flat_map(move |line| {
            line.steps.iter().map(move |step| {
                vec![
                    report.options[explained.option].set.name.clone(),
                    explained.quantity.to_string(),
                    explained.stage.to_owned(),
                    item(report, line),
                    step.clone(),
                ]
            })
        })
    });
    crate::csv::csv_text(header.map(str::to_owned).to_vec(), rows)
}
