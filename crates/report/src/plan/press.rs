//! What a run does to the colours of an ink set, which ink does most of it, and what would change less.

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
        let Some(ink) = rendering.causes_most() else {
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
            Cell::text(format!(
                "{} ({:.2})",
                LETTERS[ink], rendering.drift_by_ink[ink]
            )),
            Cell::text(steadier),
        ]);
    }
    table
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
    /// Letter of the ink that causes most; nothing for a solid, which varies alone.
    causes_most: Option<&'static str>,
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
            ..of_rendering(&row.name, rendering)
        })
        .collect()
}

fn of_rendering(name: &str, rendering: &Rendering) -> PressJson {
    PressJson {
        name: name.to_owned(),
        at_aim: rendering.delta_e,
        median: rendering.delta_e_median,
        p95: rendering.delta_e_on_press,
        drift_by_ink: rendering.drift_by_ink,
        causes_most: rendering.causes_most().map(|ink| LETTERS[ink]),
        steadier: None,
    }
}
