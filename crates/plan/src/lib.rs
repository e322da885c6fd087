//! Finds the ink sets worth pricing for a job, and how every colour is rendered in each.
//!
//! No money here. An ink set is a subset of the process inks with a subset of the solids that the job's colours could
//! have; every colour gets its best rendering in it. Sets that print some colour worse than four process inks would,
//! outside its tolerance, drop out; so do sets that another one matches in colour with no more ink anywhere.

mod alone;
mod candidates;
mod coverage;
mod look;
mod measured;
mod mixtures;
mod naming;
mod notes;
mod overprinted;
mod papers;
mod rendering;
mod row;
mod set;
mod smallest;
mod subsets;
mod weight;

pub use alone::{Alone, alone};
pub use look::{Look, LookTarget};
pub use measured::{
    MeasuredFlat, MeasuredJob, MeasuredPage, StrangeSolid, UnlistedFlat, measured_job,
};
pub use notes::{PlanNote, PlanNoteKind};
pub use overprinted::further_ink;
pub use papers::PaperGap;
pub use rendering::{Rendering, RenderingKind, Verdict};
pub use row::Row;
pub use set::{PlannedSet, Steadier};
pub use smallest::{Needs, SmallestSets, SmallestSolids, smallest_sets};
pub use subsets::{SolidSubsets, solid_subsets};
pub use weight::importance_weight;

use inkset_colour::{FurtherInk, OverprintError, PrintingCondition, Variation};
use inkset_layout::InkShare;
use inkset_spec::{Job, VariationName};

/// Most solids for which every subset is tried.
pub const MOST_SOLIDS: usize = 12;

/// Most extended process inks that are tried together.
pub const MOST_EXTENDED: usize = 4;

/// What the printing conditions are, by part and by name.
pub struct Conditions<'a> {
    /// The condition that each part's stock prints under, in the order of [`Job::parts`].
    pub of_parts: Vec<&'a PrintingCondition>,
    /// Conditions by name, for CMYK targets that name one.
    pub named: Vec<(String, &'a PrintingCondition)>,
    /// The plant's own press variation, for jobs that are judged by it.
    pub plant: Option<Variation>,
    /// Extended process inks of the plant, in printing order; those beyond [`MOST_EXTENDED`] are left out.
    pub extended: Vec<ExtendedInk>,
    /// What each colour of [`Job::colours`] looks like; one for each.
    pub looks: Vec<Look>,
}

/// A process ink besides cyan, magenta, yellow and black.
#[derive(Debug, Clone, PartialEq)]
pub struct ExtendedInk {
    /// Name for people, also of its rate.
    pub name: String,
    /// The ink on the paper of each part; `None` where the plant gives no figures for such paper.
    pub of_parts: Vec<Option<FurtherInk>>,
}

impl<'a> Conditions<'a> {
    fn named(&self, name: &str) -> Option<&'a PrintingCondition> {
        self.named
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, condition)| *condition)
    }
}

/// The colours of a job and the ink sets worth pricing.
#[derive(Debug, Clone)]
pub struct Plan {
    /// One row for each colour, tint and printing condition.
    pub rows: Vec<Row>,
    /// Ink sets, fewest inks first.
    pub sets: Vec<PlannedSet>,
    /// Index in `sets` of the plan that takes every build it can from the process inks.
    pub four_ink: usize,
    /// The fewest solids with which every important colour holds.
    pub smallest: SmallestSolids,
    /// Names of the extended process inks that renderings refer to.
    pub extended: Vec<String>,
    /// How far predicted overprints miss the published ones of each part's condition.
    pub overprint_errors: Vec<OverprintError>,
    /// Press variation by which the colours were judged.
    pub variation: Variation,
    /// What the reader should know about all of the sets.
    pub notes: Vec<PlanNote>,
    /// Solids that were considered.
    solids: candidates::Solids,
    /// What was found for each row.
    table: Vec<candidates::RowCandidates>,
}

impl Plan {
    /// What each ink of `set` covers on each page of `job`, colour by colour and picture by picture.
    ///
    /// What [`PlannedSet::print`] says of an ink on a page is their sum, at most the page.
    pub fn ink_shares(&self, job: &Job, set: &PlannedSet) -> Vec<InkShare> {
        coverage::ink_shares(
            job,
            (&self.rows, &set.renderings),
            (&set.print, &self.extended),
        )
    }
}

/// Plans every colour of `job` in every ink set worth pricing.
///
/// # Panics
///
/// When `conditions` has not one look for each colour and one condition for each part.
pub fn plan(job: &Job, conditions: &Conditions<'_>) -> Plan {
    planned(job, conditions, None)
}

/// Plans a job that differs from the one of `known` in nothing but tolerances: the same as [`plan`], but a colour whose tolerance
/// is the same is not searched again.
///
/// # Panics
///
/// As [`plan`].
pub fn plan_again(job: &Job, conditions: &Conditions<'_>, known: &Plan) -> Plan {
    planned(job, conditions, Some(known))
}

fn planned(job: &Job, conditions: &Conditions<'_>, known: Option<&Plan>) -> Plan {
    let variation = variation(job.variation.value, conditions);
    let rows = row::rows(job, conditions);
    let (solids, mut notes) = candidates::solids(job, &rows, conditions);
    let search = candidates::Search {
        job,
        rows: &rows,
        solids: &solids,
        conditions,
        variation: &variation,
    };
    // What was found refers to solids by their place: with other solids it is of no use.
    let known = known.filter(|known| known.solids == solids);
    let known = known.map(|known| (known.rows.as_slice(), known.table.as_slice()));
    let table = search.table(known.unwrap_or_default());
    let (sets, four_ink) = set::worth_pricing(job, &rows, &solids, (&table, conditions));
    let smallest = smallest::smallest(&rows, &solids, &table);
    notes.extend(notes::for_job(job, &rows));
    let errors = conditions.of_parts.iter();
    let errors = errors.map(|condition| inkset_colour::overprint_error(condition));
    let extended = conditions.extended.iter();
    Plan {
        extended: extended.map(|ink| ink.name.clone()).collect(),
        overprint_errors: errors.collect(),
        rows,
        sets,
        four_ink,
        smallest,
        variation,
        notes,
        solids,
        table,
    }
}

/// The press variation that a job's word stands for.
///
/// A job may ask for the plant's own only with a card that has it, which `inkset_spec::check_against` sees to.
fn variation(name: VariationName, conditions: &Conditions<'_>) -> Variation {
    match name {
        VariationName::Controlled => Variation::CONTROLLED,
        VariationName::Limit => Variation::LIMIT,
        VariationName::Plant => conditions.plant.clone().unwrap_or(Variation::CONTROLLED),
    }
}
