//! Versions that share the run: what lies on each layout, and what other layouts would cost.

use inkset_costing::{Estimate, PartChoice, VersionLayout};
use schemars::JsonSchema;
use serde::Serialize;

use super::PriceReport;
use crate::figures::{grouped, money_text};

/// Most layouts that are told one by one.
const MOST_TOLD: usize = 6;
/// Most numbers of layouts whose totals are told.
const MOST_TOTALS: usize = 5;

#[derive(Serialize, JsonSchema)]
pub(super) struct PartVersionsJson {
    /// Part of the job.
    part: String,
    /// Settings of plates, one after the other on the press.
    layouts: Vec<LayoutJson>,
    /// What the job would cost with the versions on other numbers of layouts.
    totals: Vec<LayoutTotalJson>,
}

#[derive(Serialize, JsonSchema)]
struct LayoutJson {
    /// Good printed sheets.
    sheets: u64,
    versions: Vec<VersionJson>,
}

#[derive(Serialize, JsonSchema)]
struct VersionJson {
    name: String,
    /// Pieces from one sheet.
    up: u32,
    /// Pieces needed, what finishing spoils included.
    pieces: u64,
    /// Pieces printed beyond those.
    surplus: u64,
}

#[derive(Serialize, JsonSchema)]
struct LayoutTotalJson {
    layouts: u32,
    total: String,
}

pub(super) fn json(report: &PriceReport<'_>, estimate: &Estimate) -> Vec<PartVersionsJson> {
    let job = report.plan.job;
    let with_versions = |choice: &&PartChoice| !choice.version_layouts().is_empty();
    let layout = |layout: &VersionLayout| LayoutJson {
        sheets: layout.sheets,
        versions: layout
            .versions
            .iter()
            .zip(layout.surplus())
            .map(|(own, (version, surplus))| VersionJson {
                name: job.versions[version].name.value.clone(),
                up: own.up,
                pieces: own.pieces,
                surplus,
            })
            .collect(),
    };
    let choices = estimate.parts.iter().filter(with_versions);
    choices
        .map(|choice| PartVersionsJson {
            part: job.parts[choice.part].name.value.clone(),
            layouts: choice.version_layouts().iter().map(layout).collect(),
            totals: choice
                .layout_totals
                .iter()
                .map(|(layouts, total)| LayoutTotalJson {
                    layouts: *layouts,
                    total: total.to_text(report.currency()),
                })
                .collect(),
        })
        .collect()
}

/// What lies on each layout of a part, and what the job costs on fewer or more of them; nothing without versions.
pub(super) fn told(report: &PriceReport<'_>, choice: &PartChoice) -> Vec<String> {
    let layouts = choice.version_layouts();
    if layouts.is_empty() {
        return Vec::new();
    }
    let mut told: Vec<String> = Vec::new();
    if layouts.len() <= MOST_TOLD {
        let number = |n: usize| {
            if layouts.len() == 1 {
                "Layout".to_owned()
            } else {
                format!("Layout {}", n + 1)
            }
        };
        let all = layouts.iter().enumerate();
        told.extend(all.map(|(n, layout)| format!("{}: {}", number(n), on_layout(report, layout))));
    }
    told.extend(totals(report, choice));
    told
}

/// `18 good sheets, Boatbuilder 13 up, Sailmaker 13 up; 24 pieces beyond the need`.
fn on_layout(report: &PriceReport<'_>, layout: &VersionLayout) -> String {
    let name = |version: usize| &report.plan.job.versions[version].name.value;
    let up = layout.versions.iter();
    let up: Vec<String> = up
        .map(|own| format!("{} {} up", name(own.version), own.up))
        .collect();
    let surplus: u64 = layout.surplus().map(|(_, more)| more).sum();
    let surplus = if surplus > 0 {
        let noun = if surplus == 1 { "piece" } else { "pieces" };
        format!("; {} {noun} beyond the need", grouped(&surplus.to_string()))
    } else {
        String::new()
    };
    let sheets = grouped(&layout.sheets.to_string());
    format!("{sheets} good sheets, {}{surplus}", up.join(", "))
}

/// `Total with the versions on 1 layout: 148.00; on 2: 155.00`: the one chosen, those next to it, the fewest and the most.
fn totals(report: &PriceReport<'_>, choice: &PartChoice) -> Option<String> {
    let chosen = choice.version_layouts().len() as u32;
    let mut near: Vec<&(u32, inkset_units::Money)> = choice.layout_totals.iter().collect();
    if near.len() < 2 {
        return None;
    }
    let ends = [near[0].0, near[near.len() - 1].0];
    near.sort_by_key(|(layouts, _)| (!ends.contains(layouts), layouts.abs_diff(chosen), *layouts));
    near.sort_by_key(|(layouts, _)| *layouts != chosen);
    near.truncate(MOST_TOTALS);
    near.sort_by_key(|(layouts, _)| *layouts);
    let told = near.iter().enumerate().map(|(n, (layouts, total))| {
        let noun = match (n, layouts) {
            (0, 1) => " layout",
            (0, _) => " layouts",
            _ => "",
        };
        format!(
            "on {layouts}{noun}: {}",
            money_text(*total, report.currency())
        )
    });
    let told: Vec<String> = told.collect();
    Some(format!("Total with the versions {}", told.join("; ")))
}
