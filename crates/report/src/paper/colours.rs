//! Colours of a paper: a swatch with its name, and the ink that prints it.

use inkset_colour::srgb_from_lab;
use inkset_plan::{Rendering, RenderingKind};
use inkset_spec::Job;

use super::SetOnPaper;
use crate::plan::PlanReport;

/// A colour as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperColour {
    /// Name of the colour.
    pub name: String,
    /// What prints it.
    pub ink: PaperInk,
    /// How it looks at the aim, on a screen; an effect as its base.
    pub srgb: [u8; 3],
    /// The paper under it.
    pub paper: [u8; 3],
}

/// What prints a colour.
#[derive(Debug, Clone, PartialEq)]
pub enum PaperInk {
    /// Process tints, or several inks over each other.
    Build,
    /// One ink of its own: its name, its tone in percent, and how its full tone looks.
    Own {
        /// Name of the ink.
        name: String,
        /// Percent, more than 0.
        tone: f64,
        /// Full tone on a screen.
        full: [u8; 3],
    },
    /// An effect, which no screen shows: its name.
    Effect(String),
}

/// Every row of a plan as a set prints it.
pub(crate) fn paper_colours(report: PlanReport<'_>, (set, on): SetOnPaper<'_>) -> Vec<PaperColour> {
    let pairs = report.plan.rows.iter().zip(&set.renderings);
    pairs
        .map(|(row, rendering)| {
            let condition = on.of_parts[row.parts[0]];
            let lab = rendering.lab.unwrap_or(row.target);
            PaperColour {
                name: row.name.clone(),
                ink: ink(report.job, rendering, || {
                    let full = report.plan.rows.iter().zip(&set.renderings);
                    let mut full = full.filter(|(other, r)| {
                        r.solid == rendering.solid.map(|(at, _)| (at, 100.0))
                            && r.kind == RenderingKind::Solid
                            && other.parts[0] == row.parts[0]
                    });
                    let known = full.next().and_then(|(_, r)| r.lab);
                    known.map_or_else(|| srgb_from_lab(lab), srgb_from_lab)
                }),
                srgb: srgb_from_lab(lab),
                paper: srgb_from_lab(condition.paper()),
            }
        })
        .collect()
}

fn ink(job: &Job, rendering: &Rendering, full: impl Fn() -> [u8; 3]) -> PaperInk {
    let alone = rendering.process == [0; 4]
        && rendering.second_solid.is_none()
        && rendering.extended.is_empty();
    match (rendering.kind, rendering.solid) {
        (RenderingKind::Effect, Some((at, _))) => {
            PaperInk::Effect(job.colours[at].name.value.clone())
        }
        (_, Some((at, tone))) if alone => PaperInk::Own {
            name: job.colours[at].name.value.clone(),
            tone,
            full: full(),
        },
        _ => PaperInk::Build,
    }
}
