//! What a reader of a plan should know: reasons for a solid other than colour, limits of the figures.

use inkset_spec::{Effect, Job, UseKind};

use crate::{PlannedSet, RenderingKind, Row};

/// Coverage from which a flat panel counts as large, share of the page (common practice, no source).
const LARGE_PANEL: f64 = 0.25;

/// A remark on a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanNote {
    /// What it is about.
    pub kind: PlanNoteKind,
    /// The remark, one sentence without a full stop.
    pub text: String,
}

/// What a remark is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanNoteKind {
    /// Something to watch.
    Caution,
    /// Something that was assumed.
    Assumption,
}

impl PlanNote {
    /// Something to watch.
    pub fn caution(text: String) -> Self {
        Self {
            kind: PlanNoteKind::Caution,
            text,
        }
    }

    pub(crate) fn too_many_solids(job: &Job, left_out: &[usize]) -> Self {
        let names: Vec<&str> = left_out
            .iter()
            .map(|&at| job.colours[at].name.value.as_str())
            .collect();
        Self {
            kind: PlanNoteKind::Assumption,
            text: format!(
                "solids are tried for at most {} colours, the most important first; left to builds: {}",
                crate::MOST_SOLIDS,
                names.join(", ")
            ),
        }
    }
}

/// Remarks that hold for every set of the job.
pub(crate) fn for_job(job: &Job, rows: &[Row]) -> Vec<PlanNote> {
    let effects = rows.iter().filter_map(|row| {
        let colour = &job.colours[row.colour];
        let effect = colour.effect.as_ref()?;
        Some(PlanNote::caution(format!(
            "`{}` is {}: no build of process inks imitates it, and its figures stand for the match of the ink to its standard, not for its look",
            colour.name.value,
            word(effect.value)
        )))
    });
    effects.collect()
}

const fn word(effect: Effect) -> &'static str {
    match effect {
        Effect::Metallic => "metallic",
        Effect::Fluorescent => "fluorescent",
        Effect::White => "an opaque white",
        Effect::Varnish => "a varnish",
    }
}

impl PlannedSet {
    /// Reasons, other than colour, to think twice about how this set prints a row.
    pub fn notes(&self, job: &Job, rows: &[Row]) -> Vec<PlanNote> {
        rows.iter()
            .zip(&self.renderings)
            .filter(|(_, rendering)| {
                matches!(
                    rendering.kind,
                    RenderingKind::Build | RenderingKind::Overprint | RenderingKind::OutOfReach
                )
            })
            .flat_map(|(row, rendering)| {
                let process = rendering.process.iter().filter(|tone| **tone > 0);
                let solids = [rendering.solid, rendering.second_solid];
                let inks = process.count()
                    + rendering.extended.len()
                    + solids.into_iter().flatten().count();
                register(job, row, inks)
                    .into_iter()
                    .chain(large_panel(job, row, inks))
            })
            .collect()
    }
}

/// Small type and thin rules out of several inks show every register error.
fn register(job: &Job, row: &Row, inks: usize) -> Option<PlanNote> {
    let thin = uses(job, row).any(|u| matches!(u.kind.value, UseKind::Type | UseKind::Rule));
    (thin && inks > 1).then(|| {
        PlanNote::caution(format!(
            "`{}` sets type or rules out of {inks} inks: a register error shows as a coloured edge; one ink avoids it",
            row.name
        ))
    })
}

/// A large even panel out of several tints shows press variation as bands and as differences between pages.
fn large_panel(job: &Job, row: &Row, inks: usize) -> Option<PlanNote> {
    let large = uses(job, row).any(|u| {
        matches!(u.kind.value, UseKind::Panel | UseKind::Background)
            && u.coverage.fraction() >= LARGE_PANEL
    });
    (large && inks > 1).then(|| {
        PlanNote::caution(format!(
            "`{}` is a large panel out of {inks} inks: variation between sheets and across the sheet is seen first there",
            row.name
        ))
    })
}

fn uses<'a>(job: &'a Job, row: &'a Row) -> impl Iterator<Item = &'a inkset_spec::Use> {
    job.colours[row.colour]
        .uses
        .iter()
        .filter(|u| row.parts.contains(&u.part) && u.tint.percent().total_cmp(&row.tone).is_eq())
}
