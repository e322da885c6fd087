//! Plates of every part, and those that stay on the press from another one.

use inkset_costing::{Estimate, OwnPlates, PartChoice};
use schemars::JsonSchema;
use serde::Serialize;

use super::PriceReport;

#[derive(Serialize, JsonSchema)]
pub(super) struct PartPlatesJson {
    /// Part of the job.
    part: String,
    /// Plates made for it.
    plates: u32,
    /// The part whose other plates stay on for it; null where it has its own.
    kept_of: Option<String>,
    /// Name of a further press, which prints the inks for which the first has no units; null where one press prints all.
    further_press: Option<String>,
    /// The inks that it prints.
    further_inks: Vec<String>,
}

pub(super) fn json(report: &PriceReport<'_>, estimate: &Estimate) -> Vec<PartPlatesJson> {
    let parts = estimate.parts.iter();
    parts
        .map(|choice| PartPlatesJson {
            part: report.plan.job.parts[choice.part].name.value.clone(),
            plates: choice.plates,
            kept_of: choice.kept.as_ref().map(|kept| kept.name.clone()),
            further_press: choice.further.as_ref().map(|further| further.press.clone()),
            further_inks: choice
                .further
                .as_ref()
                .map_or_else(Vec::new, |further| further.inks.clone()),
        })
        .collect()
}

/// What the job may not expect of the plates of a part: that some are changed unasked, or none stays on.
pub(super) fn told(report: &PriceReport<'_>, choice: &PartChoice) -> Option<String> {
    let part = &report.plan.job.parts[choice.part];
    let of = &part.plates_of.as_ref()?.value;
    if let Some(kept) = &choice.kept {
        let inks = kept.unasked.join(", ");
        return (!inks.is_empty()).then(|| {
            format!("Changed though `changed_inks` does not name it, because it covers another share than on {of}: {inks}")
        });
    }
    Some(match choice.own_plates? {
        OwnPlates::NoneFits => {
            format!(
                "Plates of its own: none of {of} fits, for want of an ink on its form or of a press that prints both alike"
            )
        }
        OwnPlates::NotCheaper => {
            format!("Plates of its own: with those of {of} the job would not be cheaper")
        }
    })
}

/// `, pink with plates of its own`, of a part that might be printed from those of another.
pub(super) fn of_its_own(report: &PriceReport<'_>, choice: &PartChoice) -> String {
    let part = &report.plan.job.parts[choice.part];
    match (&part.plates_of, &choice.kept) {
        (Some(_), None) => format!(", {} with plates of its own", part.name.value),
        _ => String::new(),
    }
}
