//! How far the figures of one printing condition can be trusted.

use inkset_colour::{
    AIM_SOURCE, AIM_TOLERANCE, Aims, ChartSummary, ErrorSummary, PrintingCondition, SolidStanding,
};
use serde::Serialize;

use super::{Fact, fact, facts_csv};
use crate::document::{Cell, Column, Document, Table};
use crate::figures::{LETTERS, round2};

/// A condition with what was found out about it.
#[derive(Debug)]
pub struct CheckedCondition<'a> {
    /// The condition.
    pub condition: &'a PrintingCondition,
    /// Patches predicted without having been seen; `None` for a profile.
    pub left_out: Option<ErrorSummary>,
    /// The grid against the function behind it.
    pub grid: Option<ErrorSummary>,
    /// The table's patches; `None` for a profile.
    pub chart: Option<ChartSummary>,
    /// The aims that the condition claims, and its solids against them.
    pub aims: Option<(&'a Aims, Vec<SolidStanding>)>,
}

/// For people.
pub fn checked_document(checked: &CheckedCondition<'_>) -> Document {
    let mut document = Document::default();
    let condition = checked.condition;
    document.heading(format!("{} ({})", condition.title(), condition.name()));
    document.table(errors_table(checked));
    if let Some(chart) = &checked.chart {
        document.list(chart_lines(chart, condition));
    } else {
        document.text(
            "Made from a profile: how well the profile describes the press is not in it and cannot be told here.",
        );
    }
    add_aims(&mut document, checked);
    document
}

fn errors_table(checked: &CheckedCondition<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::words("Difference, ΔE00"),
        Column::figures("Mean"),
        Column::figures("95 %"),
        Column::figures("Largest"),
        Column::figures("Judged by"),
    ]);
    for (name, errors) in [
        ("patches predicted unseen (ten parts)", &checked.left_out),
        ("grid against its function", &checked.grid),
    ] {
        if let Some(errors) = errors {
            table.row(vec![
                Cell::text(name),
                Cell::DeltaE(errors.mean),
                Cell::DeltaE(errors.p95),
                Cell::DeltaE(errors.max),
                Cell::Count(errors.count as u64),
            ]);
        }
    }
    table
}

fn chart_lines(chart: &ChartSummary, condition: &PrintingCondition) -> Vec<String> {
    let mut lines = vec![format!(
        "{} rows, {} different patches; {}",
        chart.rows,
        chart.patches,
        if chart.repeats == 0 {
            "none measured twice".to_owned()
        } else {
            format!(
                "{} measured again and averaged, up to ΔE00 {:.2} from their mean",
                chart.repeats, chart.repeat_spread
            )
        }
    )];
    let steps = LETTERS.iter().zip(chart.widest_steps);
    let steps: Vec<String> = steps
        .map(|(letter, step)| format!("{letter} {}", round2(step)))
        .collect();
    lines.push(format!(
        "Widest step without a measurement on the ramp of each ink, points: {}",
        steps.join(", ")
    ));
    if !chart.missing_overprints.is_empty() {
        lines.push(format!(
            "Overprints of solids not measured, so estimated: {}",
            chart.missing_overprints.join(", ")
        ));
    }
    if chart.largest_sum + 1e-9 < condition.ink_limit() {
        lines.push(format!(
            "Measured up to a sum of {} %; beyond it, up to the ink limit of {} %, colours are extrapolated",
            round2(chart.largest_sum),
            condition.ink_limit()
        ));
    }
    lines
}

fn add_aims(document: &mut Document, checked: &CheckedCondition<'_>) {
    let Some((aims, solids)) = &checked.aims else {
        document.text("The condition claims no standard whose aims are known here.");
        return;
    };
    let mut table = Table::new(vec![
        Column::words("Solid"),
        Column::words("Aim L*a*b*"),
        Column::words("Printed L*a*b*"),
        Column::figures("ΔE*ab"),
        Column::words("Standing"),
    ]);
    for solid in solids {
        let (aim, printed) = (solid.aim, solid.printed);
        table.row(vec![
            Cell::text(solid.ink.name()),
            Cell::text(format!("{} {} {}", aim.l, aim.a, aim.b)),
            Cell::text(format!(
                "{:.1} {:.1} {:.1}",
                printed.l, printed.a, printed.b
            )),
            Cell::Number(solid.delta_e_ab, 1),
            Cell::text(standing(solid)),
        ]);
    }
    document.text(format!(
        "Solids against {}, allowed ΔE*ab {AIM_TOLERANCE} (aims and tolerance {AIM_SOURCE}):",
        aims.name
    ));
    document.table(table);
}

fn standing(solid: &SolidStanding) -> &'static str {
    if solid.is_within() {
        "within"
    } else {
        "outside"
    }
}

#[derive(Serialize)]
struct CheckedJson<'a> {
    name: &'a str,
    title: &'a str,
    left_out: Option<ErrorsJson>,
    grid: Option<ErrorsJson>,
    chart: Option<ChartJson<'a>>,
    aims: Option<AimsJson<'a>>,
}

#[derive(Serialize)]
struct ErrorsJson {
    count: usize,
    mean: f64,
    p95: f64,
    max: f64,
}

impl From<&ErrorSummary> for ErrorsJson {
    fn from(errors: &ErrorSummary) -> Self {
        let round4 = |v: f64| (v * 1e4).round() / 1e4;
        Self {
            count: errors.count,
            mean: round4(errors.mean),
            p95: round4(errors.p95),
            max: round4(errors.max),
        }
    }
}

#[derive(Serialize)]
struct ChartJson<'a> {
    rows: usize,
    patches: usize,
    repeats: usize,
    repeat_spread: f64,
    widest_steps: [f64; 4],
    missing_overprints: &'a [String],
    largest_sum: f64,
}

#[derive(Serialize)]
struct AimsJson<'a> {
    standard: &'a str,
    source: &'a str,
    tolerance_delta_e_ab: f64,
    solids: Vec<SolidJson>,
}

#[derive(Serialize)]
struct SolidJson {
    ink: char,
    aim_lab: [f64; 3],
    printed_lab: [f64; 3],
    delta_e_ab: f64,
    within: bool,
}

/// For programs.
pub fn checked_json(checked: &CheckedCondition<'_>) -> String {
    let chart = checked.chart.as_ref().map(|chart| ChartJson {
        rows: chart.rows,
        patches: chart.patches,
        repeats: chart.repeats,
        repeat_spread: round2(chart.repeat_spread),
        widest_steps: chart.widest_steps.map(round2),
        missing_overprints: &chart.missing_overprints,
        largest_sum: round2(chart.largest_sum),
    });
    crate::json::pretty(&CheckedJson {
        name: checked.condition.name(),
        title: checked.condition.title(),
        left_out: checked.left_out.as_ref().map(ErrorsJson::from),
        grid: checked.grid.as_ref().map(ErrorsJson::from),
        chart,
        aims: checked.aims.as_ref().map(|(aims, solids)| AimsJson {
            standard: aims.name,
            source: AIM_SOURCE,
            tolerance_delta_e_ab: AIM_TOLERANCE,
            solids: solids.iter().map(solid_json).collect(),
        }),
    })
}

fn solid_json(solid: &SolidStanding) -> SolidJson {
    let (aim, printed) = (solid.aim, solid.printed);
    SolidJson {
        ink: solid.ink.letter(),
        aim_lab: [aim.l, aim.a, aim.b],
        printed_lab: [printed.l, printed.a, printed.b].map(round2),
        delta_e_ab: round2(solid.delta_e_ab),
        within: solid.is_within(),
    }
}

/// For spreadsheets: one figure a row.
pub fn checked_csv(checked: &CheckedCondition<'_>) -> String {
    let mut facts: Vec<Fact> = Vec::new();
    for (name, errors) in [("left_out", &checked.left_out), ("grid", &checked.grid)] {
        let Some(errors) = errors else { continue };
        facts.push(fact("errors", name, "count", errors.count.to_string()));
        for (figure, value) in [
            ("mean", errors.mean),
            ("p95", errors.p95),
            ("max", errors.max),
        ] {
            facts.push(fact("errors", name, figure, format!("{value:.4}")));
        }
    }
    if let Some(chart) = &checked.chart {
        let mut add =
            |figure: &str, value: String| facts.push(fact("chart", "table", figure, value));
        add("rows", chart.rows.to_string());
        add("patches", chart.patches.to_string());
        add("repeats", chart.repeats.to_string());
        add("repeat_spread", format!("{:.2}", chart.repeat_spread));
        add("missing_overprints", chart.missing_overprints.join(" "));
        add("largest_sum", round2(chart.largest_sum).to_string());
        for (letter, step) in LETTERS.iter().zip(chart.widest_steps) {
            add(&format!("widest_step_{letter}"), round2(step).to_string());
        }
    }
    for solid in checked.aims.iter().flat_map(|(_, solids)| solids) {
        let name = solid.ink.letter().to_string();
        facts.push(fact(
            "aims",
            &name,
            "delta_e_ab",
            format!("{:.2}", solid.delta_e_ab),
        ));
        facts.push(fact("aims", &name, "standing", standing(solid).to_owned()));
    }
    facts_csv(facts)
}
