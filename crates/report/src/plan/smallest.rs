//! The fewest solids with which every important colour holds.

use serde::Serialize;

use super::PlanReport;

/// For people: a sentence or two.
pub(super) fn text(report: PlanReport<'_>) -> String {
    let smallest = &report.plan.smallest;
    let mut text = match smallest.sets.as_slice() {
        [] => "No set of solids makes all important colours hold.".to_owned(),
        [none] if none.is_empty() => {
            "Smallest set in which all important colours hold: four process inks, no solid."
                .to_owned()
        }
        sets => {
            let named: Vec<String> = sets
                .iter()
                .map(|set| names(report, set).join(", "))
                .collect();
            format!(
                "Smallest set in which all important colours hold: CMYK with {}. Fewer solids do not suffice ({} smaller {} tried, of {} possible {}).",
                named.join("; or with "),
                smallest.smaller_tried,
                if smallest.smaller_tried == 1 {
                    "set"
                } else {
                    "sets"
                },
                smallest.candidates,
                if smallest.candidates == 1 {
                    "solid"
                } else {
                    "solids"
                }
            )
        }
    };
    if !smallest.never.is_empty() {
        text.push_str(
            " Left aside, because neither a build nor a solid of the job makes them hold: ",
        );
        text.push_str(&left_aside(report).join(", "));
        text.push('.');
    }
    text
}

fn names(report: PlanReport<'_>, set: &[usize]) -> Vec<String> {
    let colours = set.iter().map(|&colour| &report.job.colours[colour]);
    colours.map(|colour| colour.name.value.clone()).collect()
}

fn left_aside(report: PlanReport<'_>) -> Vec<String> {
    let rows = report.plan.smallest.never.iter();
    rows.map(|&row| report.plan.rows[row].name.clone())
        .collect()
}

#[derive(Serialize)]
pub(super) struct SmallestJson {
    /// Every set of fewest solids that serves; one empty list when four process inks do.
    sets: Vec<Vec<String>>,
    /// Solids considered.
    candidates: usize,
    /// Smaller sets, all tried, none serving.
    smaller_tried: usize,
    /// Important colours that no set makes hold.
    left_aside: Vec<String>,
}

/// For programs.
pub(super) fn json(report: PlanReport<'_>) -> SmallestJson {
    let smallest = &report.plan.smallest;
    SmallestJson {
        sets: smallest.sets.iter().map(|set| names(report, set)).collect(),
        candidates: smallest.candidates,
        smaller_tried: smallest.smaller_tried,
        left_aside: left_aside(report),
    }
}
