//! One module for each command: read, call, print.

pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod condition;
pub(crate) mod coverage;
pub(crate) mod delivery;
pub(crate) mod enquire;
mod fill;
mod issue;
pub(crate) mod layout;
pub(crate) mod learn;
pub(crate) mod new;
pub(crate) mod plan;
pub(crate) mod price;
mod priced;
pub(crate) mod quote;
mod rates_of;
pub(crate) mod reach;
mod reach_build;
pub(crate) mod report;
mod sheets;
mod should_cost;
pub(crate) mod weigh;

use inkset_plan::{Plan, PlanNote, PlanNoteKind};

use crate::CliError;
use crate::artwork::measure_named;
use crate::conditions::{JobConditions, conditions_of};
use crate::files::Loaded;
use crate::output::Output;

/// Plans a job on its conditions, with the coverage of its artwork; what was assumed for either joins its assumptions.
fn planned(loaded: &mut Loaded, out: &mut Output) -> Result<(JobConditions, Plan), CliError> {
    let conditions = conditions_of(loaded, out)?;
    let noted = measure_named(loaded, &conditions, out)?;
    let mut plan = inkset_plan::plan(&loaded.job, &conditions.borrowed());
    plan.notes.extend(noted);
    loaded.assumptions.extend(assumed(&plan.notes, out));
    Ok((conditions, plan))
}

/// Tells what the plan assumed and returns it.
fn assumed(notes: &[PlanNote], out: &mut Output) -> Vec<String> {
    let assumptions: Vec<String> = of_kind(notes, PlanNoteKind::Assumption);
    for assumption in &assumptions {
        out.assumption(assumption);
    }
    assumptions
}

/// What the plan cautions against.
fn cautions(notes: &[PlanNote]) -> Vec<String> {
    of_kind(notes, PlanNoteKind::Caution)
}

fn of_kind(notes: &[PlanNote], kind: PlanNoteKind) -> Vec<String> {
    notes
        .iter()
        .filter(|note| note.kind == kind)
        .map(|note| note.text.clone())
        .collect()
}
