//! Each colour for itself, whatever else the job prints: what a reader wants to see side by side.

use inkset_spec::{Job, SolidChoice};
use rayon::prelude::*;

use crate::candidates::OnPaper;
use crate::{Conditions, Plan, Rendering, Row};

/// All four process inks, as the index of their subset.
const FOUR_INKS: usize = 15;

/// Two ways to print one row.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// Best build of the four process inks; `None` for an effect.
    pub build: Option<Rendering>,
    /// Its own ink, full or as the tint that is asked for; `None` where the job refuses one.
    pub own_ink: Option<Rendering>,
}

/// Returns both ways for every row of a plan, in their order; also those that are in no set worth pricing.
pub fn alone(job: &Job, plan: &Plan, conditions: &Conditions<'_>) -> Vec<Alone> {
    let of_row = |row: &Row| {
        let colour = &job.colours[row.colour];
        let on = OnPaper {
            job,
            row,
            conditions,
            condition: conditions.of_parts[row.parts[0]],
            variation: &plan.variation,
        };
        let own = || on.solid(row.colour);
        Alone {
            build: colour.effect.is_none().then(|| on.build(FOUR_INKS)),
            own_ink: (colour.solid.value != SolidChoice::Refused)
                .then(own)
                .flatten(),
        }
    };
    plan.rows.par_iter().map(of_row).collect()
}
