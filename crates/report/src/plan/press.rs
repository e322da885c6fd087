//! What a run does to the colours of an ink set, which ink does most of it, and what would change less.

use std::collections::BTreeMap;

use inkset_plan::{PlannedSet, Rendering};
use serde::Serialize;

use super::PlanReport;
use crate::document::{Cell, Column, Table};
use crate::figures::{LETTERS, build_text};
use crate::reach::BuildJson;

/// For people: a row for each colour that is a build, or that a steadier build could replace.
pub(super) fn table(report: PlanReport<'_>, set: &PlannedSet) -> Table {
    let mut table = Table::new(vec![
        Column::words("On press"),
        Column::figures("ΔE median"),
        Column::figures("ΔE 95 %"),
        Column::words("Drifts most by"),
        Column::words("Steadier build"),
    ]);
    for (at, rendering) in set.renderings.iter().enumerate() {
        let drifts = drifts(report, rendering);
        let Some((ink, drift)) = most(&drifts) else {
            continue;
        };
        let steadier = set.steadier[at].map_or_else(String::new, |build| {
            format!(
                "{} ({:.2}, on press {:.2})",
                build_text(build.process),
                build.delta_e,
                build.delta_e_on_press
            )
        });
        table.row(vec![
            Cell::text(&report.plan.rows[at].name),
            Cell::DeltaE(rendering.delta_e_median),
            Cell::DeltaE(rendering.delta_e_on_press),
            Cell::text(format!("{ink} ({drift:.2})")),
            Cell::text(steadier),
        ]);
    }
    table
}

/// Every ink that moves a build or an overprint, by name, with how far 95 % of sheets keep from the aim by it alone.
fn drifts<'a>(report: PlanReport<'a>, rendering: &Rendering) -> Vec<(&'a str, f64)> {
    let process = LETTERS.into_iter().zip(rendering.drift_by_ink);
    let solids = [rendering.solid, rendering.second_solid];
    let solids = solids.into_iter().flatten();
    let solids = solids.map(|(colour, _)| report.job.colours[colour].name.value.as_str());
    let extended = rendering.extended.iter();
    let extended = extended.map(|(ink, _)| report.plan.extended[*ink].as_str());
    let further = extended.chain(solids).zip(&rendering.drift_by_further);
    process
        .chain(further.map(|(name, drift)| (name, *drift)))
        .filter(|(_, drift)| *drift > 0.0)
        .collect()
}

/// The ink that moves the colour most, the first of equals.
fn most<'a>(drifts: &[(&'a str, f64)]) -> Option<(&'a str, f64)> {
    drifts
        .iter()
        .copied()
        .reduce(|most, next| if next.1 > most.1 { next } else { most })
}

/// One colour on press.
#[derive(Serialize)]
pub(super) struct PressJson {
    name: String,
    /// ΔE00 to the target.
    at_aim: f64,
    median: f64,
    p95: f64,
    /// ΔE00 from the aim that 95 % of sheets keep within when only this ink varies, in the order C, M, Y, K.
    drift_by_ink: [f64; 4],
    /// The same for extended inks and for the solids of an overprint, by name.
    drift_by_further: BTreeMap<String, f64>,
    /// Letter or name of the ink that causes most; nothing for a solid, which varies alone.
    causes_most: Option<String>,
    /// A build of fewer inks that changes less, for at most 0.5 ΔE00 at the aim.
    steadier: Option<SteadierJson>,
}

#[derive(Serialize)]
struct SteadierJson {
    build: BuildJson,
    at_aim: f64,
    p95: f64,
}

/// For programs.
pub(super) fn json(report: PlanReport<'_>, set: &PlannedSet) -> Vec<PressJson> {
    let rows = report.plan.rows.iter().zip(&set.renderings);
    rows.enumerate()
        .map(|(at, (row, rendering))| PressJson {
            steadier: set.steadier[at].map(|build| SteadierJson {
                build: build.process.into(),
                at_aim: build.delta_e,
                p95: build.delta_e_on_press,
            }),
            ..of_rendering(report, &row.name, rendering)
        })
        .collect()
}

fn of_rendering(report: PlanReport<'_>, name: &str, rendering: &Rendering) -> PressJson {
    let drifts = drifts(report, rendering);
    let further = drifts.iter().filter(|(ink, _)| !LETTERS.contains(ink));
    PressJson {
        name: name.to_owned(),
        at_aim: rendering.delta_e,
        median: rendering.delta_e_median,
        p95: rendering.delta_e_on_press,
        drift_by_ink: rendering.drift_by_ink,
        drift_by_further: further
            .map(|(ink, drift)| ((*ink).to_owned(), *drift))
            .collect(),
        causes_most: most(&drifts).map(|(ink, _)| ink.to_owned()),
        steadier: None,
    }
}
