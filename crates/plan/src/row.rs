//! What has to be matched: one row for each colour, tint and printing condition.

use inkset_colour::{LabD50, SolidInk};
use inkset_spec::{Colour, Importance, Job};

use crate::Conditions;
use crate::look::LookTarget;

/// A colour, or a tint of it, on one printing condition.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Name for people: the colour's, with its tint and, where parts differ in paper, with the part.
    pub name: String,
    /// Index into [`Job::colours`].
    pub colour: usize,
    /// Tone of the colour in percent; 100 = full.
    pub tone: f64,
    /// Indices into [`Job::parts`] of the parts that it stands for.
    pub parts: Vec<usize>,
    /// What it should look like.
    pub target: LabD50,
    /// Process tone values asked for by the job on this very condition, if it gave the colour so.
    pub given_build: Option<[f64; 4]>,
    /// Accepted ΔE00.
    pub tolerance: f64,
    /// How much it matters.
    pub importance: Importance,
}

/// The rows of a job, in the order of its colours.
pub(crate) fn rows(job: &Job, conditions: &Conditions<'_>) -> Vec<Row> {
    let several_papers = conditions
        .of_parts
        .windows(2)
        .any(|pair| pair[0].name() != pair[1].name());
    let mut rows: Vec<Row> = Vec::new();
    for (index, colour) in job.colours.iter().enumerate() {
        for place in &colour.uses {
            let tone = place.tint.percent();
            let condition = conditions.of_parts[place.part];
            let same = |row: &&mut Row| {
                row.colour == index
                    && row.tone.total_cmp(&tone).is_eq()
                    && conditions.of_parts[row.parts[0]].name() == condition.name()
            };
            if let Some(row) = rows.iter_mut().find(same) {
                if !row.parts.contains(&place.part) {
                    row.parts.push(place.part);
                }
                continue;
            }
            rows.push(Row {
                name: row_name(job, colour, tone, several_papers.then_some(place.part)),
                colour: index,
                tone,
                parts: vec![place.part],
                target: target(index, tone, place.part, conditions),
                given_build: given_build(index, tone, place.part, conditions),
                tolerance: colour.tolerance.value.value(),
                importance: colour.importance.value,
            });
        }
    }
    rows
}

fn row_name(job: &Job, colour: &Colour, tone: f64, part: Option<usize>) -> String {
    let tint = if tone < 100.0 {
        format!(" {tone} %")
    } else {
        String::new()
    };
    let on = part.map_or_else(String::new, |part| {
        format!(" ({})", job.parts[part].name.value)
    });
    format!("{}{tint}{on}", colour.name.value)
}

/// The full colour, before any tint, on the paper of `part`.
pub(crate) fn full_target(colour: usize, part: usize, conditions: &Conditions<'_>) -> LabD50 {
    match &conditions.looks[colour].target {
        LookTarget::Lab(lab) => *lab,
        LookTarget::Build { tones, condition } => {
            let own = conditions.of_parts[part];
            condition
                .as_deref()
                .and_then(|name| conditions.named(name))
                .unwrap_or(own)
                .lab(*tones)
        }
    }
}

/// The ink that a solid of this colour would be, on the paper of `part`.
pub(crate) fn solid_ink(
    (colour, match_delta_e): (usize, f64),
    part: usize,
    conditions: &Conditions<'_>,
) -> SolidInk {
    SolidInk {
        lab: full_target(colour, part, conditions),
        match_delta_e,
        tints: conditions.looks[colour].tints.clone(),
    }
}

fn target(colour: usize, tone: f64, part: usize, conditions: &Conditions<'_>) -> LabD50 {
    let ink = solid_ink((colour, 0.0), part, conditions);
    ink.tint(conditions.of_parts[part].paper(), tone)
}

fn given_build(
    colour: usize,
    tone: f64,
    part: usize,
    conditions: &Conditions<'_>,
) -> Option<[f64; 4]> {
    let LookTarget::Build { tones, condition } = &conditions.looks[colour].target else {
        return None;
    };
    let own = conditions.of_parts[part];
    let same = condition
        .as_deref()
        .and_then(|name| conditions.named(name))
        .is_none_or(|c| c.name() == own.name());
    (same && tone >= 100.0).then_some(*tones)
}
